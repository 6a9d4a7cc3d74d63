"""The units there are: by their opening statements, and by their derived rows."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.engine import Connection

from fleetlife.model import metadata

_UNITS = select(metadata.tables["unit"].c.unit).order_by(metadata.tables["unit"].c.unit)
_DERIVED = (
    select(metadata.tables["unit_state"].c.unit_id)
    .union(
        select(metadata.tables["placement"].c.unit_id),
        select(metadata.tables["carriage"].c.unit_id),
        select(metadata.tables["due_point"].c.unit_id),
    )
    .order_by("unit_id")
)


def unit_ids(connection: Connection) -> list[int]:
    """Every unit that an opening statement introduces, in order."""
    return list(connection.execute(_UNITS).scalars())


def derived_unit_ids(connection: Connection) -> list[int]:
    """Every unit of which a derived row speaks, in order."""
    return list(connection.execute(_DERIVED).scalars())
