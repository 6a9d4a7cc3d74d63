"""What hangs where and what holds what, from the rows that answer now."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.follows.rows import UnitStateRow
from fleetlife.model.derived import unit_state
from fleetlife.store import quick
from fleetlife.store.rows import KEPT, maker_of
from fleetlife.store.sets import DIALECTS, among, set_value

_COLUMNS = [unit_state.c[name] for name in KEPT["unit_state"].names]
_ON_AIRFRAME = select(*_COLUMNS).where(unit_state.c.airframe_id == bindparam("airframe")).order_by(unit_state.c.unit_id)
_IN_PARENTS = {
    dialect: select(*_COLUMNS)
    .where(unit_state.c.parent_id.is_not(None), among(unit_state.c.parent_id, "parents", dialect))
    .order_by(unit_state.c.unit_id)
    for dialect in DIALECTS
}


def units_on(connection: Connection, airframe: int) -> list[UnitStateRow]:
    """The units at the positions of the airframe, without what they hold."""
    make = maker_of(UnitStateRow)
    return [make(row) for row in quick.rows(connection, _ON_AIRFRAME, {"airframe": airframe})]


def units_in(connection: Connection, parents: Iterable[int]) -> list[UnitStateRow]:
    """The units in the slots of the parents."""
    wanted = sorted(set(parents))
    if not wanted:
        return []
    make, statement = maker_of(UnitStateRow), _IN_PARENTS[connection.dialect.name]
    return [make(row) for row in quick.rows(connection, statement, {"parents": set_value(connection, wanted)})]
