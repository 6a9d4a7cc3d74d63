"""The due query brings everything that can fall due, by a fixed number of statements and no scan."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from fleetlife.follows.rows import DuePointRow, UnitStateRow
from fleetlife.ledger.facts import AirframeType, Requirement
from fleetlife.store.due_query import (
    BY_SCRAP,
    COUNTED,
    FEW,
    STATEMENTS,
    UNITS_COUNTED,
    Coverage,
    DueCandidate,
    Limit,
    counters_used,
    coverage,
    due_candidates,
    window_parameters,
)
from fleetlife.store.engine import Store, open_store
from fleetlife.store.rows import insert_rows, read_rows

from .fleet import CLERK, FAR, airframe, draft, point, record, state, statements_of
from .test_readings import plan

AS_OF, UNTIL = 738_000, 738_030
LIMITS: dict[int, Limit] = {1: (1_000, 100), 2: (2_000, 200), 3: (None, None)}
COUNTERS: dict[tuple[int, str], int | None] = {(1, "landings"): 100, (1, "starts"): 7, (2, "landings"): 200,
                                               (3, "landings"): None}  # fmt: skip

NAMES = ("landings", "starts")
Key = tuple[int, int, int]


def fill(store: Store, points: list[DuePointRow], states: list[UnitStateRow] | None = None) -> None:
    units = sorted({row.unit_id for row in points})
    carried = {row.unit_id: row.airframe_id for row in points}
    with store.writing(recorded_by=CLERK) as writer:
        writer.append([draft(AirframeType(type="TERN")), *(draft(airframe(number)) for number in (1, 2, 3))])
        insert_rows(writer.connection, "due_point", points)
        insert_rows(
            writer.connection,
            "unit_state",
            states or [state(unit, carried_airframe_id=carried[unit], root_id=unit) for unit in units],
        )


def keys(rows: list[DueCandidate]) -> list[Key]:
    return [(row.point.unit_id, row.point.requirement_key, row.point.in_force_from) for row in rows]


def asked(store: Store, **more: Any) -> list[DueCandidate]:
    with store.reading() as connection:
        return due_candidates(connection, **{"as_of": AS_OF, "until_day": UNTIL, "limits": LIMITS, **more})


def counted(unit: int, due: int | None = None, **more: Any) -> DuePointRow:
    return carried(unit, **{"counter": "landings", "due_counter": due, **more})


def carried(unit: int, **more: Any) -> DuePointRow:
    return point(unit, **{"airframe_id": 1, **more})


class TestArms:
    @pytest.mark.parametrize(
        ("row", "found"),
        [
            (carried(1, due_minutes=1_000), True),
            (carried(1, due_minutes=1_001), False),
            (carried(1, due_minutes=-5), True),
            (carried(1, due_cycles=100), True),
            (carried(1, due_cycles=101), False),
            (carried(1, airframe_id=2, due_minutes=1_001), True),
            (carried(1, airframe_id=3, due_minutes=10**9), True),  # no reading to reckon from
            (carried(1, calendar_due=UNTIL), True),
            (carried(1, calendar_due=UNTIL + 1), False),
            (point(1, calendar_due=1), True),
            (point(1, left_minutes=1, left_cycles=1, operations_left=1), False),
            (point(1, left_minutes=0), True),
            (point(1, left_cycles=-1), True),
            (carried(1, operations_left=0), True),
            (carried(1, passed=1), True),
            (point(1, standing="unknown", unknown="[]"), True),
            (carried(1, due_minutes=5_000, unknown="[]"), True),
            (point(1, 0, standing="no_programme"), True),
            (point(1, standing="waiting", calendar_due=1), False),
            (point(1, standing="complete", calendar_due=1), False),
            # whichever comes last: the gate alone finds the row
            (carried(1, whichever="last", gate="calendar", calendar_due=UNTIL + 1, due_minutes=1), False),
            (carried(1, whichever="last", gate="hours", calendar_due=1, due_minutes=1_001), False),
            (carried(1, whichever="last", gate="hours", calendar_due=UNTIL + 1, due_minutes=1_000), True),
            (carried(1, whichever="last", gate="cycles", due_minutes=1, due_cycles=101), False),
            # editions
            (carried(1, in_force_from=AS_OF, due_minutes=1), True),
            (carried(1, in_force_from=AS_OF + 1, due_minutes=1), False),
            (carried(1, in_force_until=AS_OF, due_minutes=1), False),
            (carried(1, in_force_until=AS_OF + 1, due_minutes=1_000), True),
            (carried(1, in_force_until=AS_OF + 1, due_minutes=1_001), False),
            (carried(1, in_force_until=AS_OF + 1, due_cycles=100), True),
            (carried(1, in_force_until=AS_OF + 1, calendar_due=UNTIL), True),
            (carried(1, in_force_until=AS_OF + 1, calendar_due=UNTIL + 1), False),
            (carried(1, airframe_id=3, in_force_until=AS_OF + 1, due_cycles=10**9), True),
            (point(1, in_force_until=AS_OF + 1, calendar_due=UNTIL), True),
            (point(1, in_force_until=AS_OF + 1, left_minutes=0), True),
            (point(1, in_force_until=AS_OF + 1, standing="unknown", unknown="[]"), True),
            (point(1, 0, in_force_until=AS_OF + 1, standing="no_programme"), True),
            (point(1, 0, in_force_until=AS_OF, standing="no_programme"), False),
            (point(1, in_force_until=AS_OF, standing="unknown", unknown="[]"), False),
        ],
    )
    def test_a_row_is_found_when_it_can_fall_due(self, store: Store, row: DuePointRow, found: bool) -> None:
        fill(store, [row])
        assert [one.point for one in asked(store)] == ([row] if found else [])

    @pytest.mark.parametrize(
        ("row", "found"),
        [
            (counted(1, 100), True),
            (counted(1, 101), False),
            (counted(1, -5), True),
            (counted(1, 7, counter="starts"), True),
            (counted(1, 8, counter="starts"), False),  # another counter's limit is nothing to it
            (counted(1, 101, airframe_id=2), True),
            (counted(1, 10**9, airframe_id=3), True),  # no reading of it to reckon from
            (counted(1, 10**9, airframe_id=3, counter="starts", due_minutes=1), True),
            (counted(1, 101, due_minutes=1_000), True),  # the other axis is flown and asked as ever
            (counted(1, 101, whichever="last", gate="calendar", calendar_due=UNTIL), True),
            (counted(1, 100, whichever="last", gate="calendar", calendar_due=UNTIL + 1), True),  # a superset
            (point(1, counter="landings", left_counter=1), False),
            (point(1, counter="landings", left_counter=0), True),
            (point(1, counter="landings", left_counter=0, in_force_until=AS_OF + 1), True),
            (counted(1, 10**9, in_force_until=AS_OF + 1), True),  # of ending editions all are asked
            (counted(1, 1, in_force_until=AS_OF), False),
            (counted(1, 1, in_force_from=AS_OF + 1), False),
            (counted(1, None, standing="unknown", unknown="[]"), True),
        ],
    )
    def test_a_row_in_a_counter_is_found_by_that_counter(self, store: Store, row: DuePointRow, found: bool) -> None:
        fill(store, [row])
        assert [one.point for one in asked(store, counters=COUNTERS)] == ([row] if found else [])

    def test_a_threshold_in_a_counter_is_not_compared_with_what_was_flown(self, store: Store) -> None:
        """It lies below every limit of flight totals and above the counter's own."""
        fill(store, [counted(1, 101), counted(2, 101, in_force_until=AS_OF + 1)])
        assert asked(store) == []
        assert [row.point.unit_id for row in asked(store, counters={(1, "landings"): 5})] == [2]

    def test_which_counters_count_on_which_airframes(self, store: Store) -> None:
        rows = [counted(1, 5), counted(2), counted(3, 5, airframe_id=2, in_force_until=AS_OF + 1),
                counted(4, 5, counter="starts", in_force_until=AS_OF), point(5, counter="landings"),
                carried(6, due_minutes=1), counted(7, 5, airframe_id=3)]  # fmt: skip
        fill(store, rows)
        with store.reading() as connection:
            used = counters_used(connection, as_of=AS_OF)
            assert used == {(1, "landings"), (2, "landings"), (3, "landings")}
            assert counters_used(connection, as_of=AS_OF, but_of={1, 7}) == {(1, "landings"), (2, "landings")}

    def test_the_unknown_may_be_left_out(self, store: Store) -> None:
        rows = [
            point(1, standing="unknown", unknown="[]"),
            point(2, 0, standing="no_programme"),
            carried(3, due_minutes=1, unknown="[]"),
            point(4, in_force_until=AS_OF + 1, standing="unknown", unknown="[]"),
        ]
        fill(store, rows)
        assert [row.point.unit_id for row in asked(store, unknown=False)] == [3]
        assert [row.point.unit_id for row in asked(store)] == [1, 2, 3, 4]

    def test_a_row_found_by_several_arms_comes_once(self, store: Store) -> None:
        fill(store, [carried(1, due_minutes=1, due_cycles=1, calendar_due=1, passed=1, unknown="[]")])
        assert keys(asked(store)) == [(1, 1, 1)]

    def test_everything_is_what_is_in_force(self, store: Store) -> None:
        rows = [
            carried(1, due_minutes=10**9),
            point(2, standing="complete"),
            carried(3, in_force_until=AS_OF),
            carried(4, in_force_from=AS_OF + 1),
        ]
        fill(store, rows)
        assert [row.point.unit_id for row in asked(store, everything=True)] == [1, 2]

    def test_units_and_airframes_named_bring_all_of_theirs(self, store: Store) -> None:
        fill(store, [carried(1, due_minutes=10**9), carried(2, airframe_id=2, due_minutes=10**9), point(3)])
        assert [row.point.unit_id for row in asked(store, unit_ids=[1, 3])] == [1, 3]
        assert [row.point.unit_id for row in asked(store, airframe_ids=[2])] == [2]
        assert asked(store, airframe_ids=[]) == []

    def test_many_airframes_named_go_by_the_arms(self, store: Store) -> None:
        fill(store, [carried(1, due_minutes=1), carried(2, airframe_id=2, due_minutes=1), point(3, calendar_due=1)])
        many = [1, *range(100, 101 + FEW)]
        assert [row.point.unit_id for row in asked(store, airframe_ids=many)] == [1]


