"""The state of a row on a day, its dates, figures and sentence."""

from __future__ import annotations

from dataclasses import replace

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
    row,
    unit,
    varied,
)

from fleetlife.life.points import due_point
from fleetlife.life.state import left_if_fitted
from fleetlife.life.values import DuePoint, Outlook, Period, Rate, Unknown

CALENDAR = needs(repeat={"months": 36})
BOTH = needs(repeat={"months": 36, "minutes": h("600:00")})


def known(**fields):
    return DuePoint(standing="known", **fields)


class TestCalendar:
    point = known(calendar_due=d("2026-05-10"))

    @pytest.mark.parametrize(
        ("as_of", "state", "days"),
        [("2026-05-09", "in date", 1), ("2026-05-10", "in date", 0), ("2026-05-11", "overdue", -1)],
    )
    def test_due_on_a_day_it_is_overdue_the_day_after(self, as_of, state, days):
        judged = row(CALENDAR, self.point, as_of=as_of)
        assert (judged.state, judged.days_left, iso(judged.due_date)) == (state, days, "2026-05-10")
        assert not judged.estimated

    @pytest.mark.parametrize(
        ("window", "state"),
        [
            (("2026-05-01", "2026-05-31"), "due"),
            (("2026-05-10", "2026-05-10"), "due"),
            (("2026-05-11", None), "in date"),
            ((None, "2026-05-09"), "in date"),
            ((None, "2026-05-10"), "due"),
            ((None, None), "in date"),
        ],
    )
    def test_it_is_due_inside_the_window_asked_for(self, window, state):
        assert row(CALENDAR, self.point, as_of="2026-03-01", window=window).state == state

    def test_overdue_is_overdue_whatever_the_window(self):
        judged = row(CALENDAR, self.point, as_of="2026-06-01", window=("2027-01-01", "2027-01-31"))
        assert judged.state == "overdue"

    def test_the_sentence_has_the_figures(self):
        assert row(CALENDAR, self.point, as_of="2026-05-12").state_reason == (
            "Due 2026-05-10 by the calendar, 2 days before 2026-05-12."
        )
        assert row(CALENDAR, self.point, as_of="2026-05-09").state_reason == (
            "Good through 2026-05-10 by the calendar, 1 day from 2026-05-09."
        )


