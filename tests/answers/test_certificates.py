"""Certificates of several lines and serials, who signed them and what they say was run, asked on both databases."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from fleetlife.actions.mend import correct, withdraw
from fleetlife.answers.audit import audit
from fleetlife.answers.certificate import certificate_card
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.verify import verify
from fleetlife.ledger.facts import Approval, Certificate, Opening
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.store.reference import facts_of_kind
from tests.checks.fleet import AS_OF, Fleet, fleet, later

FORM = "EASA Form 1 - MF/CAO/145 Issue 3"
PAPER = {
    "tracking_number": "FR-77",
    "organisation": "Fulmar Repair",
    "part_number": "RV-7",
    "status": "Inspected/Tested",
    "date": "2024-12-10",
    "form": FORM,
    "side": "maintenance",
    "authority": "Skarholm",
    "approval": "Q.145.1",
    "signatory": "FR 4",
    "quantity": 2,
}
LATER = datetime(2025, 3, 1, 8, tzinfo=UTC)


def several() -> Fleet:
    """Two spare reservoirs' paper: one item of two serials, and a second item without a serial number."""
    made = fleet(1)
    made.add(
        "certificates",
        {**PAPER, "item": 1, "serial_number": "R9001"},
        {**PAPER, "item": 1, "serial_number": "R9002"},
        {**PAPER, "item": 2, "part_number": "RV-7-KIT", "serial_number": "N/A", "quantity": 40, "batch": "L-7"},
    )
    return made


def approved(made: Fleet, **more: str) -> Fleet:
    made.add("organisations", {"organisation": "Fulmar Repair"})
    row = {"organisation": "Fulmar Repair", "approval": "Q.145.1", "from": "2020-01-01", "until": "2024-06-30", **more}
    made.add("approvals", row)
    for paper in made.files["certificates"]:
        paper["approval"] = "Q.145.1"
    return made


def told(store: Store, *codes: str, as_of: date = AS_OF, known_at: str | None = None) -> list[tuple[str, str, str]]:
    found = audit(store, as_of=as_of, known_at=known_at, codes=codes).findings
    return [(each.code, each.severity, each.subject()) for each in found]


