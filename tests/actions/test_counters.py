"""Counters beyond flight hours and cycles: from the files to the due list, and what is refused on the way."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.suppose import supposing
from fleetlife.actions.swap import Acknowledgement, SwapRequest, UnitName, record_swap
from fleetlife.actions.take_in import take_in
from fleetlife.answers.airframe import airframe_card
from fleetlife.answers.audit import audit
from fleetlife.answers.due import due
from fleetlife.answers.export import export
from fleetlife.answers.programme import programme_changes
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unfold import unfolded
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.store.facts import all_entries
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow
from fleetlife.transfer.reading import read_folder
from tests.store.fleet import statements_of

from .counted import PART, worked_example
from .fleet import SLIDE, Files, Intake, Row, everything, only, rebuilt_differs, unit, write

ON = date(2026, 3, 1)
BOTH = pytest.mark.parametrize("counter", ["landings", "APU hours"])


def the_row(intake: Intake, on: date = ON, **asked: Any) -> DueRow:
    (row,) = due(intake.store, as_of=on, everything=True, **asked).rows
    return row


def figures(row: DueRow) -> tuple[Any, ...]:
    return row.state, row.counter_due, row.counter_left, row.due_date, row.unknown_measures, row.estimated


def entry_of(intake: Intake, kind: str) -> int:
    """The first entry of the kind."""
    with intake.store.reading() as connection:
        return next(entry.number for entry in all_entries(connection) if entry.kind == kind)


ACCEPTED = (Acknowledgement(finding="PAP103", reason="paper on its way", name="QA"),)
MENDED = {"reason": "misread", "authorised_by": "QA", "recorded_by": "clerk"}


class TestWorkedExample:
    @pytest.mark.parametrize(("counter", "due_at", "left"), [("landings", 6_370, 370), ("APU hours", 382_185, 22_185)])
    def test_example_2_is_the_same_in_a_counter(self, intake: Intake, counter: str, due_at: int, left: int) -> None:
        intake.take(worked_example(counter))
        row = the_row(intake)
        assert (row.counter, row.counter_due, row.counter_left) == (counter, due_at, left)
        assert (row.due_date, row.due_earliest, row.driver) == ("2026-04-16", "2026-04-16", counter)
        flown = (row.airframe_hours_due, row.airframe_cycles_due, row.hours_left, row.cycles_left)
        assert flown == (None, None, None, None)
        assert row.readings_as_of == "2026-03-01"
        assert f"airframe {counter}" in row.state_reason
        assert verify(intake.store).findings == ()

    @BOTH
    def test_file_by_file_in_any_order_of_the_readings_it_comes_to_the_same(
        self, intake: Intake, other_intake: Intake, counter: str
    ) -> None:
        files = worked_example(counter)
        intake.take(files)
        counted = files.pop("counter_readings")
        other_intake.take(files)
        assert the_row(other_intake).unknown_measures == f"{counter}: no-counter-reading"
        for row in (counted[4], counted[1], counted[0], counted[3], counted[2]):
            other_intake.take({"counter_readings": [row]})
            assert rebuilt_differs(other_intake.store) == {}
        assert the_row(other_intake) == the_row(intake)

    @BOTH
    def test_taken_out_and_into_an_empty_database_it_gives_the_same_answers(
        self, intake: Intake, other_intake: Intake, counter: str, tmp_path: Path
    ) -> None:
        intake.take(worked_example(counter))
        for workbook in (False, True):
            folder = tmp_path / f"out {workbook}"
            assert {"counters", "unit_counters", "counter_readings"} <= {
                name.partition(".")[0] for name, _ in export(intake.store, folder, workbook=workbook)
            }
            if workbook:
                counts = take_in(other_intake.store, read_folder(folder), recorded_by="clerk")
                assert {new for _, _, new, _ in counts.files} == {0}
            else:
                take_in(other_intake.store, read_folder(folder), recorded_by="clerk")
        assert the_row(other_intake) == the_row(intake)

    @BOTH
    def test_the_same_files_again_are_unchanged(self, intake: Intake, counter: str) -> None:
        intake.take(worked_example(counter))
        report = intake.take(worked_example(counter))
        assert report.entries == 0
        assert {name: same for name, rows, _, same in report.files if rows} == {
            name: len(rows) for name, rows in worked_example(counter).items()
        }


class TestStays:
    """The ends of a stay from the counter's own readings, by the rule for flight totals."""

    def removed(self, intake: Intake, *counted: tuple[str, str]) -> None:
        files = worked_example("landings")
        del files["movements"][2]
        files["counter_readings"] = [
            {"registration": "Q-AAA", "counter": "Landings", "date": on, "total": total} for on, total in counted
        ]
        intake.take(files)

    def test_no_reading_yet_at_the_end_is_projected_until_it_comes(self, intake: Intake) -> None:
        self.removed(intake, ("2025-01-30", "19800"), ("2025-03-01", "20000"))
        row = the_row(intake)
        # 200 landings in 30 days, so 707 in the 106 days to 2025-06-15, rounded up against the unit
        assert (row.counter_left, row.estimated) == (3_000 - 1_000 - 707, True)
        intake.take(
            {
                "counter_readings": [
                    {"registration": "Q-AAA", "counter": "landings", "date": "2025-06-20", "total": 20750}
                ]
            }
        )
        assert the_row(intake).counter_left == 3_000 - 1_000 - 750
        assert rebuilt_differs(intake.store) == {}

    def test_nothing_flown_stands_in_for_a_reading(self, intake: Intake) -> None:
        self.removed(intake, ("2025-06-20", "20750"))
        row = the_row(intake)
        assert (row.state, row.unknown_measures) == ("unknown", "landings: no-totals-of-a-stay")

    def test_totals_stated_with_a_movement_are_flight_totals(self, intake: Intake) -> None:
        files = worked_example("landings")
        files["movements"][0] |= {"hours_total": "400:00", "cycles_total": "90"}
        intake.take(files)
        assert the_row(intake).counter_due == 6_370

    def test_not_stated_since_new_is_unknown_and_a_repeat_needs_only_the_difference(self, intake: Intake) -> None:
        files = worked_example("landings")
        del files["unit_counters"]
        limits = {"kind": "functional_test", "repeat_cycles": "900", "first_cycles": None, "start": "release"}
        files["requirements"].append({**files["requirements"][0], **limits, "requirement": "FT"})
        done = {"part_number": PART, "serial_number": "1", "requirement": "FT", "date": "2025-01-20"}
        intake.take({**files, "accomplishments": [{**done, "counter_since": "30"}]})
        rows = {row.requirement: row for row in due(intake.store, as_of=ON, everything=True).rows}
        assert rows["LIFE"].unknown_measures == "landings: no-count-since-new"
        assert rows["FT"].counter_due == 5_120 + 900 - 30 - 750

    def test_work_after_the_opening_is_counted_from_the_readings(self, intake: Intake) -> None:
        files = worked_example("landings")
        files["requirements"][0] |= {"kind": "functional_test", "repeat_cycles": "900", "first_cycles": None}
        files["requirements"][0]["start"] = "release"
        done = {"part_number": PART, "serial_number": "1", "requirement": "LIFE", "date": "2026-03-02"}
        intake.take({**files, "accomplishments": [{**done, "date_basis": "log"}]})
        assert the_row(intake, date(2026, 3, 2)).counter_due == 6_000 + 900

    def test_the_other_axis_and_the_calendar_stay_what_they_are(self, intake: Intake) -> None:
        files = worked_example("landings")
        files["requirements"][0] |= {"first_hours": "500:00", "first_months": "120", "start": "manufacture"}
        files["units"][0] |= {"hours_since_new": "100:00", "manufactured": "2024-05-05"}
        intake.take(files)
        row = the_row(intake)
        assert (row.airframe_hours_due, row.airframe_cycles_due, row.counter_due) == (
            (401 + 500 - 100 - 1) * 60,
            None,
            6_370,
        )
        assert (row.calendar_due, row.driver) == ("2034-05-05", "landings")
        assert row.hours_left is not None
        assert row.cycles_left is None


