"""What cannot be taken in: every bad row is listed by its line, with what to do, and nothing is written."""

from __future__ import annotations

from typing import Any

import pytest

from fleetlife.terms.refusal import Refusal

from .fleet import (
    BOTTLE,
    SLIDE,
    Files,
    Intake,
    everything,
    head,
    movement,
    only,
    places,
    readings,
    small_fleet,
    state,
    transfer,
    unit,
)


def with_rows(**more: list[dict[str, Any]]) -> Files:
    files = small_fleet()
    for name, rows in more.items():
        files.setdefault(name, []).extend(rows)
    return files


class TestWholeOrNotAtAll:
    def test_one_bad_row_keeps_everything_out(self, intake: Intake) -> None:
        files = with_rows(units=[unit(SLIDE, "0109", position="L7", registration="Q-AAA")])
        problem = only(intake.refused(files))
        assert (problem.file, problem.line, problem.column, problem.value) == ("units.csv", 10, "position", "L7")
        assert "L1, R1" in problem.reason
        assert head(intake.store) == 0

    def test_every_bad_row_is_listed_in_the_order_of_files_and_lines(self, other_intake: Intake) -> None:
        files = small_fleet()
        files["units"][0]["registration"] = "Q-AAB"
        files["units"][3]["store"] = "Main"
        files["units"][3]["position"] = "L1"
        files["accomplishments"][1]["requirement"] = "OHV"
        files["certificates"].append({**files["certificates"][0], "status": "Repaired"})
        files["readings"][5]["hours_total"] = "1:00"
        found = places(other_intake.refused(files))
        assert found == sorted(found)
        assert {file for file, _, _ in found} == {"units.csv", "accomplishments.csv", "certificates.csv"}
        assert ("units.csv", 2, "registration") in found
        assert ("accomplishments.csv", 3, "requirement") in found

    def test_a_row_that_rests_on_a_bad_one_is_told_once_as_such(self, other_intake: Intake) -> None:
        files = small_fleet()
        files["units"][0]["registration"] = "Q-ZZZ"
        files["movements"] = [movement("2024-01-10", off="0101", fit="0103")]
        problems = other_intake.refused(files)
        resting = [p for p in problems if "It rests on line" in p.reason]
        assert [(p.file, p.line) for p in problems if p not in resting] == [("units.csv", 2)]
        assert places(resting) == [
            ("accomplishments.csv", 2, "serial_number"),
            ("accomplishments.csv", 6, "serial_number"),
            ("movements.csv", 2, "removed_serial_number"),
            ("units.csv", 6, "parent_serial_number"),
        ]

    def test_a_row_that_rests_on_one_that_could_not_be_read_too(self, other_intake: Intake) -> None:
        files = small_fleet()
        files["units"][0]["as_of"] = "2024-13-01"
        problems = other_intake.refused(files)
        assert [p.column for p in problems if "rests on" not in p.reason] == ["as_of"]
        assert any("rests on" in p.reason for p in problems)

    def test_units_of_a_part_that_could_not_be_read_too(self, other_intake: Intake) -> None:
        files = small_fleet()
        files["parts"][1]["rig"] = "both"
        problems = other_intake.refused(files)
        assert [(p.file, p.column) for p in problems if "rests on a row of parts" not in p.reason
                and "rests on line" not in p.reason] == [("parts.csv", "rig")]  # fmt: skip
        assert {p.file for p in problems} == {
            "parts.csv", "slots.csv", "requirements.csv", "units.csv", "accomplishments.csv",
        }  # fmt: skip

    def test_mended_they_are_taken_in(self, intake: Intake) -> None:
        files = small_fleet()
        files["units"][0]["registration"] = "Q-AAB"
        intake.refused(files)
        files["units"][0]["registration"] = "Q-AAA"
        intake.take(files)
        assert state(intake.store, "0101").position == "L1"


