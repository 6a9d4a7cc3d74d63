"""Derived rows in and out, and differences that pass through legal states only."""

from __future__ import annotations

import random
from dataclasses import fields, replace
from typing import Any

import pytest

from fleetlife.follows.rows import (
    CarriageRow,
    CertificateLineRow,
    DuePointRow,
    PlacementRow,
    UnitStateRow,
    place_key,
)
from fleetlife.store.engine import Store
from fleetlife.store.places import placements_at_positions, placements_in_slots, placements_of
from fleetlife.store.rows import insert_rows, read_rows, stream_rows, write_difference

from .fleet import CLERK, at_position, count, point, state, statements_of, stay

FULL_POINT = DuePointRow(
    unit_id=3,
    requirement_key=2**61,
    in_force_from=1,
    in_force_until=3_652_059,
    standing="unknown",
    airframe_id=4,
    whichever="last",
    gate="hours",
    calendar_due=738_000,
    due_minutes=2**40,
    due_cycles=7,
    left_minutes=-3,
    left_cycles=-4,
    operations_left=-1,
    passed=1,
    charged=1,
    varied_calendar=738_100,
    varied_minutes=9,
    varied_cycles=10,
    variation="V-1",
    if_fitted_months=36,
    if_fitted_days=2,
    estimated=1,
    basis="done",
    basis_day=737_000,
    last_done=736_000,
    unknown='[{"cause": "no-mark", "measure": "calendar"}]',
    no_programme_in_part=1,
    entry=12,
)
FULL_LINE = CertificateLineRow(
    organisation="Heron Works",
    tracking_number="T-1",
    item="2",
    serial_number="S0001",
    part_number="PK-100",
    unit_id=3,
    status="overhauled",
    side="maintenance",
    dated_on=738_000,
    verdict="look-alike",
    part_verdict="exact",
    serial_verdict="look-alike",
    expected_part_number="PK-100",
    expected_serial_number="SO001",
    entry=9,
)
FULL_CARRIAGE = CarriageRow(
    unit_id=3,
    from_moment=10,
    until_moment=20,
    airframe_id=4,
    root_id=2,
    from_minutes=100,
    from_cycles=1,
    until_minutes=200,
    until_cycles=2,
    from_basis="stated",
    until_basis="bounded",
    entry=5,
)
FULL_STAY = PlacementRow(
    unit_id=3,
    from_moment=10,
    until_moment=20,
    kind="slot",
    place_key=place_key(2, "bottle", slot=True),
    parent_id=2,
    slot="bottle",
    place_name="x",
    bin="B",
    condition="serviceable",
    hold="why",
    harness="left",
    removal_kind="scheduled",
    expected_back=738_000,
    until_known=False,
    entry=3,
    until_entry=4,
)
ROWS: list[tuple[str, Any]] = [
    ("placement", FULL_STAY),
    ("carriage", FULL_CARRIAGE),
    ("due_point", FULL_POINT),
    ("certificate_line", FULL_LINE),
    ("unit_state", state(3, kind="slot", parent_id=2, slot="bottle", root_id=2, carried_airframe_id=4)),
]


class TestRoundTrip:
    @pytest.mark.parametrize(("table", "row"), ROWS, ids=[name for name, _ in ROWS])
    def test_a_row_comes_back_as_it_went_in(self, store: Store, table: str, row: Any) -> None:
        with store.writing(recorded_by=CLERK) as writer:
            assert insert_rows(writer.connection, table, [row]) == 1
        with store.reading() as connection:
            for found in (read_rows(connection, type(row), unit_ids=[3]), read_rows(connection, type(row))):
                assert found == [row]
                assert [type(getattr(found[0], f.name)) for f in fields(row)] == [
                    type(getattr(row, f.name)) for f in fields(row)
                ]
            assert read_rows(connection, type(row), unit_ids=[4]) == []
            assert read_rows(connection, type(row), unit_ids=[]) == []

    def test_rows_come_in_the_order_of_their_keys(self, store: Store) -> None:
        rows = [stay(unit, start, start + 10) for unit in (3, 1, 2) for start in (30, 10)]
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "placement", rows)
        ordered = sorted(rows, key=lambda row: (row.unit_id, row.from_moment))
        with store.reading() as connection:
            assert list(stream_rows(connection, PlacementRow)) == ordered
            assert read_rows(connection, PlacementRow, unit_ids=[2, 3, 1]) == ordered

    def test_lines_filed_against_no_unit_come_only_with_all(self, store: Store) -> None:
        line = replace(FULL_LINE, unit_id=None, verdict="unfiled")
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "certificate_line", [line])
        with store.reading() as connection:
            assert read_rows(connection, CertificateLineRow) == [line]
            assert read_rows(connection, CertificateLineRow, unit_ids=[3]) == []

    def test_many_units_cost_as_many_statements_as_one_chunk(self, store: Store) -> None:
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "unit_state", (state(unit) for unit in range(1, 1_501)))
        for units in (range(1, 11), range(1, 1_501)):
            with statements_of(store) as seen, store.reading() as connection:
                assert len(read_rows(connection, UnitStateRow, unit_ids=units)) == len(units)
            assert len(seen) == 1


