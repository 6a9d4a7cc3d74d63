"""The command line as its users use it, on both databases."""