class TestAfterWork:
    def inspected(self, intake: Intake, *done: Row, **rule: Any) -> None:
        """A check every 900 landings, done at the opening; the unit is on Q-BBB from 5 120 landings on."""
        files = worked_example("landings")
        limits = {"kind": "inspection", "first_cycles": None, "repeat_cycles": "900", "start": "release", **rule}
        files["requirements"][0] |= {"requirement": "CHK", **limits}
        files["movements"] = files["movements"][2:]
        own = {"part_number": PART, "serial_number": "1", "requirement": "CHK", "date_basis": "log"}
        first = {"date": "2025-01-31", "sequence": 9_999, "counter_since": "0"}
        intake.take({**files, "accomplishments": [{**own, **row} for row in (first, *done)]})

    def test_an_extension_is_to_a_total_of_the_counter(self, intake: Intake) -> None:
        self.inspected(intake, variation_allowed="yes")
        assert the_row(intake).counter_due == 6_020
        varied = {"part_number": PART, "serial_number": "1", "requirement": "CHK", "approved_on": "2026-03-01"}
        problem = only(intake.refused({"variations": [{**varied, "until_cycles": "6010"}]}))
        assert "6010 airframe landings is not beyond 6020 airframe landings" in problem.reason
        intake.take({"variations": [{**varied, "until_cycles": "6100"}]})
        assert figures(the_row(intake, date(2026, 3, 10)))[:3] == ("in variation", 6_020, 6_100 - 6_072)
        assert rebuilt_differs(intake.store) == {}

    def test_work_inside_its_window_goes_on_from_the_due_point(self, intake: Intake) -> None:
        window = {"anchor": "due", "window_early_cycles": "30", "done_at": "aircraft"}
        self.inspected(intake, {"date": "2026-03-02", "counter_since_new": "1880"}, **window)
        row = the_row(intake, date(2026, 3, 2))
        assert row.counter_due == 6_020 + 900
        assert "landings from the due point, 20 after it was done" in (row.basis or "")

    def test_a_window_in_a_counter_that_the_work_does_not_state_is_not_shown(self, intake: Intake) -> None:
        window = {"anchor": "due", "window_early_cycles": "30", "done_at": "aircraft"}
        self.inspected(intake, {"date": "2026-03-02"}, **window)
        assert the_row(intake, date(2026, 3, 2)).counter_due == 6_000 + 900

    def test_done_late_is_told_in_the_counter(self, intake: Intake) -> None:
        self.inspected(intake, {"date": "2026-03-04", "counter_since_new": "950"})
        correct(intake.store, entry_of(intake, "unit"), changes={"minutes_since_new": 0}, **MENDED)
        correct(intake.store, entry_of(intake, "unit_counter"), changes={"since_new": 0}, **MENDED)
        (found,) = audit(intake.store, as_of=date(2026, 3, 5), codes=("LIF108",)).findings
        assert "due in landings, 50 past it" in found.message


