"""Counters beyond flight hours and cycles: their register, readings and openings; requirements and due points in them.

The texts are frozen beside the revisions, one file a database. What stood before is not touched: a due point without a
counter is the row it was.

Revision: 0003
"""

from __future__ import annotations

from pathlib import Path

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

FROZEN = Path(__file__).parent.parent / "frozen"
PARTS = ("tables", "guards", "views")
TABLES = ("unit_counter", "counter_reading", "counter")
COLUMNS = (
    ("requirement", "counter"),
    ("due_point", "counter"),
    ("due_point", "due_counter"),
    ("due_point", "left_counter"),
    ("due_point", "varied_counter"),
    ("accomplishment", "counter"),
    ("accomplishment", "counter_since_new"),
    ("accomplishment", "counter_since"),
)


def upgrade() -> None:
    connection = op.get_bind()
    for part in PARTS:
        text = (FROZEN / f"0003_named_counters.{part}.{connection.dialect.name}.sql").read_text(encoding="utf-8")
        for statement in text.split("\n-- then\n"):
            connection.exec_driver_sql(statement)


def downgrade() -> None:
    """Back to the schema before. Entries that state counters stay in the ledger and can no longer be read: for trying
    out, not for a ledger that is kept."""
    connection = op.get_bind()
    first = (FROZEN / f"0001_first.views.{connection.dialect.name}.sql").read_text(encoding="utf-8")
    due = next(text for text in first.split("\n-- then\n") if text.startswith("CREATE VIEW due AS"))
    connection.exec_driver_sql("DROP VIEW due")
    for index in ("ix_due_point_counter", "ix_due_point_nothing_left"):
        connection.exec_driver_sql(f"DROP INDEX {index}")
    for table, column in COLUMNS:
        connection.exec_driver_sql(f"ALTER TABLE {table} DROP COLUMN {column}")
    for table in TABLES:
        connection.exec_driver_sql(f"DROP TABLE {table}")
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql("DROP FUNCTION guard_counter_reading_never_falls()")
    indexes = (FROZEN / f"0001_first.tables.{connection.dialect.name}.sql").read_text(encoding="utf-8")
    left = next(t for t in indexes.split("\n-- then\n") if t.startswith("CREATE INDEX ix_due_point_nothing_left"))
    for statement in (left, due):
        connection.exec_driver_sql(statement)
