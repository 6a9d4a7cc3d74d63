"""A cylinder condemned by its expansion test: the test proves nothing, nor does any later one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from life_history import done, iso, needs, unit

from fleetlife.life.condemned import none_restored
from fleetlife.life.expansion import ExpansionTest
from fleetlife.life.points import due_point, expand_resets
from fleetlife.life.values import Done, DuePoint

RULE = needs(kind="requalification", repeat={"months": 60}, month_rule="last")
OVER = ExpansionTest(total=200_000, permanent=20_001, specification="3AA")
AT = ExpansionTest(total=200_000, permanent=20_000, specification="3AA")
NOT_SHOWN = ExpansionTest(total=200_000, permanent=1, specification="3HT")


def mark(text: str, expansion: ExpansionTest | None = None, **fields: Any) -> Done:
    return done(text, date_basis="mark", expansion=expansion, **fields)


def point(*work: Done, names: tuple[str, ...] = ("R1",), **fields: Any) -> DuePoint:
    return due_point(RULE, unit(done=none_restored(work, names), **fields))


class TestCondemned:
    def test_the_date_stays_where_the_earlier_test_put_it(self) -> None:
        found = point(mark("2020-03"), mark("2024-05", OVER))
        assert (iso(found.calendar_due), iso(found.last_done)) == ("2025-03-31", "2020-03-01")
        assert (found.basis or "").endswith("; the expansion test of 2024-05 condemned the cylinder")

    def test_at_the_limit_or_not_shown_the_test_counts(self) -> None:
        for test in (AT, NOT_SHOWN, None):
            assert iso(point(mark("2020-03"), mark("2024-05", test)).calendar_due) == "2029-05-31"

    def test_a_later_test_restores_nothing_whatever_it_reads(self) -> None:
        for test in (AT, None):
            found = point(mark("2020-03"), mark("2024-05", OVER), mark("2024-06", test))
            assert iso(found.calendar_due) == "2025-03-31"
            assert (found.basis or "").endswith("condemned the cylinder, which that of 2024-06 does not undo")

    def test_another_test_of_the_same_month_restores_it_no_more(self) -> None:
        for first, second in ((4000, 6000), (6000, 4000)):
            found = point(mark("2020-03"), mark("2024-05", OVER, sequence=first), mark("2024-05", sequence=second))
            assert iso(found.calendar_due) == "2025-03-31"

    def test_of_two_that_failed_the_first_is_told(self) -> None:
        works = none_restored((mark("2024-05", OVER), mark("2023-01", OVER)), {"R1"})
        assert [each.condemned for each in works] == ["2023-01", "2023-01"]

    def test_with_no_earlier_test_it_is_unknown_for_that_cause(self) -> None:
        rule = needs(kind="requalification", start="release", repeat={"months": 60})
        works = none_restored((mark("2024-05", OVER),), {"R1"})
        assert [u.cause for u in due_point(rule, unit(done=works)).unknown] == ["not-passed"]

    def test_other_work_is_left_alone(self) -> None:
        other = done("2024-06-01", requirement="R2")
        assert none_restored((mark("2024-05", OVER), other), {"R1"})[1] == other

    def test_a_test_counts_for_every_requalification_of_the_unit(self) -> None:
        other = mark("2024-06", requirement="R2")
        assert none_restored((mark("2024-05", OVER), other), {"R1", "R2"})[1].proven is False

    def test_nothing_failed_nothing_changed(self) -> None:
        works = (mark("2020-03", AT), mark("2024-05"))
        assert none_restored(works, {"R1"}) == works


class TestResets:
    RULES = (
        RULE,
        replace(needs(repeat={"months": 60}), requirement="R2", resets=("R1",)),
    )

    def test_an_overhaul_that_resets_the_test_restores_nothing(self) -> None:
        works = (mark("2020-03"), mark("2024-05", OVER), mark("2024-07", requirement="R2"))
        expanded = expand_resets(self.RULES, works)
        assert [(w.date.text, w.proven) for w in expanded if w.requirement == "R1"] == [
            ("2020-03", True),
            ("2024-05", False),
            ("2024-07", False),
        ]
        assert iso(due_point(RULE, unit(done=expanded)).calendar_due) == "2025-03-31"

    def test_the_figures_stay_with_the_test_itself(self) -> None:
        expanded = expand_resets(self.RULES, (mark("2024-07", AT, requirement="R2"),))
        assert [(w.requirement, w.expansion) for w in expanded] == [("R1", None), ("R2", AT)]
