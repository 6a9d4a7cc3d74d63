"""The contract of the store, kept alike by SQLite and PostgreSQL."""
