"""What was seen when units came in, what was decided of holds, and what follows of it in the state of a unit.

Two tables and two empty columns are added: no row and no entry changes.

Revision: 0006
"""

from __future__ import annotations

from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

WHOLE = {"sqlite": "INTEGER", "postgresql": "BIGINT"}
WORDS = {"sqlite": "TEXT", "postgresql": 'TEXT COLLATE "C"'}
STRICT = {"sqlite": " STRICT", "postgresql": ""}
COLUMNS = ("receipt", "suspected")
COMMENTS = (
    "COMMENT ON TABLE receipt IS 'What an inspector saw when a unit came in.'",
    "COMMENT ON COLUMN receipt.received_on IS 'ordinal day'",
    "COMMENT ON COLUMN receipt.mark IS 'as on the unit'",
    "COMMENT ON COLUMN receipt.cured IS 'as on the unit'",
    "COMMENT ON COLUMN receipt.expires IS 'as on the unit'",
    "COMMENT ON TABLE hold_decision IS 'What a person decided of a hold.'",
    "COMMENT ON COLUMN hold_decision.decided_on IS 'ordinal day'",
    "COMMENT ON COLUMN hold_decision.document IS 'of a kept paper'",
    "COMMENT ON COLUMN unit_state.receipt IS 'what holds it since it was received'",
    "COMMENT ON COLUMN unit_state.suspected IS 'why it is a suspected unapproved part'",
)


def upgrade() -> None:
    connection = op.get_bind()
    dialect = connection.dialect.name
    whole, words = WHOLE[dialect], WORDS[dialect]
    connection.exec_driver_sql(
        "CREATE TABLE receipt ("
        f"unit {whole} NOT NULL, received_on {whole} NOT NULL, sequence {whole} NOT NULL, "
        f"inspector {words} NOT NULL, result {words} NOT NULL, certificate {words}, certificate_organisation {words}, "
        f'"order" {words}, delivery_note {words}, mark {words}, cured {words}, expires {words}, '
        f"looked {whole} NOT NULL, damage {words}, reference {words}, "
        f"entry_number {whole} NOT NULL, entry_item {whole} NOT NULL, "
        "CONSTRAINT pk_receipt PRIMARY KEY (unit, received_on, sequence), "
        "CONSTRAINT ck_receipt_result CHECK (result in ('accepted', 'quarantined')), "
        "CONSTRAINT ck_receipt_looked CHECK (looked in (0, 1)), "
        "CONSTRAINT ck_receipt_sequence CHECK (sequence between 0 and 9999), "
        "CONSTRAINT fk_receipt_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED"
        f"){STRICT[dialect]}"
    )
    connection.exec_driver_sql(
        "CREATE TABLE hold_decision ("
        f"unit {whole} NOT NULL, decided_on {whole} NOT NULL, sequence {whole} NOT NULL, "
        f"decision {words} NOT NULL, why {words} NOT NULL, decided_by {words} NOT NULL, "
        f"reference {words}, document {words}, "
        f"entry_number {whole} NOT NULL, entry_item {whole} NOT NULL, "
        "CONSTRAINT pk_hold_decision PRIMARY KEY (unit, decided_on, sequence), "
        "CONSTRAINT ck_hold_decision_decision CHECK (decision in ('suspected', 'cleared', 'lifted')), "
        "CONSTRAINT ck_hold_decision_sequence CHECK (sequence between 0 and 9999), "
        "CONSTRAINT fk_hold_decision_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED"
        f"){STRICT[dialect]}"
    )
    for name in COLUMNS:
        connection.exec_driver_sql(f"ALTER TABLE unit_state ADD COLUMN {name} {words}")
        connection.exec_driver_sql(
            f"CREATE INDEX ix_unit_state_{name} ON unit_state (unit_id) WHERE {name} is not null"
        )
    if dialect == "postgresql":
        for comment in COMMENTS:
            connection.exec_driver_sql(comment)


def downgrade() -> None:
    """Back to the schema before. Entries that state receipts or decisions of holds stay in the ledger and can no longer
    be read: for trying out, not for a ledger that is kept."""
    connection = op.get_bind()
    for name in reversed(COLUMNS):
        connection.exec_driver_sql(f"DROP INDEX ix_unit_state_{name}")
        connection.exec_driver_sql(f"ALTER TABLE unit_state DROP COLUMN {name}")
    connection.exec_driver_sql("DROP TABLE hold_decision")
    connection.exec_driver_sql("DROP TABLE receipt")
