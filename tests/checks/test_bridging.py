"""A pack with its reservoir between airframes of two programmes, from files, on both databases."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from fleetlife.actions.mend import waive
from fleetlife.actions.suppose import supposing
from fleetlife.actions.swap import Acknowledgement, SwapRequest, UnitName, record_swap
from fleetlife.answers.audit import audit
from fleetlife.answers.due import due
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unfold import unfolded
from fleetlife.answers.unit import unit_card
from fleetlife.store.engine import Store
from fleetlife.terms.views import BridgedLine, DueRow
from fleetlife.transfer.reading import read_named
from tests.checks.fleet import AS_OF, Fleet, Row, fleet, later

PACK = {"part_number": "SL-100-1", "serial_number": "0001"}
BOTTLE = {"part_number": "RV-7", "serial_number": "R0001"}
IN_JUNE = datetime(2025, 6, 20, 8, tzinfo=UTC)
IN_JULY = datetime(2025, 7, 20, 8, tzinfo=UTC)


def two_programmes() -> Fleet:
    """Q-AAA flies under TERN, Q-AAB under PUFFIN.

    Overhaul every 24 and every 36 months, the reservoir's test general for TERN and every 36 months under PUFFIN; a
    check that TERN has alone, and one that PUFFIN has alone.
    """
    made = fleet()
    made.row("airframes", registration="Q-AAA").update(programme="TERN")
    made.row("airframes", registration="Q-AAB").update(programme="PUFFIN")
    overhaul = dict(made.row("requirements", requirement="OVH"))
    made.drop("requirements", requirement="OVH")
    tested = dict(made.row("requirements", requirement="HST"))
    check = {**overhaul, "kind": "inspection", "repeat_hours": "", "start": "release"}
    made.add(
        "requirements",
        {**overhaul, "programme": "TERN", "edition": "7", "repeat_months": 24},
        {**overhaul, "programme": "PUFFIN", "edition": "2"},
        {**tested, "programme": "PUFFIN", "edition": "2", "repeat_months": 36},
        {**check, "requirement": "LNG", "programme": "TERN", "edition": "7", "repeat_months": 30},
        {**check, "requirement": "VIS", "programme": "PUFFIN", "edition": "2", "repeat_months": 12},
    )
    inspected = [{**PACK, "serial_number": f"{n:04d}", "date": "2024-06-01", "date_basis": "log"} for n in range(1, 9)]
    for number, row in enumerate(inspected, start=1):
        made.add("accomplishments", {**row, "requirement": "LNG" if number <= 4 else "VIS"})
    return made


def off(store: Store, folder: Path) -> None:
    """The pack comes off Q-AAA and is released for another aircraft."""
    removed = {f"removed_{name}": value for name, value in PACK.items()}
    moved = {"date": "2025-06-02", "registration": "Q-AAA", "position": "L1", "removed_to": "store"}
    paper = {**PACK, "tracking_number": "FR-1B", "organisation": "Fulmar Repair", "status": "Inspected/Tested"}
    later(
        store,
        folder / "off",
        at=IN_JUNE,
        movements=[{**moved, **removed, "removed_condition": "serviceable"}],
        certificates=[{**paper, "date": "2025-06-05"}],
    )


def on(store: Store, folder: Path) -> None:
    """It goes on Q-AAB, whose pack comes off."""
    later(
        store,
        folder / "on",
        at=IN_JULY,
        movements=[
            {
                "date": "2025-07-01",
                "registration": "Q-AAB",
                "position": "L1",
                "removed_part_number": "SL-100-1",
                "removed_serial_number": "0005",
                "removed_to": "store",
                "installed_part_number": "SL-100-1",
                "installed_serial_number": "0001",
                "harness": "left",
            }
        ],
    )


@pytest.fixture
def moved(store: Store, tmp_path: Path) -> Store:
    two_programmes().take(store, tmp_path / "first")
    off(store, tmp_path)
    on(store, tmp_path)
    return store


def by_requirement(lines: tuple[BridgedLine, ...]) -> dict[str, BridgedLine]:
    return {line.requirement: line for line in lines}


def row_of(store: Store, requirement: str, serial: str) -> DueRow:
    [row] = [
        row
        for row in due(store, as_of=AS_OF, everything=True).rows
        if (row.requirement, row.serial_number) == (requirement, serial)
    ]
    return row


class TestAudit:
    def test_pack_and_reservoir_are_found_each_with_both_due_points(self, moved: Store) -> None:
        found = {each.subject(): each for each in audit(moved, as_of=AS_OF, codes=["LIF109"]).findings}
        assert set(found) == {"Q-AAB L1 SL-100-1 0001", "Q-AAB L1 RV-7 R0001"}
        message = found["Q-AAB L1 SL-100-1 0001"].message
        assert message.startswith("Kept under TERN until 2025-06-02, now under PUFFIN. ")
        assert "OVH: due 2026-03-10 under TERN edition 7, due 2027-03-10 under PUFFIN edition 2" in message
        assert "LNG of TERN edition 7, due 2026-12-01, has no counterpart in PUFFIN" in message
        assert "VIS of PUFFIN edition 2 has no counterpart in TERN: unknown (calendar: " in message
        bottle = found["Q-AAB L1 RV-7 R0001"]
        assert "HST: due 2029-02-28 under general edition 3, due 2027-02-28 under PUFFIN edition 2" in bottle.message
        assert "that of PUFFIN is earlier" in bottle.message
        assert (bottle.expected, bottle.found) == ("HST due 2029-02-28 under TERN", "HST due 2027-02-28 under PUFFIN")

    def test_before_it_is_fitted_nothing_is_found(self, store: Store, tmp_path: Path) -> None:
        two_programmes().take(store, tmp_path / "first")
        assert audit(store, as_of=AS_OF, codes=["LIF109"]).findings == ()
        off(store, tmp_path)
        assert audit(store, as_of=AS_OF, codes=["LIF109"]).findings == ()

    def test_the_day_before_it_was_fitted_nothing_is_found(self, moved: Store) -> None:
        assert audit(moved, as_of=date(2025, 6, 30), codes=["LIF109"]).findings == ()
        assert len(audit(moved, as_of=date(2025, 7, 1), codes=["LIF109"]).findings) == 2

    def test_it_was_not_known_before_it_was_recorded(self, moved: Store) -> None:
        asked = {"as_of": AS_OF, "codes": ["LIF109"]}
        assert audit(moved, **asked, known_at="2025-07-19").findings == ()
        assert len(audit(moved, **asked, known_at="2025-07-21").findings) == 2

    def test_waived_with_a_reference_it_is_counted_and_no_longer_stands(self, moved: Store) -> None:
        waive(
            moved,
            code="LIF109",
            subject="Q-AAB L1 SL-100-1 0001",
            reason="bridging decided, PUFFIN approval note 25-14",
            approved_by="Q2",
            expires_on=date(2027, 3, 10),
            recorded_by="Q2",
        )
        report = audit(moved, as_of=AS_OF, codes=["LIF109"])
        assert [each.subject() for each in report.findings] == ["Q-AAB L1 RV-7 R0001"]
        assert report.waived == 1

    @pytest.mark.parametrize(("day", "left"), [("2025-07-01", True), ("2025-09-01", False)])
    def test_work_after_the_day_of_the_fitting_settles_its_requirement(
        self, moved: Store, tmp_path: Path, day: str, left: bool
    ) -> None:
        work: Row = {**PACK, "requirement": "OVH", "date": day, "date_basis": "release", "hours_since_new": "15400:00"}
        later(moved, tmp_path / "work", at=datetime(2025, 10, 1, tzinfo=UTC), accomplishments=[work])
        lines = by_requirement(unit_card(moved, **PACK, as_of=AS_OF).bridged)
        assert ("OVH" in lines) is left
        assert "LNG" in lines

    def test_two_programmes_that_ask_the_same_are_no_finding(self, store: Store, tmp_path: Path) -> None:
        made = two_programmes()
        rules = [row for row in made.files["requirements"] if row.get("programme") == "PUFFIN"]
        made.files["requirements"] = [row for row in made.files["requirements"] if row.get("programme") != "TERN"]
        made.add("requirements", *({**row, "programme": "TERN", "edition": "9"} for row in rules))
        made.files["accomplishments"] = [
            {**row, "requirement": "VIS"} if row["requirement"] == "LNG" else row
            for row in made.files["accomplishments"]
        ]
        made.take(store, tmp_path / "first")
        off(store, tmp_path)
        on(store, tmp_path)
        assert audit(store, as_of=AS_OF, codes=["LIF109"]).findings == ()
        assert unit_card(store, **PACK, as_of=AS_OF).bridged == ()


class TestCards:
    def test_the_card_shows_both_due_points_beside_each_other_those_of_the_reservoir_too(self, moved: Store) -> None:
        card = unit_card(moved, **PACK, as_of=AS_OF)
        lines = by_requirement(card.bridged)
        assert set(lines) == {"OVH", "LNG", "VIS", "HST"}
        assert (lines["OVH"].due_before, lines["OVH"].due_after, lines["OVH"].earlier) == (
            "2026-03-10",
            "2027-03-10",
            "TERN",
        )
        assert (lines["LNG"].due_before, lines["LNG"].state_after, lines["LNG"].earlier) == ("2026-12-01", None, "TERN")
        assert (lines["VIS"].state_before, lines["VIS"].state_after) == (None, "unknown")
        assert (lines["HST"].serial_number, lines["HST"].earlier) == ("R0001", "PUFFIN")
        assert {each.code for each in card.findings} >= {"LIF109"}
        assert card.bridged[0].earlier == "TERN"

    def test_the_due_row_names_the_earlier_date_and_keeps_its_own(self, moved: Store) -> None:
        row = row_of(moved, "OVH", "0001")
        assert row.due_date == "2027-03-10"
        assert row.state_reason.endswith(
            "Kept under TERN until 2025-06-02, by which it would be due 2026-03-10, earlier (LIF109)."
        )
        assert "LIF109" not in row_of(moved, "HST", "R0001").state_reason
        assert "LIF109" not in row_of(moved, "OVH", "0006").state_reason

    def test_under_a_programme_supposed_it_is_that_one_which_is_compared(self, moved: Store, tmp_path: Path) -> None:
        path = tmp_path / "edition-3.csv"
        path.write_text(
            "requirement,part_number,kind,source,programme,edition,effective_from,start,repeat_months,repeat_hours\n"
            "OVH,SL-100-1,overhaul,manufacturer,PUFFIN,3,2025-08-01,release,18,9000:00\n",
            encoding="utf-8",
        )
        answer = due(
            moved,
            as_of=AS_OF,
            everything=True,
            suppose=supposing(read_named([("requirements", path)], hours="minutes")),
        )
        [row] = [row for row in answer.rows if (row.requirement, row.serial_number) == ("OVH", "0001")]
        assert (row.edition, row.due_date) == ("3", "2025-09-10")
        assert "LIF109" not in row.state_reason

    def test_the_explanation_says_it_in_a_sentence_after_the_day_asked(self, moved: Store) -> None:
        answer = unfolded(moved, **PACK, as_of=AS_OF)
        [each] = [each for each in answer.due if each.row.requirement == "OVH"]
        topics = [passage.topic for passage in each.passages]
        assert topics.index("other programme") == topics.index("today") + 1
        [passage] = [passage for passage in each.passages if passage.topic == "other programme"]
        assert "It was kept under TERN until 2025-06-02, and is judged by PUFFIN now." in passage.text
        assert dict(passage.figures)["due_before"] == "2026-03-10"
        assert "LNG" in {line.requirement for line in answer.bridged}

    def test_a_unit_that_did_not_move_says_nothing_of_it(self, moved: Store) -> None:
        card = unit_card(moved, part_number="SL-100-1", serial_number="0006", as_of=AS_OF)
        assert card.bridged == ()
        answer = unfolded(moved, part_number="SL-100-1", serial_number="0006", as_of=AS_OF)
        assert all(passage.topic != "other programme" for each in answer.due for passage in each.passages)


class TestBeforeTheFitting:
    def test_swap_check_makes_it_a_condition_with_both_dates(self, store: Store, tmp_path: Path) -> None:
        two_programmes().take(store, tmp_path / "first")
        off(store, tmp_path)
        asked = {**PACK, "position": "L1", "as_of": date(2025, 6, 30)}
        answer = swap_check(store, registration="Q-AAB", **asked)
        told = [reason for reason in answer.reasons if reason.code == "LIF109"]
        assert {reason.verdict for reason in told} == {"condition"}
        text = " ".join(reason.text for reason in told)
        assert "SL-100-1 0001 was kept under TERN until 2025-06-02; this airframe is under PUFFIN." in text
        assert "OVH: due 2026-03-10 under TERN edition 7, due 2027-03-10 under PUFFIN edition 2" in text
        assert "RV-7 R0001 was kept under TERN" in text
        back = swap_check(store, registration="Q-AAA", **asked)
        assert [reason for reason in back.reasons if reason.code == "LIF109"] == []

    def test_of_a_unit_that_hangs_elsewhere_the_programme_asked_about_is_known_too(
        self, store: Store, tmp_path: Path
    ) -> None:
        two_programmes().take(store, tmp_path / "first")
        answer = swap_check(store, registration="Q-AAB", position="L1", **PACK, as_of=AS_OF)
        codes = {reason.code for reason in answer.reasons}
        assert "LIF109" in codes
        assert "LIF103" not in codes
        assert {life.requirement for life in answer.life} == {"OVH", "VIS", "HST"}

    def test_the_swap_that_is_recorded_shows_the_earlier_date_at_once(self, store: Store, tmp_path: Path) -> None:
        two_programmes().take(store, tmp_path / "first")
        off(store, tmp_path)
        day = date(2025, 7, 1)
        recorded = record_swap(
            replace(store, clock=lambda: IN_JULY),
            SwapRequest(
                registration="Q-AAB",
                position="L1",
                on=day,
                install=UnitName(**PACK),
                removed_to="store",
                harness="left",
            ),
            as_of=day,
            recorded_by="C1",
            acknowledged=[Acknowledgement(finding="LIF102", name="E5", reason="the check is being looked for")],
        )
        [row] = [row for row in recorded.due if (row.requirement, row.serial_number) == ("OVH", "0001")]
        assert row.state_reason.endswith("by which it would be due 2026-03-10, earlier (LIF109).")


class TestFiles:
    def test_the_files_are_read_as_they_are_written(self, tmp_path: Path, sqlite_store: Store) -> None:
        two_programmes().take(sqlite_store, tmp_path / "first")
        with (tmp_path / "first" / "requirements.csv").open(newline="", encoding="utf-8") as file:
            programmes = {row["programme"] for row in csv.DictReader(file)}
        assert programmes == {"", "TERN", "PUFFIN"}