class TestSupposed:
    def test_a_revised_limit_in_landings_moves_what_counts_in_them(self, intake: Intake, tmp_path: Path) -> None:
        intake.take(worked_example("landings"))
        (rule,) = worked_example("landings")["requirements"]
        revised = {**rule, "edition": "2", "effective_from": "2026-03-01", "first_cycles": "2900"}
        before = everything(intake.store)
        supposed = supposing(read_folder(write(tmp_path / "revised", {"requirements": [revised]})))
        (row,) = programme_changes(intake.store, as_of=ON, suppose=supposed).rows
        assert (row.move, row.counter_due_before, row.counter_due_after) == ("earlier", 6_370, 6_270)
        assert (row.counter_before, row.counter_after) == ("landings", "landings")
        assert "first limit 3000 landings, now 2900 landings" in row.why
        assert everything(intake.store) == before

    def test_the_same_figure_in_cycles_differs_and_is_neither_earlier_nor_later(
        self, intake: Intake, tmp_path: Path
    ) -> None:
        files = worked_example("landings")
        files["units"][0] |= {"cycles_since_new": "50"}
        intake.take(files)
        (rule,) = files["requirements"]
        revised = {**rule, "edition": "2", "effective_from": "2026-03-01", "counter": None}
        supposed = supposing(read_folder(write(tmp_path / "revised", {"requirements": [revised]})))
        (row,) = programme_changes(intake.store, as_of=ON, suppose=supposed).rows
        assert (row.counter_after, row.counter_due_after, row.airframe_cycles_due_before) == (None, None, None)
        assert row.airframe_cycles_due_after == 91 + 3_000 - 50 - 1
        assert "first limit 3000 landings, now 3000 FC; counter landings, now none" in row.why


