"""JSON schemas of what the commands print."""
