"""Facts as frozen values, one class a kind; canonical text, digests and the chain.

What an entry is and how entries hang together. Never a table, never a clock: the store appends.
"""
