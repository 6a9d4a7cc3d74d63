"""By when a publication must be complied with: the first or the last of a day, of ages and of counts."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.dates.moment import end_of_day
from fleetlife.dates.partial import day_number, day_text, parse_partial
from fleetlife.life.compliance import Demand, demanded_point, requirement_of
from fleetlife.life.points import due_point
from fleetlife.life.state import judge
from fleetlife.life.values import Carried, Count, Done, DuePoint, History, Judged, Limits, Outlook, Rate

EFFECTIVE = day_number("2025-03-01")
TODAY = day_number("2026-02-01")


def demand(**more: Any) -> Demand:
    return Demand(work="QD-1", part_number="SL-100-1", effective_on=EFFECTIVE, **more)


def history(made: str | None = "2016-05-01", **more: Any) -> History:
    stated: dict[str, Any] = {
        "unit_id": 1,
        "as_of": end_of_day(day_number("2025-01-01")),
        "manufactured": parse_partial(made) if made else None,
        "opening": Count(minutes=60_000, cycles=900),
        "now": Count(minutes=6_000, cycles=300),
    }
    return History(**{**stated, **more})


def point(asked: Demand, held: History | None = None, then: Count | None = None) -> DuePoint:
    count = Count(minutes=600, cycles=40) if then is None else then
    return demanded_point(asked, held or history(), at_effective=count, as_of=TODAY)


def state(asked: Demand, held: History | None = None, then: Count | None = None) -> Judged:
    found = point(asked, held, then)
    return judge(requirement_of(asked), found, None, as_of=TODAY, window_from=None, window_until=None, stored=False)


def due(asked: Demand, held: History | None = None) -> str | None:
    return day_text(point(asked, held).calendar_due)


class TestCalendar:
    @pytest.mark.parametrize(
        ("asked", "expected"),
        [
            (demand(comply_by=day_number("2026-10-31")), "2026-10-31"),
            (demand(after=Limits(months=12)), "2026-03-01"),
            (demand(after=Limits(days=30)), "2025-03-31"),
            (demand(since_new=Limits(months=120)), "2026-05-01"),
            (demand(after=Limits(months=12), since_new=Limits(months=120)), "2026-03-01"),
            (demand(after=Limits(months=12), since_new=Limits(months=120), whichever="last"), "2026-05-01"),
            (demand(comply_by=day_number("2026-10-31"), after=Limits(months=12), whichever="last"), "2026-10-31"),
        ],
    )
    def test_from_the_effective_date_from_manufacture_and_by_a_day(self, asked: Demand, expected: str) -> None:
        assert due(asked) == expected

    def test_months_are_counted_as_everywhere_from_the_day_itself(self) -> None:
        asked = Demand(work="QD-1", part_number="P", effective_on=day_number("2024-01-31"), after=Limits(months=1))
        assert due(asked) == "2024-02-29"

    def test_the_last_day_is_in_time_and_the_next_is_not(self) -> None:
        asked = demand(comply_by=TODAY)
        assert state(asked).state == "in date"
        assert state(demand(comply_by=TODAY - 1)).state == "overdue"


class TestCounts:
    def test_after_the_effective_date_they_run_from_what_it_had_run_then(self) -> None:
        found = point(demand(after=Limits(minutes=9_000, cycles=500)))
        assert (found.left_minutes, found.left_cycles) == (600 + 9_000 - 6_000, 40 + 500 - 300)

    def test_since_new_they_run_from_nothing(self) -> None:
        found = point(demand(since_new=Limits(cycles=5_000)))
        assert found.left_cycles == 5_000 - 900 - 300

    def test_carried_they_are_totals_of_the_airframe(self) -> None:
        carried = Carried(airframe_id=7, moment=1, minutes=90_000, cycles=4_000, count=Count(minutes=0, cycles=0))
        found = point(demand(after=Limits(cycles=500), since_new=Limits(cycles=5_000)), history(carried=carried))
        assert found.due_cycles == 4_000 + min(40 + 500, 5_000 - 900)
        assert found.left_cycles is None
        last = demand(after=Limits(cycles=500), since_new=Limits(cycles=5_000), whichever="last")
        assert point(last, history(carried=carried)).due_cycles == 4_000 + max(40 + 500, 5_000 - 900)

    def test_they_are_projected_as_in_the_due_list(self) -> None:
        carried = Carried(airframe_id=7, moment=1, minutes=90_000, cycles=4_000, count=Count(minutes=0, cycles=0))
        view = Outlook(
            airframe_id=7,
            base_day=TODAY - 10,
            base_minutes=95_000,
            base_cycles=4_400,
            rate=Rate(minutes=0, cycles=4, span=1),
        )
        asked = demand(after=Limits(cycles=500))
        found = judge(
            requirement_of(asked),
            point(asked, history(carried=carried)),
            view,
            as_of=TODAY,
            window_from=None,
            window_until=None,
            stored=False,
        )
        assert (found.cycles_left, day_text(found.due_date), found.estimated) == (100, "2026-02-26", True)

    def test_what_nobody_knows_is_unknown_and_named(self) -> None:
        found = state(demand(after=Limits(cycles=500)), then=Count())
        assert (found.state, [u.cause for u in found.unknown]) == ("unknown", ["no-count-at-effective-date"])
        young = history(made=None, opening=Count())
        assert {u.cause for u in point(demand(since_new=Limits(months=12, cycles=9)), young).unknown} == {
            "no-manufacture-date",
            "no-count-since-new",
        }

    def test_first_what_is_known_stands_beside_what_is_not(self) -> None:
        asked = demand(comply_by=day_number("2026-01-31"), after=Limits(cycles=500))
        found = state(asked, then=Count())
        assert found.state == "overdue"
        assert [u.cause for u in found.unknown] == ["no-count-at-effective-date"]

    def test_last_with_anything_unknown_nothing_can_be_told(self) -> None:
        asked = demand(comply_by=day_number("2026-01-31"), after=Limits(cycles=500), whichever="last")
        assert state(asked, then=Count()).state == "unknown"

    def test_last_is_past_only_when_all_have_passed(self) -> None:
        by, lapsed = day_number("2026-01-31"), Limits(cycles=200)
        assert state(demand(comply_by=by, after=lapsed, whichever="last")).state == "overdue"
        assert state(demand(comply_by=by, after=Limits(cycles=500), whichever="last")).state != "overdue"
        assert state(demand(comply_by=by, after=Limits(cycles=500))).state == "overdue"


class TestDone:
    def _done(self, day: str) -> Done:
        return Done(
            requirement="qd-1",
            date=parse_partial(day),
            day=day_number(day),
            moment=end_of_day(day_number(day)),
            count=Count(minutes=1_000, cycles=60),
        )

    def test_work_without_a_repeat_closes_it(self) -> None:
        assert point(demand(comply_by=1), history(done=(self._done("2025-05-10"),))).standing == "complete"

    def test_work_with_a_repeat_makes_it_due_again_from_the_work(self) -> None:
        asked = demand(comply_by=1, repeat=Limits(months=12, cycles=100))
        found = point(asked, history(done=(self._done("2025-05-10"),)))
        assert (day_text(found.calendar_due), found.left_cycles) == ("2026-05-10", 60 + 100 - 300)

    def test_other_work_closes_nothing(self) -> None:
        other = Done(
            requirement="OVH", date=parse_partial("2025-05-10"), day=1, moment=1, count=Count(minutes=0, cycles=0)
        )
        assert day_text(point(demand(after=Limits(months=12)), history(done=(other,))).calendar_due) == "2026-03-01"

    def test_an_expiry_stated_for_the_unit_says_nothing_of_a_directive(self) -> None:
        held = history(expires=parse_partial("2025-06-30"))
        assert due(demand(after=Limits(months=12)), held) == "2026-03-01"


class TestTheSameArithmetic:
    @settings(max_examples=200, derandomize=True, deadline=None)
    @given(
        st.integers(0, 400),
        st.integers(0, 30_000),
        st.integers(0, 9_000),
        st.sampled_from(["2016-05-01", "2016-05", "2016", None]),
    )
    def test_what_runs_from_new_falls_due_as_a_requirement_from_manufacture_does(
        self, months: int, minutes: int, cycles: int, made: str | None
    ) -> None:
        limits = Limits(months=months, minutes=minutes, cycles=cycles)
        asked = demand(since_new=limits)
        own, plain = point(asked, history(made)), due_point(requirement_of(asked), history(made))
        for name in ("calendar_due", "left_minutes", "left_cycles", "unknown", "standing"):
            assert getattr(own, name) == getattr(plain, name)

    @settings(max_examples=200, derandomize=True, deadline=None)
    @given(st.integers(0, 60), st.integers(0, 400), st.integers(0, 900), st.sampled_from(["first", "last"]))
    def test_more_time_never_makes_it_earlier(self, months: int, cycles: int, more: int, whichever: str) -> None:
        def figures(by: int) -> tuple[int, int]:
            asked = demand(
                after=Limits(months=months + by, cycles=cycles + by),
                since_new=Limits(months=100, cycles=5_000),
                whichever=whichever,
            )
            found = point(asked)
            assert found.calendar_due is not None
            assert found.left_cycles is not None
            return found.calendar_due, found.left_cycles

        early, late = figures(0), figures(more)
        assert late[0] >= early[0]
        assert late[1] >= early[1]