class TestSwap:
    def test_a_swap_starts_and_ends_the_counting(self, intake: Intake) -> None:
        files = worked_example("landings")
        files["eligibility"] = [{"type": "ISL-90", "position": "L1", "part_number": PART, "reference": "IPC"}]
        files["units"].append(unit(PART, "2", store="Main", condition="serviceable") | {"as_of": "2025-01-31"})
        files["unit_counters"].append({**files["unit_counters"][0], "serial_number": "2", "since_new": "10"})
        intake.take(files)
        request = SwapRequest(
            registration="Q-BBB",
            position="L1",
            on=ON,
            install=UnitName(part_number=PART, serial_number="2"),
            removed_to="store",
            signed_by="M1",
        )
        recorded = record_swap(intake.store, request, as_of=ON, recorded_by="clerk", acknowledged=ACCEPTED)
        told = {row.serial_number: (row.counter_due, row.counter_left) for row in recorded.due}
        # the last reading before the fitting is that of 2025-11-11
        assert told == {"1": (None, 3_000 - 1_750 - 880), "2": (5_120 + 3_000 - 10, 8_110 - 6_000)}
        assert rebuilt_differs(intake.store) == {}


class TestClocks:
    def test_known_at_an_entry_a_corrected_reading_says_what_it_said_then(self, intake: Intake) -> None:
        intake.take(worked_example("landings"))
        with intake.store.reading() as connection:
            entries = list(all_entries(connection))
        last = entries[-1].number
        number = next(e.number for e in entries if e.kind == "counter_reading" and e.on == "2026-03-01")
        was = figures(the_row(intake))
        correct(intake.store, number, item=1, changes={"total": 5_110}, **MENDED)
        assert the_row(intake).counter_due == 6_360
        assert figures(the_row(intake, known_at=str(last))) == was
        correct(intake.store, number, item=2, changes={"total": 6_100}, **MENDED)
        assert the_row(intake).counter_left == 260
        assert figures(the_row(intake, known_at=str(last))) == was
        assert rebuilt_differs(intake.store) == {}
        assert verify(intake.store).findings == ()

    def test_as_of_a_day_no_later_reading_counts(self, intake: Intake) -> None:
        intake.take(worked_example("landings"))
        then = the_row(intake, date(2025, 6, 1))
        assert (then.counter_due, then.readings_as_of) == (22_000, "2025-03-01")
        assert the_row(intake, date(2025, 6, 16)).counter_left == 3_000 - 1_000

    def test_a_new_reading_at_the_end_derives_nothing_anew(self, intake: Intake) -> None:
        intake.take(worked_example("landings"))
        before = everything(intake.store)
        row = {"registration": "Q-BBB", "counter": "landings", "date": "2026-03-05", "total": 6033}
        intake.take({"counter_readings": [row]})
        after = everything(intake.store)
        assert {name for name in before if before[name] != after[name]} == {"head"}
        assert the_row(intake, date(2026, 3, 5)).counter_left == 337


READING: Row = {"registration": "Q-BBB", "counter": "landings", "date": "2026-03-05", "total": "6100"}


