"""The schema as its migrations make it."""
