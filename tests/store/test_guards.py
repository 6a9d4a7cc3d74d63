"""Totals never fall, a unit is in one place, a place holds one unit: refused by the database itself."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from sqlalchemy.exc import DBAPIError

from fleetlife.follows.rows import CarriageRow, PlacementRow
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Counter, CounterReading
from fleetlife.store.engine import Store
from fleetlife.store.refusals import guard_name
from fleetlife.store.rows import insert_rows, write_difference
from fleetlife.terms.refusal import Refusal

from .fleet import CLERK, at_position, begin, count, draft, movement, reading, record, stay


def refused_code(store: Store, *drafts: Draft) -> str:
    with pytest.raises(Refusal) as refused:
        record(store, *drafts)
    return refused.value.code


def counted(day: str, total: int, counter: str = "landings") -> CounterReading:
    return CounterReading(airframe=1, counter=counter, read_on=day, total=total)


class TestReadings:
    @pytest.mark.parametrize(
        ("day", "minutes", "cycles", "fits"),
        [
            ("2024-05-09", 6_000, 100, True),
            ("2024-05-09", 6_001, 100, False),
            ("2024-05-09", 6_000, 101, False),
            ("2024-05-12", 6_000, 100, True),
            ("2024-05-12", 7_200, 110, True),
            ("2024-05-12", 5_999, 100, False),
            ("2024-05-12", 6_000, 99, False),
            ("2024-05-12", 7_201, 110, False),
            ("2024-05-12", 7_200, 111, False),
            ("2024-05-15", 7_200, 110, True),
            ("2024-05-15", 7_199, 110, False),
            ("2024-05-15", 7_200, 109, False),
        ],
    )
    def test_a_reading_stays_between_its_neighbours(
        self, store: Store, day: str, minutes: int, cycles: int, fits: bool
    ) -> None:
        begin(store)
        record(store, draft(reading("2024-05-10", 6_000, 100), reading("2024-05-14", 7_200, 110)))
        if fits:
            record(store, draft(reading(day, minutes, cycles)))
        else:
            assert refused_code(store, draft(reading(day, minutes, cycles))) == "totals-fall"

    def test_a_block_that_falls_inside_itself_is_refused_whole(self, store: Store) -> None:
        begin(store)
        block = [reading(f"2024-{1 + i // 28:02d}-{1 + i % 28:02d}", 100 + i, i) for i in range(200)]
        block[150] = reading(block[150].read_on, 200, 150)
        assert refused_code(store, draft(*block)) == "totals-fall"
        with store.reading() as connection:
            assert count(connection, "reading") == 0
            assert count(connection, "entry") == 4

    @pytest.mark.parametrize(
        ("day", "total", "fits"),
        [
            ("2024-05-09", 600, True),
            ("2024-05-09", 601, False),
            ("2024-05-12", 600, True),
            ("2024-05-12", 720, True),
            ("2024-05-12", 599, False),
            ("2024-05-12", 721, False),
            ("2024-05-15", 720, True),
            ("2024-05-15", 719, False),
        ],
    )
    def test_a_counter_stays_between_its_neighbours(self, store: Store, day: str, total: int, fits: bool) -> None:
        """Whatever other counters and the flight totals say."""
        begin(store)
        counters = draft(*(Counter(counter=name, measure="count") for name in ("landings", "starts")))
        record(store, counters, draft(counted("2024-05-10", 600), counted("2024-05-14", 720)))
        record(store, draft(counted("2024-05-11", 1, "starts")), draft(reading("2024-05-11", 5, 5)))
        if fits:
            record(store, draft(counted(day, total)))
        else:
            assert refused_code(store, draft(counted(day, total))) == "totals-fall"

    def test_a_reading_of_a_counter_is_never_changed_in_place(self, store: Store) -> None:
        begin(store)
        record(store, draft(Counter(counter="landings", measure="count")), draft(counted("2024-05-10", 600)))
        with pytest.raises(Refusal) as refused, store.writing(recorded_by=CLERK) as writer:
            writer.connection.exec_driver_sql("UPDATE counter_reading SET total = 601")
        assert refused.value.code == "totals-fall"
        with store.reading() as connection:
            assert connection.exec_driver_sql("SELECT total FROM counter_reading").scalar_one() == 600

    @pytest.mark.parametrize(
        ("day", "minutes", "fits"),
        [
            ("2024-05-09", 5_000, True),
            ("2024-05-09", 5_001, False),
            ("2024-05-10", 5_000, True),  # the reading is at the end of the day, after the movement
            ("2024-05-10", 4_999, False),
        ],
    )
    def test_a_reading_agrees_with_stated_totals_of_movements(
        self, store: Store, day: str, minutes: int, fits: bool
    ) -> None:
        begin(store)
        record(store, draft(movement("2024-05-10", minutes_total=5_000)))
        if fits:
            record(store, draft(reading(day, minutes, 1)))
        else:
            assert refused_code(store, draft(reading(day, minutes, 1))) == "totals-fall"

    @pytest.mark.parametrize(
        ("totals", "fits"),
        [
            ({"minutes_total": 6_000}, True),
            ({"minutes_total": 7_200, "cycles_total": 110}, True),
            ({"minutes_total": 5_999}, False),
            ({"minutes_total": 7_201}, False),
            ({"cycles_total": 99}, False),
            ({"cycles_total": 111}, False),
        ],
    )
    def test_totals_stated_with_a_movement_agree_with_readings(
        self, store: Store, totals: dict[str, int], fits: bool
    ) -> None:
        begin(store)
        record(store, draft(reading("2024-05-10", 6_000, 100), reading("2024-05-14", 7_200, 110)))
        if fits:
            record(store, draft(movement("2024-05-12", **totals)))
        else:
            assert refused_code(store, draft(movement("2024-05-12", **totals))) == "totals-fall"

    @pytest.mark.parametrize(("sequence", "minutes", "fits"), [(1, 4_999, True), (1, 5_001, False), (3, 4_999, False)])
    def test_totals_of_movements_agree_with_one_another(
        self, store: Store, sequence: int, minutes: int, fits: bool
    ) -> None:
        begin(store)
        record(store, draft(movement("2024-05-10", sequence=2, minutes_total=5_000)))
        other = draft(movement("2024-05-10", sequence=sequence, position="R1", installed=2, minutes_total=minutes))
        if fits:
            record(store, other)
        else:
            assert refused_code(store, other) == "totals-fall"

    def test_airframes_do_not_bound_one_another(self, store: Store) -> None:
        from .fleet import airframe

        begin(store)
        record(store, draft(airframe(2)))
        record(store, draft(reading("2024-05-10", 6_000, 100)))
        record(store, draft(reading("2024-05-11", 5, 1, airframe=2)))

    def test_a_reading_of_no_airframe_is_an_error(self, store: Store) -> None:
        with pytest.raises(DBAPIError) as refused:
            record(store, draft(reading("2024-05-10", 1, 1, airframe=8)))
        assert guard_name(refused.value) == "reading_of_airframe"

    @pytest.mark.parametrize("table", ["reading", "movement"])
    def test_what_was_stated_is_not_changed_in_place(self, store: Store, table: str) -> None:
        begin(store)
        record(store, draft(reading("2024-05-10", 6_000, 100)), draft(movement("2024-05-12")))
        with pytest.raises(DBAPIError) as refused, store.engine.begin() as connection:
            connection.exec_driver_sql(f"UPDATE {table} SET entry_item = 7")
        assert guard_name(refused.value) == f"{table}_never_falls"


def code_of(store: Store, *rows: PlacementRow) -> str | None:
    """The refusal that inserting the stays one by one gives; None when they are taken."""
    try:
        with store.writing(recorded_by=CLERK) as writer:
            for row in rows:
                insert_rows(writer.connection, "placement", [row])
    except Refusal as refused:
        return refused.code
    return None


class TestStays:
    @pytest.mark.parametrize(
        ("spans", "code"),
        [
            ([(10, 20), (20, 30)], None),
            ([(20, 30), (10, 20)], None),
            ([(10, 20), (20, None)], None),
            ([(10, 20), (15, 30)], "unit-in-two-places"),
            ([(15, 30), (10, 20)], "unit-in-two-places"),
            ([(10, 40), (20, 30)], "unit-in-two-places"),
            ([(20, 30), (10, 40)], "unit-in-two-places"),
            ([(10, None), (50, 60)], "unit-in-two-places"),
            ([(50, 60), (10, None)], "unit-in-two-places"),
            ([(10, None), (20, None)], "unit-in-two-places"),
            ([(10, 20), (10, 15)], "unit-in-two-places"),
        ],
    )
    def test_a_unit_is_in_one_place_at_a_time(
        self, store: Store, spans: Sequence[tuple[int, int | None]], code: str | None
    ) -> None:
        assert code_of(store, *(stay(1, start, end) for start, end in spans)) == code

    @pytest.mark.parametrize(
        ("spans", "code"),
        [
            ([(10, 20), (20, None)], None),
            ([(10, 20), (19, 30)], "place-holds-two-units"),
            ([(19, 30), (10, 20)], "place-holds-two-units"),
            ([(10, None), (20, None)], "place-holds-two-units"),
            ([(10, None), (50, 60)], "place-holds-two-units"),
        ],
    )
    def test_a_place_holds_one_unit_at_a_time(
        self, store: Store, spans: Sequence[tuple[int, int | None]], code: str | None
    ) -> None:
        rows = [at_position(unit, start, end) for unit, (start, end) in enumerate(spans, start=1)]
        assert code_of(store, *rows) == code

    def test_many_units_may_be_in_one_store(self, store: Store) -> None:
        assert code_of(store, *(stay(unit, 10, None) for unit in range(1, 100))) is None

    def test_a_stay_is_not_prolonged_into_the_next(self, store: Store) -> None:
        first, second = stay(1, 10, 20), stay(1, 30, None)
        assert code_of(store, first, second) is None
        with pytest.raises(Refusal) as refused, store.writing(recorded_by=CLERK) as writer:
            write_difference(writer.connection, "placement", [first], [stay(1, 10, 31)])
        assert refused.value.code == "unit-in-two-places"

    def test_a_stay_is_not_prolonged_into_another_units(self, store: Store) -> None:
        first, second = at_position(1, 10, 20), at_position(2, 30, None)
        assert code_of(store, first, second) is None
        with pytest.raises(Refusal) as refused, store.writing(recorded_by=CLERK) as writer:
            write_difference(writer.connection, "placement", [first], [at_position(1, 10, 31)])
        assert refused.value.code == "place-holds-two-units"

    @pytest.mark.parametrize("end", [10, 9])
    def test_a_stay_that_does_not_last_is_an_error(self, store: Store, end: int) -> None:
        with pytest.raises(DBAPIError), store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "placement", [stay(1, 10, end)])

    def test_a_unit_is_carried_by_one_airframe_at_a_time(self, store: Store) -> None:
        def carriage(start: int, end: int | None) -> CarriageRow:
            return CarriageRow(
                unit_id=1,
                from_moment=start,
                until_moment=end,
                airframe_id=1,
                root_id=1,
                from_minutes=None,
                from_cycles=None,
                until_minutes=None,
                until_cycles=None,
                from_basis="stated",
                until_basis="open" if end is None else "stated",
            )

        for first, second in ((carriage(10, 20), carriage(15, 30)), (carriage(10, None), carriage(40, 50))):
            with pytest.raises(Refusal) as refused, store.writing(recorded_by=CLERK) as writer:
                insert_rows(writer.connection, "carriage", [first, second])
            assert refused.value.code == "unit-carried-twice"
        with store.writing(recorded_by=CLERK) as writer:
            insert_rows(writer.connection, "carriage", [carriage(10, 20), carriage(20, None)])


class TestWords:
    @pytest.mark.parametrize(
        "statement",
        [
            "INSERT INTO intermix VALUES ('A', 'B', 2, NULL, 1, 0)",
            "INSERT INTO alternate VALUES ('A', 'B', 'sideways', NULL, NULL, 1, 0)",
            "INSERT INTO position VALUES ('T', 'L1', 'port', NULL, NULL, NULL, 1, NULL, 1, 0)",
        ],
    )
    def test_a_word_outside_its_list_is_refused(self, store: Store, statement: str) -> None:
        with pytest.raises(DBAPIError) as refused, store.engine.begin() as connection:
            connection.exec_driver_sql(statement)
        assert (guard_name(refused.value) or "").startswith("ck_")
