"""The work at doors: swaps from plan to release, what is placed, tested and signed, deferrals, and what must be so.

Tables and empty columns are added, and three tables that nothing ever wrote to make room for them: no row and no entry
changes. The texts are frozen beside the revisions, one file a database.

Revision: 0008
"""

from __future__ import annotations

import re
from pathlib import Path

from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

FROZEN = Path(__file__).parent.parent / "frozen"
TABLES = (
    *("release_item", "pressure_band", "authorisation", "airframe_state", "swap_plan", "swap_step"),
    *("position_work", "gauge_reading", "swap_signature", "deferral", "deferral_closed"),
)
UNUSED = ("deferral", "pressure", "safety_device")
COLUMNS = (("movement", "swap"), ("transfer", "disposition"), ("operation", "intent"))


def upgrade() -> None:
    connection = op.get_bind()
    for table in UNUSED:
        connection.exec_driver_sql(f"DROP TABLE {table}")
    for statement in _frozen("0008_swaps"):
        connection.exec_driver_sql(statement)


def downgrade() -> None:
    """Back to the schema before. Entries that state the work at doors stay in the ledger and can no longer be read: for
    trying out, not for a ledger that is kept."""
    connection = op.get_bind()
    for index in ("ix_movement_swap", "ix_unit_state_scrap"):
        connection.exec_driver_sql(f"DROP INDEX {index}")
    for table, column in COLUMNS:
        connection.exec_driver_sql(f"ALTER TABLE {table} DROP COLUMN {column}")
    for table in reversed(TABLES):
        connection.exec_driver_sql(f"DROP TABLE {table}")
    for statement in _frozen("0001_first"):
        if any(
            re.match(rf"(CREATE TABLE|COMMENT ON TABLE|COMMENT ON COLUMN) {table}\b", statement) for table in UNUSED
        ):
            connection.exec_driver_sql(statement)


def _frozen(name: str) -> list[str]:
    text = (FROZEN / f"{name}.tables.{op.get_bind().dialect.name}.sql").read_text(encoding="utf-8")
    return text.split("\n-- then\n")
