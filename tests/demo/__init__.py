"""The demo fleet: its files, what is found in it, and the questions it is made for."""