class TestRefused:
    @pytest.fixture
    def counted(self, other_intake: Intake) -> Intake:
        other_intake.take(worked_example("landings"))
        return other_intake

    @pytest.mark.parametrize(
        ("changes", "column", "reason"),
        [
            ({"counter": "landing"}, "counter", "No counter landing is in the register. Did you mean LANDINGS?"),
            ({"total": "5999"}, "total", "The total of landings falls: 6000 on 2026-03-01, 5999 on 2026-03-05."),
            ({"date": "2025-11-05", "total": "5121"}, "total", "falls: 5121 on 2025-11-05, 5120 on 2025-11-11."),
            ({"date": "2025-11-11", "total": "5121"}, "date", "The records hold 5120 for this day."),
            ({"total": "6100:30"}, "total", "landings is counted in whole numbers"),
            ({"total": "6100.5"}, "total", "could be decimal hours"),
            ({"registration": "Q-BBC"}, "registration", "No airframe with registration Q-BBC"),
        ],
    )
    def test_a_reading_that_cannot_be(self, counted: Intake, changes: Row, column: str, reason: str) -> None:
        problem = only(counted.refused({"counter_readings": [{**READING, **changes}]}))
        assert (problem.file, problem.line, problem.column) == ("counter_readings.csv", 2, column)
        assert reason in problem.reason

    def test_two_totals_of_one_day(self, counted: Intake) -> None:
        problem = only(counted.refused({"counter_readings": [READING, {**READING, "total": "6101"}]}))
        assert "Line 2 gives another total" in problem.reason

    @pytest.mark.parametrize("name", ["cycles", "Flight hours", "flight_cycles", "FH", "calendar"])
    def test_a_counter_called_by_what_is_flown(self, counted: Intake, name: str) -> None:
        assert only(counted.refused({"counters": [{"counter": name, "unit": "count"}]})).column == "counter"

    def test_the_same_counter_in_another_spelling_with_another_unit(self, counted: Intake) -> None:
        assert only(counted.refused({"counters": [{"counter": "Landings", "unit": "hours"}]})).column == "counter"

    @pytest.mark.parametrize(
        ("changes", "reason"),
        [
            ({"counter": "touchdowns"}, "No counter touchdowns is in the register."),
            (
                {"first_cycles": None, "first_hours": "50:00"},
                "limits nothing in it: its limits stand in the columns in",
            ),
        ],
    )
    def test_a_requirement_in_a_counter_it_cannot_be_in(self, counted: Intake, changes: Row, reason: str) -> None:
        (rule,) = worked_example("landings")["requirements"]
        problem = only(counted.refused({"requirements": [{**rule, "requirement": "NEW", **changes}]}))
        assert reason in problem.reason

    def test_a_count_at_work_whose_counter_nobody_names(self, counted: Intake) -> None:
        (rule,) = worked_example("landings")["requirements"]
        plain = {**rule, "requirement": "CHK", "kind": "inspection", "counter": None}
        done = {"part_number": PART, "serial_number": "1", "requirement": "CHK", "date": "2025-01-20"}
        files: Files = {"requirements": [plain], "accomplishments": [{**done, "counter_since": "30"}]}
        assert "names no counter" in only(counted.refused(files)).reason
        files["accomplishments"][0]["counter"] = "LANDINGS"
        counted.take(files)

    def test_rows_that_rest_on_a_counter_that_could_not_be_read(self, other_intake: Intake) -> None:
        files = worked_example("landings")
        files["counters"][0]["unit"] = "landings"
        problems = other_intake.refused(files)
        assert [p.column for p in problems if "rests on a row of counters" not in p.reason] == ["unit"]

    def test_a_counter_in_use_keeps_its_name_and_its_unit(self, counted: Intake) -> None:
        number = entry_of(counted, "counter")
        for changes in ({"measure": "hours"}, {"counter": "touchdowns"}):
            with pytest.raises(Refusal) as refused:
                correct(counted.store, number, changes=changes, **MENDED)
            assert refused.value.code == "counter-in-use"
        correct(counted.store, number, changes={"description": "main gear"}, **MENDED)
        assert the_row(counted).counter_due == 6_370

    def test_a_counter_that_is_spoken_of_is_not_withdrawn(self, intake: Intake) -> None:
        intake.take(worked_example("landings"))
        intake.take({"counters": [{"counter": "starts", "unit": "count"}]})
        intake.take({"counter_readings": [{**READING, "counter": "starts"}]})
        with intake.store.reading() as connection:
            numbers = [entry.number for entry in all_entries(connection) if entry.kind == "counter"]
        for number, code in zip(numbers, ("counter-in-use", "still-referred-to"), strict=True):
            with pytest.raises(Refusal) as refused:
                withdraw(intake.store, number, **MENDED)
            assert refused.value.code == code

    def test_a_correction_that_would_make_it_fall_is_refused(self, intake: Intake) -> None:
        intake.take(worked_example("landings"))
        with pytest.raises(Refusal) as refused:
            correct(intake.store, entry_of(intake, "counter_reading"), item=0, changes={"total": 99_999}, **MENDED)
        assert refused.value.code == "totals-fall"

    def test_figures_pass_from_no_counter_to_one_counted_otherwise(self, counted: Intake) -> None:
        counted.take({"counters": [{"counter": "APU hours", "unit": "hours"}]})
        with pytest.raises(Refusal) as refused:
            correct(counted.store, entry_of(counted, "unit_counter"), changes={"counter": "apu hours"}, **MENDED)
        assert refused.value.code == "counter-differs"


