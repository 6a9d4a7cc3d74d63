"""Counts, requirements, due points, projection and the state of a row.

Pure functions from values to values: what is due, when, by which measure and why. Days, minutes, cycles and
operations come in as whole numbers; a `DuePoint` (independent of today) and a `Judged` (as of a day) come out.
Never a database, a file or a clock.
"""
