"""The first schema: every table, guard and view.

The texts are frozen beside the revisions, one file a database, and never changed after a release: what a
database of this revision holds does not follow later changes of the model.

Revision: 0001
"""

from __future__ import annotations

from pathlib import Path

from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

FROZEN = Path(__file__).parent.parent / "frozen"
PARTS = ("tables", "guards", "views")
VIEWS = ("due", "installed", "readings_latest")
FUNCTIONS = (
    "guard_entry_chain",
    "guard_ledger_head_forward",
    "guard_movement_never_falls",
    "guard_reading_never_falls",
    "guard_refuses",
)
# Those that name another come before it.
TABLES = (
    "accomplishment",
    "airframe_modification",
    "airframe_type",
    "alternate",
    "band",
    "carriage",
    "certificate",
    "certificate_line",
    "deferral",
    "due_point",
    "eligibility",
    "entry_touch",
    "entry_touch_airframe",
    "fact",
    "intermix",
    "ledger_head",
    "movement",
    "operation",
    "part",
    "placement",
    "position",
    "pressure",
    "reading",
    "reading_history",
    "registration",
    "request",
    "requirement",
    "safety_device",
    "slot",
    "transfer",
    "unit_modification",
    "unit_state",
    "utilisation",
    "variation",
    "waiver",
    "entry",
    "unit",
    "airframe",
)


def upgrade() -> None:
    connection = op.get_bind()
    for part in PARTS:
        text = (FROZEN / f"0001_first.{part}.{connection.dialect.name}.sql").read_text(encoding="utf-8")
        for statement in text.split("\n-- then\n"):
            connection.exec_driver_sql(statement)


def downgrade() -> None:
    """Everything away, entries included: for trying out, not for a ledger that is kept."""
    connection = op.get_bind()
    for view in VIEWS:
        connection.exec_driver_sql(f"DROP VIEW {view}")
    if connection.dialect.name == "sqlite":
        # Dropping a table deletes its rows first, which the ledger's guards refuse.
        guards = connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'").scalars().all()
        for guard in guards:
            connection.exec_driver_sql(f"DROP TRIGGER {guard}")
    for table in TABLES:
        connection.exec_driver_sql(f"DROP TABLE {table}")
    if connection.dialect.name == "postgresql":
        for function in FUNCTIONS:
            connection.exec_driver_sql(f"DROP FUNCTION {function}()")