class TestShown:
    """Every answer names the counter, and none calls it hours or cycles."""

    @BOTH
    def test_the_unfolded_due_date_tells_it_in_the_counter(self, intake: Intake, counter: str) -> None:
        intake.take(worked_example(counter))
        (told,) = unfolded(intake.store, part_number=PART, serial_number="1", as_of=ON).due
        text = " ".join(passage.text for passage in told.passages)
        names = {name for passage in told.passages for name, _ in passage.figures}
        assert f"3000{':00' if counter == 'APU hours' else ''} {counter}" in text
        assert ("750:30" if counter == "APU hours" else "750") + f" {counter} (bounded, bounded)" in text
        assert f"{counter}_run" in names
        for word in ("flight hour", "flight cycle", "airframe hours", "airframe cycles"):
            assert word not in text
        others = {"landings": "cycles", "APU hours": "hours"}[counter]
        assert not any(others == name.partition("_")[0] for name in names)

    @BOTH
    def test_a_spare_shows_what_is_left_if_fitted(self, intake: Intake, counter: str) -> None:
        files = worked_example(counter)
        files["eligibility"] = [{"type": "ISL-90", "position": "L1", "part_number": PART, "reference": "IPC"}]
        in_hours = counter == "APU hours"
        files["units"].append(unit(PART, "2", store="Main", condition="serviceable") | {"as_of": "2025-01-31"})
        since_new = "2900:15" if in_hours else "2900"
        files["unit_counters"].append({**files["unit_counters"][0], "serial_number": "2", "since_new": since_new})
        intake.take(files)
        asked = {"registration": "Q-BBB", "position": "L1", "part_number": PART, "serial_number": "2"}
        answer = swap_check(intake.store, **asked, as_of=date(2026, 3, 20))
        (left,) = answer.life
        assert (left.counter, left.counter_left) == (counter, 99 * 60 + 45 if in_hours else 100)
        assert (left.hours_left, left.cycles_left) == (None, None)
        assert any(f"last reading of {counter} is 19 days old" in reason.text for reason in answer.reasons)

    def test_an_airframe_that_does_not_read_the_counter_is_a_condition(self, intake: Intake) -> None:
        files = worked_example("landings")
        files["airframes"].append({**files["airframes"][0], "registration": "Q-CCC", "constructor_serial": "1003"})
        files["units"].append(unit(PART, "2", store="Main", condition="serviceable") | {"as_of": "2025-01-31"})
        intake.take(files)
        asked = {"registration": "Q-CCC", "position": "L1", "part_number": PART, "serial_number": "2"}
        answer = swap_check(intake.store, **asked, as_of=ON)
        reasons = [reason for reason in answer.reasons if reason.topic == "readings" and "landings" in reason.text]
        assert [reason.verdict for reason in reasons] == ["condition"]

    @BOTH
    def test_the_cards_name_it(self, intake: Intake, counter: str) -> None:
        intake.take(worked_example(counter))
        in_hours = counter == "APU hours"
        told = unit_card(intake.store, part_number=PART, serial_number="1", as_of=ON).counters
        since_new = "2630:15" if in_hours else "2630"  # 1 000 + 750 (:30) + what Q-BBB ran since 5 120 (:15)
        assert told == ((counter, f"~{since_new} at the reading of 2026-03-01"),)
        read = airframe_card(intake.store, registration="Q-BBB", as_of=ON).counters
        total, daily = ("6000:00", "8:00") if in_hours else ("6000", "8.0")
        assert read == ((counter, f"{total} read 2026-03-01, {daily} a day over 120 days"),)

    def test_a_counter_never_read_or_not_for_long_is_a_finding_where_it_is_used(self, intake: Intake) -> None:
        intake.take(worked_example("landings"))
        found = due(intake.store, as_of=date(2026, 3, 16), everything=True).findings
        told = [f.message for f in found if "landings" in f.message]
        assert told == ["The last reading of landings is of 2026-03-01, 15 days old."]  # Q-AAA carries none
        assert {f.registration for f in found if "landings" in f.message} == {"Q-BBB"}
        then = due(intake.store, as_of=date(2025, 6, 14), everything=True).findings
        assert {f.registration for f in then if "landings" in f.message} == {"Q-AAA"}


