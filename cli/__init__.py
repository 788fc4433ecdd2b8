"""The command line of washlore: reading mixtures and showing what follows from them."""
