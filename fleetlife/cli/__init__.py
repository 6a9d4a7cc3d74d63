"""Parse, call one action or answer, render, choose the exit status."""