class TestKeys:
    def test_one_key_with_two_contents_names_both_lines(self, other_intake: Intake) -> None:
        files = with_rows(parts=[{"part_number": SLIDE, "manufacturer": "Kittiwake", "rig": "left"}])
        problem = only(other_intake.refused(files))
        assert (problem.file, problem.line) == ("parts.csv", 5)
        assert "Line 2 of parts" in problem.reason

    def test_what_contradicts_the_records_names_the_entry_and_the_correction(self, fleet: Intake) -> None:
        files = small_fleet()
        problem = only(fleet.refused({"parts": [{**files["parts"][0], "rig": "left"}]}))
        assert "Entry 4 states this key with other content" in problem.reason
        assert "ledger correct 4" in problem.remedy

    def test_another_opening_of_a_known_unit_is_refused(self, fleet: Intake) -> None:
        files = small_fleet()
        changed = {**files["units"][0], "hours_since_new": "1001:00"}
        assert "other content" in only(fleet.refused({"units": [changed]})).reason

    def test_a_unit_in_another_spelling_is_the_same_unit(self, fleet: Intake) -> None:
        changed = unit("qx100-1", "0101", store="Main", manufacturer="KITTIWAKE")
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            fleet.take({"units": [changed]})
        assert refused.value.code == "rows-refused"
        assert everything(fleet.store) == before

    def test_another_reading_of_a_known_day(self, fleet: Intake) -> None:
        row = {**small_fleet()["readings"][4], "hours_total": "10033:00"}
        problem = only(fleet.refused({"readings": [row]}))
        assert "10032:00" in problem.reason
        assert "correct" in problem.remedy

    def test_two_readings_of_one_day_in_one_file(self, other_intake: Intake) -> None:
        first = small_fleet()["readings"][4]
        files = with_rows(readings=[{**first, "hours_total": "10033:00"}])
        assert "Line 6" in only(other_intake.refused(files)).reason

    def test_a_unit_placed_twice_at_one_moment_by_two_files(self, fleet: Intake) -> None:
        moved = movement("2024-01-10", off="0101", sequence=5)
        sent = transfer("0101", "2024-01-10", "shop", sequence=5)
        problems = fleet.refused({"movements": [moved], "transfers": [sent]})
        assert "same moment" in only(problems).reason


