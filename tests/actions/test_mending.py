"""Several entries put right together: judged as a whole, shown before, and undone without a trace."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.mend import Mend, correct, mend, withdraw
from fleetlife.actions.merge import merge_units
from fleetlife.actions.swap import UnitName
from fleetlife.follows.rows import PlacementRow
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.store.rows import read_rows
from fleetlife.terms.refusal import Refusal

from .fleet import (
    BOTTLE,
    SLIDE,
    Intake,
    carried,
    everything,
    head,
    movement,
    readings,
    rebuilt_differs,
    stays,
    transfer,
    unit,
)

BY: dict[str, Any] = {"reason": "misread", "authorised_by": "Q2", "recorded_by": "clerk"}
DAY = date(2024, 6, 1)


def entry_of(store: Store, kind: str, number: int = -1) -> int:
    """The entry of this kind, the last one unless told which."""
    with store.reading() as connection:
        return [entry.number for entry in all_entries(connection) if entry.kind == kind][number]


def derived(store: Store) -> dict[str, Any]:
    """What follows, without the entries that say it."""
    found = everything(store)
    del found["head"]
    provenance = ("entry", "until_entry")
    return {
        table: [{n: getattr(row, n) for n in row.__slots__ if n not in provenance} for row in rows]
        for table, rows in found.items()
    }


@pytest.fixture
def swapped(fleet: Intake) -> Intake:
    """0101 off L1 for 0103 on the 10th, back on L1 for 0103 on the 20th."""
    fleet.take({"movements": [movement("2024-01-10", "L1", off="0101", fit="0103")]})
    fleet.take({"movements": [movement("2024-01-20", "L1", off="0103", fit="0101")]})
    return fleet


class TestTogether:
    def test_what_neither_alone_may_be_both_together_are(self, swapped: Intake) -> None:
        """It was 0104 that hung there: each entry alone contradicts the other."""
        store = swapped.store
        first, second = entry_of(store, "movement", -2), entry_of(store, "movement", -1)
        other = {"part_number": SLIDE, "serial_number": "0104"}
        with pytest.raises(Refusal) as refused:
            correct(store, first, changes={"installed": other}, **BY)
        assert f"entry {second} is in the way" in refused.value.message
        assert "fleetlife ledger mend" in refused.value.remedy
        done = mend(
            store,
            [Mend(entry=first, changes={"installed": other}), Mend(entry=second, changes={"removed": other})],
            **BY,
        )
        assert len(done.entries) == 2
        assert len(stays(store, "0103")) == 1
        assert [row.kind for row in stays(store, "0104")] == ["store", "position", "store"]
        assert rebuilt_differs(store) == {}
        with store.reading() as connection:
            groups = {entry.body["group"] for entry in all_entries(connection) if entry.number in done.entries}
        assert len(groups) == 1

    def test_one_withdrawn_and_one_replaced(self, swapped: Intake) -> None:
        store = swapped.store
        first, second = entry_of(store, "movement", -2), entry_of(store, "movement", -1)
        with pytest.raises(Refusal):
            withdraw(store, first, **BY)
        mend(store, [Mend(entry=first), Mend(entry=second)], **BY)
        assert [len(stays(store, serial)) for serial in ("0101", "0103")] == [1, 1]
        assert rebuilt_differs(store) == {}

    def test_the_readings_of_a_block_and_the_total_that_rested_on_them(self, fleet: Intake) -> None:
        """January read again ten hours higher from the 5th on, and the removal's own total with it."""
        store = fleet.store
        off = movement("2024-01-10", "L1", off="0101", removed_to="store")
        fleet.take({"movements": [off | {"hours_total": "10122:00", "cycles_total": 1012}]})
        block, removal = entry_of(store, "reading", 0), entry_of(store, "movement")
        with store.reading() as connection:
            read = next(entry.body["items"] for entry in all_entries(connection) if entry.number == block)
        late = [(n, each["minutes"]) for n, each in enumerate(read) if each["read_on"] >= "2024-01-05"]
        higher = [Mend(entry=block, item=n, changes={"minutes": minutes + 600}) for n, minutes in late]
        with pytest.raises(Refusal) as refused:
            mend(store, higher, **BY)
        assert refused.value.code == "totals-fall"
        assert rebuilt_differs(store) == {}
        done = mend(store, [*higher, Mend(entry=removal, changes={"minutes_total": "10132:00"})], **BY)
        assert done.units
        assert carried(store, "0101")[0].until_minutes == 10_132 * 60
        assert rebuilt_differs(store) == {}

    def test_items_of_a_block_can_be_withdrawn(self, fleet: Intake) -> None:
        block = entry_of(fleet.store, "reading", 0)
        mend(fleet.store, [Mend(entry=block, item=30), Mend(entry=block, item=29)], **BY)
        with fleet.store.reading() as connection:
            (last,) = [entry for entry in all_entries(connection) if entry.number == head(fleet.store)]
        assert last.body["withdraws"] == [{"number": block, "items": [29, 30]}]
        assert rebuilt_differs(fleet.store) == {}


class TestUndone:
    def test_a_correction_and_its_reversal_restore_every_row(self, swapped: Intake) -> None:
        store = swapped.store
        before = derived(store)
        second = entry_of(store, "movement", -1)
        done = correct(store, second, changes={"moved_on": "2024-01-22"}, **BY)
        assert derived(store) != before
        correct(store, done.entry, changes={"moved_on": "2024-01-20"}, **BY)
        assert derived(store) == before

    def test_so_do_withdrawing_and_taking_in_again(self, swapped: Intake) -> None:
        store = swapped.store
        before = derived(store)
        withdraw(store, entry_of(store, "movement", -1), **BY)
        assert derived(store) != before
        # the file said it once already, so it is stated with another reference
        again = movement("2024-01-20", "L1", off="0103", fit="0101") | {"technical_log": "QL-2"}
        swapped.take({"movements": [again]})
        assert derived(store) == before


