"""The view `agreement`: what each line of a certificate says beside the unit it is filed against.

Nothing but the view is added. Its text is frozen beside the revisions, one file a database.

Revision: 0010
"""

from __future__ import annotations

from pathlib import Path

from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

FROZEN = Path(__file__).parent.parent / "frozen"


def upgrade() -> None:
    connection = op.get_bind()
    name = f"0010_agreement.views.{connection.dialect.name}.sql"
    connection.exec_driver_sql((FROZEN / name).read_text(encoding="utf-8"))


def downgrade() -> None:
    """The view away; it holds nothing."""
    op.get_bind().exec_driver_sql("DROP VIEW agreement")
