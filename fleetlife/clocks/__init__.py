"""The state of the records under two clocks, and what both an action and an answer need of it.

As of a day, and as known at a moment: the rows, the judged due rows, the fitting question. Reads through the store,
judges with the pure rooms, writes nothing. Neither prints nor appends.
"""
