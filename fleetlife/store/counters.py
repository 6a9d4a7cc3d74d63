"""Readings of counters: the ones around a day, and the series of an airframe. A fixed number of statements each.

As `readings` does for flight totals, with the counter as one more key. A standing reading is in a table of its own; one
that no longer stands is found through the fact it was.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import bindparam, literal_column, select, text
from sqlalchemy.engine import Connection

from fleetlife.follows.totals import MemoryTotals, Point, Totals
from fleetlife.ledger.entry import facts_of
from fleetlife.ledger.facts import CounterReading
from fleetlife.model.counters import counter_reading
from fleetlife.model.ledger import entry, fact
from fleetlife.store import quick
from fleetlife.store.bulk import batches
from fleetlife.store.facts import LATEST
from fleetlife.store.readings import WINDOWS, Trailing
from fleetlife.store.sets import DIALECTS
from fleetlife.store.typed import day_of_text

CHUNK = 5_000

Wanted = tuple[int, str, int, str]  # airframe, counter, ordinal day, "before" or "after"
Series = tuple[int, str]  # airframe and counter

_WHICH = {"before": "read_on <= w.d ORDER BY read_on DESC LIMIT 1", "after": "read_on >= w.d ORDER BY read_on LIMIT 1"}
_WANTED = {
    "sqlite": "WITH w AS MATERIALIZED (SELECT json_extract(value, '$[0]') AS a, json_extract(value, '$[1]') AS k,"
    " json_extract(value, '$[2]') AS d FROM json_each(:wanted))",
    "postgresql": "WITH w AS (SELECT * FROM unnest(CAST(:airframes AS bigint[]), CAST(:counters AS text[]),"
    " CAST(:days AS bigint[])) AS p (a, k, d))",
}


def _bounds_text(dialect: str, which: str) -> str:
    of = (
        'airframe = w.a AND counter = w.k COLLATE "C"'
        if dialect == "postgresql"
        else "airframe = w.a AND counter = w.k"
    )
    if dialect == "sqlite":
        return (
            f"{_WANTED[dialect]} SELECT w.a, w.k, w.d, r.read_on, r.total FROM w CROSS JOIN counter_reading AS r"
            f" WHERE r.airframe = w.a AND r.counter = w.k AND r.read_on ="
            f" (SELECT read_on FROM counter_reading WHERE {of} AND {_WHICH[which]})"
        )
    return (
        f"{_WANTED[dialect]} SELECT w.a, w.k, w.d, r.read_on, r.total FROM w"
        f" CROSS JOIN LATERAL (SELECT read_on, total FROM counter_reading WHERE {of} AND {_WHICH[which]}) AS r"
    )


COUNTER_BOUNDS = {
    (dialect, which): text(_bounds_text(dialect, which)) for dialect in DIALECTS for which in ("before", "after")
}


def counter_bounds(connection: Connection, wanted: Iterable[Wanted]) -> dict[Wanted, tuple[int, int]]:
    """For (airframe, counter, day, "before") day and total of the last reading at or before the day, for "after" of the
    first at or after it. Where there is none, the key is left out. One statement for each of the two and each 5,000."""
    found: dict[Wanted, tuple[int, int]] = {}
    asked: dict[str, dict[tuple[int, str, int], None]] = {"before": {}, "after": {}}
    for airframe, counter, day, which in wanted:
        asked[which][airframe, counter, day] = None
    dialect = connection.dialect.name
    for which, keys in asked.items():
        for chunk in batches(keys, CHUNK):
            given: dict[str, Any] = {"wanted": json.dumps(chunk)}
            if dialect != "sqlite":
                given = {
                    "airframes": [key[0] for key in chunk],
                    "counters": [key[1] for key in chunk],
                    "days": [key[2] for key in chunk],
                }
            for airframe, counter, day, read_on, total in quick.rows(connection, COUNTER_BOUNDS[dialect, which], given):
                found[airframe, counter, day, which] = (read_on, total)
    return found


_OF_SERIES = (
    select(counter_reading.c.read_on, counter_reading.c.total)
    .where(
        counter_reading.c.airframe == bindparam("airframe"),
        counter_reading.c.counter == bindparam("counter"),
        counter_reading.c.entry_number <= bindparam("known"),
    )
    .order_by(counter_reading.c.read_on)
)
_RETIRED_SINCE = (
    select(fact.c.item, entry.c.body)
    .join(entry, entry.c.number == fact.c.number)
    .where(
        fact.c.standing != literal_column("'stands'"),
        fact.c.fact_key >= bindparam("first_key"),
        fact.c.fact_key < bindparam("last_key"),
        fact.c.number <= bindparam("known"),
        fact.c.retired_by > bindparam("known"),
    )
)


def counter_readings_of(connection: Connection, airframe: int, counter: str, *, known: int = LATEST) -> dict[int, int]:
    """Totals by ordinal day of one airframe's counter, in order of day; with `known`, as of that entry."""
    values = {"airframe": airframe, "counter": counter, "known": known}
    found = {row[0]: row[1] for row in connection.execute(_OF_SERIES, values)}
    if known != LATEST:
        key = CounterReading(airframe=airframe, counter=counter, read_on="", total=0).key()
        values = {"first_key": key, "last_key": f"{key}~", "known": known}
        for item, body in connection.execute(_RETIRED_SINCE, values):
            stated = facts_of(json.loads(body))[item]
            assert isinstance(stated, CounterReading), "the key names its kind"
            found[day_of_text(stated.read_on)] = stated.total
        found = dict(sorted(found.items()))
    return found


