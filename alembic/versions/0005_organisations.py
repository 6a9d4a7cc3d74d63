"""Organisations and their approvals, and the second authority of a release certificate.

Two tables and two empty columns are added: no row and no entry changes.

Revision: 0005
"""

from __future__ import annotations

from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

WHOLE = {"sqlite": "INTEGER", "postgresql": "BIGINT"}
WORDS = {"sqlite": "TEXT", "postgresql": 'TEXT COLLATE "C"'}
STRICT = {"sqlite": " STRICT", "postgresql": ""}
COLUMNS = ("second_authority", "second_approval")
COMMENTS = (
    "COMMENT ON TABLE organisation IS 'Organisations that sign release certificates.'",
    "COMMENT ON COLUMN organisation.organisation IS 'as certificates name it'",
    "COMMENT ON TABLE approval IS 'Approvals of organisations; both days of their validity are included.'",
    "COMMENT ON COLUMN approval.organisation IS 'as in the table organisation'",
    "COMMENT ON COLUMN approval.valid_from IS 'ordinal day'",
    "COMMENT ON COLUMN approval.valid_to IS 'ordinal day'",
    "COMMENT ON COLUMN certificate.second_authority IS 'of a release under two authorities'",
)


def upgrade() -> None:
    connection = op.get_bind()
    dialect = connection.dialect.name
    whole, words = WHOLE[dialect], WORDS[dialect]
    connection.exec_driver_sql(
        "CREATE TABLE organisation ("
        f"organisation {words} NOT NULL, name {words}, country {words}, "
        f"entry_number {whole} NOT NULL, entry_item {whole} NOT NULL, "
        "CONSTRAINT pk_organisation PRIMARY KEY (organisation)"
        f"){STRICT[dialect]}"
    )
    connection.exec_driver_sql(
        "CREATE TABLE approval ("
        f"organisation {words} NOT NULL, approval {words} NOT NULL, authority {words}, scope {words}, "
        f"valid_from {whole}, valid_to {whole}, "
        f"entry_number {whole} NOT NULL, entry_item {whole} NOT NULL, "
        "CONSTRAINT pk_approval PRIMARY KEY (entry_number, entry_item), "
        "CONSTRAINT ck_approval_valid_to CHECK (valid_to >= valid_from)"
        f"){STRICT[dialect]}"
    )
    for name in COLUMNS:
        connection.exec_driver_sql(f"ALTER TABLE certificate ADD COLUMN {name} {words}")
    if dialect == "postgresql":
        for comment in COMMENTS:
            connection.exec_driver_sql(comment)


def downgrade() -> None:
    """Back to the schema before. Entries that state organisations, approvals or a second authority stay in the ledger
    and can no longer be read: for trying out, not for a ledger that is kept."""
    connection = op.get_bind()
    for name in reversed(COLUMNS):
        connection.exec_driver_sql(f"ALTER TABLE certificate DROP COLUMN {name}")
    connection.exec_driver_sql("DROP TABLE approval")
    connection.exec_driver_sql("DROP TABLE organisation")
