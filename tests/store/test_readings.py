"""Readings around a day, against a plain walk over all of them."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence

import pytest
from sqlalchemy import text

from fleetlife.store.engine import Store
from fleetlife.store.readings import (
    BOUNDS,
    TRAILING,
    Point,
    Trailing,
    base_and_trailing,
    bounds,
    readings_of,
    stream_readings,
)
from fleetlife.store.sets import pair_values

from .fleet import airframe, draft, insert_readings, record, statements_of

FIRST = 738_000


def some_readings(airframes: int, days: int, seed: int = 3) -> dict[int, list[Point]]:
    """Airframes with gaps in their readings; the last one has none."""
    dice = random.Random(seed)
    found: dict[int, list[Point]] = {}
    for number in range(1, airframes):
        minutes = cycles = 0
        found[number] = []
        for day in range(FIRST, FIRST + days):
            minutes, cycles = minutes + dice.randrange(700), cycles + dice.randrange(6)
            if dice.random() < 0.7:
                found[number].append((day, minutes, cycles))
    found[airframes] = []
    return found


@pytest.fixture
def fleet(store: Store) -> tuple[Store, dict[int, list[Point]]]:
    readings = some_readings(5, 500)
    record(store, *(draft(airframe(number)) for number in readings))
    with store.writing(recorded_by="clerk") as writer:
        insert_readings(writer.connection, ((a, *point) for a, points in readings.items() for point in points))
        writer.connection.exec_driver_sql("ANALYZE")
    return store, readings


def before(points: Sequence[Point], day: int) -> Point | None:
    return next((point for point in reversed(points) if point[0] <= day), None)


def after(points: Sequence[Point], day: int) -> Point | None:
    return next((point for point in points if point[0] >= day), None)


class TestBounds:
    def test_they_are_the_neighbours_of_every_day(self, fleet: tuple[Store, dict[int, list[Point]]]) -> None:
        store, readings = fleet
        wanted = [
            (a, day, which) for a in readings for day in range(FIRST - 3, FIRST + 504) for which in ("before", "after")
        ]
        with store.reading() as connection:
            found = bounds(connection, wanted)
        for a, day, which in wanted:
            expected = before(readings[a], day) if which == "before" else after(readings[a], day)
            assert found.get((a, day, which)) == expected

    def test_nothing_asked_costs_nothing(self, store: Store) -> None:
        with statements_of(store) as seen, store.reading() as connection:
            assert bounds(connection, []) == {}
        assert seen == []

    @pytest.mark.parametrize("asked", [10, 4_000])
    def test_they_cost_two_statements_whatever_is_asked(
        self, fleet: tuple[Store, dict[int, list[Point]]], asked: int
    ) -> None:
        store, _ = fleet
        wanted = [(1, FIRST + i, which) for i in range(asked) for which in ("before", "after")]
        with statements_of(store) as seen, store.reading() as connection:
            bounds(connection, wanted)
        assert len(seen) == 2


class TestTrailing:
    @pytest.mark.parametrize("as_of", [FIRST - 1, FIRST, FIRST + 29, FIRST + 100, FIRST + 400, FIRST + 900])
    def test_it_is_what_the_walk_finds(self, fleet: tuple[Store, dict[int, list[Point]]], as_of: int) -> None:
        store, readings = fleet
        expected = {}
        for a, points in readings.items():
            base = before(points, as_of)
            windows = [] if base is None else [(w, before(points, base[0] - w)) for w in (30, 90, 365)]
            expected[a] = Trailing(
                base=base,
                earlier=tuple((w, *point) for w, point in windows if point is not None),
                oldest=None if base is None else points[0],
            )
        with store.reading() as connection:
            assert base_and_trailing(connection, as_of=as_of) == expected
            assert base_and_trailing(connection, as_of=as_of, airframe_ids=[2, 5]) == {2: expected[2], 5: expected[5]}
            assert base_and_trailing(connection, as_of=as_of, airframe_ids=[]) == {}

    def test_it_costs_one_statement(self, fleet: tuple[Store, dict[int, list[Point]]]) -> None:
        store, _ = fleet
        with statements_of(store) as seen, store.reading() as connection:
            base_and_trailing(connection, as_of=FIRST + 400)
        assert len(seen) == 1


class TestSeries:
    def test_an_airframes_readings_come_in_order(self, fleet: tuple[Store, dict[int, list[Point]]]) -> None:
        store, readings = fleet
        with store.reading() as connection:
            assert readings_of(connection, 2) == {day: (minutes, cycles) for day, minutes, cycles in readings[2]}
            assert list(readings_of(connection, 2)) == [day for day, _, _ in readings[2]]
            streamed = list(stream_readings(connection, [3, 1, 5]))
        assert streamed == [(a, *point) for a in (1, 3) for point in readings[a]]


def plan(store: Store, statement: str, parameters: dict[str, object]) -> str:
    verb = "EXPLAIN QUERY PLAN " if store.dialect == "sqlite" else "EXPLAIN "
    with store.reading() as connection:
        return "\n".join(str(row[-1]) for row in connection.execute(text(verb + statement), parameters))


def scans(plan_text: str, table: str, aliases: Sequence[str] = ("r", "b", "w30", "w90", "w365", "o")) -> list[str]:
    """The lines of a plan that go through the whole table."""
    lines = [line.strip().removeprefix("-> ").strip() for line in plan_text.splitlines()]
    whole = re.compile(rf"(SCAN|BLOOM FILTER ON|SEARCH (?!.*\()) ?({'|'.join((table, *aliases))})\b")
    return [line for line in lines if f"Seq Scan on {table}" in line or whole.match(line)]


class TestPlans:
    def test_no_reading_is_come_upon_by_a_scan(self, fleet: tuple[Store, dict[int, list[Point]]]) -> None:
        store, _ = fleet
        for some in (False, True):
            given: dict[str, object] = {"as_of": FIRST + 400}
            if some:
                given["airframes"] = "[1, 2]" if store.dialect == "sqlite" else [1, 2]
            assert scans(plan(store, TRAILING[store.dialect, some].text, given), "reading") == []
        for which in ("before", "after"):
            with store.reading() as connection:
                pairs = pair_values(connection, [(1, FIRST), (2, FIRST + 9)])
            assert scans(plan(store, BOUNDS[store.dialect, which].text, pairs), "reading") == []

    def test_a_scan_would_be_seen(self, fleet: tuple[Store, dict[int, list[Point]]]) -> None:
        store, _ = fleet
        for asked in ("max(minutes)", "sum(cycles)"):
            assert scans(plan(store, f"SELECT {asked} FROM reading", {}), "reading") != []
