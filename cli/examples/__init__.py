"""Mixtures to try: see the comments in each file."""