class TestHours:
    point = known(due_minutes=h("6369:45"))
    view = flying("2026-03-01", "6000:00", a_day="8:00")

    def test_it_is_judged_on_the_total_projected_for_the_day(self):
        on_the_day = row(BOTH, self.point, self.view, as_of="2026-04-16")
        assert (on_the_day.state, on_the_day.minutes_left) == ("in date", h("1:45"))
        after = row(BOTH, self.point, self.view, as_of="2026-04-17")
        assert (after.state, after.minutes_left, after.estimated) == ("overdue", -h("6:15"), True)
        assert iso(after.due_date) == "2026-04-16"

    def test_at_the_threshold_itself_it_is_not_past(self):
        point = known(due_minutes=h("6000:00"))
        judged = row(BOTH, point, self.view, as_of="2026-03-01")
        assert (judged.state, judged.minutes_left, iso(judged.due_date)) == ("in date", 0, "2026-03-01")

    def test_passed_at_the_reading_has_no_date(self):
        judged = row(BOTH, known(due_minutes=h("5999:00"), calendar_due=d("2027-01-01")), self.view, as_of="2026-03-01")
        assert (judged.state, judged.driver, judged.due_date) == ("overdue", "hours", None)
        assert judged.state_reason == "Due at 5999:00 airframe hours; 6000:00 read 2026-03-01, 1:00 over."
        assert not judged.estimated

    def test_the_highest_rate_decides_what_a_window_lists(self):
        view = replace(self.view, rates=(Rate(minutes=h("12:00") * 30, cycles=0, span=30),))
        judged = row(BOTH, self.point, view, as_of="2026-03-01", window=("2026-03-01", "2026-03-31"))
        assert (judged.state, iso(judged.due_date), iso(judged.due_earliest)) == ("due", "2026-04-16", "2026-03-31")
        april = row(BOTH, self.point, view, as_of="2026-03-01", window=("2026-04-01", "2026-04-30"))
        assert april.state == "in date"

    def test_what_is_not_past_is_not_due_before_the_day_asked(self):
        view = replace(self.view, rates=(Rate(minutes=h("20:00") * 30, cycles=0, span=30),))
        judged = row(BOTH, self.point, view, as_of="2026-04-01", window=("2026-04-01", "2026-04-30"))
        assert (judged.state, iso(judged.due_earliest)) == ("due", "2026-04-01")

    def test_with_no_growth_it_stands_without_a_date(self):
        standing = flying("2026-03-01", "6000:00")
        judged = row(BOTH, self.point, standing, as_of="2026-03-01")
        assert (judged.state, judged.due_date, judged.minutes_left) == ("in date", None, h("369:45"))
        calendar = row(BOTH, replace(self.point, calendar_due=d("2026-05-01")), standing, as_of="2026-03-01")
        assert (calendar.driver, iso(calendar.due_date)) == ("calendar", "2026-05-01")

    def test_the_plan_wins_over_the_rate(self):
        grounded = Period(from_day=d("2026-03-02"), to_day=d("2026-03-31"), minutes_per_day=0, millicycles_per_day=0)
        judged = row(BOTH, self.point, replace(self.view, plan=(grounded,)), as_of="2026-03-01")
        assert iso(judged.due_date) == "2026-05-16"

    @pytest.mark.parametrize("view", [None, Outlook(airframe_id=1, base_day=None, base_minutes=None, base_cycles=None)])
    def test_without_a_reading_it_is_unknown(self, view):
        judged = row(BOTH, self.point, view, as_of="2026-03-01")
        assert judged.state == "unknown"
        assert judged.unknown == (Unknown(measure="hours", cause="no-airframe-reading"),)
        assert "no reading" in judged.state_reason

    def test_an_estimated_count_is_said_where_it_decides(self):
        point = known(due_minutes=h("6369:45"), calendar_due=d("2026-03-20"), estimated=True)
        standing = flying("2026-03-01", "6000:00")
        assert not row(BOTH, point, standing, as_of="2026-03-01").estimated
        only_hours = row(BOTH, replace(point, calendar_due=None), standing, as_of="2026-03-01")
        assert only_hours.estimated

    def test_with_no_rate_yet_the_reading_stands_and_it_says_so(self):
        young = replace(self.view, rate=None)
        judged = row(BOTH, self.point, young, as_of="2026-03-05")
        assert (judged.state, judged.due_date, judged.estimated) == ("in date", None, True)
        assert "no rate" in judged.state_reason


class TestOffTheAirframe:
    @pytest.mark.parametrize(("left", "state"), [("0:01", "in date"), ("0:00", "due"), ("-0:01", "overdue")])
    def test_it_is_due_with_nothing_left_and_overdue_below(self, left, state):
        judged = row(BOTH, known(left_minutes=h(left)), as_of="2026-03-01", stored=True)
        assert (judged.state, judged.driver, judged.due_date) == (state, "hours", None)

    def test_a_storage_limit_runs_only_in_stores(self):
        shelf = needs(kind="storage", start="cure", first={"months": 60})
        point = due_point(shelf, unit(cured="2019-Q1"))
        assert row(shelf, point, as_of="2026-03-01", stored=True).state == "overdue"
        assert row(shelf, point, as_of="2026-03-01", stored=False).state == "in date"


