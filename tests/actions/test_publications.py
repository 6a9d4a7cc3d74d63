"""Publications, whom they name and what they ask for: taken in, written out, put right, on both databases."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.take_in import RowsRefused, take_in
from fleetlife.answers.export import export
from fleetlife.answers.publication import publication_status
from fleetlife.answers.verify import verify
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.facts import Accomplishment
from fleetlife.ledger.publications import Applicability, Compliance, NotEmbodied, Publication
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.store.reference import facts_of_kind
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder
from tests.checks.fleet import AS_OF, BEGUN, Fleet, fleet, later

DIRECTIVE = {
    "publication": "QD-2025-014",
    "revision": "1",
    "kind": "directive",
    "issuer": "Skarholm Aviation Office",
    "title": "Springs of the inflation valve",
    "effective_on": "2025-03-01",
    "supersedes": "QD-2021-002; QD-2019-044",
    "cancelled_on": "2030-01-01",
}
OF = {"publication": "QD-2025-014", "revision": "1"}
NAMED = {
    **OF,
    "part_number": "SL-100-*",
    "manufacturer": "Kittiwake",
    "serial_from": "0001",
    "serial_to": "0006",
    "except": "0002; 0004 to 0005",
    "made_from": "2016",
    "made_to": "2019-Q2",
    "group": "1",
    "excluded": "",
}
LEFT_OUT = {**OF, "part_number": "SL-100-9", "excluded": "yes"}
ASKED = {
    **OF,
    "action": "replace springs",
    "group": "1",
    "comply_by": "2026-12-31",
    "months_after": "12",
    "days_after": "400",
    "hours_after": "1500:30",
    "cycles_after": "500",
    "months_since_new": "180",
    "hours_since_new": "20000:00",
    "cycles_since_new": "9000",
    "whichever": "last",
    "repeat_months": "24",
    "repeat_days": "",
    "repeat_hours": "2000:00",
    "repeat_cycles": "700",
    "closed_by_modification": "M-77",
    "closed_by_work": "VALVE",
}
LOOKED = {
    "part_number": "SL-100-1",
    "serial_number": "0003",
    "manufacturer": "Kittiwake",
    "modification": "M-77",
    "date": "2025-06-01",
    "reference": "CARD 12",
}


def with_directive() -> Fleet:
    made = fleet(2)
    made.add("publications", DIRECTIVE).add("applicability", NAMED, LEFT_OUT).add("compliance", ASKED)
    return made.add("not_embodied", LOOKED)


def held(store: Store, kind: type[Fact]) -> list[tuple[int, Any]]:
    with store.reading() as connection:
        return list(facts_of_kind(connection, kind))


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


class TestTakenIn:
    def test_every_column_is_kept_and_nothing_of_it_disagrees(self, store: Store, tmp_path: Path) -> None:
        with_directive().take(store, tmp_path / "files")
        [(_, stated)] = held(store, Publication)
        assert stated == Publication(**DIRECTIVE)
        asked = held(store, Compliance)[0][1]
        assert (asked.minutes_after, asked.minutes_since_new, asked.repeat_minutes) == (90_030, 1_200_000, 120_000)
        assert (asked.whichever, asked.closed_by_work, asked.repeat_days) == ("last", "VALVE", None)
        rows = [fact for _, fact in held(store, Applicability)]
        assert [row.excluded for row in rows] == [False, True]
        assert (rows[0].excepted, rows[0].made_to, rows[0].unit_group) == ("0002; 0004 to 0005", "2019-Q2", "1")
        assert held(store, NotEmbodied)[0][1].read_on == "2025-06-01"
        assert verify(store).findings == ()

    def test_taken_in_again_nothing_is_new(self, store: Store, tmp_path: Path) -> None:
        with_directive().take(store, tmp_path / "files")
        assert take_in(store, read_folder(tmp_path / "files"), recorded_by="C1").entries == 0

    def test_work_is_recorded_under_the_name_that_closes_it_or_the_reference(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = with_directive()
        unit = {"part_number": "SL-100-1", "serial_number": "0003", "date": "2025-06-02"}
        made.add("accomplishments", {**unit, "requirement": "valve"}, {**unit, "requirement": "qd-2025-014"})
        made.take(store, tmp_path / "files")
        named = {fact.requirement for _, fact in held(store, Accomplishment)}
        assert {"VALVE", "QD-2025-014"} <= named

    def test_written_out_it_is_taken_in_alike_and_answers_alike(
        self, sqlite_store: Store, postgres_store: Store, tmp_path: Path
    ) -> None:
        with_directive().take(sqlite_store, tmp_path / "files")
        written = dict(export(sqlite_store, tmp_path / "out"))
        assert [written[f"{name}.csv"] for name in ("publications", "applicability", "compliance")] == [1, 2, 1]
        assert _rows(tmp_path / "out" / "publications.csv") == [DIRECTIVE]
        assert _rows(tmp_path / "out" / "compliance.csv") == [ASKED]
        [row, left_out] = _rows(tmp_path / "out" / "applicability.csv")
        assert {name: text for name, text in row.items() if text} == {
            name: text for name, text in NAMED.items() if text
        } | {"excluded": "no"}
        assert left_out["excluded"] == "yes"
        take_in(postgres_store, read_folder(tmp_path / "out"), recorded_by="C1")
        answers = [
            publication_status(each, reference="QD-2025-014", as_of=AS_OF) for each in (sqlite_store, postgres_store)
        ]
        told = [
            [(r.part_number, r.serial_number, r.state, r.state_reason, r.due_date, r.cycles_left) for r in each.rows]
            for each in answers
        ]
        assert told[0] == told[1]
        assert len(told[0]) == 3
        assert answers[0].units == answers[1].units


class TestRefused:
    @pytest.mark.parametrize(
        ("file", "row", "says"),
        [
            ("publications", {**DIRECTIVE, "revision": "2", "cancelled_on": "2025-02-01"}, "before it takes effect"),
            ("publications", {**DIRECTIVE, "revision": "2", "cancelled_on": ""}, "takes effect on this day too"),
            (
                "publications",
                {**DIRECTIVE, "publication": "QD-9", "supersedes": "QD-8; qd-9"},
                "take the place of itself",
            ),
            ("publications", {**DIRECTIVE, "publication": "QD-9", "kind": "order"}, "order"),
            ("applicability", {**OF, "publication": "QD-2025-015", "part_number": "X"}, "Did you mean QD-2025-014?"),
            ("applicability", {**OF, "revision": "7", "part_number": "X"}, "stated: 1"),
            ("applicability", {**OF, "part_number": "X", "serial_from": "9", "serial_to": "8"}, "ends before"),
            ("applicability", {**OF, "part_number": "X", "serial_from": "9", "serial_to": "B10"}, "not of one form"),
            ("applicability", {**OF, "part_number": "X", "serial_from": "9*"}, "holds no *"),
            ("applicability", {**OF, "part_number": "X", "except": "12, 13"}, "neither a serial number nor a range"),
            ("applicability", {**OF, "part_number": "X", "except": "12 to A13"}, "not of one form"),
            ("applicability", {**OF, "part_number": "X", "made_from": "2020", "made_to": "2019-12"}, "ends before"),
            ("compliance", {**OF, "action": "look"}, "Nothing says by when"),
            ("compliance", {**OF, "action": "look", "comply_by": "2026-01-01", "group": "9"}, "No units of this group"),
        ],
    )
    def test_what_cannot_be_is_refused_with_its_reason(
        self, sqlite_store: Store, tmp_path: Path, file: str, row: dict[str, Any], says: str
    ) -> None:
        with_directive().take(sqlite_store, tmp_path / "files")
        with pytest.raises(RowsRefused) as refused:
            later(sqlite_store, tmp_path / "more", at=BEGUN, **{file: [row]})
        [problem] = refused.value.problems
        assert says in f"{problem.reason} {problem.value}"
        assert problem.remedy

    def test_a_letter_asks_for_nothing(self, sqlite_store: Store, tmp_path: Path) -> None:
        letter = {"publication": "SL-1", "kind": "letter", "effective_on": "2025-01-01"}
        asked = {"publication": "SL-1", "action": "read", "comply_by": "2025-02-01"}
        with pytest.raises(RowsRefused) as refused:
            later(sqlite_store, tmp_path / "f", at=BEGUN, publications=[letter], compliance=[asked])
        assert "asks for nothing" in refused.value.problems[0].reason


class TestPutRight:
    def _fix(self, store: Store, number: int, changes: dict[str, Any]) -> None:
        correct(store, number, changes=changes, reason="misread", authorised_by="Q7", recorded_by="C1")

    def test_a_corrected_range_means_other_units_at_once(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.files["applicability"] = [{**NAMED, "except": "", "group": ""}]
        made.files["compliance"] = [{**ASKED, "group": ""}]
        made.take(store, tmp_path / "files")
        [(number, _)] = held(store, Applicability)
        with store.reading() as connection:
            last, _ = head_of(connection)
        self._fix(store, number, {"serial_to": "0003"})
        answer = publication_status(store, reference="QD-2025-014", as_of=AS_OF)
        assert sorted(row.serial_number for row in answer.rows) == ["0001", "0002", "0003"]
        before = publication_status(store, reference="QD-2025-014", as_of=AS_OF, known_at=str(last))
        assert len(before.rows) == 6
        assert verify(store).findings == ()

    def test_what_a_file_would_be_refused_for_a_correction_is_too(self, sqlite_store: Store, tmp_path: Path) -> None:
        with_directive().take(sqlite_store, tmp_path / "files")
        [(number, _)] = held(sqlite_store, Publication)
        for changes, code in (
            ({"cancelled_on": "2024-01-01"}, "publication-ends-first"),
            ({"supersedes": "QD-2025-014"}, "publication-supersedes-itself"),
            ({"revision": "2"}, "publication-in-use"),
        ):
            with pytest.raises(Refusal) as refused:
                self._fix(sqlite_store, number, changes)
            assert refused.value.code == code

    def test_a_publication_stays_while_rows_are_stated_of_it(self, sqlite_store: Store, tmp_path: Path) -> None:
        with_directive().take(sqlite_store, tmp_path / "files")
        [(number, _)] = held(sqlite_store, Publication)
        with pytest.raises(Refusal) as refused:
            withdraw(sqlite_store, number, reason="not ours", authorised_by="Q7", recorded_by="C1")
        assert refused.value.code == "publication-in-use"
        for kind in (Compliance, Applicability):
            for entry in sorted({entry for entry, _ in held(sqlite_store, kind)}):
                withdraw(sqlite_store, entry, reason="not ours", authorised_by="Q7", recorded_by="C1")
        withdraw(sqlite_store, number, reason="not ours", authorised_by="Q7", recorded_by="C1")
        assert held(sqlite_store, Publication) == []
