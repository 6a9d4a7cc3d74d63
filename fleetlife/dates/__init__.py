"""Days, months, partial dates, moments and half-open stays.

Pure arithmetic on the calendar. No clock: today is always an argument.
"""
