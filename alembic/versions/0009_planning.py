"""Ground times of airframes, and the least life to fit.

Two tables are added, empty: no row and no entry changes. The texts are frozen beside the revisions, one file a
database.

Revision: 0009
"""

from __future__ import annotations

from pathlib import Path

from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

FROZEN = Path(__file__).parent.parent / "frozen"
TABLES = ("ground_time", "least_life")


def upgrade() -> None:
    connection = op.get_bind()
    text = (FROZEN / f"0009_planning.tables.{connection.dialect.name}.sql").read_text(encoding="utf-8")
    for statement in text.split("\n-- then\n"):
        connection.exec_driver_sql(statement)


def downgrade() -> None:
    """Back to the schema before. Entries that state ground times or least lives stay in the ledger and can no longer be
    read: for trying out, not for a ledger that is kept."""
    connection = op.get_bind()
    for table in reversed(TABLES):
        connection.exec_driver_sql(f"DROP TABLE {table}")