class TestCost:
    def test_a_fleet_without_counters_asks_nothing_of_them(self, fleet: Intake) -> None:
        """But for the register, once, with the rest of the reference data."""
        due(fleet.store, as_of=date(2024, 1, 20))
        for ask in (
            lambda: due(fleet.store, as_of=date(2024, 1, 20), window_until=date(2024, 3, 1)),
            lambda: record_swap(
                fleet.store,
                SwapRequest(
                    registration="Q-AAA",
                    position="L1",
                    on=date(2024, 1, 10),
                    install=UnitName(part_number=SLIDE, serial_number="0103"),
                ),
                as_of=date(2024, 1, 20),
                recorded_by="clerk",
            ),
        ):
            with statements_of(fleet.store) as seen:
                ask()
            assert len(seen) > 3
            told = [
                text for text in seen if "counter_reading" in text or "FROM counter" in text or "due_counter <=" in text
            ]
            assert told == []

    def test_the_list_asks_for_the_readings_of_counters_three_times_whatever_the_fleet(self, intake: Intake) -> None:
        files = worked_example("landings")
        intake.take(files)
        asked = {"as_of": ON, "window_until": date(2026, 6, 1)}
        due(intake.store, **asked)
        counts = []
        for n in (0, 40):
            if n:
                frames = [{**files["airframes"][0], "registration": f"Q-D{i:02d}", "constructor_serial": f"2{i:03d}"}
                          for i in range(n)]  # fmt: skip
                at = {"position": "L1", "condition": "serviceable"}
                units = [unit(PART, f"7{i:03d}", registration=f"Q-D{i:02d}", **at) | {"as_of": "2025-01-31"}
                         for i in range(n)]  # fmt: skip
                days = ("2025-01-31", "2025-11-30", "2026-02-27")
                totals = [{"registration": f"Q-D{i:02d}", "counter": "landings", "date": on, "total": 100 * k + i}
                          for i in range(n) for k, on in enumerate(days)]  # fmt: skip
                intake.take({"airframes": frames, "units": units, "counter_readings": totals})
                due(intake.store, **asked)
            with statements_of(intake.store) as seen:
                due(intake.store, **asked)
            counts.append((len(seen), sum("counter_reading" in text for text in seen)))
        assert counts[0] == counts[1]
        assert counts[0][1] == 3
