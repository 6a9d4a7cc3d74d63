"""Directives and bulletins: whom they name, what they ask for by when, and modifications that units were found without.

Four tables are added: no row and no entry changes.

Revision: 0007
"""

from __future__ import annotations

from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

WHOLE = {"sqlite": "INTEGER", "postgresql": "BIGINT"}
WORDS = {"sqlite": "TEXT", "postgresql": 'TEXT COLLATE "C"'}
STRICT = {"sqlite": " STRICT", "postgresql": ""}
KINDS = "'directive', 'emergency_directive', 'alert', 'bulletin', 'letter'"
LIMITS = (
    *("months_after", "days_after", "minutes_after", "cycles_after"),
    *("months_since_new", "minutes_since_new", "cycles_since_new"),
)
REPEATS = ("repeat_months", "repeat_days", "repeat_minutes", "repeat_cycles")
COMMENTS = (
    "COMMENT ON TABLE publication IS 'Revisions of directives, alerts and bulletins.'",
    "COMMENT ON COLUMN publication.publication IS 'its reference'",
    "COMMENT ON COLUMN publication.effective_on IS 'ordinal day'",
    "COMMENT ON COLUMN publication.cancelled_on IS 'ordinal day'",
    "COMMENT ON TABLE applicability IS 'Units that a publication names or leaves out.'",
    "COMMENT ON COLUMN applicability.part_number IS 'may hold * and ?'",
    "COMMENT ON COLUMN applicability.made_from IS 'partial date'",
    "COMMENT ON COLUMN applicability.made_to IS 'partial date'",
    "COMMENT ON TABLE compliance IS 'What publications ask for, and by when.'",
    "COMMENT ON COLUMN compliance.comply_by IS 'ordinal day'",
    "COMMENT ON TABLE not_embodied IS 'Modifications that units were found without.'",
    "COMMENT ON COLUMN not_embodied.read_on IS 'ordinal day'",
)


def upgrade() -> None:
    connection = op.get_bind()
    dialect = connection.dialect.name
    whole, words, strict = WHOLE[dialect], WORDS[dialect], STRICT[dialect]
    provenance = f"entry_number {whole} NOT NULL, entry_item {whole} NOT NULL, "
    connection.exec_driver_sql(
        "CREATE TABLE publication ("
        f"publication {words} NOT NULL, revision {words}, kind {words} NOT NULL, issuer {words}, title {words}, "
        f"effective_on {whole} NOT NULL, supersedes {words}, cancelled_on {whole}, {provenance}"
        "CONSTRAINT pk_publication PRIMARY KEY (entry_number, entry_item), "
        "CONSTRAINT ck_publication_cancelled_on CHECK (cancelled_on >= effective_on), "
        f"CONSTRAINT ck_publication_kind CHECK (kind in ({KINDS}))"
        f"){strict}"
    )
    connection.exec_driver_sql(
        "CREATE TABLE applicability ("
        f"publication {words} NOT NULL, revision {words}, part_number {words} NOT NULL, manufacturer {words}, "
        f"serial_from {words}, serial_to {words}, excepted {words}, made_from {words}, made_to {words}, "
        f"unit_group {words}, excluded {whole} NOT NULL, {provenance}"
        "CONSTRAINT pk_applicability PRIMARY KEY (entry_number, entry_item), "
        "CONSTRAINT ck_applicability_excluded CHECK (excluded in (0, 1))"
        f"){strict}"
    )
    figures = "".join(f"{name} {whole}, " for name in LIMITS)
    repeats = "".join(f"{name} {whole}, " for name in REPEATS)
    least = "".join(f"CONSTRAINT ck_compliance_{name} CHECK ({name} >= 0), " for name in LIMITS)
    least += "".join(f"CONSTRAINT ck_compliance_{name} CHECK ({name} > 0), " for name in REPEATS)
    connection.exec_driver_sql(
        "CREATE TABLE compliance ("
        f"publication {words} NOT NULL, revision {words}, action {words} NOT NULL, unit_group {words}, "
        f"comply_by {whole}, {figures}whichever {words}, {repeats}"
        f"closed_by_modification {words}, closed_by_work {words}, {provenance}"
        f"CONSTRAINT pk_compliance PRIMARY KEY (entry_number, entry_item), {least}"
        f"CONSTRAINT ck_compliance_limit CHECK (coalesce(comply_by, {', '.join(LIMITS)}) is not null), "
        "CONSTRAINT ck_compliance_whichever CHECK (whichever in ('first', 'last'))"
        f"){strict}"
    )
    connection.exec_driver_sql(
        "CREATE TABLE not_embodied ("
        f"unit {whole} NOT NULL, modification {words} NOT NULL, read_on {whole} NOT NULL, reference {words}, "
        f"{provenance}"
        "CONSTRAINT pk_not_embodied PRIMARY KEY (unit, modification, read_on), "
        "CONSTRAINT fk_not_embodied_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED"
        f"){strict}"
    )
    if dialect == "postgresql":
        for comment in COMMENTS:
            connection.exec_driver_sql(comment)


def downgrade() -> None:
    """Back to the schema before. Entries that state publications stay in the ledger and can no longer be read: for
    trying out, not for a ledger that is kept."""
    connection = op.get_bind()
    for name in ("not_embodied", "compliance", "applicability", "publication"):
        connection.exec_driver_sql(f"DROP TABLE {name}")