class TestWorst:
    def test_the_worst_known_measure_decides_and_the_unknown_is_listed(self):
        hours = Unknown(measure="hours", cause="no-count-since-new")
        point = known(calendar_due=d("2026-05-10"), unknown=(hours,))
        overdue = row(BOTH, point, as_of="2026-06-01")
        assert (overdue.state, overdue.driver, overdue.unknown) == ("overdue", "calendar", (hours,))
        assert "Not known in hours: The unit's total since new is not recorded." in overdue.state_reason
        assert row(BOTH, point, as_of="2026-05-01").state == "in date"

    def test_with_nothing_known_it_is_unknown(self):
        nothing = (Unknown(measure="calendar", cause="no-release"),)
        judged = row(CALENDAR, DuePoint(standing="unknown", unknown=nothing), as_of="2026-05-01")
        assert (judged.state, judged.driver, judged.due_date) == ("unknown", None, None)

    def test_complete_has_nothing_due(self):
        judged = row(CALENDAR, DuePoint(standing="complete", basis="done once 2024-01-01"), as_of="2026-05-01")
        assert (judged.state, judged.due_date) == ("in date", None)

    def test_a_waiting_unit_shows_the_date_it_would_have(self):
        rule = needs(start="installation", repeat={"months": 36})
        point = due_point(rule, unit(done=(done("2023-01-10"),)))
        judged = row(rule, point, as_of="2023-06-01", stored=True)
        assert (judged.state, judged.due_date, iso(judged.due_if_fitted)) == ("waiting", None, "2026-06-01")
        assert "2026-06-01" in judged.state_reason

    def test_waiting_hides_no_life_that_is_gone(self):
        rule = needs(start="installation", repeat={"months": 36, "minutes": h("600:00")})
        history = unit(done=(done("2023-01-10", count=ran(0)),), now=ran(h("601:00")))
        assert row(rule, due_point(rule, history), as_of="2023-06-01").state == "overdue"
        spent = replace(history, now=ran(h("600:00")))
        assert row(rule, due_point(rule, spent), as_of="2023-06-01").state == "due"

    def test_a_soft_life_gives_its_state_and_says_that_it_stops_nothing(self):
        soft = needs(kind="soft_life", repeat={"months": 36})
        judged = row(soft, known(calendar_due=d("2026-05-10")), as_of="2026-06-01")
        assert judged.state == "overdue"
        assert "stops nothing" in judged.state_reason


class TestLast:
    rule = needs(repeat={"months": 24, "minutes": h("600:00")}, whichever="last")

    def point(self, **fields):
        return known(whichever="last", calendar_due=d("2026-03-01"), **fields)

    def test_it_falls_due_on_the_later_date(self):
        view = flying("2026-02-01", "1000:00", a_day="10:00")
        judged = row(self.rule, self.point(due_minutes=h("1500:00")), view, as_of="2026-02-01")
        assert (judged.driver, iso(judged.due_date)) == ("hours", "2026-03-23")
        sooner = row(self.rule, self.point(due_minutes=h("1100:00")), view, as_of="2026-02-01")
        assert (sooner.driver, iso(sooner.due_date)) == ("calendar", "2026-03-01")

    def test_any_unknown_leg_makes_it_unknown_even_past_the_other(self):
        judged = row(self.rule, self.point(due_minutes=h("1500:00")), None, as_of="2027-01-01")
        assert judged.state == "unknown"
        unknown = (Unknown(measure="hours", cause="no-count-at-accomplishment"),)
        assert row(self.rule, replace(self.point(), standing="unknown", unknown=unknown), as_of="2027-01-01").state == (
            "unknown"
        )

    def test_with_one_never_reached_it_has_no_date(self):
        judged = row(
            self.rule, self.point(due_minutes=h("1500:00")), flying("2026-02-01", "1000:00"), as_of="2026-04-01"
        )
        assert (judged.state, judged.due_date, judged.driver) == ("in date", None, "hours")

    def test_a_variation_of_the_last_leg_holds_it(self):
        view = flying("2026-04-01", "1501:00", a_day="10:00")
        point = self.point(due_minutes=h("1500:00"), varied_minutes=h("1520:00"), variation="PV-1")
        judged = row(self.rule, point, view, as_of="2026-04-01")
        assert (judged.state, judged.driver) == ("in variation", "hours")
        assert row(self.rule, point, flying("2026-04-01", "1521:00"), as_of="2026-04-01").state == "overdue"

    def test_it_is_due_in_the_window_of_its_later_date(self):
        view = flying("2026-02-01", "1000:00", a_day="10:00")
        point = self.point(due_minutes=h("1500:00"))
        first = row(self.rule, point, view, as_of="2026-02-01", window=("2026-03-01", "2026-03-10"))
        assert first.state == "in date"
        later = row(self.rule, point, view, as_of="2026-02-01", window=("2026-03-20", "2026-03-31"))
        assert later.state == "due"


