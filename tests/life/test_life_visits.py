"""Visits to come, worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from life_history import band, d, done, fitted, h, iso, needs, ran

from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import parse_partial
from fleetlife.life.points import due_point
from fleetlife.life.state import judge
from fleetlife.life.values import Carried, History, Limits, Outlook, Period, Rate, Requirement
from fleetlife.life.visits import Going, ShopWork, Visit, due_again, is_shop_work, visits

AS_OF = d("2026-11-25")
UNTIL = d("2028-11-30")
FLIES = Outlook(
    airframe_id=1,
    base_day=d("2026-11-24"),
    base_minutes=h("20000:00"),
    base_cycles=9_000,
    rate=Rate(minutes=h("2920:00"), cycles=1_460, span=365),  # 8:00 and 4 a day
    rates=(Rate(minutes=h("300:00"), cycles=120, span=30),),  # the last 30 days 10:00 a day
)
CARRIED, STORED = Going(view=FLIES), Going(stored=True)


def named(name: str, **more: Any) -> Requirement:
    return replace(needs(**more), requirement=name)


def told(found: list[Visit]) -> list[tuple[str, str | None, bool]]:
    return [(visit.requirement.requirement, iso(visit.day), visit.again) for visit in found]


def again(requirement: Requirement, going: Going, done_on: str, back_on: str) -> str | None:
    return iso(due_again(requirement, going, done_on=d(done_on), back_on=d(back_on)))


class TestDueAgain:
    def test_months_count_from_the_day_it_is_back(self) -> None:
        assert again(needs(repeat={"months": 36}), CARRIED, "2027-01-31", "2027-03-31") == "2030-03-31"

    def test_the_calendar_keeps_its_own_month_end(self) -> None:
        # 31 January and one month: the last of February, never the third of March.
        assert again(needs(repeat={"months": 1}), CARRIED, "2027-01-01", "2027-01-31") == "2027-02-28"

    def test_a_requalification_counts_from_the_month_of_its_mark_to_the_end_of_a_month(self) -> None:
        hydro = needs(kind="requalification", repeat={"months": 60}, month_rule="last", start="manufacture")
        # It leaves on 20 January and is stamped 01/2027: good through January 2032, whenever it is back.
        assert again(hydro, CARRIED, "2027-01-20", "2027-04-02") == "2032-01-31"

    def test_hours_run_from_the_day_it_is_back_at_the_highest_rate(self) -> None:
        # 600:00 at 10:00 a day are 60 days; the mean of 8:00 would say 75.
        assert again(needs(repeat={"minutes": h("600:00")}), CARRIED, "2027-01-01", "2027-02-01") == "2027-04-02"

    def test_a_plan_goes_before_the_rates(self) -> None:
        plan = (
            Period(from_day=d("2027-02-02"), to_day=d("2027-12-31"), minutes_per_day=h("20:00"), millicycles_per_day=0),
        )
        planned = Going(view=replace(FLIES, plan=plan))
        assert again(needs(repeat={"minutes": h("600:00")}), planned, "2027-01-01", "2027-02-01") == "2027-03-03"

    def test_whichever_comes_first_and_last(self) -> None:
        limits = {"months": 24, "cycles": 400}  # at 4 a day 100 days, which end on 2027-05-12
        first, last = needs(repeat=limits), needs(repeat=limits, whichever="last")
        assert again(first, CARRIED, "2027-01-01", "2027-02-01") == "2027-05-12"
        assert again(last, CARRIED, "2027-01-01", "2027-02-01") == "2029-02-01"

    def test_the_band_in_force_at_the_visit_gives_the_next_interval(self) -> None:
        aged = needs(repeat={"months": 36}, bands=(band(180, months=12),))
        made = replace(CARRIED, manufactured=parse_partial("2013-06-15"))
        # 15 years old on 2028-06-15: from then on 12 months, which have passed by then.
        assert again(aged, made, "2026-12-01", "2027-02-01") == "2028-06-15"
        assert again(aged, made, "2028-08-01", "2028-10-01") == "2029-10-01"

    def test_started_by_the_fitting_it_starts_on_the_day_it_is_back(self) -> None:
        rule = needs(repeat={"months": 36}, start="installation", shelf_allowance_months=12)
        assert again(rule, CARRIED, "2027-01-01", "2027-02-01") == "2030-02-01"
        # In stores the allowance runs out first: 12 months, then 36.
        assert again(rule, STORED, "2027-01-01", "2027-02-01") == "2031-02-01"

    def test_in_stores_hours_do_not_run(self) -> None:
        assert again(needs(repeat={"minutes": h("600:00")}), STORED, "2027-01-01", "2027-02-01") is None
        both = needs(repeat={"minutes": h("600:00"), "months": 24})
        assert again(both, STORED, "2027-01-01", "2027-02-01") == "2029-02-01"

    def test_storage_runs_in_stores_alone(self) -> None:
        storage = needs(kind="storage", repeat={"months": 24})
        assert again(storage, STORED, "2027-01-01", "2027-02-01") == "2029-02-01"
        assert again(storage, CARRIED, "2027-01-01", "2027-02-01") is None

    def test_what_stands_has_no_date_by_hours(self) -> None:
        stands = Going(view=replace(FLIES, rate=Rate(minutes=0, cycles=0, span=365), rates=()))
        assert again(needs(repeat={"minutes": h("600:00")}), stands, "2027-01-01", "2027-02-01") is None

    def test_a_counter_runs_by_its_own_outlook(self) -> None:
        landings = needs(repeat={"cycles": 500}, counter="landings", counter_axis="cycles")
        runs = replace(FLIES, rate=Rate(minutes=0, cycles=1_825, span=365), rates=())  # 5 a day
        going = replace(CARRIED, counters={"landings": runs})
        assert again(landings, going, "2027-01-01", "2027-02-01") == "2027-05-12"

    def test_an_expiry_that_the_work_does_not_renew_still_stands(self) -> None:
        going = replace(CARRIED, expires=parse_partial("2027-10-31"))
        assert again(needs(kind="inspection", repeat={"months": 36}), going, "2027-01-01", "2027-02-01") == "2027-10-31"
        assert again(needs(kind="overhaul", repeat={"months": 36}), going, "2027-01-01", "2027-02-01") == "2030-02-01"
        assert again(needs(kind="inspection", repeat={"months": 36}), going, "2027-12-01", "2028-02-01") is None


def work(requirement: Requirement, due: str) -> ShopWork:
    return ShopWork(requirement=requirement, due=d(due))


class TestVisits:
    def test_each_follows_from_the_one_before(self) -> None:
        overhaul = named("OVH", repeat={"months": 6})
        found, untold = visits([work(overhaul, "2027-01-10")], CARRIED, as_of=AS_OF, until=UNTIL, turnaround=60)
        # 2027-01-10, back 03-11, 6 months: 09-11, back 11-10: 2028-05-10, back 07-09: 2029-01-09 is outside.
        assert told(found) == [("OVH", "2027-01-10", False), ("OVH", "2027-09-11", True), ("OVH", "2028-05-10", True)]
        assert untold == []

    def test_what_has_passed_is_done_on_the_day_asked_about(self) -> None:
        overhaul = named("OVH", repeat={"months": 36})
        found, _ = visits([work(overhaul, "2026-08-01")], CARRIED, as_of=AS_OF, until=UNTIL, turnaround=60)
        assert told(found) == [("OVH", "2026-11-25", False)]

    def test_what_is_reset_begins_anew_and_a_life_limit_never_does(self) -> None:
        overhaul = named("OVH", repeat={"months": 36})
        overhaul = replace(overhaul, resets=("STO", "LIM", "HST"))
        storage = named("STO", kind="storage", repeat={"months": 12})
        limit = named("LIM", kind="life_limit", first={"months": 180})
        hydro = named("HST", kind="requalification", repeat={"months": 60})
        works = [work(overhaul, "2027-01-10"), work(storage, "2027-02-01"), work(hydro, "2027-04-30")]
        found, _ = visits(works, STORED, as_of=AS_OF, until=UNTIL, turnaround=30)
        # The overhaul is back on 2027-02-09, and 12 months of storage run from there.
        assert told(found) == [
            ("OVH", "2027-01-10", False),
            ("HST", "2027-04-30", False),
            ("STO", "2028-02-09", True),
        ]
        found, _ = visits([*works, work(limit, "2027-06-01")], STORED, as_of=AS_OF, until=UNTIL, turnaround=30)
        assert told(found)[-1] == ("LIM", "2027-06-01", False), "the unit ends there"

    def test_once_is_once_and_what_has_no_next_date_is_named(self) -> None:
        once = named("ONE", kind="functional_test", first={"months": 12})
        by_hours = named("OVH", repeat={"minutes": h("600:00")})
        works = [work(once, "2027-01-10"), work(by_hours, "2027-01-20")]
        found, untold = visits(works, STORED, as_of=AS_OF, until=UNTIL, turnaround=30)
        assert told(found) == [("ONE", "2027-01-10", False), ("OVH", "2027-01-20", False)]
        assert [rule.requirement for rule in untold] == ["OVH"]

    def test_two_on_one_day_come_in_one_order(self) -> None:
        works = [work(named(name, repeat=Limits(months=36)), "2027-01-10") for name in ("B", "A")]
        for ordered in (works, works[::-1]):
            found, _ = visits(ordered, CARRIED, as_of=AS_OF, until=UNTIL, turnaround=0)
            assert [visit.requirement.requirement for visit in found] == ["A", "B"]

    def test_an_interval_shorter_than_its_turnaround_comes_to_an_end(self) -> None:
        short = named("OVH", repeat={"minutes": 60})  # an hour, at ten hours a day
        found, untold = visits([work(short, "2027-01-10")], CARRIED, as_of=AS_OF, until=UNTIL, turnaround=0)
        assert len(found) == 1
        assert untold == [short]


class TestShopWork:
    @pytest.mark.parametrize(
        ("given", "expected"),
        [
            (needs(), True),
            (needs(kind="life_limit"), True),
            (needs(done_at="aircraft"), False),
            (needs(kind="soft_life"), False),
            (needs(kind="on_condition"), False),
        ],
    )
    def test_a_unit_goes_to_a_shop_for_it(self, given: Requirement, expected: bool) -> None:
        assert is_shop_work(given) is expected


class TestCountsFromNought:
    @settings(max_examples=60)
    @given(
        months=st.one_of(st.none(), st.integers(6, 60)),
        hours=st.one_of(st.none(), st.integers(500, 9_000)),
        cycles=st.one_of(st.none(), st.integers(300, 6_000)),
        whichever=st.sampled_from(("first", "last")),
        run=st.integers(0, 40_000),
        total=st.integers(50_000, 90_000),
        back=st.integers(d("2027-01-01"), d("2028-12-31")),
    )
    def test_the_next_date_is_that_of_the_whole_record(
        self,
        months: int | None,
        hours: int | None,
        cycles: int | None,
        whichever: str,
        run: int,
        total: int,
        back: int,
    ) -> None:
        """A unit with years behind it, put down as records have it: opened with its totals, done once before, back on
        an airframe with totals of its own. The next date is the one that follows from nothing but the visit."""
        assume(months or hours or cycles)
        limits = {"months": months, "minutes": None if hours is None else hours * 60, "cycles": cycles}
        rule = needs(repeat=limits, whichever=whichever)
        here = ran(run * 60, run)
        opened = ran(12_345, 678)
        work = done(iso(back) or "", count=here, sequence=5_000)
        before = done("2024-02-01", count=ran(100, 50))
        history = History(
            unit_id=1,
            as_of=end_of_day(d("2023-12-31")),
            opening=opened,
            installations=(fitted(iso(back) or "", count=here, sequence=6_000),),
            installed_now=True,
            done=(before, work),
            carried=Carried(airframe_id=1, moment=moment_of(back, 6_000), minutes=total * 60, cycles=total, count=here),
            now=here,
        )
        view = replace(FLIES, base_day=back, base_minutes=total * 60, base_cycles=total)
        told = judge(
            rule, due_point(rule, history), view, as_of=back, window_from=None, window_until=None, stored=False
        )
        assert due_again(rule, CARRIED, done_on=back - 60, back_on=back) == told.due_earliest
