"""The audit over an invented fleet, on both databases: what it finds, under which clocks, at what cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import event

from fleetlife.actions.mend import correct, waive
from fleetlife.actions.swap import Acknowledgement, SwapRequest, UnitName, record_swap
from fleetlife.answers.audit import audit
from fleetlife.checks.every import REGISTER
from fleetlife.clocks.findings import (
    ELSEWHERE,
    checks_of,
    findings_in,
    findings_of_airframe,
    findings_of_unit,
    former_due_count,
)
from fleetlife.clocks.world import open_world
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Waiver
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.store.rows import read_rows
from fleetlife.terms.finding import Finding
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import AuditReport
from tests.checks.fleet import AS_OF, fleet
from tests.checks.wrongs import EXPECTED, everything_wrong, what_came_later


def told(found: AuditReport | tuple[Finding, ...] | list[Finding]) -> list[tuple[str, str, str]]:
    rows = found.findings if isinstance(found, AuditReport) else found
    return sorted((each.code, each.severity, each.subject()) for each in rows)


@pytest.fixture
def wrong(store: Store, tmp_path: Path) -> Store:
    everything_wrong().take(store, tmp_path / "first")
    what_came_later(store, tmp_path / "later")
    return store


@contextmanager
def counted(store: Store) -> Iterator[list[str]]:
    statements: list[str] = []

    def note(_c: object, _cur: object, statement: str, *_more: object) -> None:
        statements.append(statement)

    event.listen(store.engine, "before_cursor_execute", note)
    yield statements
    event.remove(store.engine, "before_cursor_execute", note)


class TestFindings:
    def test_a_clean_fleet_shows_none(self, store: Store, tmp_path: Path) -> None:
        fleet().take(store, tmp_path / "files")
        report = audit(store, as_of=AS_OF)
        assert report.findings == ()
        assert report.counts == (("stop", 0), ("rectify", 0), ("note", 0))
        assert report.units_examined == 20

    def test_everything_wrong_is_found_and_nothing_else(self, wrong: Store) -> None:
        report = audit(wrong, as_of=AS_OF)
        assert Counter(told(report)) == Counter(EXPECTED)
        assert dict(report.counts) == Counter(severity for _, severity, _ in EXPECTED)
        assert report.waived == 0

    def test_every_code_of_the_register_is_found_or_raised_elsewhere(self) -> None:
        assert {code for code, _, _ in EXPECTED} == set(checks_of()) == set(REGISTER) - set(ELSEWHERE)

    def test_the_worst_come_first_and_the_order_is_always_the_same(self, wrong: Store) -> None:
        first, second = audit(wrong, as_of=AS_OF), audit(wrong, as_of=AS_OF)
        assert first == second
        assert list(first.findings) == sorted(first.findings, key=Finding.sort_key)
        assert first.findings[0].severity == "stop"
        assert first.findings[-1].severity == "note"

    def test_evidence_names_entries_on_both_sides(self, wrong: Store) -> None:
        [found] = audit(wrong, as_of=AS_OF, codes=["PAP101"]).findings
        assert [each.says for each in found.evidence] == ["SL-100-3", "SL-100-1"]
        assert all(each.entry is not None and each.entry > 0 for each in found.evidence)
        assert (found.expected, found.found) == ("SL-100-1", "SL-100-3")


class TestScope:
    def test_one_airframe(self, wrong: Store) -> None:
        report = audit(wrong, as_of=AS_OF, registrations=["Q-AAC"])
        assert told(report) == sorted(row for row in EXPECTED if row[2].startswith("Q-AAC"))
        assert report.scope == "Q-AAC"
        assert report.units_examined == 6
        assert any("which no airframe of this audit carries" in sentence for sentence in report.not_checked)
        assert any(sentence == "not run: APP103, FRM108, PAP111, PUB105" for sentence in report.not_checked)

    def test_one_part_one_code_one_severity(self, wrong: Store) -> None:
        assert told(audit(wrong, as_of=AS_OF, part_numbers=["rv-7"])) == [r for r in EXPECTED if "RV-7" in r[2]]
        by_name = audit(wrong, as_of=AS_OF, codes=["serial-number-differs"])
        assert told(by_name) == [row for row in EXPECTED if row[0] == "PAP102"]
        assert by_name.checks_run == ("PAP102",)
        assert told(audit(wrong, as_of=AS_OF, severities=["note"])) == [row for row in EXPECTED if row[1] == "note"]

    def test_an_unknown_code_or_severity_is_refused(self, store: Store) -> None:
        for asked, code in (({"codes": ["PAP199"]}, "code-unknown"), ({"severities": ["bad"]}, "severity-unknown")):
            with pytest.raises(Refusal) as refused:
                audit(store, as_of=AS_OF, **asked)
            assert refused.value.code == code
            assert refused.value.status == 2

    def test_the_card_of_an_airframe_shows_what_the_audit_says_of_it(self, wrong: Store) -> None:
        everything = audit(wrong, as_of=AS_OF).findings
        with wrong.reading() as connection:
            world = open_world(connection, as_of=AS_OF)
            for airframe in world.reference.airframes:
                expected = [each for each in everything if each.airframe == airframe]
                found = [each for each in findings_of_airframe(world, airframe) if each.airframe is not None]
                assert found == expected

    def test_the_card_of_a_unit_shows_what_the_audit_says_of_it(self, wrong: Store) -> None:
        everything = audit(wrong, as_of=AS_OF).findings
        units = {each.unit for each in everything if each.unit is not None}
        with wrong.reading() as connection:
            world = open_world(connection, as_of=AS_OF)
            for unit in units:
                expected = [each for each in everything if each.unit == unit]
                assert list(findings_of_unit(world, [unit])) == expected

    def test_both_units_of_a_look_alike_show_it(self, wrong: Store) -> None:
        with wrong.reading() as connection:
            world = open_world(connection, as_of=AS_OF)
            unit = world.unit_named("SL-100-1", "0017")
            assert [each.code for each in findings_of_unit(world, [unit])] == ["IDN101"]

    def test_former_due_dates_that_differ_are_counted(self, wrong: Store) -> None:
        with wrong.reading() as connection:
            assert former_due_count(open_world(connection, as_of=AS_OF)) == 1


class TestTwoClocks:
    def test_known_before_the_later_entries_is_what_was_found_before_them(self, store: Store, tmp_path: Path) -> None:
        everything_wrong().take(store, tmp_path / "first")
        before = audit(store, as_of=AS_OF)
        with store.reading() as connection:
            number, _ = head_of(connection)
        what_came_later(store, tmp_path / "later")
        then = audit(store, as_of=AS_OF, known_at=str(number))
        assert then.findings == before.findings
        assert told(audit(store, as_of=AS_OF)) != told(then)
        assert any("filed since" in sentence for sentence in then.not_checked)

    def test_as_of_an_earlier_day_is_what_was_found_on_it(self, store: Store, tmp_path: Path) -> None:
        day = date(2025, 2, 20)
        everything_wrong().take(store, tmp_path / "first")
        before = audit(store, as_of=day)
        what_came_later(store, tmp_path / "later")
        assert audit(store, as_of=day).findings == before.findings

    def test_under_a_changed_reference_every_unit_is_judged_again_and_alike(self, store: Store, tmp_path: Path) -> None:
        """With a later requirement on every part the whole fleet is derived again: both ways must find the same."""
        everything_wrong().take(store, tmp_path / "first")
        what_came_later(store, tmp_path / "later")
        before = audit(store, as_of=AS_OF)
        with store.reading() as connection:
            number, _ = head_of(connection)
            parts = sorted({row.part_number for row in read_rows(connection, UnitStateRow)})
        more = fleet(0)
        rule = {"requirement": "NEW", "kind": "soft_life", "first_months": 12, "start": "manufacture"}
        more.files = {"requirements": [rule | {"part_number": part} for part in parts]}
        more.take(store, tmp_path / "more", at=datetime(2025, 6, 1, tzinfo=UTC))
        with store.reading() as connection:
            world = open_world(connection, as_of=AS_OF, known_at=str(number))
            assert len(world.changed_units) == before.units_examined + 1  # the one on the scrap heap
        then = audit(store, as_of=AS_OF, known_at=str(number))
        assert then.findings == before.findings
        assert then.units_examined == before.units_examined


class TestWaivers:
    def _waive(self, store: Store, code: str, subject: str, until: date) -> None:
        waive(
            store,
            code=code,
            subject=subject,
            reason="plate being read",
            approved_by="Q7",
            expires_on=until,
            recorded_by="C1",
        )

    def test_a_waived_finding_is_counted_and_left_out_until_it_is_asked_for(self, wrong: Store) -> None:
        self._waive(wrong, "IDN101", "SL-100-1 OO17", AS_OF)
        report = audit(wrong, as_of=AS_OF)
        assert ("IDN101", "rectify", "SL-100-1 OO17") not in told(report)
        assert report.waived == 1
        assert sum(count for _, count in report.counts) == len(EXPECTED) - 1
        shown = audit(wrong, as_of=AS_OF, waived=True)
        [found] = [each for each in shown.findings if each.status != "open"]
        assert found.status == "waived until 2026-02-01"
        assert "by Q7" in found.evidence[-1].says
        assert told(shown) == sorted(EXPECTED)
        assert shown.counts == report.counts

    def test_a_waiver_that_has_expired_lets_the_finding_stand_again(self, wrong: Store) -> None:
        self._waive(wrong, "IDN101", "SL-100-1 OO17", date(2026, 1, 31))
        report = audit(wrong, as_of=AS_OF)
        assert told(report) == sorted(EXPECTED)
        [found] = [each for each in report.findings if each.subject() == "SL-100-1 OO17"]
        assert found.status == "open"
        assert found.evidence[-1].says.startswith("expired")

    def test_a_waiver_of_another_subject_or_code_waives_nothing(self, wrong: Store) -> None:
        self._waive(wrong, "IDN101", "SL-100-1 OO1", AS_OF)
        self._waive(wrong, "PAP105", "SL-100-1 OO17", AS_OF)
        assert audit(wrong, as_of=AS_OF).waived == 0

    def test_a_waiver_is_not_known_before_it_was_recorded(self, wrong: Store) -> None:
        with wrong.reading() as connection:
            number, _ = head_of(connection)
        self._waive(wrong, "IDN101", "SL-100-1 OO17", AS_OF)
        assert audit(wrong, as_of=AS_OF, known_at=str(number)).waived == 0

    def test_a_corrected_waiver_ends_on_its_new_day(self, wrong: Store) -> None:
        self._waive(wrong, "IDN101", "SL-100-1 OO17", AS_OF)
        with wrong.reading() as connection:
            number, _ = head_of(connection)
        correct(
            wrong,
            number,
            changes={"expires_on": "2026-01-15"},
            reason="too long",
            authorised_by="Q7",
            recorded_by="C1",
        )
        assert audit(wrong, as_of=AS_OF).waived == 0
        assert audit(wrong, as_of=AS_OF, known_at=str(number)).waived == 1

    def test_nothing_waives_an_overdue_and_the_report_says_so(self, wrong: Store) -> None:
        fact = Waiver(
            finding="LIF101",
            subject="Q-AAB L1 SL-100-1 0005",
            reason="no hangar",
            approved_by="Q7",
            expires_on="2030-01-01",
        )
        with wrong.writing(recorded_by="C1") as writer:
            writer.append([Draft(kind=Waiver.KIND, on=None, items=(fact,))])
        report = audit(wrong, as_of=AS_OF)
        assert report.waived == 0
        [found] = [each for each in report.findings if each.subject() == "Q-AAB L1 SL-100-1 0005"]
        assert found.status == "open"
        assert found.evidence[-1].says.startswith("ignored")
        assert any(
            "waiver of LIF101 on Q-AAB L1 SL-100-1 0005" in sentence and "never waived" in sentence
            for sentence in report.not_checked
        )


class TestAcknowledged:
    def _swap(self, store: Store, on: date, acknowledged: list[Acknowledgement], **more: object) -> int:
        request = SwapRequest(registration="Q-AAA", position="L1", on=on, **more)  # type: ignore[arg-type]
        recorded = record_swap(
            replace(store, clock=lambda: datetime(on.year, on.month, on.day, 12, tzinfo=UTC)),
            request,
            as_of=on,
            recorded_by="C1",
            acknowledged=acknowledged,
        )
        return recorded.entry

    def test_it_stays_open_under_the_name_of_who_accepted_it_until_the_unit_leaves(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = fleet()
        made.drop("certificates", serial_number="9001")
        made.take(store, tmp_path / "files")
        spare = UnitName(part_number="SL-100-1", serial_number="9001")
        entry = self._swap(
            store,
            date(2025, 3, 1),
            [Acknowledgement(finding="PAP103", name="E5", reason="paper in the post")],
            install=spare,
            harness="left",
        )
        report = audit(store, as_of=AS_OF)
        statuses = {each.subject(): each.status for each in report.findings if each.code == "PAP103"}
        assert statuses["Q-AAA L1 SL-100-1 9001"] == f"acknowledged by E5, entry {entry}"
        assert report.waived == 0
        assert dict(report.counts)["stop"] == 1
        fresh = UnitName(part_number="SL-100-1", serial_number="9002")
        self._swap(store, date(2025, 3, 5), [], install=fresh, harness="left", removed_condition="serviceable")
        again = [Acknowledgement(finding=code, name="E6", reason="still in the post") for code in ("PAP103",)]
        second = self._swap(store, date(2025, 3, 9), again, install=spare, harness="left")
        [found] = [each for each in audit(store, as_of=AS_OF).findings if each.subject().endswith("L1 SL-100-1 9001")]
        assert found.status == f"acknowledged by E6, entry {second}"


class TestCost:
    def test_the_number_of_statements_does_not_grow_with_the_fleet(self, store: Store, tmp_path: Path) -> None:
        counts = []
        for size in (2, 12):
            made = fleet(size)
            if size > 2:
                made.files = {
                    k: v
                    for k, v in made.files.items()
                    if k in ("airframes", "units", "certificates", "accomplishments", "readings")
                }
            made.take(store, tmp_path / str(size), at=datetime(2025, 1, 9 + size, tzinfo=UTC))
            audit(store, as_of=AS_OF)
            with counted(store) as statements:
                report = audit(store, as_of=AS_OF)
            assert report.units_examined == 8 * size + 4
            counts.append(Counter(" ".join(text.split())[:60] for text in statements))
        assert counts[0] == counts[1]
        assert sum(counts[0].values()) < 60

    def test_a_card_costs_a_fixed_number_of_statements_too(self, wrong: Store) -> None:
        with wrong.reading() as connection:
            world = open_world(connection, as_of=AS_OF)
            unit = world.unit_named("SL-100-1", "0005")
            tree = list(world.tree_of(unit))
            with counted(wrong) as statements:
                findings_of_unit(world, tree)
            assert len(statements) < 50


class TestSelection:
    def test_only_the_sections_asked_for_are_run(self, wrong: Store) -> None:
        with wrong.reading() as connection:
            world = open_world(connection, as_of=AS_OF)
            with counted(wrong) as statements:
                found = findings_in(world, codes=("PAP111",))
        assert [each.code for each in found] == ["PAP111"]
        assert len(statements) <= 2
