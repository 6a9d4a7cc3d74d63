"""What follows from facts: place, carry, due and verdicts.

One pure derivation, used by recording, importing, verifying and known-at alike with different
sources of facts. It returns rows; it writes nothing and reads no clock.
"""
