"""Certificate agreement: how the numbers on a paper differ from the numbers on a unit; and what a data plate's symbol
says.

Pure functions; what a certificate proves is judged here, where it is kept is the store's.
"""
