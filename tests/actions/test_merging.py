"""Two records of one unit made one: everything said again, both numbers found, two units as known before."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.merge import merge_units
from fleetlife.actions.plate import PlateSeen, record_plate
from fleetlife.actions.swap import UnitName
from fleetlife.answers.audit import audit
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.clocks.named import find_unit
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import CarriageRow, PlacementRow
from fleetlife.store.engine import Store
from fleetlife.store.rows import read_rows
from fleetlife.terms.refusal import Refusal

from .fleet import BOTTLE, SLIDE, Files, Intake, everything, head, movement, rebuilt_differs, transfer, unit

DAY = date(2024, 1, 31)
BY: dict[str, Any] = {"reason": "taken in twice", "authorised_by": "Q2", "recorded_by": "clerk"}
GONE, STAYS = UnitName(part_number=SLIDE, serial_number="O103"), UnitName(part_number=SLIDE, serial_number="0103")


def twice(**fields: Any) -> Files:
    """0103 a second time, with a letter O, another paper, the overhaul claimed again and a test of its own."""
    own = {"part_number": SLIDE, "serial_number": "O103"}
    return {
        "units": [unit(SLIDE, "O103", store="Main", bin="Z9", condition="serviceable", **fields)],
        "certificates": [
            {**own, "tracking_number": "T9", "organisation": "Auk Repair", "status": "Repaired", "date": "2023-11-20"}
        ],
        "accomplishments": [
            {**own, "requirement": "OVH", "date": "2023-11-10", "hours_since_new": "950:00"},
        ],
    }


def card(store: Store, serial: str, **clocks: Any) -> Any:
    return unit_card(store, part_number=SLIDE, serial_number=serial, as_of=DAY, **clocks)


def clean(store: Store) -> bool:
    return rebuilt_differs(store) == {} and verify(store).findings == ()


@pytest.fixture
def doubled(fleet: Intake) -> Intake:
    fleet.take(twice())
    return fleet


class TestMerged:
    def test_what_the_one_said_the_other_says(self, doubled: Intake) -> None:
        store = doubled.store
        assert [each.code for each in audit(store, as_of=DAY, codes=["IDN101"]).findings] == ["IDN101"]
        done = merge_units(store, GONE, STAYS, **BY)
        assert (done.gone, done.stays) == (f"{SLIDE} O103", f"{SLIDE} 0103")
        one = card(store, "0103")
        assert [paper.tracking_number for paper in one.papers] == ["T3", "T9"]
        assert any(line.startswith("2023-11-10 OVH") for line in one.done)
        assert audit(store, as_of=DAY, codes=["IDN101"]).findings == ()
        assert clean(store)

    def test_its_numbers_find_the_other_and_say_so(self, doubled: Intake) -> None:
        store = doubled.store
        entries = merge_units(store, GONE, STAYS, **BY).mended.entries
        asked = card(store, "O103")
        assert asked.serial_number == "0103"
        assert len(asked.about.notes) == 1
        assert asked.about.notes[0].startswith(f"{SLIDE} O103 is recorded as {SLIDE} 0103 since entry ")
        assert int(asked.about.notes[0].rstrip(".").rpartition(" ")[2]) in entries

    def test_known_before_they_were_two(self, doubled: Intake) -> None:
        store, before = doubled.store, str(head(doubled.store))
        merge_units(store, GONE, STAYS, **BY)
        then = card(store, "O103", known_at=before)
        assert (then.serial_number, [paper.tracking_number for paper in then.papers]) == ("O103", ["T9"])
        assert [paper.tracking_number for paper in card(store, "0103", known_at=before).papers] == ["T3"]

    def test_the_files_of_before_are_unchanged(self, doubled: Intake) -> None:
        merge_units(doubled.store, GONE, STAYS, **BY)
        before = everything(doubled.store)
        report = doubled.take(twice())
        assert report.entries == 0
        assert report.notes
        assert everything(doubled.store) == before

    def test_shown_only_nothing_is_recorded(self, doubled: Intake) -> None:
        before = everything(doubled.store)
        shown = merge_units(doubled.store, GONE, STAYS, moves_on=DAY, preview=True, **BY)
        assert ("unit", "withdrawn", "O103") in {(r.what, r.move, r.serial_number) for r in shown.mended.moved}
        assert everything(doubled.store) == before

    def test_the_same_work_claimed_by_both_is_said_once(self, fleet: Intake) -> None:
        files = twice()
        files["accomplishments"][0].update(date="2023-10-10", hours_since_new="900:00")
        paper = {"certificate": "T3", "certificate_organisation": "Fulmar Repair"}
        files["accomplishments"][0].update(paper)
        fleet.take(files)
        merge_units(fleet.store, GONE, STAYS, **BY)
        assert sum("2023-10-10 OVH" in line for line in card(fleet.store, "0103").done) == 1
        assert clean(fleet.store)

    def test_what_only_the_one_knew_of_its_birth_the_other_knows(self, fleet: Intake) -> None:
        fleet.take(twice(owner="Lessor"))
        merge_units(fleet.store, GONE, STAYS, **BY)
        assert card(fleet.store, "0103").owner == "Lessor"
        assert clean(fleet.store)

    def test_what_hung_in_it_hangs_in_the_other(self, fleet: Intake) -> None:
        """The pack is one, and its bottle was recorded under the second record only."""
        files = twice()
        files["units"] += [
            unit(
                BOTTLE, "R9", parent_part_number=SLIDE, parent_serial_number="O103", slot="battery", manufactured="2015"
            )
        ]
        fleet.take(files)
        merge_units(fleet.store, GONE, STAYS, **BY)
        assert any("R9" in child for child in card(fleet.store, "0103").children)
        assert clean(fleet.store)

    def test_a_plate_that_reads_the_other_number_is_answered_by_it(self, doubled: Intake) -> None:
        store = doubled.store
        seen = PlateSeen(unit=GONE, plate=(SLIDE, "0103"), on=DAY, seen_by="S4")
        assert record_plate(store, seen, as_of=DAY, recorded_by="clerk").hold
        merge_units(store, GONE, STAYS, **BY)
        assert card(store, "0103").hold is None
        assert audit(store, as_of=DAY, codes=["IDN102"]).findings == ()
        assert clean(store)


class TestRefused:
    def refused(self, fleet: Intake, gone: UnitName = GONE, stays: UnitName = STAYS) -> Refusal:
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            merge_units(fleet.store, gone, stays, **BY)
        assert everything(fleet.store) == before
        return refused.value

    def test_both_moved_at_one_time_names_the_entries(self, doubled: Intake) -> None:
        doubled.take({"transfers": [transfer("O103", "2024-01-10", store="Line")]})
        one = head(doubled.store)
        doubled.take({"transfers": [transfer("0103", "2024-01-11", store="Line")]})
        refusal = self.refused(doubled)
        assert refusal.code == "histories-overlap"
        assert f"entries {one}," in refusal.message
        assert f"entries {one + 1}." in refusal.message
        assert "one time" in refusal.message

    def test_the_one_that_moved_is_the_one_that_stays(self, doubled: Intake) -> None:
        doubled.take({"transfers": [transfer("O103", "2024-01-10", store="Line")]})
        refusal = self.refused(doubled)
        assert refusal.code == "histories-overlap"
        assert f"{SLIDE} 0103 into {SLIDE} O103" in refusal.remedy

    @pytest.mark.parametrize(
        "fields",
        [
            {"manufactured": "2016-03-01"},
            {"hours_since_new": "1200:00"},
            {"hours_since_new": "1000:00", "as_of": "2023-06-01"},
            {"hold": "suspect paper"},
        ],
    )
    def test_records_that_differ_in_what_counts(self, fleet: Intake, fields: dict[str, str]) -> None:
        files = twice(**{name: value for name, value in fields.items() if name != "as_of"})
        if "as_of" in fields:
            files["units"][0].update(as_of=fields["as_of"], hours_since_new="900:00")
        fleet.take(files)
        assert self.refused(fleet).code == "records-differ"

    def test_the_same_work_said_otherwise(self, fleet: Intake) -> None:
        files = twice()
        files["accomplishments"][0].update(date="2023-10-10", hours_since_new="950:00")
        fleet.take(files)
        assert self.refused(fleet).code == "records-differ"

    def test_a_unit_and_itself(self, fleet: Intake) -> None:
        assert self.refused(fleet, gone=STAYS).code == "same-unit"

    def test_work_counted_back_from_another_day(self, fleet: Intake) -> None:
        files = twice()
        files["units"][0].update(as_of="2023-12-20")
        files["accomplishments"][0].update(hours_since="50:00")
        del files["accomplishments"][0]["hours_since_new"]
        fleet.take(files)
        refusal = self.refused(fleet)
        assert refusal.code == "records-differ"
        assert "counted to 2023-12-20" in refusal.message


def again(serial: str = "O103", **fields: Any) -> Files:
    """0103 recorded a second time from 2024-01-20 on, when it came back from the shop: in stores, then on R1."""
    own = {"as_of": "2024-01-20", "store": "Main", "condition": "serviceable", "manufactured": "2015-03-01"}
    return {
        "units": [unit(SLIDE, serial, **own | fields)],
        "movements": [
            movement("2024-01-25", "R1", off="0102"),
            movement("2024-01-26", "R1", fit=serial, harness="right"),
        ],
    }


@pytest.fixture
def continued(fleet: Intake) -> Intake:
    """0103 on the aircraft from 2024-01-05 to 2024-01-10, then sent to a shop, from where another record goes on."""
    fleet.take(
        {
            "movements": [
                movement("2024-01-05", off="0101", fit="0103", hours_total="10084:00", cycles_total=1008),
                movement("2024-01-10", off="0103", hours_total="10124:00", cycles_total=1012),
            ],
            "transfers": [transfer("0103", "2024-01-12", "shop", organisation="Fulmar Repair")],
        }
    )
    return fleet


def run(store: Store, serial: str) -> tuple[Any, Any]:
    one = card(store, serial)
    return one.hours_since_new, one.cycles_since_new


class TestOneGoesOnWhereTheOtherEnded:
    def test_its_numbers_find_the_one_that_stays(self, continued: Intake) -> None:
        store = continued.store
        continued.take(again(hours_since_new="1040:00", cycles_since_new=504))
        done = merge_units(store, GONE, STAYS, **BY)
        one = card(store, "0103")
        assert one.serial_number == "0103"
        assert clean(store)
        assert "O103" in done.gone
        assert card(store, "O103").serial_number == "0103"

    def test_ends_in_the_rows_of_one_record(self, continued: Intake) -> None:
        """As if the clerk had written of 0103 that it came back into stores, and went on R1."""
        store = continued.store
        continued.take(again(hours_since_new="1040:00", cycles_since_new=504))
        merge_units(store, GONE, STAYS, **BY)
        with store.reading() as connection:
            unit_id = find_unit(connection, SLIDE, "0103", None)[0]
            stays = read_rows(connection, PlacementRow, unit_ids=[unit_id])
            carried = read_rows(connection, CarriageRow, unit_ids=[unit_id])
        told = [(row.kind, day_text(day_of(row.from_moment)), row.condition) for row in stays]
        assert told[-3:] == [
            ("shop", "2024-01-12", "unserviceable"),
            ("store", "2024-01-20", "serviceable"),
            ("position", "2024-01-26", "serviceable"),
        ]
        assert [
            (day_text(day_of(row.from_moment)), row.until_minutes and row.until_minutes - (row.from_minutes or 0))
            for row in carried
        ] == [
            ("2024-01-05", 40 * 60),
            ("2024-01-26", None),
        ]

    def test_hung_where_the_second_record_begins(self, continued: Intake) -> None:
        """The second record was opened with the unit fitted: what it flew since is in the counts it states."""
        continued.take({"movements": [movement("2024-01-14", "R1", off="0102")]})
        continued.take({"transfers": [transfer("0103", "2024-01-13", "store", store="Main", condition="serviceable")]})
        fitted = {"position": "R1", "registration": "Q-AAA", "installed": "2024-01-15", "harness": "right"}
        # readings: 10 160 at the end of the 14th, 10 208 of the 20th: 48 flying hours between
        files = again(**fitted, store=None, hours_since_new="1088:00")
        del files["movements"]
        files["transfers"] = [transfer("O103", "2024-01-28", "shop", organisation="Fulmar Repair")]
        files["movements"] = [movement("2024-01-27", "R1", off="O103")]
        continued.take(files)
        merge_units(continued.store, GONE, STAYS, **BY)
        assert clean(continued.store)
        with continued.store.reading() as connection:
            unit_id = find_unit(connection, SLIDE, "0103", None)[0]
            carried = read_rows(connection, CarriageRow, unit_ids=[unit_id])
        assert [day_text(day_of(row.from_moment)) for row in carried] == ["2024-01-05", "2024-01-15"]

    def refused(self, fleet: Intake, gone: UnitName = GONE, stays: UnitName = STAYS) -> Refusal:
        return TestRefused().refused(fleet, gone, stays)

    @pytest.mark.parametrize(
        ("fields", "word"),
        [
            ({"hours_since_new": "1041:00"}, "hours since new (1040:00 and 1041:00)"),
            ({"hours_since_new": "1039:00"}, "hours since new (1040:00 and 1039:00)"),
            ({"hours_since_new": "1040:00", "cycles_since_new": 505}, "cycles since new (504 and 505)"),
            ({"operations_since_new": 3}, "operations since new"),
        ],
    )
    def test_counts_that_are_not_those_it_had_come_to(
        self, continued: Intake, fields: dict[str, Any], word: str
    ) -> None:
        continued.take(again(**fields))
        refusal = self.refused(continued)
        assert refusal.code == "records-differ"
        assert word in refusal.message

    def test_more_than_an_estimate_rounded_against_it(self, fleet: Intake) -> None:
        """Totals at its movements were not stated: 56 hours are the most it can have flown."""
        fleet.take(
            {
                "movements": [movement("2024-01-05", off="0101", fit="0103"), movement("2024-01-10", off="0103")],
                "transfers": [transfer("0103", "2024-01-12", "shop", organisation="Fulmar Repair")],
            }
        )
        state = run(fleet.store, "0103")[0]
        fleet.take(again(hours_since_new="1040:00"))
        assert state != "1040:00"
        merge_units(fleet.store, GONE, STAYS, **BY)
        assert clean(fleet.store)

    def test_begun_on_the_day_of_the_last_move(self, continued: Intake) -> None:
        """Sent to the shop and found back in stores on one day: the second move comes after the first."""
        continued.take(again(as_of="2024-01-12", hours_since_new="1040:00", cycles_since_new=504))
        merge_units(continued.store, GONE, STAYS, **BY)
        assert clean(continued.store)
        with continued.store.reading() as connection:
            unit_id = find_unit(connection, SLIDE, "0103", None)[0]
            stays = read_rows(connection, PlacementRow, unit_ids=[unit_id])
        assert [row.kind for row in stays][-3:] == ["shop", "store", "position"]

    def test_still_fitted_when_the_second_record_begins(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-05", off="0101", fit="0103")]})
        fleet.take(again())
        refusal = self.refused(fleet)
        assert "position L1" in refusal.message
        assert "removal" in refusal.remedy

    def test_the_other_way_round_is_named(self, continued: Intake) -> None:
        continued.take(again(hours_since_new="1040:00", cycles_since_new=504))
        refusal = self.refused(continued, STAYS, GONE)
        assert refusal.code == "histories-overlap"
        assert f"{SLIDE} O103 into {SLIDE} 0103" in refusal.remedy

    def test_fitted_in_another_condition_than_it_came_off(self, continued: Intake) -> None:
        continued.take({"movements": [movement("2024-01-14", "R1", off="0102")]})
        fitted = {"position": "R1", "registration": "Q-AAA", "installed": "2024-01-15", "harness": "right"}
        files = again(**fitted, store=None)
        files["movements"] = [movement("2024-01-27", "R1", off="O103")]
        continued.take(files)
        refusal = self.refused(continued)
        assert refusal.code == "records-differ"
        assert "condition (unserviceable and serviceable)" in refusal.message
