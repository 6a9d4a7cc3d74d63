"""Verbs that change, one file each, keyword-only; each returns what was recorded."""
