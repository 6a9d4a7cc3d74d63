"""Counts, requirements, due points, projection and the state of a row.

Pure functions from values to values: what is due, when, by which measure and why.
Never a database, a file or a clock; design.md section 4 is the text this room follows.
"""