class TestNames:
    def test_an_unknown_registration_names_the_nearest(self, fleet: Intake) -> None:
        problem = only(fleet.refused({"movements": [{**movement("2024-01-10", off="0101"), "registration": "Q-AAC"}]}))
        assert problem.column == "registration"
        assert "Q-AAA" in problem.reason

    def test_a_registration_is_read_on_the_rows_own_day(self, fleet: Intake) -> None:
        fleet.take({"registrations": [{"constructor_serial": "1001", "registration": "Q-NEW", "from": "2024-01-20"}]})
        problem = only(fleet.refused({"movements": [movement("2024-01-20", off="0101")]}))
        assert "No airframe bore Q-AAA on 2024-01-20" in problem.reason
        fleet.take({"movements": [{**movement("2024-01-20", off="0101"), "registration": "Q-NEW"}]})
        assert state(fleet.store, "0101").kind == "store"

    def test_an_unknown_unit_tells_under_which_number_its_serial_stands(self, fleet: Intake) -> None:
        row = {**movement("2024-01-10"), "removed_part_number": "QX100-9", "removed_serial_number": "0101"}
        assert f"recorded under part number {SLIDE}" in only(fleet.refused({"movements": [row]})).reason

    def test_two_like_named_units_are_both_named(self, other_intake: Intake) -> None:
        files = with_rows(
            parts=[{"part_number": SLIDE, "manufacturer": "Gannet", "rig": "either"}],
            units=[unit(SLIDE, "0101", store="Main", manufacturer="Gannet")],
        )
        for row in files["units"][:-1]:
            row["manufacturer"] = "Kittiwake"
        files["certificates"] = files["certificates"][1:]
        files["accomplishments"] = []
        files["movements"] = [movement("2024-01-10", off="0101")]
        problems = other_intake.refused(files)
        assert any("by Gannet and Kittiwake" in p.reason for p in problems if p.file == "movements.csv")
        files["movements"] = [movement("2024-01-10", off="0101", removed_manufacturer="Kittiwake")]
        assert not any(p.file == "movements.csv" for p in other_intake.refused(files))

    def test_a_unit_without_its_serial(self, fleet: Intake) -> None:
        row = {**movement("2024-01-10"), "removed_part_number": SLIDE}
        assert only(fleet.refused({"movements": [row]})).column == "removed_serial_number"

    @pytest.mark.parametrize("serial", ["N/A", "na", "-", "none"])
    def test_an_item_without_serial_needs_the_operators_own_number(self, other_intake: Intake, serial: str) -> None:
        problem = only(other_intake.refused(with_rows(units=[unit(SLIDE, serial, store="Main")])))
        assert "OWN:" in problem.remedy

    def test_and_its_batch(self, other_intake: Intake) -> None:
        assert only(other_intake.refused(with_rows(units=[unit(SLIDE, "OWN:7", store="Main")]))).column == "batch"
        other_intake.take(with_rows(units=[unit(SLIDE, "OWN:7", store="Main", batch="B-1")]))

    @pytest.mark.parametrize(
        ("file", "row", "column"),
        [
            ("positions", {"type": "ISL-91", "position": "L1", "side": "left"}, "type"),
            ("airframes", {"registration": "Q-C", "constructor_serial": "1003", "type": "ISL-91"}, "type"),
            (
                "registrations",
                {"constructor_serial": "9", "registration": "Q-C", "from": "2024-01-01"},
                "constructor_serial",
            ),
            ("modifications", {"registration": "Q-X", "modification": "M", "date": "2024-01-01"}, "registration"),
            ("slots", {"part_number": "X", "slot": "s", "child_part_number": BOTTLE}, "part_number"),
            ("eligibility", {"type": "ISL-90", "position": "L9", "part_number": SLIDE}, "position"),
            (
                "requirements",
                {"requirement": "R", "part_number": "X", "kind": "overhaul", "repeat_months": 1},
                "part_number",
            ),
            (
                "bands",
                {"requirement": "R", "part_number": SLIDE, "from_age_months": 9, "repeat_months": 1},
                "requirement",
            ),
            ("units", unit("X", "1", store="Main"), "part_number"),
            (
                "units",
                unit(SLIDE, "9", parent_part_number=SLIDE, parent_serial_number="0999", slot="bottle"),
                "parent_serial_number",
            ),
            ("units", unit(BOTTLE, "9", parent_part_number=SLIDE, parent_serial_number="0101", slot="squib"), "slot"),
            ("units", unit(BOTTLE, "9", parent_part_number=SLIDE, parent_serial_number="0101"), "slot"),
            ("units", unit(SLIDE, "9", position="L1"), "registration"),
            ("units", unit(SLIDE, "9", store="Main", installed="2024-01-02"), "installed"),
            (
                "unit_modifications",
                {
                    "part_number": SLIDE,
                    "serial_number": "0101",
                    "modification": "M",
                    "date": "2024-02-01",
                    "new_part_number": "X",
                },
                "new_part_number",
            ),
            (
                "operations",
                {"part_number": SLIDE, "serial_number": "9", "date": "2024-02-01", "operation": "filling", "count": 1},
                "serial_number",
            ),
            (
                "variations",
                {
                    "part_number": SLIDE,
                    "serial_number": "0101",
                    "requirement": "OVH",
                    "until": "2024-02-01",
                    "approved_on": "2024-01-01",
                },
                "requirement",
            ),
            (
                "utilisation",
                {
                    "registration": "Q-AAA",
                    "from": "2024-02-01",
                    "to": "2024-01-01",
                    "hours_per_day": "8:00",
                    "cycles_per_day": 3,
                },
                "to",
            ),
            ("movements", movement("2024-01-10"), "removed_part_number"),
            ("movements", movement("2024-01-10", off="0101", fit="0101"), "installed_serial_number"),
            ("movements", movement("2024-01-10", "L5", off="0101"), "position"),
            (
                "transfers",
                transfer("R1", "2024-01-10", "parent", BOTTLE, parent_part_number=SLIDE, parent_serial_number="0103"),
                "slot",
            ),
            ("transfers", transfer("0999", "2024-01-10"), "serial_number"),
            (
                "readings",
                {"registration": "Q-ZZ", "date": "2024-03-01", "hours_total": "1:00", "cycles_total": 1},
                "registration",
            ),
        ],
    )
    def test_every_reference_to_what_is_not_there(
        self, other_fleet: Intake, file: str, row: dict[str, Any], column: str
    ) -> None:
        problem = only(other_fleet.refused({file: [row]}))
        assert (problem.file, problem.line, problem.column) == (f"{file}.csv", 2, column)
        assert problem.reason
        assert problem.remedy


