"""What was found where another unit was recorded, and who the records hold at a position before it."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import bindparam, or_, select
from sqlalchemy.engine import Connection

from fleetlife.dates.moment import day_of, end_of_day, moment_of, sequence_of
from fleetlife.ledger.facts import Movement, Opening
from fleetlife.store import quick
from fleetlife.store.sets import DIALECTS, among, set_value
from fleetlife.store.typed import TYPED, day_of_text

_movement, _unit = TYPED[Movement.KIND], TYPED[Opening.KIND]
_columns = [*(_movement.table.c[name] for name in _movement.fields), _movement.table.c.entry_number]
_m, _u = _movement.table.c, _unit.table.c

_FINDS = {
    dialect: select(*_columns)
    .where(among(_m.airframe, "airframes", dialect), _m.moved_on >= bindparam("day"), _m.found == 1)
    .order_by(_m.moved_on, _m.sequence, _m.airframe, _m.position)
    for dialect in DIALECTS
}
_BEFORE = or_(_m.moved_on < bindparam("day"), (_m.moved_on == bindparam("day")) & (_m.sequence < bindparam("sequence")))
_LAST_AT = (
    select(_m.installed, _m.moved_on, _m.sequence)
    .where(_m.airframe == bindparam("airframe"), _m.position == bindparam("position"), _BEFORE)
    .order_by(_m.moved_on.desc(), _m.sequence.desc())
    .limit(1)
)
_OPENED_AT = select(_u.unit, _u.as_of, _u.placed_on).where(
    _u.airframe == bindparam("airframe"), _u.position == bindparam("position")
)
_FOUND_ELSEWHERE = select(_m.moved_on, _m.sequence).where(
    or_(_m.removed == bindparam("unit"), _m.installed == bindparam("unit")), _m.found == 1, _BEFORE
)


def finds_since(connection: Connection, airframes: Iterable[int], day: int) -> list[tuple[int, Movement]]:
    """(entry number, movement) of the standing finds on the airframes on the day and after it, in order of time."""
    wanted = {"airframes": set_value(connection, sorted(set(airframes))), "day": day}
    rows = quick.rows(connection, _FINDS[connection.dialect.name], wanted)
    return [(row[-1], fact) for row in rows if isinstance(fact := _movement.fact_of(row[:-1]), Movement)]


def held_before(connection: Connection, find: Movement) -> int | None:
    """The unit that the standing facts hold at the position of the find until then; None for nobody."""
    day, sequence = day_of_text(find.moved_on), find.sequence
    at = {"airframe": find.airframe, "position": find.position}
    moment = moment_of(day, sequence)
    held: list[tuple[int, int | None]] = [
        (moment_of(row[1], row[2]), row[0])
        for row in quick.rows(connection, _LAST_AT, at | {"day": day, "sequence": sequence})
    ]
    for unit, as_of, placed_on in quick.rows(connection, _OPENED_AT, at):
        opened = end_of_day(as_of) if placed_on is None else min(moment_of(placed_on), end_of_day(as_of))
        if opened < moment:
            held.append((opened, unit))
    if not held:
        return None
    since, unit = max(held, key=lambda each: each[0])
    if unit is None:
        return None
    left = quick.rows(
        connection, _FOUND_ELSEWHERE, {"unit": unit, "day": day_of(moment), "sequence": sequence_of(moment)}
    )
    return None if any(moment_of(*row) > since for row in left) else unit