class TestDifference:
    def test_what_is_alike_is_not_touched(self, store: Store) -> None:
        rows = [stay(1, 10, 20), stay(1, 20, None)]
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "placement", rows)
            with statements_of(store) as seen:
                assert write_difference(writer.connection, "placement", rows, list(rows)) == (0, 0)
            assert seen == []

    def test_a_stay_that_ends_is_closed_and_the_next_inserted(self, store: Store) -> None:
        old, new = [stay(1, 10, None)], [replace(stay(1, 10, 20), until_entry=8), stay(1, 20, None)]
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "placement", old)
            with statements_of(store) as seen:
                assert write_difference(writer.connection, "placement", old, new) == (0, 1)
            assert [statement.split()[0] for statement in seen] == ["UPDATE", "INSERT"]
            assert read_rows(writer.connection, PlacementRow) == new

    def test_units_that_change_places_pass_through_legal_states(self, store: Store) -> None:
        old = [at_position(1, 10, None, key=1), at_position(2, 10, None, key=2)]
        new = [
            *(at_position(1, 10, 20, key=1), at_position(1, 20, None, key=2)),
            *(at_position(2, 10, 20, key=2), at_position(2, 20, None, key=1)),
        ]
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "placement", old)
            write_difference(writer.connection, "placement", old, new)
        with store.writing(recorded_by=CLERK) as writer:
            write_difference(writer.connection, "placement", new, old)
            assert read_rows(writer.connection, PlacementRow) == old

    def test_any_legal_state_becomes_any_other(self, store: Store) -> None:
        def timetable(dice: random.Random) -> list[PlacementRow]:
            """Three units taking turns at two places, and in a store between."""
            moments = sorted(dice.sample(range(1, 60), 8))
            stays: list[PlacementRow] = []
            for start, end in zip(moments, [*moments[1:], None], strict=True):
                units = dice.sample([1, 2, 3], 3)
                stays += [at_position(units[0], start, end, key=1), at_position(units[1], start, end, key=2)]
                stays.append(stay(units[2], start, end, hold=dice.choice([None, "why"])))
            return sorted(stays, key=lambda row: (row.unit_id, row.from_moment))

        dice = random.Random(5)
        now: list[PlacementRow] = []
        with store.writing(recorded_by=CLERK) as writer:
            for _ in range(40):
                after = timetable(dice)
                write_difference(writer.connection, "placement", now, after)
                assert read_rows(writer.connection, PlacementRow) == after
                now = after

    def test_due_points_are_replaced_as_a_whole(self, store: Store) -> None:
        old, new = [point(1), point(1, 2, passed=1)], [point(1, calendar_due=738_000), point(1, 3)]
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "due_point", old)
            assert write_difference(writer.connection, "due_point", old, new) == (2, 2)
            assert read_rows(writer.connection, DuePointRow) == new

    def test_a_folded_number_follows_the_number(self, store: Store) -> None:
        old, new = state(1), replace(state(1), part_number="pk 200")
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "unit_state", [old])
            write_difference(writer.connection, "unit_state", [old], [new])
            fold = writer.connection.exec_driver_sql("SELECT part_fold FROM unit_state").scalar_one()
        assert fold == "PK200"

    def test_thousands_of_rows_go_in_batches(self, store: Store) -> None:
        rows = [point(unit, key) for unit in range(1, 6_001) for key in (1, 2)]
        with store.writing(recorded_by=CLERK) as writer:
            assert write_difference(writer.connection, "due_point", [], rows) == (0, 12_000)
            assert count(writer.connection, "due_point") == 12_000
            assert write_difference(writer.connection, "due_point", rows, []) == (12_000, 0)
            assert count(writer.connection, "due_point") == 0


class TestPlaces:
    def test_stays_are_found_by_unit_by_position_and_by_slot(self, store: Store) -> None:
        key = place_key(1, "L1", slot=False)
        rows = [at_position(1, 10, 20, key=key), at_position(2, 20, None, key=key), FULL_STAY]
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "placement", rows)
        with store.reading() as connection:
            assert placements_of(connection, [2, 3]) == rows[1:]
            assert placements_at_positions(connection, [(1, "L1"), (1, "R1")]) == rows[:2]
            assert placements_in_slots(connection, [(2, "bottle")]) == [FULL_STAY]
            assert placements_in_slots(connection, [(1, "L1")]) == []


class TestStreams:
    def test_a_stream_leaves_the_connection_as_it_was(self, store: Store) -> None:
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "placement", [stay(1, 10, 20), stay(1, 20, None)])
            assert len(list(stream_rows(writer.connection, PlacementRow))) == 2
            assert "yield_per" not in writer.connection.get_execution_options()
            assert write_difference(writer.connection, "placement", [stay(1, 10, 20), stay(1, 20, None)], []) == (2, 0)
