"""Which units a publication means, where they are and what is open on them; on both databases, under both clocks."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from fleetlife.answers.audit import audit
from fleetlife.answers.publication import publication_list, publication_status
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.terms.asked import AFFECTED, CANNOT_BE_TOLD, PublicationRow
from fleetlife.terms.publications import PublicationStatus
from fleetlife.terms.refusal import Refusal
from tests.checks.fleet import AS_OF, Fleet, fleet, later, pack
from tests.checks.test_audit import counted

REFERENCE = "QD-2025-014"
DIRECTIVE = {"publication": REFERENCE, "kind": "directive", "effective_on": "2025-03-01"}
NAMED = {"publication": REFERENCE, "part_number": "SL-100-*", "serial_from": "0001", "serial_to": "0006"}
ASKED = {
    "publication": REFERENCE,
    "action": "replace",
    "comply_by": "2025-12-31",
    "closed_by_modification": "M-77",
}
UNIT = {"part_number": "SL-100-1", "manufacturer": "Kittiwake"}


def with_directive(airframes: int = 2, **asked: Any) -> Fleet:
    made = fleet(airframes)
    made.add("publications", DIRECTIVE).add("applicability", NAMED)
    return made.add("compliance", {**ASKED, **asked})


def status(store: Store, as_of: date = AS_OF, **more: Any) -> PublicationStatus:
    return publication_status(store, reference=REFERENCE, as_of=as_of, **more)


def by_serial(answer: PublicationStatus) -> dict[str, PublicationRow]:
    return {row.serial_number: row for row in answer.rows}


class TestStatus:
    def test_every_unit_it_means_is_told_where_it_is_and_whether_it_is_closed(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = with_directive()
        made.add("unit_modifications", {**UNIT, "serial_number": "0002", "modification": "M-77", "date": "2025-05-01"})
        made.add("accomplishments", {**UNIT, "serial_number": "0003", "requirement": REFERENCE, "date": "2025-06-01"})
        made.take(store, tmp_path / "files")
        answer = status(store)
        rows = by_serial(answer)
        assert sorted(rows) == [f"{n:04d}" for n in range(1, 7)]
        assert Counter(row.state for row in answer.rows) == {"overdue": 4, "in date": 2}
        assert [row.state for row in answer.rows] == ["overdue"] * 4 + ["in date"] * 2
        assert (rows["0001"].registration, rows["0001"].position, rows["0001"].due_date) == (
            "Q-AAA",
            "L1",
            "2025-12-31",
        )
        assert (rows["0002"].closed_by, rows["0002"].closed_on) == ("modification M-77", "2025-05-01")
        assert (rows["0003"].closed_by, rows["0003"].closed_on) == (f"work {REFERENCE}", "2025-06-01")
        assert rows["0002"].closed_entry is not None
        assert (answer.units.looked_at, answer.units.affected, answer.units.not_affected) == (20, 6, 14)
        assert answer.units.cannot_be_told == 0

    def test_on_its_last_day_and_before_it_was_closed_it_is_told_as_it_was_then(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = with_directive()
        made.add("unit_modifications", {**UNIT, "serial_number": "0002", "modification": "M-77", "date": "2026-01-10"})
        made.take(store, tmp_path / "files")
        assert {row.state for row in status(store, date(2025, 12, 31)).rows} == {"in date"}
        assert by_serial(status(store, date(2026, 1, 9)))["0002"].state == "overdue"
        assert by_serial(status(store, date(2026, 1, 10)))["0002"].closed_on == "2026-01-10"

    def test_known_before_it_was_recorded_it_is_open(self, store: Store, tmp_path: Path) -> None:
        with_directive().take(store, tmp_path / "files")
        with store.reading() as connection:
            last, _ = head_of(connection)
        done = {**UNIT, "serial_number": "0002", "modification": "M-77", "date": "2025-05-01"}
        later(store, tmp_path / "later", at=datetime(2025, 6, 1, tzinfo=UTC), unit_modifications=[done])
        assert by_serial(status(store))["0002"].closed_by is not None
        assert by_serial(status(store, known_at=str(last)))["0002"].state == "overdue"

    def test_counts_after_the_effective_date_run_from_the_readings_around_it(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = with_directive(comply_by="", cycles_after="2000")
        made.take(store, tmp_path / "files")
        row = by_serial(status(store))["0001"]
        readings = {str(r["date"]): r["cycles_total"] for r in made.files["readings"] if r["registration"] == "Q-AAA"}
        then = readings[max(day for day in readings if day < "2025-03-01")]
        assert row.airframe_cycles_due == then + 2000
        assert row.cycles_left == then + 2000 - readings["2026-02-01"]
        assert (row.state, row.basis) == ("in date", "effective 2025-03-01")

    def test_a_unit_of_which_it_cannot_be_told_is_shown_as_that_above_what_is_in_order(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = with_directive(comply_by="2027-12-31")
        pack(made, "AX-77", {"store": "Main store", "bin": "B-9"})
        made.take(store, tmp_path / "files")
        answer = status(store)
        first = answer.rows[0]
        assert (first.serial_number, first.affected, first.state) == ("AX-77", CANNOT_BE_TOLD, "unknown")
        assert "another form" in first.state_reason
        assert first.place == "store Main store, bin B-9"
        assert (answer.units.affected, answer.units.cannot_be_told) == (6, 1)
        assert answer.is_open_or_unknown

    def test_what_it_asks_is_not_stated_so_nothing_can_be_told(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        del made.files["compliance"]
        made.take(store, tmp_path / "files")
        assert {(row.state, row.affected) for row in status(store).rows} == {("unknown", AFFECTED)}
        found = [each.code for each in audit(store, as_of=AS_OF).findings]
        assert Counter(found) == {"PUB104": 6}

    def test_groups_are_asked_for_different_things(self, store: Store, tmp_path: Path) -> None:
        made = with_directive(group="1")
        made.files["applicability"] = [
            {**NAMED, "serial_to": "0002", "group": "1"},
            {**NAMED, "serial_from": "0003", "group": "2"},
        ]
        made.add("compliance", {**ASKED, "group": "2", "action": "inspect", "comply_by": "2027-01-01"})
        made.take(store, tmp_path / "files")
        told = {(row.serial_number, row.action, row.state) for row in status(store).rows}
        assert told == {
            *((f"000{n}", "replace", "overdue") for n in (1, 2)),
            *((f"000{n}", "inspect", "in date") for n in (3, 4, 5, 6)),
        }

    def test_a_unit_on_the_scrap_heap_is_not_looked_at(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.files["applicability"] = [{**NAMED, "serial_to": "9100"}]
        made.add(
            "transfers",
            {**UNIT, "serial_number": "9002", "date": "2025-05-05", "to": "scrap", "condition": "unsalvageable"},
        )
        made.take(store, tmp_path / "files")
        assert "9002" not in by_serial(status(store))
        assert "9002" in by_serial(status(store, date(2025, 5, 4)))


class TestRevisions:
    def _revised(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.add("publications", {**DIRECTIVE, "revision": "1", "effective_on": "2025-09-01"})
        made.add("applicability", {**NAMED, "revision": "1", "serial_to": "0003"})
        made.add("compliance", {**ASKED, "revision": "1", "comply_by": "2026-06-30"})
        made.take(store, tmp_path / "files")

    def test_the_latest_in_effect_counts(self, store: Store, tmp_path: Path) -> None:
        self._revised(store, tmp_path)
        now, then = status(store), status(store, date(2025, 8, 31))
        assert (now.told.revision, len(now.rows), now.rows[0].due_date) == ("1", 3, "2026-06-30")
        assert (then.told.revision, len(then.rows), then.rows[0].due_date) == (None, 6, "2025-12-31")
        assert [(each.revision, each.standing) for each in now.others] == [(None, "earlier revision")]
        assert [(each.revision, each.standing) for each in then.others] == [("1", "to come")]
        assert audit(store, as_of=AS_OF).findings == ()

    def test_another_revision_is_shown_when_it_is_asked_for_and_found_nothing_of(
        self, store: Store, tmp_path: Path
    ) -> None:
        self._revised(store, tmp_path)
        first = status(store, revision="")
        assert (first.told.standing, first.is_open_or_unknown) == ("earlier revision", False)
        with pytest.raises(Refusal) as refused:
            status(store, revision="7")
        assert "the first issue, 1" in refused.value.message

    def test_superseded_and_cancelled_it_asks_for_nothing_from_that_day(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.files["publications"] = [{**DIRECTIVE, "cancelled_on": "2026-01-20"}]
        made.add("publications", {"publication": "QD-9", "kind": "letter", "effective_on": "2026-01-10"})
        made.take(store, tmp_path / "files")
        codes = [each.code for each in audit(store, as_of=date(2026, 1, 19)).findings]
        assert Counter(codes) == {"PUB101": 6, "PUB105": 1}
        assert [each.code for each in audit(store, as_of=date(2026, 1, 20)).findings] == ["PUB105"]
        assert status(store).told.standing == "cancelled"
        take = {"publication": "QD-10", "kind": "letter", "effective_on": "2026-01-05", "supersedes": "qd-2025-014"}
        later(store, tmp_path / "more", at=datetime(2026, 1, 6, tzinfo=UTC), publications=[take])
        told = status(store, date(2026, 1, 6)).told
        assert (told.standing, told.instead) == ("superseded", "QD-10")
        assert status(store, date(2026, 1, 4)).told.standing == "in force"

    def test_an_unknown_reference_is_refused_with_the_nearest(self, store: Store, tmp_path: Path) -> None:
        with_directive().take(store, tmp_path / "files")
        with pytest.raises(Refusal) as refused:
            publication_status(store, reference="QD-2025-041", as_of=AS_OF)
        assert refused.value.code == "publication-unknown"
        assert "Did you mean QD-2025-014?" in refused.value.message


class TestList:
    def test_each_with_its_units_and_what_is_open(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.add("publications", {"publication": "SL-1", "kind": "letter", "effective_on": "2025-01-01"})
        made.add("unit_modifications", {**UNIT, "serial_number": "0002", "modification": "M-77", "date": "2025-05-01"})
        made.take(store, tmp_path / "files")
        first, second = publication_list(store, as_of=AS_OF).rows
        assert (first.told.publication, first.affected, first.open, first.overdue, first.closed) == (
            REFERENCE,
            6,
            5,
            5,
            1,
        )
        assert (second.told.publication, second.affected, second.cannot_be_told) == ("SL-1", None, 20)

    def test_what_no_longer_counts_is_shown_when_asked_for(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.add("publications", {**DIRECTIVE, "revision": "1", "effective_on": "2025-09-01"})
        made.take(store, tmp_path / "files")
        assert [row.told.standing for row in publication_list(store, as_of=AS_OF).rows] == ["in force"]
        every = publication_list(store, as_of=AS_OF, everything=True)
        assert next((row.told.standing, row.affected) for row in every.rows) == ("earlier revision", None)


class TestElsewhere:
    def test_a_directive_past_its_limit_stops_a_fitting(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.files["applicability"] = [{**NAMED, "serial_from": "9001", "serial_to": "9001"}]
        made.take(store, tmp_path / "files")
        asked = {"registration": "Q-AAA", "position": "L1", "part_number": "SL-100-1"}
        overdue = swap_check(store, serial_number="9001", as_of=AS_OF, **asked)
        assert overdue.outcome == "do not fit"
        assert [(r.code, r.verdict) for r in overdue.reasons if r.topic == "directives"] == [("PUB101", "stop")]
        clean = swap_check(store, serial_number="9002", as_of=AS_OF, **asked)
        assert [r for r in clean.reasons if r.topic == "directives"] == []
        in_time = swap_check(store, serial_number="9001", as_of=date(2025, 12, 30), **asked)
        assert [r for r in in_time.reasons if r.topic == "directives"] == []
        ahead = swap_check(store, serial_number="9001", as_of=date(2025, 12, 30), fitted_on=date(2026, 1, 1), **asked)
        assert [r.code for r in ahead.reasons if r.topic == "directives"] == ["PUB101"]

    def test_a_bulletin_and_what_cannot_be_told_are_conditions(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.files["publications"] = [{**DIRECTIVE, "kind": "bulletin"}]
        made.files["applicability"] = [{**NAMED, "serial_to": "9002"}]
        made.add("publications", {"publication": "QD-9", "kind": "directive", "effective_on": "2025-01-01"})
        made.take(store, tmp_path / "files")
        answer = swap_check(
            store,
            registration="Q-AAA",
            position="L1",
            part_number="SL-100-1",
            serial_number="9001",
            as_of=AS_OF,
        )
        told = {(r.code, r.verdict) for r in answer.reasons if r.topic == "directives"}
        assert told == {("PUB102", "condition"), ("PUB103", "condition")}
        assert answer.outcome == "conditions to meet first"

    def test_the_card_of_a_unit_shows_what_is_asked_and_its_modifications(self, store: Store, tmp_path: Path) -> None:
        made = with_directive()
        made.add("unit_modifications", {**UNIT, "serial_number": "0001", "modification": "M-12", "date": "2025-04-01"})
        made.add("not_embodied", {**UNIT, "serial_number": "0002", "modification": "M-77", "date": "2025-04-02"})
        made.take(store, tmp_path / "files")

        def card(serial: str) -> Any:
            return unit_card(store, part_number="SL-100-1", serial_number=serial, as_of=AS_OF)

        assert [(m.modification, m.status, m.on, m.asked_by) for m in card("0001").modifications] == [
            ("M-12", "embodied", "2025-04-01", ()),
            ("M-77", "not known", None, (REFERENCE,)),
        ]
        assert [(m.modification, m.status, m.on) for m in card("0002").modifications] == [
            ("M-77", "not embodied", "2025-04-02")
        ]
        assert [row.state for row in card("0001").publications] == ["overdue"]
        assert card("9001").publications == card("9001").modifications == ()


class TestCost:
    def test_where_there_are_none_an_audit_runs_no_further_statement(self, store: Store, tmp_path: Path) -> None:
        fleet().take(store, tmp_path / "files")
        audit(store, as_of=AS_OF)
        with counted(store) as statements:
            audit(store, as_of=AS_OF)
        tables = ("publication", "applicability", "compliance", "not_embodied")
        assert not [text for text in statements for name in tables if f" {name} " in f"{text} "]
        before = len(statements)
        letter = {"publication": "SL-1", "kind": "letter", "effective_on": "2025-01-01"}
        later(store, tmp_path / "later", at=datetime(2025, 2, 1, tzinfo=UTC), publications=[letter])
        audit(store, as_of=AS_OF)
        with counted(store) as statements:
            audit(store, as_of=AS_OF)
        assert len(statements) == before

    def test_the_number_of_statements_does_not_grow_with_the_units(self, store: Store, tmp_path: Path) -> None:
        made = with_directive(cycles_after="100")
        made.files["applicability"] = [{"publication": REFERENCE, "part_number": "SL-*"}]
        made.take(store, tmp_path / "files")
        counts = []
        for size in (0, 6):
            more = fleet(2 + size)
            if size:
                more.files = {
                    name: rows
                    for name, rows in more.files.items()
                    if name in ("airframes", "units", "certificates", "accomplishments", "readings")
                }
                more.take(store, tmp_path / "more", at=datetime(2025, 1, 11, tzinfo=UTC))
            status(store)
            with counted(store) as statements:
                answer = status(store)
            counts.append(len(statements))
        assert answer.units.affected == 4 * 8 + 2
        assert counts[0] == counts[1]