def trailing_counters(connection: Connection, wanted: Collection[Series], *, as_of: int) -> dict[Series, Trailing]:
    """What the outlook of each airframe's counter on the ordinal day `as_of` is formed of, both figures the counter's.
    Three statements."""
    bases = counter_bounds(connection, [(a, k, as_of, "before") for a, k in wanted])
    more: list[Wanted] = []
    for (airframe, counter, _, _), (day, _) in bases.items():
        more += [(airframe, counter, day - window, "before") for window in WINDOWS]
        more.append((airframe, counter, 0, "after"))
    around = counter_bounds(connection, more)
    found: dict[Series, Trailing] = {}
    for airframe, counter in wanted:
        base = bases.get((airframe, counter, as_of, "before"))
        if base is None:
            found[airframe, counter] = Trailing(base=None, earlier=(), oldest=None)
            continue
        day, total = base
        earlier = []
        for window in WINDOWS:
            point = around.get((airframe, counter, day - window, "before"))
            if point is not None:
                earlier.append((window, point[0], point[1], point[1]))
        first = around[airframe, counter, 0, "after"]
        found[airframe, counter] = Trailing(
            base=(day, total, total), earlier=tuple(earlier), oldest=(first[0], first[1], first[1])
        )
    return found


class StoredCounters:
    """Readings of counters from the database, asked when needed and remembered; with `known`, as of that entry."""

    def __init__(self, connection: Connection, *, known: int = LATEST) -> None:
        self._connection = connection
        self._past = known
        self._series: dict[Series, MemoryTotals] = {}
        self._known: dict[Wanted, Point | None] = {}

    def of(self, counter: str) -> Totals:
        return _OfCounter(self, counter)

    def prefetch(self, wanted: Iterable[Wanted]) -> None:
        """Look up together what will be asked for."""
        missing = [key for key in dict.fromkeys(wanted) if key not in self._known]
        if not missing or self._past != LATEST:
            return
        found = counter_bounds(self._connection, missing)
        for key in missing:
            point = found.get(key)
            self._known[key] = None if point is None else Point(point[0], point[1], point[1])

    def one(self, key: Wanted) -> Point | None:
        if self._past != LATEST:
            return self._then(key)
        if key not in self._known:
            self.prefetch([key])
        return self._known[key]

    def _then(self, key: Wanted) -> Point | None:
        """From the whole series as it was known then."""
        airframe, counter, day, which = key
        if (airframe, counter) not in self._series:
            held = counter_readings_of(self._connection, airframe, counter, known=self._past)
            points = [Point(d, total, total) for d, total in held.items()]
            self._series[airframe, counter] = MemoryTotals({airframe: points})
        series = self._series[airframe, counter]
        return series.before(airframe, day) if which == "before" else series.after(airframe, day)


class _OfCounter:
    """One counter of `StoredCounters` as totals."""

    def __init__(self, stored: StoredCounters, counter: str) -> None:
        self._stored = stored
        self._counter = counter

    def before(self, airframe_id: int, day: int) -> Point | None:
        return self._stored.one((airframe_id, self._counter, day, "before"))

    def after(self, airframe_id: int, day: int) -> Point | None:
        return self._stored.one((airframe_id, self._counter, day, "after"))