class TestSeveralLines:
    def test_it_is_shown_by_its_blocks_and_nothing_is_wrong_with_it(self, store: Store, tmp_path: Path) -> None:
        several().take(store, tmp_path / "files")
        card = certificate_card(store, tracking_number="FR-77", as_of=AS_OF)
        assert (card.form, card.editions, len(card.lines)) == (FORM, (FORM,), 3)
        serials = [(block.line, block.block, block.says) for block in card.blocks if block.holds == "serial number"]
        assert serials == [(1, "10", "R9001"), (2, "10", "R9002"), (3, "10", "N/A")]
        assert [line.serial_number for line in card.lines] == ["R9001", "R9002", "N/A"]
        assert [each.code for each in card.findings if each.code[:3] in ("FRM", "APP")] == []
        assert [code for code, *_ in told(store)] == ["PAP111"]  # the lot without a serial number is nobody's unit
        assert verify(store).findings == ()

    def test_a_serial_that_is_withdrawn_leaves_the_quantity_in_the_lurch(self, store: Store, tmp_path: Path) -> None:
        several().take(store, tmp_path / "files")
        with store.reading() as connection:
            before, _ = head_of(connection)
            [number] = [
                number
                for number, fact in facts_of_kind(connection, Certificate)
                if isinstance(fact, Certificate) and fact.serial_number == "R9002"
            ]
        withdraw(store, number, reason="not on the paper", authorised_by="Q7", recorded_by="C1")
        assert told(store, "FRM111") == [("FRM111", "note", "RV-7 R9001 FR-77")]
        assert told(store, "FRM111", known_at=str(before)) == []

    def test_a_certificate_filed_against_no_unit_shows_what_is_wrong_with_it(
        self, sqlite_store: Store, tmp_path: Path
    ) -> None:
        made = fleet(1)
        made.add("certificates", {**PAPER, "serial_number": "7777", "quantity": 1, "status": "Overhauled, Modified"})
        made.take(sqlite_store, tmp_path / "files")
        card = certificate_card(sqlite_store, tracking_number="FR-77", as_of=AS_OF)
        assert "FRM101" in {each.code for each in card.findings}

    def test_of_a_day_that_is_not_yet_it_is_found_by_then_and_not_as_of_before(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = fleet(1)
        ahead = {**PAPER, "serial_number": "R9001", "quantity": 1, "date": "2025-12-10"}
        made.add("certificates", ahead)
        made.take(store, tmp_path / "files")  # recorded 2025-01-10
        assert told(store, "FRM107", as_of=date(2025, 2, 1)) == [("FRM107", "rectify", "RV-7 R9001 FR-77")]
        assert told(store, "FRM107", as_of=date(2025, 1, 9)) == []
        assert told(store, "FRM107", as_of=date(2026, 1, 1)) == []


class TestApprovals:
    def test_without_any_nothing_is_found_and_that_is_said(self, store: Store, tmp_path: Path) -> None:
        several().take(store, tmp_path / "files")
        report = audit(store, as_of=AS_OF)
        assert not [each for each in report.findings if each.code.startswith("APP")]
        assert any("no approvals are taken in" in sentence for sentence in report.not_checked)

    def test_signed_outside_it_is_found_until_the_approval_is_put_right(self, store: Store, tmp_path: Path) -> None:
        approved(several()).take(store, tmp_path / "files")
        # the packs' papers are of 2024-03-10, within it; the reservoirs' of 2024-12-10
        assert told(store, "APP101") == [
            ("APP101", "rectify", "RV-7 R9001 FR-77"),
            ("APP101", "rectify", "RV-7 R9002 FR-77"),
            ("APP101", "rectify", "RV-7-KIT N/A FR-77"),
        ]
        assert not any("no approvals are taken in" in each for each in audit(store, as_of=AS_OF).not_checked)
        with store.reading() as connection:
            before, _ = head_of(connection)
            [(number, _)] = list(facts_of_kind(connection, Approval))
        correct(
            store, number, changes={"valid_to": "2025-12-31"}, reason="renewed", authorised_by="Q7", recorded_by="C1"
        )
        assert told(store, "APP101") == []
        assert len(told(store, "APP101", known_at=str(before))) == 3
        assert verify(store).findings == ()

    def test_an_approval_that_comes_later_is_judged_by_at_once(self, store: Store, tmp_path: Path) -> None:
        several().take(store, tmp_path / "files")
        assert told(store, "APP103") == []
        rows = [{"organisation": "Petrel Works", "approval": "Q.145.1"}]
        later(store, tmp_path / "more", at=LATER, organisations=[{"organisation": "Petrel Works"}], approvals=rows)
        assert [code for code, *_ in told(store, "APP102")] == ["APP102"] * 3
        assert told(store, "APP103") == [("APP103", "note", "FR-0001")]  # the packs' papers name no approval

    def test_the_number_on_the_paper_put_right_is_judged_again(self, store: Store, tmp_path: Path) -> None:
        made = approved(fleet(1), until="2025-12-31")
        made.row("certificates", serial_number="0001")["approval"] = "Q.145.l"
        made.take(store, tmp_path / "files")
        assert told(store, "APP103") == [("APP103", "note", "FR-0001")]
        with store.reading() as connection:
            [number] = [
                number
                for number, fact in facts_of_kind(connection, Certificate)
                if isinstance(fact, Certificate) and fact.serial_number == "0001"
            ]
        correct(store, number, changes={"approval": "Q.145.1"}, reason="slip", authorised_by="Q7", recorded_by="C1")
        assert told(store, "APP103") == []


class TestCounts:
    """A pack that opens at 14 000:00 and 7 000 cycles on 2025-01-01 and hangs on an airframe read each week."""

    @pytest.mark.parametrize(
        ("stated", "found"),
        [
            ({"hours_since_new": "14000:00", "date": "2024-12-20"}, False),
            ({"hours_since_new": "14001:00", "date": "2024-12-20"}, True),
            # in whole hours it may have been rounded
            ({"hours_since_new": "14000:30", "date": "2024-12-20"}, True),
            # carried: at least to the reading of 19 January after that of the 5th, 20 392 - 20 280, at most to that of
            # the 26th after the last before the opening, 20 448 - 20 224
            ({"hours_since_new": "14111:30", "date": "2025-01-20"}, True),
            ({"hours_since_new": "14112:00", "date": "2025-01-20"}, False),
            ({"hours_since_new": "14224:00", "date": "2025-01-20"}, False),
            ({"hours_since_new": "14224:30", "date": "2025-01-20"}, True),
            ({"cycles_since_new": 7100, "date": "2025-01-20"}, False),
            ({"cycles_since_new": 7200, "date": "2025-01-20"}, True),
        ],
    )
    def test_a_paper_and_the_record_cannot_both_be_true(
        self, store: Store, tmp_path: Path, stated: dict[str, str], found: bool
    ) -> None:
        made = fleet(1)
        paper = {**PAPER, "part_number": "SL-100-1", "serial_number": "0001", "quantity": 1, **stated}
        made.add("certificates", paper)
        made.take(store, tmp_path / "files")
        expected = [("PAP112", "rectify", "Q-AAA L1 SL-100-1 0001 FR-77")] if found else []
        assert told(store, "PAP112") == expected

    def test_the_record_put_right_the_paper_is_judged_again(self, store: Store, tmp_path: Path) -> None:
        made = fleet(1)
        paper = {**PAPER, "part_number": "SL-100-1", "serial_number": "0001", "quantity": 1}
        made.add("certificates", {**paper, "cycles_since_new": 7010})
        made.take(store, tmp_path / "files")
        assert len(told(store, "PAP112")) == 1
        with store.reading() as connection:
            before, _ = head_of(connection)
            [number] = [
                number
                for number, fact in facts_of_kind(connection, Opening)
                if getattr(fact, "serial_number", "") == "0001"
            ]
        correct(
            store, number, changes={"cycles_since_new": 7010}, reason="misread", authorised_by="Q7", recorded_by="C1"
        )
        assert told(store, "PAP112") == []
        assert len(told(store, "PAP112", known_at=str(before))) == 1


class TestFitting:
    """What is wrong with the release that a fitting would rest on is told before it."""

    def asked(self, store: Store) -> tuple[str, dict[str | None, str]]:
        answer = swap_check(
            store,
            registration="Q-AAA",
            position="L1",
            part_number="SL-100-1",
            serial_number="9001",
            as_of=AS_OF,
        )
        papers = {reason.code: reason.verdict for reason in answer.reasons if reason.topic == "paper" and reason.code}
        return answer.outcome, papers

    @pytest.mark.parametrize(
        ("stated", "expected"),
        [
            ({}, {}),
            ({"form": "FAA Form 8130-3 (02-14)", "date": "2014-01-10"}, {"FRM109": "condition"}),
            ({"quantity": "2"}, {"FRM111": "note"}),
            ({"cycles_since_new": "7001"}, {"PAP112": "condition"}),
        ],
    )
    def test_by_its_form_and_its_counts(
        self, sqlite_store: Store, tmp_path: Path, stated: dict[str, str], expected: dict[str, str]
    ) -> None:
        made = fleet(1)
        made.row("certificates", serial_number="9001").update(stated)
        made.take(sqlite_store, tmp_path / "files")
        outcome, papers = self.asked(sqlite_store)
        assert papers == expected
        if "condition" in expected.values():
            assert outcome != "no objection in these records"

    @pytest.mark.parametrize(("reference", "expected"), [("", ["FIT110"]), ("SB 25-1", [])])
    def test_a_part_that_stands_in_by_no_document_is_a_condition(
        self, sqlite_store: Store, tmp_path: Path, reference: str, expected: list[str]
    ) -> None:
        made = fleet(1)
        made.files["eligibility"] = [{**row, "part_number": "SL-200-1"} for row in made.files["eligibility"]]
        row = {"part_number": "SL-200-1", "alternate": "SL-100-1", "direction": "one-way", "reference": reference}
        made.add("alternates", row)
        made.take(sqlite_store, tmp_path / "files")
        answer = swap_check(
            sqlite_store,
            registration="Q-AAA",
            position="L1",
            part_number="SL-100-1",
            serial_number="9001",
            as_of=AS_OF,
        )
        found = [r for r in answer.reasons if r.topic == "eligibility" and r.code]
        assert [reason.code for reason in found] == expected
        assert all(reason.verdict == "condition" for reason in found)

    def test_who_was_not_approved_released_nothing(self, store: Store, tmp_path: Path) -> None:
        approved(fleet(1), until="2024-03-09").take(store, tmp_path / "files")
        outcome, papers = self.asked(store)
        assert (outcome, papers) == ("do not fit", {"APP101": "stop"})

    def test_a_paper_that_is_not_its_latest_release_says_nothing_of_the_fitting(
        self, sqlite_store: Store, tmp_path: Path
    ) -> None:
        made = fleet(1)
        older = {**PAPER, "part_number": "SL-100-1", "serial_number": "9001", "date": "2023-05-01", "quantity": 2}
        made.add("certificates", older)
        made.take(sqlite_store, tmp_path / "files")
        assert self.asked(sqlite_store)[1] == {}
        assert told(sqlite_store, "FRM111") == [("FRM111", "note", "SL-100-1 9001 FR-77")]