class TestInVariation:
    rule = needs(kind="inspection", repeat={"months": 12}, done_at="aircraft", variation_allowed=True)

    def point(self):
        history = unit(
            done=(done_on_aircraft("2024-01-01"),),
            variations=(varied("2024-12-01", "2025-02-01"),),
            carried=carried(),
        )
        return due_point(self.rule, history)

    @pytest.mark.parametrize(
        ("as_of", "state"),
        [("2025-01-01", "in date"), ("2025-01-02", "in variation"), ("2025-02-01", "in variation")],
    )
    def test_it_begins_the_day_after_the_first_due_date(self, as_of, state):
        judged = row(self.rule, self.point(), as_of=as_of)
        assert (judged.state, iso(judged.original_due), iso(judged.due_date)) == (state, "2025-01-01", "2025-02-01")

    def test_it_ends_with_the_variation(self):
        assert row(self.rule, self.point(), as_of="2025-02-02").state == "overdue"

    def test_the_window_lists_both_the_first_due_date_and_the_extended_one(self):
        for window in (("2025-01-01", "2025-01-31"), ("2025-02-01", "2025-02-28")):
            assert row(self.rule, self.point(), as_of="2024-12-15", window=window).state == "due"
        assert row(self.rule, self.point(), as_of="2024-12-15", window=("2024-12-15", "2024-12-31")).state == "in date"

    def test_the_sentence_names_the_variation(self):
        reason = row(self.rule, self.point(), as_of="2025-01-10").state_reason
        assert "PV-1" in reason
        assert "S. Quill" in reason
        assert "first due 2025-01-01" in reason

    def test_another_measure_past_is_overdue_all_the_same(self):
        point = replace(self.point(), due_minutes=h("100:00"))
        judged = row(self.rule, point, flying("2025-01-10", "101:00"), as_of="2025-01-10")
        assert (judged.state, judged.driver) == ("overdue", "hours")


class TestBandsInHours:
    """1,500 cycles until 15 years old, then 600; made 2010-06-15, so the later band binds from 2025-06-15."""

    rule = needs(repeat={"cycles": 1500}, bands=(band(180, cycles=600),))
    history = unit(
        manufactured="2010-06-15",
        done=(done("2024-01-01", count=ran(None, 0)),),
        carried=carried(cycles=0, count=ran(None, 0)),
    )

    def judged(self, as_of, cycles, *, manufactured="2010-06-15", a_day=0):
        return row(
            self.rule,
            due_point(self.rule, self.history),
            flying(as_of, cycles=cycles, cycles_a_day=a_day),
            as_of=as_of,
            manufactured=manufactured,
        )

    def test_the_stored_point_is_the_lowest_that_will_bind(self):
        assert due_point(self.rule, self.history).due_cycles == 600

    def test_the_later_band_binds_from_its_day(self):
        assert self.judged("2025-06-15", 700).state == "in date"
        assert self.judged("2025-06-16", 700).state == "overdue"
        assert self.judged("2025-06-16", 600).state == "in date"

    def test_the_band_in_force_binds_before(self):
        assert self.judged("2025-01-01", 1500).state == "in date"
        assert self.judged("2025-01-01", 1501).state == "overdue"

    def test_the_date_is_the_earliest_of_the_bands(self):
        assert iso(self.judged("2025-06-01", 700, a_day=5).due_date) == "2025-06-15"
        assert iso(self.judged("2025-06-01", 590, a_day=1).due_date) == "2025-06-15"
        assert iso(self.judged("2025-06-14", 590, a_day=1).due_date) == "2025-06-24"
        assert iso(self.judged("2024-06-01", 1490, a_day=5).due_date) == "2024-06-03"

    def test_without_the_age_the_lowest_binds_at_once(self):
        assert self.judged("2025-01-01", 700, manufactured=None).state == "overdue"


