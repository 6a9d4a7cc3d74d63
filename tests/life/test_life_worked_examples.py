"""Ten cases worked out by hand; every figure must come out exactly."""

from __future__ import annotations

from datetime import date

import pytest
from life_history import (
    band,
    carried,
    d,
    done,
    done_on_aircraft,
    fitted,
    flying,
    h,
    iso,
    needs,
    ran,
    released,
    row,
    unit,
    varied,
)

from fleetlife.dates.months import add_months
from fleetlife.life.points import due_point
from fleetlife.life.state import left_if_fitted
from fleetlife.terms.measure import hours_text


class TestMonths:
    @pytest.mark.parametrize(
        ("start", "months", "expected"),
        [
            ("2024-01-31", 1, "2024-02-29"),
            ("2023-11-30", 3, "2024-02-29"),
            ("2021-02-28", 36, "2024-02-28"),
            ("2024-02-29", 36, "2027-02-28"),
        ],
    )
    def test_the_day_of_the_month_is_kept_or_the_last_of_a_shorter_one_taken(self, start, months, expected):
        assert add_months(date.fromisoformat(start), months).isoformat() == expected
        basis = unit(done=(done(start),))
        assert iso(due_point(needs(repeat={"months": months}), basis).calendar_due) == expected


class TestLifeOverTwoAirframes:
    requirement = needs(kind="life_limit", start="manufacture", first={"minutes": h("3000:00")})
    history = unit(
        opening=ran(h("1000:00")),
        carried=carried(minutes=h("5120:15"), count=ran(h("20750:30") - h("20000:00"))),
    )

    def test_the_due_total_is_that_of_the_airframe_that_carries_it(self):
        assert hours_text(due_point(self.requirement, self.history).due_minutes) == "6369:45"

    def test_the_date_is_the_last_day_at_or_below_it(self):
        judged = row(
            self.requirement,
            due_point(self.requirement, self.history),
            flying("2026-03-01", "6000:00", a_day="8:00"),
            as_of="2026-03-01",
        )
        assert iso(judged.due_date) == "2026-04-16"
        assert (judged.state, judged.driver, judged.minutes_left) == ("in date", "hours", h("369:45"))
        assert judged.estimated


class TestBands:
    requirement = needs(repeat={"months": 36}, bands=(band(180, months=12),))

    @pytest.mark.parametrize(("overhauled", "due"), [("2024-03-10", "2025-06-15"), ("2025-06-14", "2026-06-14")])
    def test_the_later_band_caps_the_interval(self, overhauled, due):
        history = unit(manufactured="2010-06-15", done=(done(overhauled),))
        assert iso(due_point(self.requirement, history).calendar_due) == due


class TestShelfAllowance:
    requirement = needs(start="installation", shelf_allowance_months=12, repeat={"months": 36})

    def due(self, *installations, installed_now=True):
        history = unit(done=(done("2023-01-10"),), installations=installations, installed_now=installed_now)
        return due_point(self.requirement, history)

    def test_it_counts_from_the_fitting(self):
        assert iso(self.due(fitted("2023-09-01")).calendar_due) == "2026-09-01"

    def test_off_for_access_and_back_changes_nothing(self):
        assert iso(self.due(fitted("2023-09-01"), fitted("2024-05-03")).calendar_due) == "2026-09-01"

    def test_it_counts_from_the_end_of_the_allowance_when_not_fitted_by_then(self):
        assert iso(self.due(installed_now=False).calendar_due) == "2027-01-10"
        assert iso(self.due(fitted("2024-03-01")).calendar_due) == "2027-01-10"

    def test_in_stores_it_shows_the_latest_date_and_the_one_if_fitted_that_day(self):
        judged = row(self.requirement, self.due(installed_now=False), as_of="2023-06-01", stored=True)
        assert (iso(judged.due_date), iso(judged.due_if_fitted)) == ("2027-01-10", "2026-06-01")

    def test_the_same_holds_for_a_unit_released_as_new(self):
        first = needs(start="installation", shelf_allowance_months=12, first={"months": 36})
        history = unit(opened="2023-01-10", releases=(released("2023-01-10"),))
        assert iso(due_point(first, history).calendar_due) == "2027-01-10"
        on = unit(
            opened="2023-01-10",
            releases=(released("2023-01-10"),),
            installations=(fitted("2023-09-01", first_ever=True),),
            installed_now=True,
        )
        assert iso(due_point(first, on).calendar_due) == "2026-09-01"


