"""What README.md of the demo fleet says is wrong is what the audit finds, no more and no less."""

from __future__ import annotations

import re
from datetime import date

import pytest

from fleetlife.actions.take_in import take_in
from fleetlife.answers.audit import audit
from fleetlife.answers.due import due
from fleetlife.answers.verify import verify
from fleetlife.checks.every import all_checks
from fleetlife.clocks.findings import ELSEWHERE
from fleetlife.store.engine import Store
from fleetlife.terms.finding import Finding
from fleetlife.transfer.reading import read_folder
from tests.demo.conftest import SEED_DEMO

TODAY = date(2026, 11, 25)
RAISED_ELSEWHERE = frozenset(ELSEWHERE)
_LINE = re.compile(r"^\| ([A-Z]{3}\d{3}) \| (\w+) \|([^|]*)\|([^|]*)\|")

Told = tuple[str, str, str, str]  # code, severity, where, unit


def listed() -> list[Told]:
    """The table of README.md."""
    lines = (SEED_DEMO / "README.md").read_text(encoding="utf-8").splitlines()
    found = [match.groups() for match in map(_LINE.match, lines) if match]
    return sorted((code, severity, where.strip(), unit.strip()) for code, severity, where, unit in found)


def told(finding: Finding) -> Told:
    where = " ".join(part for part in (finding.registration, finding.position) if part)
    unit = " ".join(part for part in (finding.part_number, finding.serial_number) if part)
    return finding.code, finding.severity, where, unit


class TestFindings:
    def test_the_audit_finds_what_the_page_lists_and_nothing_else(self, demo: Store) -> None:
        assert sorted(map(told, audit(demo, as_of=TODAY).findings)) == listed()

    def test_every_code_that_an_audit_can_raise_is_shown(self) -> None:
        assert {code for code, *_ in listed()} == {check.code for check in all_checks()} - RAISED_ELSEWHERE

    def test_taken_in_at_once_only_the_late_entry_is_missing(self, sqlite_store: Store) -> None:
        take_in(sqlite_store, read_folder(SEED_DEMO), recorded_by="S-900")
        found = sorted(map(told, audit(sqlite_store, as_of=TODAY).findings))
        assert found == [line for line in listed() if line[0] != "PAP109"]

    def test_taken_in_at_once_the_due_list_is_the_same(self, demo: Store, sqlite_store: Store) -> None:
        take_in(sqlite_store, read_folder(SEED_DEMO), recorded_by="S-900")
        rows = due(sqlite_store, as_of=TODAY, everything=True).rows
        assert len(rows) > 500
        assert due(demo, as_of=TODAY, everything=True).rows == rows

    def test_its_ledger_agrees_with_itself_and_its_rows_follow(self, demo: Store) -> None:
        assert verify(demo).findings == ()


class TestThePast:
    @pytest.mark.parametrize(
        ("as_of", "overdue"),
        [
            (date(2024, 2, 1), set()),
            (date(2024, 10, 1), set()),
            (date(2025, 3, 20), {("LIF101", "stop", "Q-SKE L2", "KV-2100-3 20112")}),
            (date(2025, 6, 1), set()),
            (date(2026, 1, 5), set()),
            (date(2026, 7, 1), set()),
            (date(2026, 10, 15), set()),
        ],
    )
    def test_only_what_the_page_says_was_overdue_then(self, demo: Store, as_of: date, overdue: set[Told]) -> None:
        assert set(map(told, audit(demo, as_of=as_of, codes=("LIF101",)).findings)) == overdue

    def test_what_happened_later_is_not_found_earlier(self, demo: Store) -> None:
        codes = {finding.code for finding in audit(demo, as_of=date(2024, 2, 1)).findings}
        assert {"FIT101", "PAP103", "IDN101"} <= codes
        assert codes.isdisjoint({"FIT104", "FIT105", "FIT106", "FIT107", "PAP104", "PAP110", "PAT101", "SPR101"})