class TestIfFitted:
    rule = needs(start="installation", shelf_allowance_months=12, repeat={"months": 36, "minutes": h("600:00")})
    history = unit(done=(done("2023-01-10", count=ran(0)),), now=ran(h("100:00")), stored=True)

    def left(self, on, *, rule=None, history=None, view=None):
        rule, history = rule or self.rule, history or self.history
        return left_if_fitted(rule, history, due_point(rule, history), on=d(on), outlook=view)

    def test_the_calendar_starts_on_the_day(self):
        fitting = self.left("2023-06-01")
        assert (fitting.state, iso(fitting.calendar_due), fitting.minutes_left) == (
            "in date",
            "2026-06-01",
            h("500:00"),
        )
        assert fitting.days_left == d("2026-06-01") - d("2023-06-01")

    def test_never_after_the_end_of_the_allowance(self):
        assert iso(self.left("2025-06-01").calendar_due) == "2027-01-10"

    def test_past_its_date_it_is_overdue(self):
        assert self.left("2027-01-10").state == "in date"
        assert self.left("2027-01-11").state == "overdue"

    def test_with_nothing_left_to_fly_it_is_overdue(self):
        assert self.left("2023-06-01", history=replace(self.history, now=ran(h("600:00")))).state == "overdue"
        assert self.left("2023-06-01", history=replace(self.history, now=ran(h("599:59")))).state == "in date"

    def test_what_is_not_known_is_listed_beside_it(self):
        fitting = self.left("2023-06-01", history=replace(self.history, now=ran()))
        assert (fitting.state, [u.measure for u in fitting.unknown]) == ("in date", ["hours"])
        assert "Not known in hours" in fitting.reason

    def test_with_nothing_known_it_is_unknown(self):
        assert self.left("2023-06-01", rule=CALENDAR, history=unit()).state == "unknown"

    def test_a_waiting_unit_is_no_longer_waiting_once_fitted(self):
        rule = needs(start="installation", repeat={"months": 36})
        fitting = self.left("2023-06-01", rule=rule)
        assert (fitting.state, iso(fitting.calendar_due)) == ("in date", "2026-06-01")

    def test_a_variation_covers_no_new_fitting(self):
        rule = needs(kind="inspection", repeat={"months": 12}, done_at="aircraft", variation_allowed=True)
        history = unit(
            done=(done_on_aircraft("2024-01-01"),),
            variations=(varied("2024-12-01", "2025-03-01"),),
            carried=carried(),
        )
        assert row(rule, due_point(rule, history), as_of="2025-01-15").state == "in variation"
        assert self.left("2025-01-15", rule=rule, history=history).state == "overdue"

    def test_from_another_airframe_it_brings_what_that_one_left_it(self):
        rule = needs(kind="life_limit", start="manufacture", first={"minutes": h("3000:00")})
        history = unit(opening=ran(0), carried=carried(minutes=h("5000:00"), count=ran(h("1000:00"))))
        fitting = self.left("2026-03-01", rule=rule, history=history, view=flying("2026-03-01", "6000:00"))
        assert (fitting.state, fitting.minutes_left) == ("in date", h("1000:00"))
        assert self.left("2026-03-01", rule=rule, history=history).state == "unknown"

    def test_a_soft_life_does_not_stop_a_fitting(self):
        soft = replace(CALENDAR, kind="soft_life")
        fitting = self.left("2027-01-11", rule=soft)
        assert (fitting.state, fitting.stops) == ("overdue", False)
        assert self.left("2027-01-11", rule=CALENDAR).stops

    def test_on_condition_is_in_date(self):
        assert self.left("2027-01-11", rule=needs(kind="on_condition", reference="X")).state == "in date"

    def test_whichever_last_needs_all_to_be_gone(self):
        rule = needs(repeat={"months": 24, "minutes": h("600:00")}, whichever="last")
        assert self.left("2026-01-01", rule=rule).state == "in date"
        spent = replace(self.history, now=ran(h("601:00")))
        assert self.left("2026-01-01", rule=rule, history=spent).state == "overdue"
        assert self.left("2024-01-01", rule=rule, history=spent).state == "in date"
        assert self.left("2026-01-01", rule=rule, history=replace(self.history, now=ran())).state == "unknown"

    def test_the_band_at_the_work_caps_the_date_if_fitted(self):
        rule = needs(start="installation", repeat={"months": 36}, bands=(band(180, months=12),))
        history = unit(manufactured="2010-06-15", done=(done("2024-01-10"),), stored=True)
        assert iso(self.left("2024-03-01", rule=rule, history=history).calendar_due) == "2025-06-15"
        point = due_point(rule, history)
        assert iso(row(rule, point, as_of="2024-03-01", manufactured="2010-06-15").due_if_fitted) == "2025-06-15"
        assert iso(row(rule, point, as_of="2024-03-01").due_if_fitted) == "2025-03-01"

    def test_the_month_rule_holds_if_fitted_too(self):
        rule = needs(start="installation", repeat={"months": 36}, month_rule="last")
        assert iso(self.left("2023-06-10", rule=rule).calendar_due) == "2026-06-30"

    def test_a_fitting_after_the_work_is_not_waited_for_again(self):
        history = unit(done=(done("2023-01-10", count=ran(0)),), installations=(fitted("2023-02-01"),), stored=True)
        rule = needs(start="installation", repeat={"months": 36})
        assert iso(self.left("2024-06-01", rule=rule, history=history).calendar_due) == "2026-02-01"


