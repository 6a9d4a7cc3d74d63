"""Appending: what is kept of an entry, corrections, withdrawals, requests, and how many statements it takes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from sqlalchemy import select

from fleetlife.ledger.entry import Draft, fact_digest
from fleetlife.ledger.facts import Accomplishment, Fact, Reading
from fleetlife.model.airframes import movement as movement_table
from fleetlife.model.units import unit
from fleetlife.store.bulk import insert_tuples
from fleetlife.store.engine import Store
from fleetlife.store.facts import (
    all_entries,
    entry,
    facts_ever,
    facts_touching,
    known_facts,
    next_airframe_id,
    next_unit_id,
    number_known_at,
    standing_items,
    units_touched_after,
    units_touched_by_facts_after,
    was_stated,
)
from fleetlife.store.readings import readings_of
from fleetlife.store.reference import facts_of_kind
from fleetlife.store.typed import TYPED
from fleetlife.terms.refusal import Refusal

from .fleet import (
    CLERK,
    airframe,
    begin,
    correction,
    count,
    draft,
    movement,
    opening,
    ordinal,
    reading,
    record,
    statements_of,
    withdrawal,
)


def touching(store: Store, *units: int, **more: int) -> list[tuple[int, int, Fact]]:
    with store.reading() as connection:
        return list(facts_touching(connection, units, **more))


def refused(store: Store, *drafts: Draft) -> Refusal:
    with pytest.raises(Refusal) as raised:
        record(store, *drafts)
    return raised.value


def a_block(start: int = 1, days: int = 30) -> Draft:
    return draft(*(reading(f"2024-01-{day:02d}", day * 100, day) for day in range(start, start + days)))


class TestAppend:
    def test_numbers_come_back_in_order(self, store: Store) -> None:
        assert record(store, draft(airframe(1)), draft(airframe(2)), draft(airframe(3))) == [1, 2, 3]
        assert record(store, draft(airframe(4))) == [4]

    def test_nothing_to_append_leaves_the_head(self, store: Store) -> None:
        begin(store)
        assert record(store) == []
        with store.reading() as connection:
            assert count(connection, "entry") == 4

    def test_an_entry_comes_back_as_it_was_stated(self, store: Store) -> None:
        begin(store)
        fact = movement("2024-02-01", installed=1, removed=2, minutes_total=600, harness="left")
        numbers = record(store, draft(fact, on="2024-02-01", source={"file": "movements.csv", "lines": [2]}))
        with store.reading() as connection:
            found = entry(connection, numbers[0])
            assert list(all_entries(connection, 5)) == [found]
            kept = connection.execute(select(movement_table)).one()
        assert (found.kind, found.on) == ("movement", "2024-02-01")
        assert found.body["items"] == [fact.body()]
        assert found.body["source"] == {"file": "movements.csv", "lines": [2]}
        assert found.body["subject"] == {"units": [2, 1], "airframes": [1]}
        assert (kept.moved_on, kept.minutes_total, kept.entry_number, kept.entry_item) == (
            ordinal("2024-02-01"),
            600,
            5,
            0,
        )
        assert [(number, one) for number, _, one in touching(store, 2)] == [(4, opening(2)), (5, fact)]

    def test_a_stream_longer_than_a_batch_is_written_whole(self, store: Store) -> None:
        def many() -> Iterator[Draft]:
            yield draft(airframe())
            yield from (draft(opening(unit)) for unit in range(1, 3_001))
            yield draft(
                *(reading(f"{2000 + i // 336}-{1 + i // 28 % 12:02d}-{1 + i % 28:02d}", i, i) for i in range(5_000))
            )

        with store.writing(recorded_by=CLERK) as writer:
            numbers = writer.append(many())
            assert writer.head.number == numbers[-1] == 3_002
        with store.reading() as connection:
            assert [count(connection, table) for table in ("entry", "unit", "fact", "entry_touch", "reading")] == [
                3_002,
                3_000,
                3_001,
                3_000,
                5_000,
            ]

    def test_the_statements_do_not_grow_with_the_drafts(self, sqlite_store: Store) -> None:
        begin(sqlite_store)
        seen = []
        for first, size in ((100, 2), (1_000, 400)):
            with statements_of(sqlite_store) as statements:
                record(sqlite_store, *(draft(opening(unit)) for unit in range(first, first + size)))
            seen.append(len(statements))
        assert seen == [5, 5]

    def test_a_partial_date_stands_on_its_first_day(self, store: Store) -> None:
        begin(store)
        done = Accomplishment(unit=1, requirement="test", done_on="2024-03", date_basis="mark")
        record(store, draft(done, on="2024-03"))
        with store.reading() as connection:
            assert units_touched_by_facts_after(connection, ordinal("2024-02-29")) == [1]
            assert units_touched_by_facts_after(connection, ordinal("2024-03-01")) == []

    def test_ids_are_never_given_again(self, store: Store) -> None:
        begin(store)
        record(store, withdrawal(4))
        with store.reading() as connection:
            assert count(connection, "unit") == 1
            assert (next_airframe_id(connection), next_unit_id(connection)) == (2, 3)

    def test_the_same_key_twice_is_refused_and_leaves_nothing(self, store: Store) -> None:
        begin(store)
        assert refused(store, draft(opening(5)), draft(opening(6)), draft(opening(5))).code in (
            "fact-conflict",
            "unit-exists",
        )
        with store.reading() as connection:
            assert count(connection, "entry") == 4

    def test_the_same_unit_spelled_otherwise_is_refused(self, store: Store) -> None:
        begin(store)
        twin = replace(opening(9), serial_number="s00 01")
        assert refused(store, draft(twin)).code in ("fact-conflict", "unit-exists")
        typed = TYPED["unit"]
        with pytest.raises(Refusal) as raised, store.writing(recorded_by=CLERK) as writer:
            insert_tuples(writer.connection, typed.table, typed.names, [typed.row_of(twin, 4, 0)])
        assert raised.value.code == "unit-exists"


class TestCorrections:
    def test_the_new_fact_stands_and_the_old_one_is_kept(self, store: Store) -> None:
        begin(store)
        new = opening(1, bin="B7")
        assert record(store, correction(3, new)) == [5]
        assert touching(store, 1) == [(5, 0, new)]
        assert touching(store, 1, known=4) == [(3, 0, opening(1))]
        with store.reading() as connection:
            known = facts_ever(connection, [new.key()])[new.key()]
            assert connection.execute(select(unit.c.bin).order_by(unit.c.unit)).scalars().all() == ["B7", None]
            assert entry(connection, 5).body["replaces"] == [{"number": 3}]
        assert [(one.number, one.standing) for one in known] == [(3, "replaced"), (5, "stands")]

    def test_a_correction_may_change_the_key(self, store: Store) -> None:
        begin(store)
        record(store, draft(movement("2024-02-01")))
        record(store, correction(5, movement("2024-02-02")))
        with store.reading() as connection:
            assert [fact for _, fact in facts_of_kind(connection, type(movement("2024-02-02")))] == [
                movement("2024-02-02")
            ]

    def test_one_reading_of_a_block_is_replaced_by_its_key(self, store: Store) -> None:
        begin(store)
        record(store, a_block())
        record(store, correction(5, reading("2024-01-10", 1_001, 10)))
        with store.reading() as connection:
            assert readings_of(connection, 1)[ordinal("2024-01-10")] == (1_001, 10)
            assert readings_of(connection, 1, known=5)[ordinal("2024-01-10")] == (1_000, 10)
            assert len(readings_of(connection, 1)) == 30
            assert entry(connection, 6).body["replaces"] == [{"number": 5, "items": [9]}]
            total, standing = standing_items(connection, 5)
        assert total == 30
        assert sorted(standing) == [item for item in range(30) if item != 9]

    def test_a_run_of_corrections_first_clears_its_places(self, store: Store) -> None:
        begin(store)
        record(store, draft(reading("2024-01-01", 100, 1)), draft(reading("2024-01-02", 110, 2)))
        record(
            store,
            correction(5, reading("2024-01-01", 200, 1), group="g"),
            correction(6, reading("2024-01-02", 210, 2), group="g"),
        )
        with store.reading() as connection:
            assert list(readings_of(connection, 1).values()) == [(200, 1), (210, 2)]

    def test_a_correction_in_the_same_transaction_as_what_it_corrects(self, store: Store) -> None:
        begin(store)
        record(store, draft(opening(7)), correction(5, opening(7, bin="B9")))
        assert touching(store, 7) == [(6, 0, opening(7, bin="B9"))]

    def test_a_correction_of_a_correction(self, store: Store) -> None:
        begin(store)
        record(store, correction(3, opening(1, bin="B1")))
        record(store, correction(5, opening(1, bin="B2")))
        assert touching(store, 1) == [(6, 0, opening(1, bin="B2"))]
        assert touching(store, 1, known=5) == [(5, 0, opening(1, bin="B1"))]
        assert refused(store, correction(5, opening(1, bin="B3"))).code == "entry-already-retired"

    def test_a_correction_that_names_nothing_of_a_block_is_refused(self, store: Store) -> None:
        begin(store)
        record(store, a_block())
        assert refused(store, correction(5, reading("2024-03-01", 9_000, 90))).code == "correction-names-no-item"

    def test_a_named_item_of_a_block_may_change_its_key(self, store: Store) -> None:
        begin(store)
        record(store, a_block())
        record(store, correction(5, reading("2024-02-09", 9_000, 90), items_of=((5, (29,)),)))
        with store.reading() as connection:
            days = list(readings_of(connection, 1))
        assert days[-1] == ordinal("2024-02-09")
        assert ordinal("2024-01-30") not in days

    def test_an_entry_that_is_not_there_is_refused(self, store: Store) -> None:
        begin(store)
        assert refused(store, correction(99, opening(1))).code == "entry-not-known"


class TestWithdrawals:
    def test_what_is_withdrawn_stands_no_more(self, store: Store) -> None:
        begin(store)
        record(store, draft(movement("2024-02-01")))
        record(store, withdrawal(5))
        assert touching(store, 1) == [(3, 0, opening(1))]
        assert [number for number, _, _ in touching(store, 1, known=5)] == [3, 5]
        with store.reading() as connection:
            assert count(connection, "movement") == 0
            key = movement("2024-02-01").key()
            assert known_facts(connection, [key])[key].standing == "withdrawn"
            assert was_stated(connection, key, fact_digest(movement("2024-02-01")))
        record(store, draft(movement("2024-02-01", found=True)))

    def test_one_item_of_a_block_is_withdrawn(self, store: Store) -> None:
        begin(store)
        record(store, a_block())
        record(store, withdrawal(5, items_of=((5, (0, 29)),)))
        with store.reading() as connection:
            assert len(readings_of(connection, 1)) == 28
            assert count(connection, "reading_history") == 2
            assert entry(connection, 6).body["withdraws"] == [{"number": 5, "items": [0, 29]}]
            assert was_stated(connection, "reading|1|2024-01-01", fact_digest(reading("2024-01-01", 100, 1)))
        assert refused(store, withdrawal(5, items_of=((5, (0,)),))).code == "entry-already-retired"
        record(store, withdrawal(5))
        with store.reading() as connection:
            assert readings_of(connection, 1) == {}

    def test_a_unit_others_speak_of_is_not_taken_away(self, store: Store) -> None:
        begin(store)
        record(store, draft(movement("2024-02-01")))
        assert refused(store, withdrawal(3)).code == "still-referred-to"
        assert [number for number, _, _ in touching(store, 1)] == [3, 5]


class TestRequests:
    def test_asked_again_the_numbers_of_then_come_back(self, store: Store) -> None:
        begin(store)
        assert record(store, draft(opening(5)), draft(opening(6)), request_key="k1") == [5, 6]
        assert record(store, draft(opening(5)), draft(opening(6)), request_key="k1") == [5, 6]
        with store.reading() as connection:
            assert count(connection, "entry") == 6
            assert entry(connection, 5).request_key == "k1"

    def test_the_same_key_for_something_else_is_refused(self, store: Store) -> None:
        record(store, draft(opening(5)), request_key="k1")
        with pytest.raises(Refusal) as raised:
            record(store, draft(opening(6)), request_key="k1")
        assert raised.value.code == "request-key-reused"

    def test_what_was_asked_may_be_told_by_the_asker(self, store: Store) -> None:
        assert record(store, draft(opening(5)), request_key="k1", request_digest="swap") == [1]
        assert record(store, draft(opening(6)), request_key="k1", request_digest="swap") == [1]

    def test_a_refusal_leaves_no_key(self, store: Store) -> None:
        begin(store)
        with pytest.raises(Refusal):
            record(store, draft(opening(1)), request_key="k1")
        assert record(store, draft(opening(8)), request_key="k1") == [5]


class TestKnownFacts:
    def test_keys_never_stated_are_left_out(self, store: Store) -> None:
        begin(store)
        with store.reading() as connection:
            keys = [opening(1).key(), opening(3).key(), "reading|1|2024-01-01", reading("2024-01-02", 1, 1).key()]
            found = known_facts(connection, keys)
        assert list(found) == [opening(1).key()]
        assert found[opening(1).key()] == (fact_digest(opening(1)), 3, 0, "stands")

    def test_the_reading_table_answers_for_readings(self, store: Store) -> None:
        begin(store)
        record(store, a_block())
        record(store, correction(5, reading("2024-01-10", 1_001, 10)))
        key = reading("2024-01-10", 0, 0).key()
        with store.reading() as connection:
            assert known_facts(connection, [key])[key] == (
                fact_digest(reading("2024-01-10", 1_001, 10)),
                6,
                0,
                "stands",
            )
            old = facts_ever(connection, [key])[key][0]
        assert old == (fact_digest(reading("2024-01-10", 1_000, 10)), 5, 9, "replaced")

    @pytest.mark.parametrize(("asked", "statements"), [(10, 1), (2_000, 1), (2_001, 2)])
    def test_a_chunk_of_keys_costs_one_statement(self, sqlite_store: Store, asked: int, statements: int) -> None:
        begin(sqlite_store)
        with statements_of(sqlite_store) as seen, sqlite_store.reading() as connection:
            known_facts(connection, [opening(unit).key() for unit in range(asked)])
        assert len(seen) == statements


class TestTouching:
    def test_a_fact_that_touches_several_comes_once(self, store: Store) -> None:
        begin(store)
        both = movement("2024-02-01", installed=1, removed=2)
        record(store, draft(both))
        assert touching(store, 1, 2, 1) == [(3, 0, opening(1)), (4, 0, opening(2)), (5, 0, both)]

    def test_a_fact_across_two_chunks_comes_once(self, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("fleetlife.store.facts.CHUNK", 1)
        begin(store)
        record(store, draft(movement("2024-02-01", installed=1, removed=2)))
        assert sorted(number for number, _, _ in touching(store, 1, 2)) == [3, 4, 5]

    def test_nothing_touches_no_unit(self, store: Store) -> None:
        begin(store)
        assert touching(store) == []

    def test_it_costs_one_statement_whatever_the_units(self, store: Store) -> None:
        begin(store)
        for units in ([1], range(1, 1_001)):
            with statements_of(store) as seen, store.reading() as connection:
                list(facts_touching(connection, units))
            assert len(seen) == 1

    def test_units_touched_after_an_entry(self, store: Store) -> None:
        begin(store)
        record(store, draft(movement("2024-02-01", installed=2)))
        with store.reading() as connection:
            assert units_touched_after(connection, 4) == {2: {"movement"}}
            assert {unit: len(kinds) for unit, kinds in units_touched_after(connection, 2).items()} == {1: 1, 2: 2}
            assert units_touched_after(connection, 5) == {}


class TestKnownAt:
    def test_the_last_entry_recorded_by_then(self, store: Store) -> None:
        begin(store)
        record(store, draft(opening(8)))
        with store.reading() as connection:
            fourth, fifth = entry(connection, 4).recorded_at, entry(connection, 5).recorded_at
            assert number_known_at(connection, fourth) == 4
            assert number_known_at(connection, fifth) == 5
            assert number_known_at(connection, "9999-12-31T00:00:00.000000Z") == 5
            assert number_known_at(connection, "2000-01-01T00:00:00.000000Z") == 0

    def test_the_stream_of_entries_starts_and_ends_where_asked(
        self, store: Store, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        begin(store)
        with store.reading() as connection:
            assert [one.number for one in all_entries(connection, 2, until=3)] == [2, 3]
            assert [one.number for one in all_entries(connection)] == [1, 2, 3, 4]
            assert list(all_entries(connection, 5)) == []


def test_a_reading_is_no_row_of_the_facts(store: Store) -> None:
    begin(store)
    record(store, a_block())
    with store.reading() as connection:
        assert count(connection, "fact") == 4
        assert count(connection, "reading") == 30
    assert Reading.KIND == "reading"
