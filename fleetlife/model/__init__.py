"""Tables only: columns, constraints, comments. No rows are read or written here."""