class TestBandsThatAreStillToCome:
    """Found by the day-by-day walk of random fleets: a later band must not stand for an earlier one already passed."""

    RULE = needs(
        kind="inspection",
        start="manufacture",
        repeat={"minutes": h("100:00")},
        bands=(band(120, minutes=h("60:00")),),
    )

    def test_hours_passed_already_give_no_date_in_the_future(self):
        """Made 2015-06-01: from 2025-06-01 on 60:00. With 110:00 run it is overdue now, not on that day."""
        history = unit(manufactured="2015-06-01", opening=ran(0, 0), carried=carried("2024-01-01"))
        judged = row(
            self.RULE,
            due_point(self.RULE, history),
            flying("2024-06-01", "110:00", a_day="1:00"),
            as_of="2024-06-01",
            manufactured="2015-06-01",
        )
        assert judged.state == "overdue"
        assert judged.due_date is None

    def test_off_the_airframe_a_band_that_will_bind_gives_the_date(self):
        """In stores with 80:00 run: nothing is passed until the band binds, and that day is the last good one."""
        history = unit(manufactured="2015-06-01", opening=ran(0, 0), now=ran(h("80:00"), 0), stored=True)
        point = due_point(self.RULE, history)
        judged = row(self.RULE, point, as_of="2024-06-01", manufactured="2015-06-01", stored=True)
        assert (judged.state, iso(judged.due_date)) == ("in date", "2025-06-01")
        last = row(self.RULE, point, as_of="2025-06-01", manufactured="2015-06-01", stored=True)
        assert last.state == "due"
        after = row(self.RULE, point, as_of="2025-06-02", manufactured="2015-06-01", stored=True)
        assert (after.state, iso(after.due_date)) == ("overdue", "2025-06-01")

    def test_off_the_airframe_hours_passed_at_once_have_no_date(self):
        history = unit(manufactured="2015-06-01", opening=ran(0, 0), now=ran(h("110:00"), 0), stored=True)
        judged = row(
            self.RULE, due_point(self.RULE, history), as_of="2024-06-01", manufactured="2015-06-01", stored=True
        )
        assert (judged.state, judged.due_date) == ("overdue", None)


