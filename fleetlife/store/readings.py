"""Readings of airframes: the ones around a day, and what rates are formed of. A fixed number of statements each.

Both planners leave the wanted plan if let: SQLite gets CROSS JOIN order, PostgreSQL LATERAL, and both ask for the
neighbour with ORDER BY and LIMIT 1, which is one step in the index.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import bindparam, or_, select, text
from sqlalchemy.engine import Connection

from fleetlife.model.airframes import movement, reading, reading_history
from fleetlife.store import quick
from fleetlife.store.bulk import batches
from fleetlife.store.facts import LATEST
from fleetlife.store.sets import DIALECTS, among, pair_values, set_value

CHUNK = 5_000
WINDOWS = (30, 90, 365)  # days before the base reading

Wanted = tuple[int, int, str]  # airframe, ordinal day, "before" or "after"
Point = tuple[int, int, int]  # ordinal day, minutes, cycles

_BEFORE = "read_on <= w.d ORDER BY read_on DESC LIMIT 1"
_AFTER = "read_on >= w.d ORDER BY read_on LIMIT 1"
_PAIRS_SQLITE = (
    "WITH w AS MATERIALIZED (SELECT json_extract(value, '$[0]') AS a, json_extract(value, '$[1]') AS d"
    " FROM json_each(:pairs))"
)
_PAIRS_POSTGRESQL = (
    "WITH w AS (SELECT * FROM unnest(CAST(:firsts AS bigint[]), CAST(:seconds AS bigint[])) AS p (a, d))"
)


def _bounds_text(dialect: str, which: str) -> str:
    if dialect == "sqlite":
        return f"""{_PAIRS_SQLITE}
            SELECT w.a, w.d, r.read_on, r.minutes, r.cycles FROM w CROSS JOIN reading AS r
            WHERE r.airframe = w.a AND r.read_on = (SELECT read_on FROM reading WHERE airframe = w.a AND {which})"""
    return f"""{_PAIRS_POSTGRESQL}
        SELECT w.a, w.d, r.read_on, r.minutes, r.cycles FROM w
        CROSS JOIN LATERAL (SELECT read_on, minutes, cycles FROM reading WHERE airframe = w.a AND {which}) AS r"""


BOUNDS = {
    (dialect, name): text(_bounds_text(dialect, which))
    for dialect in DIALECTS
    for name, which in (("before", _BEFORE), ("after", _AFTER))
}


def bounds(connection: Connection, wanted: Iterable[Wanted]) -> dict[Wanted, Point]:
    """For (airframe, day, "before") the last reading at or before the day, for "after" the first at or after it.

    Where there is none, the key is left out. One statement for each of the two and each 5,000 asked.
    """
    found: dict[Wanted, Point] = {}
    asked: dict[str, dict[tuple[int, int], None]] = {"before": {}, "after": {}}
    for airframe, day, which in wanted:
        asked[which][airframe, day] = None
    for which, pairs in asked.items():
        statement = BOUNDS[connection.dialect.name, which]
        for chunk in batches(pairs, CHUNK):
            for airframe, day, read_on, minutes, cycles in quick.rows(
                connection, statement, pair_values(connection, chunk)
            ):
                found[airframe, day, which] = (read_on, minutes, cycles)
    return found


class StatedTotals(NamedTuple):
    """What a standing movement states of its airframe's totals."""

    moved_on: int
    sequence: int
    minutes_total: int | None
    cycles_total: int | None
    entry_number: int


_STATED = (
    select(
        movement.c.moved_on,
        movement.c.sequence,
        movement.c.minutes_total,
        movement.c.cycles_total,
        movement.c.entry_number,
    )
    .where(
        movement.c.airframe == bindparam("airframe"),
        or_(movement.c.minutes_total.is_not(None), movement.c.cycles_total.is_not(None)),
    )
    .order_by(movement.c.moved_on, movement.c.sequence)
)


def stated_totals(connection: Connection, airframe: int) -> list[StatedTotals]:
    """The totals that the standing movements of an airframe state, in order of time."""
    return [StatedTotals(*row) for row in connection.execute(_STATED, {"airframe": airframe})]


_BASE_DAYS = text(
    "SELECT a.airframe, (SELECT max(r.read_on) FROM reading AS r"
    " WHERE r.airframe = a.airframe AND r.read_on <= CAST(:as_of AS bigint)) FROM airframe AS a ORDER BY a.airframe"
)


def base_days(connection: Connection, *, as_of: int) -> list[tuple[int, int | None]]:
    """Each airframe with the ordinal day of its last reading at or before `as_of`, None without one. One statement."""
    return quick.rows(connection, _BASE_DAYS, {"as_of": as_of})


_READ_LATER = text(
    "SELECT 1 FROM airframe AS a WHERE (SELECT max(r.read_on) FROM reading AS r WHERE r.airframe = a.airframe)"
    " > CAST(:day AS bigint) LIMIT 1"
)