class TestShownBefore:
    def test_what_moves_is_told_and_nothing_is_recorded(self, swapped: Intake) -> None:
        store = swapped.store
        before, number = everything(store), entry_of(store, "movement", -1)
        wrong = [Mend(entry=number, changes={"moved_on": "2024-01-30"})]
        shown = mend(store, wrong, moves_on=DAY, preview=True, **BY)
        assert everything(store) == before
        moved = {(row.serial_number, row.what, row.requirement) for row in shown.moved}
        assert ("0103", "due point", "OVH") in moved
        done = mend(store, wrong, moves_on=DAY, **BY)
        assert done.moved == shown.moved

    def test_agreed_to_and_meanwhile_something_recorded_it_is_shown_again(self, swapped: Intake) -> None:
        store = swapped.store
        wrong = [Mend(entry=entry_of(store, "movement", -1), changes={"moved_on": "2024-01-22"})]
        with store.reading() as connection:
            digest = list(all_entries(connection))[-1].digest
        swapped.take({"readings": readings("Q-BBB", "2024-03-01", 2, base=20_000)})
        before = everything(store)
        with pytest.raises(Refusal) as refused:
            mend(store, wrong, head=digest, **BY)
        assert refused.value.code == "recorded-meanwhile"
        assert everything(store) == before


class TestRefused:
    @pytest.mark.parametrize(
        ("wrong", "code"),
        [
            ([], "nothing-to-mend"),
            ([Mend(entry=99_999)], "entry-not-known"),
            ([Mend(entry=0, item=99)], "item-not-known"),
            ([Mend(entry=0, changes={"minutes": "1:00"})], "item-not-named"),
            ([Mend(entry=0, item=3), Mend(entry=0, item=3)], "item-named-twice"),
            ([Mend(entry=0, item=3, changes={"minutes": "10024:00"})], "nothing-changes"),
        ],
    )
    def test_what_is_not_said_rightly(self, fleet: Intake, wrong: list[Mend], code: str) -> None:
        """Entry 0 stands for the first block of readings."""
        block, before = entry_of(fleet.store, "reading", 0), everything(fleet.store)
        named = [Mend(entry=each.entry or block, item=each.item, changes=each.changes) for each in wrong]
        with pytest.raises(Refusal) as refused:
            mend(fleet.store, named, **BY)
        assert refused.value.code == code
        assert everything(fleet.store) == before

    def test_a_unit_that_nothing_else_speaks_of_leaves_no_row_behind(self, fleet: Intake) -> None:
        fleet.take({"units": [unit(SLIDE, "0199", store="Main", condition="serviceable")]})
        withdraw(fleet.store, entry_of(fleet.store, "unit"), **BY)
        assert rebuilt_differs(fleet.store) == {}
        with fleet.store.reading() as connection:
            assert read_rows(connection, PlacementRow, unit_ids=[9]) == []

    def test_a_unit_is_withdrawn_with_everything_that_speaks_of_it(self, swapped: Intake) -> None:
        store = swapped.store
        with store.reading() as connection:
            openings = [e for e in all_entries(connection) if e.kind == "unit"]
            own = next(e for e in openings if e.body["items"][0]["serial_number"] == "0104")
        with pytest.raises(Refusal) as refused:
            withdraw(store, own.number, **BY)
        assert refused.value.code == "still-referred-to"

    @pytest.mark.parametrize(
        ("kind", "changes", "code"),
        [
            ("movement", {"position": "Z9"}, "position-unknown"),
            ("movement", {"position": " l1 "}, "nothing-changes"),
            ("movement", {"airframe": 77}, "airframe-unknown"),
            ("movement", {"installed": 77}, "unit-unknown"),
            ("movement", {"removed": None, "installed": None}, "value-impossible"),
            ("movement", {"removed_to": "moon"}, "value-impossible"),
            ("movement", {"sequence": 10_000}, "value-impossible"),
            ("movement", {"sequence": 10**30}, "field-not-read"),
            ("transfer", {"target": "parent"}, "place-incomplete"),
            ("transfer", {"slot": "bottle"}, "place-incomplete"),
            ("transfer", {"target": "parent", "parent": 4, "slot": "bottle"}, "value-impossible"),
            ("accomplishment", {"requirement": "OVX"}, "requirement-unknown"),
            ("unit", {"unit": 3}, "field-not-read"),
            ("unit", {"parent": None}, "place-incomplete"),
            ("unit", {"slot": "nose"}, "slot-unknown"),
            ("unit", {"parent": 5}, "slot-unknown"),
            ("unit", {"place": "position", "parent": None, "slot": None}, "place-incomplete"),
        ],
    )
    def test_what_no_row_of_a_file_could_state(
        self, swapped: Intake, kind: str, changes: dict[str, Any], code: str
    ) -> None:
        """Units: 4 is 0104, which was sent to the shop; the last opening is that of a bottle in its slot."""
        swapped.take({"transfers": [transfer("0104", "2024-01-25", "shop")]})
        before = everything(swapped.store)
        with pytest.raises(Refusal) as refused:
            correct(swapped.store, entry_of(swapped.store, kind), changes=changes, **BY)
        assert refused.value.code == code
        assert everything(swapped.store) == before

    def test_a_pack_is_not_made_one_with_a_bottle_that_could_not_hold_what_it_holds(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            merge_units(
                fleet.store,
                UnitName(part_number=SLIDE, serial_number="0103"),
                UnitName(part_number=BOTTLE, serial_number="R2"),
                **BY,
            )
        assert refused.value.code == "slot-unknown"
        assert everything(fleet.store) == before