class TestLastBesideAnExpiry:
    """Whichever last beside a stated expiry is told as whichever first: earlier perhaps, never later."""

    def test_a_later_expiry_does_not_move_the_calendar_on(self):
        rule = needs(kind="inspection", start="manufacture", repeat={"months": 12}, whichever="last")
        point = due_point(rule, unit(manufactured="2020-01-10", expires="2024-06-30"))
        assert iso(point.calendar_due) == "2021-01-10"
        assert row(rule, point, as_of="2021-01-11").state == "overdue"

    def test_nor_does_it_hide_the_calendar_behind_what_is_not_known(self):
        rule = needs(kind="inspection", start="manufacture", repeat={"months": 12, "minutes": 600}, whichever="last")
        point = due_point(rule, unit(manufactured="2020-01-10", expires="2024-06-30"))
        assert iso(point.calendar_due) == "2021-01-10"

    def test_hours_that_are_known_and_the_expiry_decide_between_them(self):
        rule = needs(kind="inspection", start="manufacture", repeat={"months": 12, "minutes": 600}, whichever="last")
        history = unit(manufactured="2020-01-10", expires="2024-06-30", opening=ran(0, 0), now=ran(0, 0))
        point = due_point(rule, history)
        assert (iso(point.calendar_due), point.left_minutes) == ("2024-06-30", 600)

    def test_an_earlier_expiry_stands_alone(self):
        rule = needs(kind="inspection", start="manufacture", repeat={"months": 12}, whichever="last")
        point = due_point(rule, unit(manufactured="2020-01-10", expires="2020-06-30"))
        assert iso(point.calendar_due) == "2020-06-30"

    def test_a_variation_of_the_calendar_ends_with_the_expiry(self):
        rule = needs(
            kind="inspection",
            start="manufacture",
            repeat={"months": 12},
            whichever="last",
            done_at="aircraft",
            variation_allowed=True,
        )
        history = unit(
            manufactured="2020-01-10",
            expires="2021-02-28",
            carried=carried(),
            variations=(varied("2020-12-01", "2021-04-30"),),
        )
        point = due_point(rule, history)
        assert (iso(point.calendar_due), iso(point.varied_calendar)) == ("2021-01-10", "2021-02-28")


class TestBandsOfWhatIsFittedAnewEachTime:
    def test_in_stores_it_waits_and_has_the_shortest_of_the_bands_left(self):
        rule = needs(start="each_installation", repeat={"months": 12, "minutes": 600}, bands=(band(60, minutes=300),))
        point = due_point(rule, unit(manufactured="2015-06-01", opening=ran(0, 0), now=ran(50, 0), stored=True))
        assert (point.standing, point.left_minutes, point.unknown) == ("waiting", 300, ())
        judged = row(rule, point, as_of="2021-01-10", manufactured="2015-06-01", stored=True)
        assert (judged.state, iso(judged.due_if_fitted)) == ("waiting", "2022-01-10")


class TestVariationBesideABandToCome:
    def test_one_below_what_binds_today_makes_no_date_earlier(self):
        """600:00, from 2026-01-01 on 300:00; varied to 400:00 at 1:00 a day from 310:00: good through that day."""
        rule = needs(
            kind="inspection",
            start="manufacture",
            repeat={"minutes": h("600:00")},
            bands=(band(120, minutes=h("300:00")),),
            done_at="aircraft",
            variation_allowed=True,
        )
        history = unit(
            manufactured="2016-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01"),
            variations=(varied("2024-01-20", until_minutes=h("400:00"), approved_minutes=h("290:00")),),
        )
        view = flying("2025-08-01", "310:00", a_day="1:00")
        judged = row(rule, due_point(rule, history), view, as_of="2025-08-01", manufactured="2016-01-01")
        assert (judged.state, iso(judged.due_date), judged.minutes_left) == ("in date", "2026-01-01", h("290:00"))

    def test_one_that_is_never_reached_leaves_no_date(self):
        """The same, standing at 310:00 after the band began: under the approval, and no rate that would end it."""
        rule = needs(
            kind="inspection",
            start="manufacture",
            repeat={"minutes": h("600:00")},
            bands=(band(120, minutes=h("300:00")),),
            done_at="aircraft",
            variation_allowed=True,
        )
        history = unit(
            manufactured="2016-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01"),
            variations=(varied("2024-01-20", until_minutes=h("400:00"), approved_minutes=h("290:00")),),
        )
        view = flying("2026-02-01", "310:00", a_day="0:00")
        judged = row(rule, due_point(rule, history), view, as_of="2026-02-01", manufactured="2016-01-01")
        assert (judged.state, judged.due_date, iso(judged.original_due)) == ("in variation", None, "2026-01-01")
