"""Planning with counts and days: which spare to which position, in which ground time, and how long the stock lasts.

Pure functions from whole numbers and rates to choices and chances: pairs with their costs in, an assignment out; stock,
removals and a turnaround in, months out. What falls due and what may be fitted is judged elsewhere and comes in.
scipy is imported inside the functions that need it. Never a database, a file, a terminal or a clock.
"""
