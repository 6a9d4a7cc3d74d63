"""Organisations and their approvals taken in, written out, corrected and verified, on both databases."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.take_in import RowsRefused, take_in
from fleetlife.answers.export import export
from fleetlife.answers.verify import verify
from fleetlife.ledger.facts import Approval, Organisation
from fleetlife.store.engine import Store
from fleetlife.store.reference import facts_of_kind, load_reference
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder
from tests.checks.fleet import BEGUN, Fleet, fleet, later

PETREL = {"organisation": "Petrel Works", "name": "Petrel Works Limited", "country": "Skarholm"}
APPROVED = {
    "organisation": "petrel works",
    "approval": "Q.145.0034",
    "authority": "Skarholm Aviation Office",
    "scope": "C6",
    "from": "2020-01-01",
    "until": "2024-12-31",
}


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def approvals(store: Store) -> list[Approval]:
    with store.reading() as connection:
        return [fact for _, fact in facts_of_kind(connection, Approval) if isinstance(fact, Approval)]


class TestTakenIn:
    def test_an_approval_bears_the_name_of_its_organisation_as_that_is_stated(
        self, store: Store, tmp_path: Path
    ) -> None:
        later(store, tmp_path / "files", at=BEGUN, organisations=[PETREL], approvals=[APPROVED])
        [held] = approvals(store)
        assert (held.organisation, held.valid_from, held.valid_to) == ("Petrel Works", "2020-01-01", "2024-12-31")
        with store.reading() as connection:
            reference = load_reference(connection)
        assert reference.organisations["PETRELWORKS"].country == "Skarholm"
        assert [fact for _, fact in reference.approvals] == [held]
        assert verify(store).findings == ()

    def test_taken_in_again_nothing_is_new_and_other_content_is_refused(self, store: Store, tmp_path: Path) -> None:
        later(store, tmp_path / "files", at=BEGUN, organisations=[PETREL], approvals=[APPROVED])
        assert take_in(store, read_folder(tmp_path / "files"), recorded_by="C1").entries == 0
        with pytest.raises(RowsRefused) as refused:
            later(store, tmp_path / "more", at=BEGUN, approvals=[{**APPROVED, "until": "2026-12-31"}])
        assert "correct" in refused.value.problems[0].remedy

    def test_renewed_after_a_gap_it_is_another_row(self, store: Store, tmp_path: Path) -> None:
        again = {**APPROVED, "from": "2025-06-01", "until": ""}
        later(store, tmp_path / "files", at=BEGUN, organisations=[PETREL], approvals=[APPROVED, again])
        assert [(each.valid_from, each.valid_to) for each in approvals(store)] == [
            ("2020-01-01", "2024-12-31"),
            ("2025-06-01", None),
        ]

    @pytest.mark.parametrize(
        ("row", "says"),
        [
            ({"organisation": "Petrel Work"}, "Did you mean Petrel Works?"),
            ({"from": "2025-01-01"}, "It ends before it begins"),
        ],
    )
    def test_what_cannot_be_is_refused(
        self, sqlite_store: Store, tmp_path: Path, row: dict[str, str], says: str
    ) -> None:
        with pytest.raises(RowsRefused) as refused:
            later(sqlite_store, tmp_path / "f", at=BEGUN, organisations=[PETREL], approvals=[{**APPROVED, **row}])
        assert says in refused.value.problems[0].reason
        assert approvals(sqlite_store) == []


class TestOut:
    def test_what_is_written_out_is_taken_in_alike(self, sqlite_store: Store, tmp_path: Path) -> None:
        made = fleet(1)
        made.add("organisations", PETREL).add("approvals", APPROVED)
        paper = made.row("certificates", serial_number="0001")
        paper.update(second_authority="FAA", second_approval="QPW0034")
        made.take(sqlite_store, tmp_path / "files")
        written = dict(export(sqlite_store, tmp_path / "out"))
        assert (written["organisations.csv"], written["approvals.csv"]) == (1, 1)
        assert _rows(tmp_path / "out" / "organisations.csv") == [PETREL]
        assert _rows(tmp_path / "out" / "approvals.csv") == [{**APPROVED, "organisation": "Petrel Works"}]
        papers = _rows(tmp_path / "out" / "certificates.csv")
        assert {(row["second_authority"], row["second_approval"]) for row in papers} == {("FAA", "QPW0034"), ("", "")}

    def test_a_corrected_approval_takes_the_place_of_the_first(self, store: Store, tmp_path: Path) -> None:
        Fleet({"organisations": [PETREL], "approvals": [APPROVED]}).take(store, tmp_path / "files")
        with store.reading() as connection:
            [(number, _)] = list(facts_of_kind(connection, Approval))
            assert len(list(facts_of_kind(connection, Organisation))) == 1
        correct(
            store,
            number,
            changes={"valid_to": "2026-12-31"},
            reason="renewed in time",
            authorised_by="Q7",
            recorded_by="C1",
        )
        assert [each.valid_to for each in approvals(store)] == ["2026-12-31"]
        assert verify(store).findings == ()

    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"valid_to": "2019-12-31"}, "approval-ends-first"),
            ({"organisation": "Petrel Work"}, "organisation-unknown"),
        ],
    )
    def test_a_correction_that_cannot_be_leaves_nothing(
        self, sqlite_store: Store, tmp_path: Path, changes: dict[str, str], code: str
    ) -> None:
        Fleet({"organisations": [PETREL], "approvals": [APPROVED]}).take(sqlite_store, tmp_path / "files")
        with sqlite_store.reading() as connection:
            [(number, before)] = list(facts_of_kind(connection, Approval))
        with pytest.raises(Refusal) as refused:
            correct(sqlite_store, number, changes=changes, reason="r", authorised_by="Q7", recorded_by="C1")
        assert refused.value.code == code
        assert approvals(sqlite_store) == [before]

    def test_an_organisation_with_approvals_keeps_its_name(self, sqlite_store: Store, tmp_path: Path) -> None:
        Fleet({"organisations": [PETREL], "approvals": [APPROVED]}).take(sqlite_store, tmp_path / "files")
        with sqlite_store.reading() as connection:
            [(number, _)] = list(facts_of_kind(connection, Organisation))
            [(approval, _)] = list(facts_of_kind(connection, Approval))
        said = {"reason": "r", "authorised_by": "Q7", "recorded_by": "C1"}
        for mending in (
            lambda: correct(sqlite_store, number, changes={"organisation": "Petrel"}, **said),
            lambda: withdraw(sqlite_store, number, **said),
        ):
            with pytest.raises(Refusal) as refused:
                mending()
            assert refused.value.code == "organisation-in-use"
        correct(sqlite_store, number, changes={"country": "Eyland"}, **said)
        withdraw(sqlite_store, approval, **said)
        assert approvals(sqlite_store) == []
        assert verify(sqlite_store).findings == ()