class TestCandidate:
    def test_it_carries_what_the_due_list_says(self, store: Store) -> None:
        requirement = Requirement(
            requirement="reservoir-test",
            part_number="PK-100",
            kind="requalification",
            source="dangerous_goods",
            programme="TERN-MP",
            edition="4",
            at_due="no-refill",
            reference="TERN 25-60",
        )
        record(store, draft(requirement))
        with store.reading() as connection:
            key = connection.exec_driver_sql("SELECT requirement_key FROM requirement").scalar_one()
        child = carried(2, key=key, calendar_due=1)
        states = [
            state(1, kind="position", airframe_id=1, position="L1", carried_airframe_id=1, root_id=1),
            state(2, kind="slot", parent_id=1, slot="reservoir", carried_airframe_id=1, root_id=1),
        ]
        fill(store, [child], states)
        (row,) = asked(store)
        assert (row.point, row.unit) == (child, states[1])
        told = {name: getattr(row, name) for name in DueCandidate.__dataclass_fields__ if name not in ("point", "unit")}
        assert told == {
            "requirement": "reservoir-test",
            "requirement_kind": "requalification",
            "source": "dangerous_goods",
            "reference": "TERN 25-60",
            "programme": "TERN-MP",
            "edition": "4",
            "at_due": "no-refill",
            "registration": "Q-A01",
            "constructor_serial": "001",
            "airframe_type": "TERN",
            "operator": None,
            "station": None,
            "parent_part_number": "PK-100",
            "parent_serial_number": "S0001",
            "parent_manufacturer": "Kestrel",
            "parent_kind": "position",
            "parent_place_name": None,
            "parent_bin": None,
            "root_part_number": "PK-100",
            "root_serial_number": "S0001",
            "root_position": "L1",
        }


