"""The figures of a cylinder's volumetric expansion test, kept with the requalification.

Columns alone are added, all of them empty where nothing was stated: no row and no entry changes.

Revision: 0002
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

WHOLE = {"sqlite": "INTEGER", "postgresql": "BIGINT"}
WORDS = {"sqlite": "TEXT", "postgresql": 'TEXT COLLATE "C"'}
# A check stands in the definition of the last column that it speaks of.
COLUMNS = (
    ("expansion_total", WHOLE, (("total", "expansion_total > 0"),)),
    ("expansion_permanent", WHOLE, (("permanent", "expansion_permanent between 0 and expansion_total"),)),
    ("expansion_limit", WHOLE, (("limit", "expansion_limit > 0"),)),
    (
        "expansion_specification",
        WORDS,
        (
            (
                "together",
                "(expansion_total is null) = (expansion_specification is null)"
                " and (expansion_total is null) = (expansion_permanent is null)"
                " and (expansion_limit is null or expansion_total is not null)",
            ),
        ),
    ),
)
COMMENTS = {
    "expansion_total": "thousandths of a cubic centimetre, as the two below",
    "expansion_limit": "the rejection elastic expansion marked on the cylinder",
    "expansion_specification": "of the cylinder tested",
}


def upgrade() -> None:
    connection = op.get_bind()
    dialect = connection.dialect.name
    for name, kind, checks in COLUMNS:
        said = "".join(f" CONSTRAINT ck_accomplishment_expansion_{what} CHECK ({rule})" for what, rule in checks)
        connection.exec_driver_sql(f"ALTER TABLE accomplishment ADD COLUMN {name} {kind[dialect]}{said}")
    connection.exec_driver_sql(
        "CREATE INDEX ix_accomplishment_expansion ON accomplishment (unit) WHERE expansion_total is not null"
    )
    if dialect == "postgresql":
        for name, comment in COMMENTS.items():
            connection.exec_driver_sql(f"COMMENT ON COLUMN accomplishment.{name} IS '{comment}'")


def downgrade() -> None:
    """The figures away, for trying out: the entries that state them stay, and no older program reads those."""
    connection = op.get_bind()
    connection.exec_driver_sql("DROP INDEX ix_accomplishment_expansion")
    for name, *_ in reversed(COLUMNS):
        connection.exec_driver_sql(f"ALTER TABLE accomplishment DROP COLUMN {name}")
