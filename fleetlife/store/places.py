"""Stays by unit and by place."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.engine import Connection

from fleetlife.follows.rows import PlacementRow, place_key
from fleetlife.model.derived import placement
from fleetlife.store import quick
from fleetlife.store.bulk import batches
from fleetlife.store.rows import KEPT, maker_of, read_rows
from fleetlife.store.sets import DIALECTS, among, set_value

CHUNK = 2_000

_AT_PLACES = {
    dialect: select(*(placement.c[name] for name in KEPT["placement"].names))
    .where(placement.c.place_key.is_not(None), among(placement.c.place_key, "places", dialect))
    .order_by(placement.c.place_key, placement.c.from_moment)
    for dialect in DIALECTS
}


def placements_of(connection: Connection, unit_ids: Iterable[int]) -> list[PlacementRow]:
    """The stays of the units, by unit and moment."""
    return read_rows(connection, PlacementRow, unit_ids=unit_ids)


def placements_at_places(connection: Connection, keys: Iterable[int]) -> list[PlacementRow]:
    """The stays at the places (keys as `follows.rows.place_key` gives them), by place and moment."""
    make, statement = maker_of(PlacementRow), _AT_PLACES[connection.dialect.name]
    found: list[PlacementRow] = []
    for chunk in batches(sorted(set(keys)), CHUNK):
        found.extend(make(row) for row in quick.rows(connection, statement, {"places": set_value(connection, chunk)}))
    return found


def placements_at_positions(connection: Connection, positions: Iterable[tuple[int, str]]) -> list[PlacementRow]:
    """The stays at the positions, each (airframe, position), by place and moment."""
    return placements_at_places(connection, (place_key(airframe, name, slot=False) for airframe, name in positions))


def placements_in_slots(connection: Connection, slots: Iterable[tuple[int, str]]) -> list[PlacementRow]:
    """The stays in the slots, each (parent unit, slot), by place and moment."""
    return placements_at_places(connection, (place_key(parent, name, slot=True) for parent, name in slots))