def fleet_of(units: int, seed: int = 11, *, counters: bool = False) -> list[DuePointRow]:
    """Units with every sort of due point, most of them far away."""
    dice = random.Random(seed)
    rows: list[DuePointRow] = []
    for unit in range(1, units + 1):
        airframe_id = dice.choice([None, 1, 1, 2, 2, 3] if unit % 50 == 0 else [None, 1, 1, 2, 2])
        for key in (1, 2):
            measures: dict[str, Any] = {}
            if airframe_id is None:
                measures["left_minutes"] = dice.choice([None, dice.randrange(-1, 300)])
            else:
                measures["due_minutes"] = dice.choice([None, dice.randrange(0, 90_000)])
                measures["due_cycles"] = dice.choice([None, dice.randrange(0, 9_000)])
                if counters and dice.random() < 0.3:
                    measures |= {"counter": dice.choice(["landings", "starts"]), "due_cycles": None}
                    measures["due_counter"] = dice.choice([None, dice.randrange(0, 9_000)])
            measures["calendar_due"] = dice.choice([None, AS_OF + dice.randrange(-5, 2_000)])
            standing = dice.choices(["known", "waiting", "unknown", "complete"], [90, 5, 1, 4])[0]
            last = dice.random() < 0.1
            gates = [g for g, n in (("calendar", "calendar_due"), ("hours", "due_minutes")) if measures.get(n)]
            rows.append(
                point(
                    unit,
                    key,
                    airframe_id=airframe_id,
                    standing=standing,
                    whichever="last" if last else "first",
                    gate=gates[0] if last and gates else "any",
                    unknown="[]" if standing == "unknown" else None,
                    in_force_until=dice.choice([FAR] * 20 + [AS_OF + 9, AS_OF - 9]),
                    **measures,
                )
            )
    return rows


