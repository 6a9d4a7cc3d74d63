"""Numbers, samples, what is new and what is closed: on both databases, over the invented fleet."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from fleetlife.actions.mend import correct, waive, withdraw
from fleetlife.answers.audit import audit
from fleetlife.checks.every import REGISTER
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.terms.audited import sample_rank
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from tests.checks.fleet import AS_OF, fleet
from tests.checks.test_audit import counted
from tests.checks.wrongs import everything_wrong, what_came_later


def last(store: Store) -> int:
    with store.reading() as connection:
        return head_of(connection)[0]


@pytest.fixture
def before(store: Store, tmp_path: Path) -> tuple[Store, int]:
    """The wrong fleet, and the last entry before what came later."""
    everything_wrong().take(store, tmp_path / "first")
    number = last(store)
    what_came_later(store, tmp_path / "later")
    return store, number


@pytest.fixture
def wrong(before: tuple[Store, int]) -> Store:
    return before[0]


class TestNumbers:
    def test_every_finding_has_its_own(self, wrong: Store) -> None:
        found = audit(wrong, as_of=AS_OF, waived=True).findings
        assert [n for n, times in Counter(each.number for each in found).items() if times > 1] == []
        assert all(each.number.startswith(f"{each.code}-") for each in found)

    def test_it_stays_on_the_next_day_and_in_a_narrower_question(self, wrong: Store) -> None:
        numbers = {each.number for each in audit(wrong, as_of=AS_OF).findings}
        assert numbers <= {each.number for each in audit(wrong, as_of=date(2026, 2, 2)).findings}
        for asked in ({"registrations": ["Q-AAC"]}, {"severities": ["note"]}, {"part_numbers": ["RV-7"]}):
            narrow = {each.number for each in audit(wrong, as_of=AS_OF, **asked).findings}  # type: ignore[arg-type]
            assert narrow
            assert narrow < numbers

    def test_a_finding_is_asked_for_by_its_number(self, wrong: Store) -> None:
        wanted = audit(wrong, as_of=AS_OF).findings[3]
        report = audit(wrong, as_of=AS_OF, numbers=[wanted.number.lower()])
        assert report.findings == (wanted,)
        assert report.checks_run == (wanted.code,)

    def test_a_number_that_is_none_and_one_that_does_not_stand_are_refused(self, wrong: Store) -> None:
        for number, code in (
            ("LIF101", "finding-unknown"),
            ("ZZZ101-00000000", "finding-unknown"),
            ("LIF101-00000000", "finding-not-standing"),
        ):
            with pytest.raises(Refusal) as refused:
                audit(wrong, as_of=AS_OF, numbers=[number])
            assert refused.value.code == code

    def test_a_waived_finding_keeps_its_number_and_is_still_asked_for_by_it(self, wrong: Store) -> None:
        [found] = [f for f in audit(wrong, as_of=AS_OF).findings if f.subject() == "SL-100-1 OO17"]
        waive(
            wrong,
            code="IDN101",
            subject="SL-100-1 OO17",
            reason="being read",
            approved_by="Q7",
            expires_on=AS_OF,
            recorded_by="C1",
        )
        [waived] = audit(wrong, as_of=AS_OF, numbers=[found.number], waived=True).findings
        assert waived.number == found.number
        assert waived.status.startswith("waived until")


class TestSince:
    def test_new_and_closed_are_what_the_two_audits_differ_by(self, before: tuple[Store, int]) -> None:
        store, number = before
        then = {each.number: each for each in audit(store, as_of=AS_OF, known_at=str(number)).findings}
        now = {each.number: each for each in audit(store, as_of=AS_OF).findings}
        report = audit(store, as_of=AS_OF, earlier=str(number))
        since = report.since
        assert since is not None
        assert since.entry == number
        assert since.new == set(now) - set(then)
        assert {each.finding.number for each in since.closed} == set(then) - set(now)
        assert since.stood == len(set(now) & set(then))
        assert since.new
        assert {each.number for each in report.findings} == set(now)

    def test_a_closed_finding_names_the_entry_that_closed_it(self, before: tuple[Store, int]) -> None:
        store, _ = before
        found = audit(store, as_of=AS_OF, codes=["PAP102"]).findings[0]
        entry = next(each.entry for each in found.evidence if each.entry is not None)
        first = last(store)
        done = withdraw(store, entry, reason="wrong paper", authorised_by="Q7", recorded_by="C1")
        report = audit(store, as_of=AS_OF, codes=["PAP102"], earlier=str(first))
        assert report.since is not None
        assert found not in report.findings
        assert report.since is not None
        [closed] = report.since.closed
        assert closed.finding == found
        assert closed.entries == (last(store),)
        assert done.entries[-1] == last(store)

    def test_a_mistake_that_is_recorded_opens_one_and_its_correction_closes_it(
        self, store: Store, tmp_path: Path
    ) -> None:
        made = fleet()
        made.take(store, tmp_path / "files")
        first = last(store)
        assert audit(store, as_of=AS_OF).findings == ()
        wrong = fleet(0)
        wrong.files = {
            "certificates": [
                {
                    "organisation": "Shop A",
                    "tracking_number": "X-1",
                    "part_number": "SL-100-1",
                    "serial_number": "0001",
                    "status": "Overhauled",
                    "date": "1999-01-01",
                }
            ]
        }
        wrong.take(store, tmp_path / "wrong", at=datetime(2025, 6, 1, tzinfo=UTC))
        second = last(store)
        opened = audit(store, as_of=AS_OF, earlier=str(first))
        assert opened.since is not None
        assert [each.code for each in opened.findings] == ["PAP107"]
        assert opened.since.new == {opened.findings[0].number}
        withdraw(store, second, reason="not ours", authorised_by="Q7", recorded_by="C1")
        closed = audit(store, as_of=AS_OF, earlier=str(second)).since
        assert closed is not None
        assert [(each.finding.number, each.entries) for each in closed.closed] == [
            (opened.findings[0].number, (last(store),))
        ]

    def test_a_day_alone_opens_a_finding(self, wrong: Store) -> None:
        number = last(wrong)
        report = audit(wrong, as_of=AS_OF, earlier=str(number), earlier_day=date(2025, 2, 20))
        assert report.since is not None
        then = {each.number for each in audit(wrong, as_of=date(2025, 2, 20)).findings}
        assert report.since.new == {each.number for each in report.findings} - then
        assert any(number.startswith("LIF101-") for number in report.since.new)

    def test_of_an_airframe_a_finding_is_not_closed_by_its_unit_going_elsewhere(self, wrong: Store) -> None:
        report = audit(wrong, as_of=AS_OF, registrations=["Q-AAC"], earlier=str(last(wrong)))
        assert report.since is not None
        assert (report.since.new, report.since.closed) == (frozenset(), ())
        assert report.since.stood == len(report.findings)

    def test_the_later_moment_first_is_refused(self, before: tuple[Store, int]) -> None:
        store, number = before
        with pytest.raises(Refusal) as refused:
            audit(store, as_of=AS_OF, known_at=str(number), earlier=str(number + 1))
        assert refused.value.code == "moments-reversed"
        with pytest.raises(Refusal) as refused:
            audit(store, as_of=AS_OF, earlier=str(number), earlier_day=date(2026, 2, 2))
        assert refused.value.code == "moments-reversed"


class TestSample:
    def test_it_is_the_first_in_the_order_of_the_seed(self, wrong: Store) -> None:
        report = audit(wrong, as_of=AS_OF, draw=(5, "2026-02-01"))
        everything = audit(wrong, as_of=AS_OF, draw=(10_000, "2026-02-01"))
        assert report.sample is not None
        assert everything.sample is not None
        units = everything.sample.units
        assert report.sample.population == len(units) == audit(wrong, as_of=AS_OF).units_examined
        assert report.units_examined == 5
        assert [(u.part_number, u.serial_number) for u in report.sample.units] == [
            (u.part_number, u.serial_number) for u in units[:5]
        ]
        ranks = [
            sample_rank("2026-02-01", (fold(u.manufacturer), fold(u.part_number), fold(u.serial_number))) for u in units
        ]
        assert ranks == sorted(ranks)

    def test_another_seed_draws_others_and_a_new_unit_moves_none(self, store: Store, tmp_path: Path) -> None:
        made = fleet()
        made.take(store, tmp_path / "files")

        def draw(seed: str, count: int = 8) -> list[str]:
            sample = audit(store, as_of=AS_OF, draw=(count, seed)).sample
            assert sample is not None
            return [f"{unit.part_number} {unit.serial_number}" for unit in sample.units]

        assert draw("a") == draw("a")
        assert draw("a") != draw("b")
        assert draw("a", 4) == draw("a")[:4]

    def test_its_findings_are_those_of_its_units(self, wrong: Store) -> None:
        every = audit(wrong, as_of=AS_OF)
        report = audit(wrong, as_of=AS_OF, draw=(10_000, "all"))
        assert {each.number for each in report.findings} == {
            each.number
            for each in every.findings
            if each.unit is not None and each.code in report.checks_run and each.code != "MOV103"  # scrap is not drawn
        }
        assert report.sample is not None
        assert sum(unit.findings for unit in report.sample.units) == len(report.findings)
        assert any("every unit that was not drawn" in sentence for sentence in report.not_checked)

    def test_it_is_drawn_from_the_scope_alone(self, wrong: Store) -> None:
        of_part = audit(wrong, as_of=AS_OF, part_numbers=["sl-100-1"], draw=(10_000, "7")).sample
        assert of_part is not None
        assert {unit.part_number for unit in of_part.units} == {"SL-100-1"}
        of_airframe = audit(wrong, as_of=AS_OF, registrations=["Q-AAC"], draw=(10_000, "7"))
        assert of_airframe.sample is not None
        assert of_airframe.sample.population == audit(wrong, as_of=AS_OF, registrations=["Q-AAC"]).units_examined

    def test_as_known_then_it_is_what_was_drawn_then(self, store: Store, tmp_path: Path) -> None:
        everything_wrong().take(store, tmp_path / "first")
        number = last(store)
        drawn = audit(store, as_of=AS_OF, draw=(9, "seed"))
        what_came_later(store, tmp_path / "later")
        then = audit(store, as_of=AS_OF, known_at=str(number), draw=(9, "seed"))
        assert then.sample == drawn.sample
        assert then.findings == drawn.findings

    @pytest.mark.parametrize("draw", [(0, "7"), (-1, "7"), (3, " "), (3, "a\nb")], ids=str)
    def test_a_sample_of_nothing_or_without_a_seed_is_refused(
        self, store: Store, tmp_path: Path, draw: tuple[int, str]
    ) -> None:
        fleet().take(store, tmp_path / "files")
        with pytest.raises(Refusal) as refused:
            audit(store, as_of=AS_OF, draw=draw)
        assert refused.value.code == "sample-not-drawn"


class TestCost:
    def test_a_sample_and_what_is_new_cost_as_many_statements_in_a_larger_fleet(
        self, store: Store, tmp_path: Path
    ) -> None:
        counts = []
        for size in (2, 10):
            made = fleet(size)
            if size > 2:
                kept = ("airframes", "units", "certificates", "accomplishments", "readings")
                made.files = {name: rows for name, rows in made.files.items() if name in kept}
            made.take(store, tmp_path / str(size), at=datetime(2025, 1, 9 + size, tzinfo=UTC))
            number = last(store)
            for _ in range(2):
                with counted(store) as drawing:
                    audit(store, as_of=AS_OF, draw=(6, "seed"))
                with counted(store) as comparing:
                    audit(store, as_of=AS_OF, earlier=str(number))
            counts.append((len(drawing), len(comparing)))
        assert counts[0] == counts[1]


class TestNeverWaived:
    @pytest.mark.parametrize("code", sorted(code for code, check in REGISTER.items() if not check.waivable))
    def test_what_is_never_waived_is_refused_and_leaves_nothing_written(self, store: Store, code: str) -> None:
        number = last(store)
        with pytest.raises(Refusal) as refused:
            waive(
                store,
                code=code,
                subject="Q-AAB L1 SL-100-1 0005",
                reason="no hangar",
                approved_by="Q7",
                expires_on=AS_OF,
                recorded_by="C1",
            )
        assert refused.value.code == "not-waivable"
        assert last(store) == number

    def test_life_limitation_and_directive_are_among_them(self) -> None:
        never = {code for code, check in REGISTER.items() if not check.waivable}
        assert {"LIF101", "LIF103", "LIF110", "CYL101", "IDN102"} <= never

    def test_a_waiver_is_not_corrected_into_one_of_what_is_never_waived(self, wrong: Store) -> None:
        waive(
            wrong,
            code="IDN101",
            subject="SL-100-1 OO17",
            reason="being read",
            approved_by="Q7",
            expires_on=AS_OF,
            recorded_by="C1",
        )
        number = last(wrong)
        with pytest.raises(Refusal) as refused:
            correct(
                wrong,
                number,
                changes={"finding": "LIF101", "subject": "Q-AAB L1 SL-100-1 0005"},
                reason="other",
                authorised_by="Q7",
                recorded_by="C1",
            )
        assert refused.value.code == "not-waivable"
        assert last(wrong) == number
