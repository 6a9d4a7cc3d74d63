"""What somebody read on the data plates of units, and what a plate reads where that is not what is recorded.

A table and an empty column are added: no row and no entry changes.

Revision: 0004
"""

from __future__ import annotations

from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

WHOLE = {"sqlite": "INTEGER", "postgresql": "BIGINT"}
WORDS = {"sqlite": "TEXT", "postgresql": 'TEXT COLLATE "C"'}
STRICT = {"sqlite": " STRICT", "postgresql": ""}
COMMENTS = (
    "COMMENT ON TABLE plate_reading IS 'What somebody read on the data plates of units.'",
    "COMMENT ON COLUMN plate_reading.read_on IS 'ordinal day'",
    "COMMENT ON COLUMN plate_reading.part_number IS 'as on the plate'",
    "COMMENT ON COLUMN plate_reading.serial_number IS 'as on the plate'",
    "COMMENT ON COLUMN unit_state.plate IS 'what its data plate reads, where that is not what is recorded'",
)


def upgrade() -> None:
    connection = op.get_bind()
    dialect = connection.dialect.name
    whole, words = WHOLE[dialect], WORDS[dialect]
    connection.exec_driver_sql(
        "CREATE TABLE plate_reading ("
        f"unit {whole} NOT NULL, read_on {whole} NOT NULL, sequence {whole} NOT NULL, "
        f"part_number {words} NOT NULL, serial_number {words} NOT NULL, seen_by {words} NOT NULL, reference {words}, "
        f"entry_number {whole} NOT NULL, entry_item {whole} NOT NULL, "
        "CONSTRAINT pk_plate_reading PRIMARY KEY (unit, read_on, sequence), "
        "CONSTRAINT ck_plate_reading_sequence CHECK (sequence between 0 and 9999), "
        "CONSTRAINT fk_plate_reading_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED"
        f"){STRICT[dialect]}"
    )
    connection.exec_driver_sql(f"ALTER TABLE unit_state ADD COLUMN plate {words}")
    connection.exec_driver_sql("CREATE INDEX ix_unit_state_plate ON unit_state (unit_id) WHERE plate is not null")
    if dialect == "postgresql":
        for comment in COMMENTS:
            connection.exec_driver_sql(comment)


def downgrade() -> None:
    """Back to the schema before. Entries that state what a plate reads stay in the ledger and can no longer be read:
    for trying out, not for a ledger that is kept."""
    connection = op.get_bind()
    connection.exec_driver_sql("DROP INDEX ix_unit_state_plate")
    connection.exec_driver_sql("ALTER TABLE unit_state DROP COLUMN plate")
    connection.exec_driver_sql("DROP TABLE plate_reading")