def can_fall_due(row: DuePointRow) -> bool:
    """The same said slowly: the sentence that the statement must agree with."""
    if not row.in_force_from <= AS_OF < row.in_force_until:
        return False
    if any(left is not None and left <= 0 for left in (row.left_minutes, row.left_cycles, row.operations_left)):
        return True
    if row.passed or row.unknown is not None or row.standing == "no_programme":
        return True
    if row.airframe_id is not None and LIMITS[row.airframe_id] == (None, None):
        return True
    if row.standing != "known":
        return False
    minutes, cycles = LIMITS[row.airframe_id] if row.airframe_id is not None else (None, None)
    counted = COUNTERS.get((row.airframe_id or 0, row.counter or ""), 10**9)
    if row.due_counter is not None and row.gate == "any" and (counted is None or row.due_counter <= counted):
        return True
    return (
        (row.gate in ("any", "calendar") and row.calendar_due is not None and row.calendar_due <= UNTIL)
        or (row.gate in ("any", "hours") and None not in (row.due_minutes, minutes) and row.due_minutes <= minutes)  # type: ignore[operator]
        or (row.gate in ("any", "cycles") and None not in (row.due_cycles, cycles) and row.due_cycles <= cycles)  # type: ignore[operator]
    )


class TestFleet:
    @pytest.mark.parametrize("counters", [False, True])
    @pytest.mark.parametrize("units", [10, 3_000])
    def test_nothing_that_can_fall_due_is_missing_and_statements_are_one(
        self, store: Store, units: int, counters: bool
    ) -> None:
        rows = fleet_of(units, counters=counters)
        fill(store, rows)
        wanted = {(row.unit_id, row.requirement_key, row.in_force_from) for row in rows if can_fall_due(row)}
        every = {(airframe, name): COUNTERS.get((airframe, name)) for airframe in (1, 2, 3) for name in NAMES}
        with statements_of(store) as seen:
            found = asked(store, counters=every if counters else None)
        assert len(seen) == 1
        assert wanted <= set(keys(found))
        # A superset, but a small one: of ending editions the gate is not asked, and of counters never.
        assert len(found) <= len(wanted) + (2 + len(rows) // 50 if counters else len(rows) // 100)
        assert keys(found) == sorted(set(keys(found)))

    def test_both_ways_of_asking_agree_on_a_few_airframes(self, store: Store) -> None:
        fill(store, fleet_of(300))

        def due_on_first(rows: list[DueCandidate]) -> list[DuePointRow]:
            return [row.point for row in rows if row.unit.carried_airframe_id == 1 and can_fall_due(row.point)]

        by_airframe = due_on_first(asked(store, airframe_ids=[1]))
        by_arms = due_on_first(asked(store))
        assert len(by_arms) > 3
        assert by_airframe == by_arms


class TestCoverage:
    def test_units_are_counted_with_and_without_a_programme_and_what_is_unknown(self, store: Store) -> None:
        no_mark, no_basis = '[{"cause": "no-mark"}]', '[{"cause": "no-basis"}]'
        rows = [
            point(1, standing="unknown", unknown=no_mark),
            point(2, standing="unknown", unknown=no_mark),
            point(2, 2, standing="unknown", unknown=no_basis, in_force_until=AS_OF + 1),
            point(3, 0, standing="no_programme"),
            point(4, 0, standing="no_programme", in_force_until=AS_OF),
            point(5, unknown=no_basis, calendar_due=1),
            point(6, 0, standing="no_programme", in_force_until=AS_OF + 1),
            point(7, 0, standing="no_programme"),
            point(8, standing="unknown", unknown=no_mark, in_force_until=AS_OF),
        ]
        states = [state(unit, kind="scrap" if unit == 7 else "store") for unit in range(1, 10)]
        fill(store, rows, states)
        with statements_of(store) as seen, store.reading() as connection:
            found = coverage(connection, as_of=AS_OF)
        assert len(seen) == 3
        assert found == Coverage(
            units=8,
            without_programme=2,
            unknown=((no_basis, False, 1), (no_basis, True, 1), (no_mark, True, 2)),
        )
        assert found.with_programme == 6


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def fleet(request: pytest.FixtureRequest, new_database: Callable[[str], str]) -> Iterator[Store]:
    """For reading only."""
    store = open_store(new_database(request.param))
    fill(store, fleet_of(8_000, counters=True))
    with store.writing(recorded_by=CLERK) as writer:
        writer.connection.exec_driver_sql("ANALYZE")
    yield store
    store.close()


class TestPlans:
    @pytest.mark.parametrize(
        "which", ["window", "window of known", "window with counters", "window of known with counters"]
    )
    def test_a_window_goes_through_no_table_of_units(self, fleet: Store, which: str) -> None:
        counters = COUNTERS if which.endswith("counters") else None
        with fleet.reading() as connection:
            given = window_parameters(connection, as_of=AS_OF, until_day=UNTIL, limits=LIMITS, counters=counters)
        text = plan(fleet, STATEMENTS[fleet.dialect, which].text, given)
        assert whole_scans(text) == [], text

    def test_the_limits_of_counters_are_sought_by_their_own_index(self, fleet: Store) -> None:
        with fleet.reading() as connection:
            given = window_parameters(connection, as_of=AS_OF, until_day=UNTIL, limits=LIMITS, counters=COUNTERS)
        text = plan(fleet, STATEMENTS[fleet.dialect, "window with counters"].text, given)
        assert "ix_due_point_counter" in text
        if fleet.dialect == "sqlite":
            assert "ix_due_point_counter (airframe_id=? AND counter=? AND due_counter<?)" in text, text

    @pytest.mark.parametrize("which", ["pairs", "units"])
    def test_which_counters_count_where_goes_by_that_index_too(self, fleet: Store, which: str) -> None:
        text = plan(fleet, COUNTED[which].text, {"as_of": AS_OF})
        assert [line for line in whole_scans(text) if "due_point" in line] == [], text

    @pytest.mark.parametrize("which", ["units", "airframes"])
    def test_a_few_units_are_looked_up(self, fleet: Store, which: str) -> None:
        ids: Any = "[1, 2]" if fleet.dialect == "sqlite" else [1, 2]
        if which == "airframes":
            ids = "[3]" if fleet.dialect == "sqlite" else [3]
        text = plan(fleet, STATEMENTS[fleet.dialect, which].text, {"as_of": AS_OF, "ids": ids})
        assert [line for line in whole_scans(text) if "due_point" in line or " d" in line] == [], text

    def test_those_on_the_scrap_heap_are_counted_by_an_index_of_them_alone(self, fleet: Store) -> None:
        """Where there are none too, and no statistics of that index."""
        text = plan(fleet, UNITS_COUNTED.format(scrap=BY_SCRAP[fleet.dialect]), {})
        if fleet.dialect == "sqlite":
            assert "ix_unit_state_scrap" in text, text
        with fleet.reading() as connection:
            assert coverage(connection, as_of=AS_OF).units == 8_000

    def test_a_scan_would_be_seen(self, fleet: Store) -> None:
        text = plan(fleet, STATEMENTS[fleet.dialect, "everything"].text, {"as_of": AS_OF})
        assert whole_scans(text) != []


def whole_scans(text: str) -> list[str]:
    """The lines of a plan that go through all due points or all units. A scan of a partial index is none."""
    lines = [line.strip().removeprefix("-> ").strip() for line in text.splitlines()]
    partial = ("ix_due_point_nothing_left", "ix_due_point_unknown", "ix_due_point_no_programme")
    return [
        line
        for line in lines
        if "Seq Scan on due_point" in line
        or "Seq Scan on unit_state" in line
        or "BLOOM FILTER" in line
        or (line.startswith(("SCAN d", "SCAN u", "SCAN p", "SCAN t")) and not line.endswith(partial))
    ]


def test_candidates_are_values_like_any_other(store: Store) -> None:
    """They are made without their constructor; nothing else may tell."""
    fill(store, [carried(1, due_minutes=1)])
    (row,) = asked(store)
    with store.reading() as connection:
        assert read_rows(connection, DuePointRow) == [row.point]
    assert hash(row) == hash(DueCandidate(**{n: getattr(row, n) for n in DueCandidate.__dataclass_fields__}))
    with pytest.raises(AttributeError):
        row.point.unit_id = 2  # type: ignore[misc]
