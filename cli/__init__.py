"""The command line of washlore: reading mixtures and showing what follows from them."""

__version__ = "0.1.0"