class TestFigures:
    def test_hours_with_a_point_need_to_be_told_how_they_are_meant(self, fleet: Intake) -> None:
        row = {"registration": "Q-AAA", "date": "2024-03-01", "hours_total": "10400.30", "cycles_total": 2000}
        problem = only(fleet.refused({"readings": [row]}))
        assert (problem.column, problem.value) == ("hours_total", "10400.30")
        assert "--hours" in problem.remedy
        fleet.take({"readings": [row]}, hours="minutes")
        problem = only(
            fleet.refused({"readings": [{**row, "date": "2024-03-02", "hours_total": "10400.29"}]}, hours="minutes")
        )
        assert "10400:30" in problem.reason

    @pytest.mark.parametrize(
        ("hours", "cycles", "column"), [("10295:59", 2000, "hours_total"), ("10400:00", 1000, "cycles_total")]
    )
    def test_a_reading_below_the_one_before(self, fleet: Intake, hours: str, cycles: int, column: str) -> None:
        row = {"registration": "Q-AAA", "date": "2024-03-01", "hours_total": hours, "cycles_total": cycles}
        problem = only(fleet.refused({"readings": [row]}))
        assert (problem.line, problem.column) == (2, column)
        assert "2024-01-31" in problem.reason

    def test_a_reading_above_the_one_after(self, fleet: Intake) -> None:
        fleet.take({"readings": readings("Q-AAA", "2024-03-01", 1, base=10_400)})
        row = {"registration": "Q-AAA", "date": "2024-02-20", "hours_total": "10400:01", "cycles_total": 1035}
        assert only(fleet.refused({"readings": [row]})).column == "hours_total"

    @pytest.mark.parametrize(
        ("hours", "cycles", "column", "word"),
        [
            ("10119:59", None, "hours_total", "below the reading of 2024-01-09"),
            ("10128:01", None, "hours_total", "above the reading of 2024-01-10"),
            (None, 1011, "cycles_total", "below the reading of 2024-01-09"),
            (None, 1013, "cycles_total", "above the reading of 2024-01-10"),
        ],
    )
    def test_totals_of_a_movement_lie_between_the_readings_around_it(
        self, fleet: Intake, hours: str | None, cycles: int | None, column: str, word: str
    ) -> None:
        row = movement("2024-01-10", off="0101", hours_total=hours, cycles_total=cycles)
        problem = only(fleet.refused({"movements": [row]}))
        assert problem.column == column
        assert word in problem.reason

    def test_and_between_readings_of_the_same_intake(self, fleet: Intake) -> None:
        files: Files = {
            "readings": readings("Q-AAA", "2024-03-01", 2, base=10_400),
            "movements": [movement("2024-03-02", off="0101", hours_total="10408:01", cycles_total=1040)],
        }
        assert "above the reading of 2024-03-02" in only(fleet.refused(files)).reason

    def test_totals_of_two_movements_do_not_fall(self, fleet: Intake) -> None:
        rows = [
            movement("2024-03-02", "L1", off="0101", hours_total="10408:00", cycles_total=1040),
            movement("2024-03-03", "R1", off="0102", hours_total="10407:00", cycles_total=1041),
        ]
        assert "earlier movement" in only(fleet.refused({"movements": rows})).reason

    @pytest.mark.parametrize(
        ("day", "hours", "cycles", "column", "word"),
        [
            ("2024-03-03", "10407:59", None, "hours_total", "below"),
            ("2024-03-01", "10408:01", None, "hours_total", "above"),
            ("2024-03-03", None, 1039, "cycles_total", "below"),
            ("2024-03-01", "10408:00", 1041, "cycles_total", "above"),
        ],
    )
    def test_nor_against_those_recorded(
        self, fleet: Intake, day: str, hours: str | None, cycles: int | None, column: str, word: str
    ) -> None:
        fleet.take({"movements": [movement("2024-03-02", "L1", off="0101", hours_total="10408:00", cycles_total=1040)]})
        recorded, before = head(fleet.store), everything(fleet.store)
        row = movement(day, "R1", off="0102", hours_total=hours, cycles_total=cycles)
        problem = only(fleet.refused({"movements": [row]}))
        assert (problem.line, problem.column) == (2, column)
        assert f"{word} what entry {recorded} states" in problem.reason
        assert everything(fleet.store) == before

    @pytest.mark.parametrize(
        ("day", "base", "word"), [("2024-03-02", 10_400, "above"), ("2024-03-01", 10_409, "below")]
    )
    def test_nor_a_reading_against_what_a_movement_stated(self, fleet: Intake, day: str, base: int, word: str) -> None:
        fleet.take({"movements": [movement("2024-03-02", "L1", off="0101", hours_total="10408:00", cycles_total=1040)]})
        recorded, before = head(fleet.store), everything(fleet.store)
        rows = readings("Q-AAA", day, 1, base=base)
        told = [problem for problem in fleet.refused({"readings": rows}) if problem.column == "hours_total"]
        assert [problem.line for problem in told] == [2]
        assert f"Entry {recorded}, a movement of 2024-03-02, states 10408:00" in told[0].reason
        assert f"{word} this reading" in told[0].reason
        assert f"ledger correct {recorded}" in told[0].remedy
        assert everything(fleet.store) == before