class TestDoneUnderAVariation:
    requirement = needs(
        kind="inspection", repeat={"months": 36}, done_at="aircraft", variation_allowed=True, start="manufacture"
    )
    before = done_on_aircraft("2022-05-01")

    def test_on_the_aircraft_the_next_counts_from_the_point_first_due(self):
        history = unit(
            done=(self.before, done_on_aircraft("2025-06-20")),
            variations=(varied("2025-04-20", "2025-06-30"),),
            carried=carried(),
        )
        assert iso(due_point(self.requirement, history).calendar_due) == "2028-05-01"

    def test_before_it_is_done_the_variation_stands_beside_the_first_due_date(self):
        history = unit(done=(self.before,), variations=(varied("2025-04-20", "2025-06-30"),), carried=carried())
        point = due_point(self.requirement, history)
        assert (iso(point.calendar_due), iso(point.varied_calendar)) == ("2025-05-01", "2025-06-30")
        judged = row(self.requirement, point, as_of="2025-06-01")
        assert (judged.state, iso(judged.due_date), iso(judged.original_due)) == (
            "in variation",
            "2025-06-30",
            "2025-05-01",
        )
        assert row(self.requirement, point, as_of="2025-07-01").state == "overdue"

    def test_done_early_with_no_window_the_next_counts_from_what_was_done(self):
        history = unit(done=(self.before, done_on_aircraft("2025-04-02")), carried=carried())
        assert iso(due_point(self.requirement, history).calendar_due) == "2028-04-02"

    def test_a_shop_overhaul_counts_from_its_release(self):
        shop = needs(repeat={"months": 36}, variation_allowed=True)
        history = unit(
            done=(done("2022-05-01"), done("2025-09-15")),
            variations=(varied("2025-04-20", "2025-06-30", left_moment=d("2025-06-20") * 10_000),),
        )
        assert iso(due_point(shop, history).calendar_due) == "2028-09-15"


class TestWhicheverLast:
    requirement = needs(repeat={"months": 24, "cycles": 1500}, whichever="last")
    history = unit(
        done=(done("2024-03-01", count=ran(None, 1000)),),
        carried=carried(cycles=1000, count=ran(None, 1000)),
    )

    def test_it_is_not_due_until_both_are_passed(self):
        point = due_point(self.requirement, self.history)
        assert (iso(point.calendar_due), point.due_cycles) == ("2026-03-01", 2500)
        at_2400 = row(self.requirement, point, flying("2026-06-01", cycles=2400), as_of="2026-06-01")
        assert (at_2400.state, at_2400.driver, at_2400.cycles_left) == ("in date", "cycles", 100)
        assert at_2400.days_left == d("2026-03-01") - d("2026-06-01")
        at_2500 = row(self.requirement, point, flying("2026-06-01", cycles=2500), as_of="2026-06-01")
        assert (at_2500.state, at_2500.cycles_left) == ("in date", 0)
        at_2501 = row(self.requirement, point, flying("2026-06-01", cycles=2501), as_of="2026-06-01")
        assert at_2501.state == "overdue"


class TestWindow:
    requirement = needs(
        kind="inspection",
        repeat={"minutes": h("600:00")},
        done_at="aircraft",
        anchor="due",
        window_early={"minutes": h("30:00")},
        window_late={"minutes": h("30:00")},
    )

    def next_due(self, at):
        history = unit(
            done=(
                done_on_aircraft("2025-01-01", count=ran(h("3600:00"))),
                done_on_aircraft("2025-06-01", count=ran(h(at))),
            ),
            carried=carried(),
        )
        return hours_text(due_point(self.requirement, history).due_minutes)

    def test_inside_the_next_counts_from_the_due_point(self):
        assert self.next_due("4185:00") == "4800:00"

    def test_outside_it_counts_from_what_was_done(self):
        assert self.next_due("4150:00") == "4750:00"

    def test_running_past_due_inside_the_late_window_is_overdue(self):
        history = unit(done=(done_on_aircraft("2025-01-01", count=ran(h("3600:00"))),), carried=carried())
        point = due_point(self.requirement, history)
        assert hours_text(point.due_minutes) == "4200:00"
        assert row(self.requirement, point, flying("2025-06-01", "4215:00"), as_of="2025-06-01").state == "overdue"


class TestCylinderMarks:
    requirement = needs(kind="requalification", repeat={"months": 36}, month_rule="last", source="dangerous_goods")

    @pytest.mark.parametrize(
        ("mark", "good_through"),
        [("2022-03", "2025-03-31"), ("2021-02", "2024-02-29"), ("2022-03-14", "2025-03-31")],
    )
    def test_a_mark_is_good_through_the_end_of_its_month(self, mark, good_through):
        history = unit(done=(done(mark, date_basis="mark"),))
        assert iso(due_point(self.requirement, history).calendar_due) == good_through

    def test_the_release_of_the_pack_is_no_test_of_its_reservoir(self):
        reservoir = unit(
            done=(done("2024-11", date_basis="mark"), done("2026-03-10", requirement="PACK-OVERHAUL")),
            releases=(released("2026-03-10", new=False),),
        )
        assert iso(due_point(self.requirement, reservoir).calendar_due) == "2027-11-30"


class TestBoundedBoundaries:
    """Fitted and removed on 05-12 between readings of 10 000:00 and 10 020:00: the whole of it is charged."""

    def test_a_stay_between_two_readings_is_charged_in_full(self):
        requirement = needs(kind="life_limit", start="manufacture", first={"minutes": h("100:00")})
        stay = h("10020:00") - h("10000:00")
        history = unit(opening=ran(0, 0), now=ran(stay, None, estimated=True))
        point = due_point(requirement, history)
        assert (hours_text(point.left_minutes), point.estimated) == ("80:00", True)
        assert left_if_fitted(requirement, history, point, on=d("2024-05-13")).minutes_left == h("80:00")
