"""The due list's narrowing: every row that can fall due by a day, and no scan of what cannot.

A superset comes back; the pure rule computes the day and decides. The arms: airframe totals in minutes and in cycles up
to a limit for each airframe, totals of counters up to one for each airframe and counter, the calendar, nothing left,
unknown, no programme, and everything on airframes without a reading to reckon from. There is no lower bound, so what is
overdue comes by itself.

Both planners leave the plan if let. SQLite is held by CROSS JOIN and INDEXED BY, PostgreSQL by LATERAL with ORDER BY
and LIMIT; the limit is far above any number of rows.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import TextClause, text
from sqlalchemy.engine import Connection

from fleetlife.follows.rows import DuePointRow, UnitStateRow
from fleetlife.model.derived import (
    CALENDAR,
    COUNTER,
    CYCLES,
    ENDING,
    MINUTES,
    NO_PROGRAMME,
    NOTHING_LEFT,
    OPEN_ENDED,
    UNKNOWN,
)
from fleetlife.store import quick
from fleetlife.store.rows import KEPT, maker_of
from fleetlife.store.sets import DIALECTS, set_value
from fleetlife.terms.filling import quick_maker

Limit = tuple[int | None, int | None]  # the highest thresholds in minutes and cycles; (None, None): no reading

STREAM = 5_000
FEW = 40  # airframes up to which their units are gone through one by one
_NO_LIMIT = 2_000_000_000
ANY_TOTAL = 4_611_686_018_427_387_904  # above every total: where a counter has no reading every row is a candidate

_POINT, _STATE = KEPT["due_point"].names, KEPT["unit_state"].names
_MORE = (
    "r.requirement, r.kind, r.source, r.reference, r.programme, r.edition, r.at_due",
    "a.registration, a.constructor_serial, a.type, a.operator, a.station",
    "p.part_number, p.serial_number, p.manufacturer, p.kind, p.place_name, p.bin",
    "t.part_number, t.serial_number, t.position",
)
_COLUMNS = ", ".join((*(f"d.{n}" for n in _POINT), *(f"u.{n}" for n in _STATE), *_MORE))


@dataclass(frozen=True, slots=True, kw_only=True)
class DueCandidate:
    """A due point that may be asked for, with what the due list says of its unit, requirement and airframe.

    The requirement's fields are None with no programme. The airframe's are those of the airframe that carries the unit
    now; `registration` is the one its introducing fact states. parent_*: the unit it is in; root_*: the unit on the
    position, itself or the one that carries it.
    """

    point: DuePointRow
    unit: UnitStateRow
    requirement: str | None
    requirement_kind: str | None
    source: str | None
    reference: str | None
    programme: str | None
    edition: str | None
    at_due: str | None
    registration: str | None
    constructor_serial: str | None
    airframe_type: str | None
    operator: str | None
    station: str | None
    parent_part_number: str | None
    parent_serial_number: str | None
    parent_manufacturer: str | None
    parent_kind: str | None
    parent_place_name: str | None
    parent_bin: str | None
    root_part_number: str | None
    root_serial_number: str | None
    root_position: str | None


# --- the statements -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Arm:
    """One way to be a candidate: the index it goes by, its condition, and the order of that index."""

    index: str
    condition: str
    order: str
    by_airframe: bool = False
    only_unknown: bool = False

    ends: bool = False
    by_counter: bool = False

    def where(self, limits: Mapping[str, str], *, unknown: bool, counters: bool) -> str:
        """The condition, with the names of the limits filled in, on editions in force."""
        more = (_ENDING_COUNTER if counters else "") + (_ENDING_UNKNOWN if unknown else "")
        condition = self.condition.format(**limits, more=more)
        return f"{condition} AND {_BEGUN} AND {_NOT_ENDED if self.ends else OPEN_ENDED}"


# The conditions repeat those of the partial indexes word for word: a planner uses them on no other terms.
_ARMS = (
    _Arm(
        "ix_due_point_minutes",
        f"{MINUTES} AND airframe_id = {{a}} AND due_minutes <= {{m}}",
        "due_minutes",
        by_airframe=True,
    ),
    _Arm(
        "ix_due_point_cycles",
        f"{CYCLES} AND airframe_id = {{a}} AND due_cycles <= {{c}}",
        "due_cycles",
        by_airframe=True,
    ),
    _Arm("ix_due_point_airframe", "airframe_id = {a} AND {m} IS NULL", "airframe_id", by_airframe=True),
    _Arm("ix_due_point_calendar", f"{CALENDAR} AND calendar_due <= CAST(:until_day AS bigint)", "calendar_due"),
    _Arm("ix_due_point_nothing_left", NOTHING_LEFT, "unit_id"),
    _Arm("ix_due_point_unknown", UNKNOWN, "unit_id", only_unknown=True),
    _Arm("ix_due_point_no_programme", NO_PROGRAMME, "unit_id", only_unknown=True),
)
# Only where a requirement names a counter are its limits there: without one nothing more is asked.
_COUNTER_ARMS = (
    _Arm(
        "ix_due_point_counter",
        f"{COUNTER} AND airframe_id = {{a}} AND counter = {{k}} AND due_counter <= {{n}} AND standing = 'known'",
        "due_counter",
        by_counter=True,
    ),
)
_BEGUN = "in_force_from <= CAST(:as_of AS bigint)"
_NOT_ENDED = "in_force_until > CAST(:as_of AS bigint)"
_IN_FORCE = f"d.{_BEGUN} AND d.{_NOT_ENDED}"
# Of editions that end: what the arms ask, in one condition over those still in force, with and without an airframe.
_ENDING = (
    _Arm(
        "ix_due_point_ending",
        f"{ENDING} AND airframe_id = {{a}} AND (standing = 'known' AND (calendar_due <= CAST(:until_day AS bigint)"
        f" OR due_minutes <= {{m}} OR due_cycles <= {{c}} OR {{m}} IS NULL) OR {NOTHING_LEFT}{{more}})",
        "in_force_until",
        by_airframe=True,
        ends=True,
    ),
    _Arm(
        "ix_due_point_ending",
        f"{ENDING} AND airframe_id IS NULL AND (standing = 'known' AND calendar_due <= CAST(:until_day AS bigint)"
        f" OR {NOTHING_LEFT}{{more}})",
        "in_force_until",
        ends=True,
    ),
)
_ENDING_COUNTER = " OR due_counter IS NOT NULL"
_ENDING_UNKNOWN = f" OR {UNKNOWN} OR {NO_PROGRAMME}"
_LOOKUPS = (
    ("u", "unit_state", "unit_id", "d.unit_id"),
    ("r", "requirement", "requirement_key", "d.requirement_key"),
    ("a", "airframe", "airframe", "u.carried_airframe_id"),
    ("p", "unit_state", "unit_id", "u.parent_id"),
    ("t", "unit_state", "unit_id", "u.root_id"),
)


def _joins(*, lateral: bool = False, first: bool = True) -> str:
    """What belongs to a due point, one row each at most. Lateral: PostgreSQL looks each up, whatever it expects."""
    joins = []
    for name, table, key, value in _LOOKUPS if first else _LOOKUPS[1:]:
        kind = "CROSS" if name == "u" else "LEFT"
        if lateral:
            found = f"LATERAL (SELECT * FROM {table} WHERE {key} = {value} LIMIT 1) AS {name}"
            joins.append(f"{kind} JOIN {found}" + ("" if kind == "CROSS" else " ON true"))
        else:
            joins.append(f"{'JOIN' if kind == 'CROSS' else 'LEFT JOIN'} {table} AS {name} ON {name}.{key} = {value}")
    return " ".join(joins)


def _arms(*, unknown: bool, counters: bool) -> Iterator[_Arm]:
    for arm in (*_ARMS, *(_COUNTER_ARMS if counters else ()), *_ENDING):
        if unknown or not arm.only_unknown:
            yield arm


def _window_sqlite(*, unknown: bool, counters: bool) -> str:
    """The keys by the arms, each key once, then their rows.

    The airframes' limits are unpacked anew in each arm: of a common table expression the planner expects a million
    rows, and scans all due points for a filter against them.
    """
    limits = {"a": "json_extract(l.value, '$[0]')", "m": "json_extract(l.value, '$[1]')"}
    limits["c"] = "json_extract(l.value, '$[2]')"
    limits["k"], limits["n"] = limits["m"], limits["c"]
    keys = "d.unit_id, d.requirement_key, d.in_force_from"
    arms = [
        f"SELECT {keys} FROM {_given_sqlite(arm)}due_point AS d"
        f" INDEXED BY {arm.index} WHERE {arm.where(limits, unknown=unknown, counters=counters)}"
        for arm in _arms(unknown=unknown, counters=counters)
    ]
    return (
        f"WITH keys AS MATERIALIZED ({' UNION '.join(arms)}) SELECT {_COLUMNS} FROM keys AS k"
        " CROSS JOIN due_point AS d NOT INDEXED ON d.unit_id = k.unit_id AND d.requirement_key = k.requirement_key"
        f" AND d.in_force_from = k.in_force_from {_joins()}"
    )


def _given_sqlite(arm: _Arm) -> str:
    """The limits that the arm goes through, unpacked."""
    if arm.by_counter:
        return "json_each(:counters) AS l CROSS JOIN "
    return "json_each(:limits) AS l CROSS JOIN " if arm.by_airframe else ""


def _window_postgresql(*, unknown: bool, counters: bool) -> str:
    """The rows by the arms, then what belongs to each; a row found by two arms comes twice."""
    limits = {"a": "l.a", "m": "l.m", "c": "l.c", "k": 'l.k COLLATE "C"', "n": "l.n"}
    arms = []
    for arm in _arms(unknown=unknown, counters=counters):
        condition = arm.where(limits, unknown=unknown, counters=counters)
        rows = f"SELECT * FROM due_point WHERE {condition} ORDER BY {arm.order} LIMIT {_NO_LIMIT}"
        if arm.by_airframe or arm.by_counter:
            given = "counted" if arm.by_counter else "limits"
            arms.append(f"(SELECT d.* FROM {given} AS l CROSS JOIN LATERAL ({rows}) AS d)")
        else:
            arms.append(f"({rows})")
    counted = (
        ", counted AS MATERIALIZED (SELECT * FROM unnest(CAST(:counter_airframes AS bigint[]),"
        " CAST(:counter_names AS text[]), CAST(:counter_totals AS bigint[])) AS g (a, k, n))"
    )
    return (
        "WITH limits AS MATERIALIZED (SELECT * FROM unnest(CAST(:airframes AS bigint[]), CAST(:minutes AS bigint[]),"
        f" CAST(:cycles AS bigint[])) AS g (a, m, c)){counted if counters else ''} SELECT {_COLUMNS}"
        f" FROM ({' UNION ALL '.join(arms)}) AS d {_joins(lateral=True)}"
    )


def _statements() -> dict[tuple[str, str], TextClause]:
    found: dict[tuple[str, str], TextClause] = {}
    for dialect in DIALECTS:
        window = _window_sqlite if dialect == "sqlite" else _window_postgresql
        given = "IN (SELECT value FROM json_each(:ids))" if dialect == "sqlite" else "= ANY(CAST(:ids AS bigint[]))"
        for counters, name in ((False, ""), (True, " with counters")):
            found[dialect, f"window{name}"] = text(window(unknown=True, counters=counters))
            found[dialect, f"window of known{name}"] = text(window(unknown=False, counters=counters))
        found[dialect, "everything"] = text(
            f"SELECT {_COLUMNS} FROM due_point AS d {_joins()} WHERE {_IN_FORCE}"
            " ORDER BY d.unit_id, d.requirement_key, d.in_force_from"
        )
        found[dialect, "units"] = text(
            f"SELECT {_COLUMNS} FROM due_point AS d {_joins()} WHERE d.unit_id {given} AND {_IN_FORCE}"
        )
        found[dialect, "airframes"] = text(
            f"SELECT {_COLUMNS} FROM unit_state AS u"
            f" {'CROSS JOIN' if dialect == 'sqlite' else 'JOIN'} due_point AS d ON d.unit_id = u.unit_id"
            f" {_joins(first=False)} WHERE u.carried_airframe_id {given} AND {_IN_FORCE}"
        )
    return found


STATEMENTS = _statements()


# --- asking -------------------------------------------------------------------------------------------------------


def window_parameters(
    connection: Connection,
    *,
    as_of: int,
    until_day: int,
    limits: Mapping[int, Limit],
    counters: Mapping[tuple[int, str], int | None] | None = None,
) -> dict[str, Any]:
    """The parameters of the window statements; with `counters` of those with counters."""
    if connection.dialect.name == "sqlite":
        given: dict[str, Any] = {"limits": json.dumps([(a, m, c) for a, (m, c) in limits.items()])}
    else:
        given = {
            "airframes": list(limits),
            "minutes": [minutes for minutes, _ in limits.values()],
            "cycles": [cycles for _, cycles in limits.values()],
        }
    if counters:
        totals = [(a, k, ANY_TOTAL if n is None else n) for (a, k), n in counters.items()]
        if connection.dialect.name == "sqlite":
            given["counters"] = json.dumps(totals)
        else:
            given["counter_airframes"] = [airframe for airframe, _, _ in totals]
            given["counter_names"] = [name for _, name, _ in totals]
            given["counter_totals"] = [total for _, _, total in totals]
    return {"as_of": as_of, "until_day": until_day, **given}


def due_candidates(
    connection: Connection,
    *,
    as_of: int,
    until_day: int | None = None,
    limits: Mapping[int, Limit] | None = None,
    everything: bool = False,
    unknown: bool = True,
    airframe_ids: Collection[int] | None = None,
    unit_ids: Collection[int] | None = None,
    counters: Mapping[tuple[int, str], int | None] | None = None,
) -> list[DueCandidate]:
    """Every due point in force on `as_of` that can fall due by `until_day`, and more; one statement.

    `limits` names for every airframe the highest thresholds in minutes and cycles that can fall due by then, or
    (None, None) where no reading says; `counters` the same of every counter that a requirement names, by airframe and
    counter, None without a reading of it. `unknown` False leaves out what is unknown or has no programme. With
    `everything`, with `unit_ids`, and with a few `airframe_ids` (those that carry the units) all their due points come.
    In the order of unit, requirement key and edition.
    """
    rows = list(
        stream_due_candidates(
            connection,
            as_of=as_of,
            until_day=until_day,
            limits=limits,
            everything=everything,
            unknown=unknown,
            airframe_ids=airframe_ids,
            unit_ids=unit_ids,
            counters=counters,
        )
    )
    rows.sort(key=lambda row: (row.point.unit_id, row.point.requirement_key, row.point.in_force_from))
    return rows


def stream_due_candidates(
    connection: Connection,
    *,
    as_of: int,
    until_day: int | None = None,
    limits: Mapping[int, Limit] | None = None,
    everything: bool = False,
    unknown: bool = True,
    airframe_ids: Collection[int] | None = None,
    unit_ids: Collection[int] | None = None,
    counters: Mapping[tuple[int, str], int | None] | None = None,
) -> Iterator[DueCandidate]:
    """The same as a stream, in no order but with `everything`; for lists that are as long as the fleet."""
    parameters: dict[str, Any] = {"as_of": as_of}
    if unit_ids is not None:
        which = "units"
        parameters["ids"] = set_value(connection, unit_ids)
    elif airframe_ids is not None and len(airframe_ids) <= FEW:
        which = "airframes"
        parameters["ids"] = set_value(connection, airframe_ids)
    elif everything:
        which = "everything"
    else:
        assert until_day is not None, "a window needs its last day"
        which = f"window{'' if unknown else ' of known'}{' with counters' if counters else ''}"
        given = limits or {}
        if airframe_ids is not None:
            given = {airframe: given[airframe] for airframe in airframe_ids if airframe in given}
        parameters = window_parameters(connection, as_of=as_of, until_day=until_day, limits=given, counters=counters)
    carried_by = None if airframe_ids is None else frozenset(airframe_ids)
    options = {"yield_per": STREAM} if which == "everything" else {}
    result = connection.execute(STATEMENTS[connection.dialect.name, which], parameters, execution_options=options)
    yield from _candidates(result, carried_by)


def _candidates(rows: Iterable[Any], carried_by: frozenset[int] | None) -> Iterator[DueCandidate]:
    point_of, state_of, candidate_of = maker_of(DuePointRow), maker_of(UnitStateRow), quick_maker(DueCandidate)
    cut, end = len(_POINT), len(_POINT) + len(_STATE)
    seen: set[tuple[int, int, int]] = set()
    for row in rows:
        values = tuple(row)
        key = values[:3]
        if key in seen:
            continue
        seen.add(key)
        unit = state_of(values[cut:end])
        if carried_by is None or unit.carried_airframe_id in carried_by:
            yield candidate_of((point_of(values[:cut]), unit, *values[end:]))


# Which counters count on which airframes, by the index over counters; those of editions that end beside it.
_COUNTED_ROWS = (
    f"SELECT unit_id, airframe_id, counter FROM due_point WHERE {COUNTER} AND {OPEN_ENDED} AND {_BEGUN}"
    f" UNION ALL SELECT unit_id, airframe_id, counter FROM due_point WHERE {ENDING} AND {_NOT_ENDED} AND {_BEGUN}"
    f" AND {COUNTER}"
)
COUNTED = {
    "pairs": text(f"SELECT DISTINCT airframe_id, counter FROM ({_COUNTED_ROWS}) AS d"),
    "units": text(_COUNTED_ROWS),
}


def counters_used(connection: Connection, *, as_of: int, but_of: Collection[int] = frozenset()) -> set[tuple[int, str]]:
    """The airframes and the counters in which something is limited on what they carry, the units named left out."""
    if not but_of:
        return {(row[0], row[1]) for row in connection.execute(COUNTED["pairs"], {"as_of": as_of})}
    rows = connection.execute(COUNTED["units"], {"as_of": as_of})
    return {(row[1], row[2]) for row in rows if row[0] not in but_of}


# --- coverage -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """What a due list covers on a day. Units on the scrap heap are not counted.

    `unknown`: how many due points have each JSON list of measures and causes, with whether nothing is known of them.
    """

    units: int
    without_programme: int
    unknown: tuple[tuple[str, bool, int], ...]

    @property
    def with_programme(self) -> int:
        return self.units - self.without_programme


_ENDING_OFF = {
    dialect: text(
        f"SELECT {', '.join(_POINT)} FROM due_point{' INDEXED BY ix_due_point_calendar' if dialect == 'sqlite' else ''}"
        f" WHERE {CALENDAR} AND {OPEN_ENDED} AND calendar_due < CAST(:before AS bigint) AND airframe_id IS NULL"
        " ORDER BY unit_id, requirement_key, in_force_from"
    )
    for dialect in DIALECTS
}


def ending_off_airframes(connection: Connection, *, before: int) -> list[DuePointRow]:
    """The stored due points, in force without an end, of units that no airframe carries whose date lies before a
    day. One statement, by the index over dates."""
    make = maker_of(DuePointRow)
    return [make(row) for row in quick.rows(connection, _ENDING_OFF[connection.dialect.name], {"before": before})]


# All less those on the scrap heap: both counts are of an index, where a condition on the others reads every row. SQLite
# has to be told which, where there is nothing on the heap and so no statistics of it.
UNITS_COUNTED = (
    "SELECT (SELECT count(*) FROM unit_state) - (SELECT count(*) FROM unit_state{scrap} WHERE kind = 'scrap') AS units"
)
BY_SCRAP = {"sqlite": " INDEXED BY ix_unit_state_scrap", "postgresql": ""}
_UNITS = {dialect: text(UNITS_COUNTED.format(scrap=BY_SCRAP[dialect])) for dialect in DIALECTS}


def _in_force_where(condition: str) -> str:
    """Due points in force by two arms, because the open-ended and the ending have different indexes."""
    arms = (f"{condition} AND {OPEN_ENDED}", f"{ENDING} AND {_NOT_ENDED} AND {condition}")
    rows = " UNION ALL ".join(
        f"SELECT unit_id, standing, unknown FROM due_point WHERE {arm} AND {_BEGUN}" for arm in arms
    )
    return f"({rows}) AS d JOIN unit_state AS u ON u.unit_id = d.unit_id AND u.kind <> 'scrap'"


_WITHOUT = text(f"SELECT count(DISTINCT d.unit_id) FROM {_in_force_where(NO_PROGRAMME)}")
_UNKNOWN = text(
    f"SELECT d.unknown, d.standing = 'unknown', count(*) FROM {_in_force_where(UNKNOWN)} GROUP BY 1, 2 ORDER BY 1, 2"
)


def coverage(connection: Connection, *, as_of: int) -> Coverage:
    """What a due list of the whole fleet covers on the ordinal day `as_of`. Three statements."""
    at = {"as_of": as_of}
    return Coverage(
        units=connection.execute(_UNITS[connection.dialect.name]).scalar_one(),
        without_programme=connection.execute(_WITHOUT, at).scalar_one(),
        unknown=tuple((row[0], bool(row[1]), row[2]) for row in connection.execute(_UNKNOWN, at)),
    )


_UNITS_BY = text(
    "SELECT carried_airframe_id, part_number, count(*) FROM unit_state WHERE kind <> 'scrap' GROUP BY 1, 2"
)


def units_by_place(connection: Connection) -> list[tuple[int | None, str, int]]:
    """(airframe that carries them or None, part number, how many) of all units that are not on the scrap heap."""
    return [(row[0], row[1], row[2]) for row in connection.execute(_UNITS_BY)]
