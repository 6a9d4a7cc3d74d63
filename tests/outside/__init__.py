"""Checks against the world outside: published tables and examples, open data, reference libraries, a real server.

Every check names its document. READ: the sentence was read in a copy of the public text. From memory: known well,
not seen; check the live document before quoting it as a rule. What the trade does without a written source says so.
"""