class TestOrderOfADay:
    def test_two_orders_with_different_results_are_asked_for(self, fleet: Intake) -> None:
        rows = [
            transfer("0103", "2024-01-10", "shop", organisation="Fulmar"),
            transfer("0103", "2024-01-10", "store", store="Second"),
        ]
        problems = fleet.refused({"transfers": rows})
        assert places(problems) == [("transfers.csv", 2, "sequence"), ("transfers.csv", 3, "sequence")]
        for number, row in enumerate(rows, 1):
            row["sequence"] = number
        fleet.take({"transfers": rows})
        assert state(fleet.store, "0103").place_name == "Second"

    def test_the_only_possible_order_is_taken_whatever_the_files_order(self, fleet: Intake) -> None:
        rows = [movement("2024-01-10", fit="0103"), movement("2024-01-10", off="0101")]
        fleet.take({"movements": rows, "transfers": [transfer("0101", "2024-01-10", "shop")]})
        assert state(fleet.store, "0103").position == "L1"
        assert state(fleet.store, "0101").kind == "shop"


class TestContradictions:
    """What cannot be is told by the line that states it, with the line or the entry in its way."""

    @pytest.mark.parametrize(
        ("rows", "words"),
        [
            ({"movements": [movement("2024-01-10", fit="0103")]}, "two units would be at position L1"),
            ({"movements": [movement("2024-01-10", off="0103")]}, "not have it at position L1"),
            ({"movements": [movement("2024-01-10", "R1", off="0102", fit="0101")]}, "installed at position L1"),
            ({"movements": [movement("2023-12-31", off="0101")]}, "not after the unit's opening statement"),
            ({"transfers": [transfer("0101", "2024-01-10", "shop")]}, "installed at position L1"),
        ],
    )
    def test_against_the_records(self, fleet: Intake, rows: Files, words: str) -> None:
        problem = only(fleet.refused(rows))
        assert (problem.line, words in problem.reason) == (2, True), problem.sentence()
        assert "entry" in problem.reason
        assert problem.file == f"{next(iter(rows))}.csv"

    def test_a_late_row_that_what_is_recorded_rules_out_is_told_by_its_own_line(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-20", off="0101")]})
        problem = only(fleet.refused({"movements": [movement("2024-01-10", off="0101")]}))
        assert (problem.file, problem.line) == ("movements.csv", 2)
        assert "entry 30 is in the way" in problem.reason

    def test_within_the_files(self, intake: Intake) -> None:
        files = with_rows(movements=[movement("2024-01-10", off="0101"), movement("2024-01-12", off="0101")])
        problem = only(intake.refused(files))
        assert (problem.file, problem.line) == ("movements.csv", 3)
        assert "line 2 of movements.csv" in problem.reason

    def test_two_units_opened_at_one_position(self, intake: Intake) -> None:
        files = with_rows(units=[unit(SLIDE, "0109", position="L1", registration="Q-AAA")])
        problem = only(intake.refused(files))
        assert problem.file == "units.csv"
        assert "two units would be at position L1" in problem.reason

    def test_a_slot_that_is_taken(self, fleet: Intake) -> None:
        row = transfer("R3", "2024-01-10", "parent", BOTTLE, parent_part_number=SLIDE, parent_serial_number="0101",
                       slot="bottle")  # fmt: skip
        assert "slot bottle" in only(fleet.refused({"transfers": [row]})).reason

    def test_units_that_hold_one_another(self, other_fleet: Intake) -> None:
        other_fleet.take({"slots": [{"part_number": BOTTLE, "slot": "pack", "child_part_number": SLIDE}]})
        row = transfer("0103", "2024-01-10", "parent", SLIDE, parent_part_number=BOTTLE, parent_serial_number="R3",
                       slot="pack")  # fmt: skip
        assert "hold" in only(other_fleet.refused({"transfers": [row]})).reason

    def test_a_unit_in_itself(self, fleet: Intake) -> None:
        into = {"parent_part_number": SLIDE, "parent_serial_number": "0103", "slot": "bottle"}
        problem = only(fleet.refused({"transfers": [transfer("0103", "2024-01-10", "parent", **into)]}))
        assert problem.reason == "A unit cannot hold itself."
        opened = unit(SLIDE, "0103", **into)
        assert only(fleet.refused({"units": [opened]})).reason == "A unit cannot hold itself."
