"""The words: part and serial numbers, positions, measures, severities, findings, refusals.

Values only; standard library only. Nothing here reads a clock, a file, a database or a terminal.
"""