def read_later(connection: Connection, day: int) -> bool:
    """Whether any airframe has a reading of a later day."""
    return bool(quick.rows(connection, _READ_LATER, {"day": day}))


class Trailing(NamedTuple):
    """The base reading at or before a day; for each window that the records reach back to, the last reading at or
    before base day minus window, the window in front; the first reading there is."""

    base: Point | None
    earlier: tuple[tuple[int, int, int, int], ...]
    oldest: Point | None


def _trailing_text(dialect: str, *, some: bool) -> str:
    chosen = ""
    if some:
        given = (
            "(SELECT value FROM json_each(:airframes))" if dialect == "sqlite" else "ANY(CAST(:airframes AS bigint[]))"
        )
        chosen = f"WHERE a.airframe {'IN' if dialect == 'sqlite' else '='} {given}"
    joins = []
    steps = [("b", "read_on <= CAST(:as_of AS bigint) ORDER BY read_on DESC")]
    steps += [(f"w{window}", f"read_on <= b.read_on - {window} ORDER BY read_on DESC") for window in WINDOWS]
    steps += [("o", "read_on <= b.read_on ORDER BY read_on")]
    for name, which in steps:
        if dialect == "sqlite":
            joins.append(
                f"LEFT JOIN reading AS {name} ON {name}.airframe = a.airframe AND {name}.read_on ="
                f" (SELECT read_on FROM reading WHERE airframe = a.airframe AND {which} LIMIT 1)"
            )
        else:
            joins.append(
                f"LEFT JOIN LATERAL (SELECT read_on, minutes, cycles FROM reading"
                f" WHERE airframe = a.airframe AND {which} LIMIT 1) AS {name} ON true"
            )
    columns = ", ".join(f"{n}.read_on, {n}.minutes, {n}.cycles" for n, _ in steps)
    return f"SELECT a.airframe, {columns} FROM airframe AS a {' '.join(joins)} {chosen}"


TRAILING = {(dialect, some): text(_trailing_text(dialect, some=some)) for dialect in DIALECTS for some in (False, True)}


def base_and_trailing(
    connection: Connection, *, as_of: int, airframe_ids: Collection[int] | None = None
) -> dict[int, Trailing]:
    """For every airframe (or those named) what its outlook on the ordinal day `as_of` is formed of. One statement."""
    parameters: dict[str, Any] = {"as_of": as_of}
    if airframe_ids is not None:
        parameters["airframes"] = set_value(connection, airframe_ids)
    statement = TRAILING[connection.dialect.name, airframe_ids is not None]
    found: dict[int, Trailing] = {}
    for row in quick.rows(connection, statement, parameters):
        values = tuple(row)
        points = [values[i : i + 3] for i in range(1, len(values), 3)]
        base, oldest = points[0], points[-1]
        found[values[0]] = Trailing(
            base=None if base[0] is None else base,
            earlier=tuple(
                (window, *point) for window, point in zip(WINDOWS, points[1:-1], strict=True) if point[0] is not None
            ),
            oldest=None if oldest[0] is None else oldest,
        )
    return found


_OF_AIRFRAME = (
    select(reading.c.read_on, reading.c.minutes, reading.c.cycles)
    .where(reading.c.airframe == bindparam("airframe"), reading.c.entry_number <= bindparam("known"))
    .order_by(reading.c.read_on)
)
_RETIRED_SINCE = select(reading_history.c.read_on, reading_history.c.minutes, reading_history.c.cycles).where(
    reading_history.c.airframe == bindparam("airframe"),
    reading_history.c.entry_number <= bindparam("known"),
    reading_history.c.retired_by > bindparam("known"),
)
_RANGE = {
    dialect: select(reading.c.airframe, reading.c.read_on, reading.c.minutes, reading.c.cycles)
    .where(among(reading.c.airframe, "airframes", dialect))
    .order_by(reading.c.airframe, reading.c.read_on)
    for dialect in DIALECTS
}


def readings_of(connection: Connection, airframe: int, *, known: int = LATEST) -> dict[int, tuple[int, int]]:
    """Minutes and cycles by ordinal day of one airframe, in order of day; with `known`, as of that entry."""
    parameters = {"airframe": airframe, "known": known}
    found = {day: (minutes, cycles) for day, minutes, cycles in connection.execute(_OF_AIRFRAME, parameters)}
    if known != LATEST:
        found.update((row[0], (row[1], row[2])) for row in connection.execute(_RETIRED_SINCE, parameters))
        found = dict(sorted(found.items()))
    return found


def stream_readings(connection: Connection, airframes: Sequence[int]) -> Iterator[tuple[int, int, int, int]]:
    """(airframe, ordinal day, minutes, cycles) of the airframes in order, as a stream."""
    statement = _RANGE[connection.dialect.name]
    parameters = {"airframes": set_value(connection, airframes)}
    for row in connection.execute(statement, parameters, execution_options={"yield_per": 10_000}):
        yield row[0], row[1], row[2], row[3]
