"""More of what a single small change of the rules would have left unnoticed: the bounds of an earlier due point, what
binds on a day with a band still to come, the words of the causes, and whichever comes last.

The page docs/mutants.md tells how they were found.
"""

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
    operated,
    ran,
    released,
    row,
    unit,
    varied,
)

from fleetlife.life.anchors import anchor_in_force
from fleetlife.life.bands import Interval
from fleetlife.life.points import check_requirement, due_point
from fleetlife.life.reach import calendar_reach
from fleetlife.life.starts import done_anchor, start_anchor
from fleetlife.life.state import due_if_fitted, left_if_fitted
from fleetlife.life.values import Done, DuePoint, Limits, Rate, Unknown
from fleetlife.life.variations import covered_when_done

CHECK = needs(kind="inspection", start="manufacture", done_at="aircraft", variation_allowed=True)


def causes(point: DuePoint) -> set[tuple[str, str]]:
    return {(unknown.measure, unknown.cause) for unknown in point.unknown}


class TestABandStillToCome:
    """600 a time, and 300 from two years of age on, which is 2025-01-01."""

    HOURS = replace(CHECK, repeat=Limits(minutes=h("600:00")), bands=(band(24, minutes=h("300:00")),))
    CYCLES = replace(CHECK, repeat=Limits(cycles=600), bands=(band(24, cycles=300),))

    def history(self, *work: Done, **fields):
        return unit(
            opened="2023-01-01",
            manufactured="2023-01-01",
            opening=ran(0, 0),
            carried=carried("2023-01-01", count=ran(0, 0)),
            done=work,
            **fields,
        )

    def test_late_under_a_variation_the_hours_that_bound_that_day_are_the_due_point(self):
        work = done_on_aircraft("2024-06-01", count=ran(h("640:00"), 0))
        approval = varied("2024-05-01", until_minutes=h("650:00"), approved_minutes=h("590:00"))
        assert due_point(self.HOURS, self.history(work, variations=(approval,))).due_minutes == h("900:00")

    def test_and_so_are_the_cycles(self):
        work = done_on_aircraft("2024-06-01", count=ran(0, 640))
        approval = varied("2024-05-01", until_cycles=650, approved_cycles=590)
        assert due_point(self.CYCLES, self.history(work, variations=(approval,))).due_cycles == 900

    def test_inside_a_window_the_hours_that_bound_that_day_are_the_due_point(self):
        rule = replace(self.HOURS, anchor="due", window_late=Limits(minutes=h("50:00")))
        work = done_on_aircraft("2024-06-01", count=ran(h("640:00"), 0))
        assert due_point(rule, self.history(work)).due_minutes == h("900:00")

    def test_on_the_day_it_begins_the_band_binds(self):
        rule = replace(self.HOURS, anchor="due", window_late=Limits(minutes=h("50:00")))
        work = done_on_aircraft("2025-01-01", count=ran(h("320:00"), 0))
        assert due_point(rule, self.history(work)).due_minutes == h("600:00")

    def test_off_the_aircraft_with_nothing_left_it_is_due_from_the_day_the_band_begins(self):
        rule = needs(start="manufacture", repeat={"months": 120}, bands=(band(24, minutes=h("300:00")),))
        history = unit(opened="2023-01-01", manufactured="2023-01-01", opening=ran(0, 0), now=ran(h("300:00"), 0))
        point = due_point(rule, history)
        assert point.left_minutes == 0
        states = [row(rule, point, as_of=day, manufactured="2023-01-01").state for day in ("2024-12-31", "2025-01-01")]
        assert states == ["in date", "due"]

    def test_before_a_fitting_the_limit_that_binds_that_day_is_what_is_left(self):
        """Done under a first limit of its own, so that the repeat with its band serves."""
        for first, work in ((Limits(minutes=h("800:00")), (done("2023-01-10", count=ran(0, 0)),)), (Limits(), ())):
            rule = replace(self.HOURS, done_at="shop", variation_allowed=False, first=first)
            history = unit(
                opened="2023-01-01", manufactured="2023-01-01", opening=ran(0, 0), now=ran(h("100:00"), 0), done=work
            )
            point = due_point(rule, history)
            assert point.left_minutes == h("200:00")
            left = left_if_fitted(rule, history, point, on=d("2024-06-01"))
            assert (left.state, left.minutes_left) == ("in date", h("500:00"))
            assert row(rule, point, as_of="2024-06-01", manufactured="2023-01-01").minutes_left == h("500:00")

    def test_waiting_on_the_shelf_the_age_at_the_work_decides_on_the_band(self):
        """The latest start lies after the band begins, the work before it."""
        rule = needs(
            start="installation",
            repeat={"months": 36, "minutes": h("600:00")},
            bands=(band(24, minutes=h("300:00")),),
            shelf_allowance_months=12,
        )
        history = unit(
            opened="2023-01-01",
            manufactured="2023-01-01",
            now=ran(0, 0),
            done=(done("2024-06-01", count=ran(0, 0)),),
        )
        point = due_point(rule, history)
        assert (iso(point.basis_day), point.left_minutes) == ("2025-06-01", h("300:00"))
        judged = row(rule, point, as_of="2024-07-01", manufactured="2023-01-01", stored=True)
        assert judged.minutes_left == h("600:00")

    def test_without_the_age_the_shortest_band_is_the_date_if_fitted(self):
        rule = needs(start="installation", first={"months": 60}, repeat={"months": 36}, bands=(band(180, months=12),))
        point = DuePoint(standing="waiting", if_fitted_months=36, last_done=d("2024-01-10"))
        assert iso(due_if_fitted(rule, point, on=d("2024-06-01"))) == "2025-06-01"

    @pytest.mark.parametrize("month_rule", [None, "last"])
    def test_a_band_without_a_calendar_gives_no_date(self, month_rule):
        rule = needs(repeat={"months": 36}, month_rule=month_rule)
        assert calendar_reach(d("2024-01-10"), (Interval(limits=Limits(cycles=5)),), rule) is None

    def test_hours_of_a_band_without_the_age_are_unknown_for_that_cause(self):
        rule = needs(repeat={"minutes": h("600:00")}, bands=(band(24, minutes=h("300:00")),))
        point = due_point(rule, unit(done=(done("2024-01-10", count=ran(0, 0)),)))
        assert causes(point) == {("hours", "no-manufacture-date")}

    def test_with_the_age_and_no_start_the_start_is_the_cause(self):
        rule = needs(start="cure", repeat={"months": 36}, bands=(band(24, months=12),))
        assert causes(due_point(rule, unit(manufactured="2023-01-01"))) == {("calendar", "no-cure-date")}

    def test_fitted_anew_each_time_the_day_of_the_fitting_decides_on_the_band(self):
        rule = needs(start="each_installation", repeat={"months": 36}, bands=(band(24, months=12),))
        history = unit(
            opened="2023-01-01",
            manufactured="2023-01-01",
            installations=(fitted("2025-02-01"),),
            carried=carried("2025-02-01"),
        )
        assert iso(due_point(rule, history).calendar_due) == "2026-02-01"

    def test_at_the_first_fitting_the_day_of_the_fitting_decides_and_not_the_release(self):
        rule = needs(start="installation", repeat={"months": 36}, bands=(band(180, months=12),), band_rule="basis")
        history = unit(
            opened="2025-01-01",
            manufactured="2010-06-15",
            opening=ran(0, 0),
            releases=(released("2025-06-01"),),
            installations=(fitted("2025-07-01", first_ever=True, count=ran(0, 0)),),
            carried=carried("2025-07-01"),
        )
        assert iso(due_point(rule, history).calendar_due) == "2026-07-01"


class TestMeasuresOfTheirOwn:
    def test_done_on_the_very_day_its_hours_go_on_from_their_window(self):
        """On its last day the work is not late: the window decides, hours included, and not the variation."""
        rule = replace(
            CHECK,
            repeat=Limits(days=100, minutes=h("100:00")),
            anchor="due",
            window_late=Limits(days=5),
            window_early=Limits(minutes=h("10:00")),
        )
        history = unit(
            manufactured="2024-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01", count=ran(0, 0)),
            variations=(varied("2024-03-01", "2024-05-31", approved_minutes=0),),
            done=(done_on_aircraft("2024-04-10", count=ran(h("95:00"), 0)),),
        )
        assert due_point(rule, history).due_minutes == h("200:00")

    def test_a_measure_without_a_window_counts_from_the_work(self):
        rule = replace(CHECK, repeat=Limits(days=100, cycles=100), anchor="due", window_late=Limits(days=10))
        history = unit(
            manufactured="2024-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01", count=ran(0, 0)),
            done=(done_on_aircraft("2024-04-15", count=ran(0, 90)),),
        )
        point = due_point(rule, history)
        assert (iso(point.calendar_due), point.due_cycles) == ("2024-07-19", 190)

    @pytest.mark.parametrize(
        ("at_fitting", "approved_at", "due"),
        # Carried since 5000:00 of the airframe, having run nothing, or 100:00 already.
        [("0:00", "5590:00", "6200:00"), ("0:00", "5601:00", "6260:00"),
         ("100:00", "5490:00", "6100:00"), ("100:00", "5550:00", "6160:00")],
    )  # fmt: skip
    def test_the_airframe_total_at_the_approval_is_held_against_the_airframe_total_due(
        self, at_fitting, approved_at, due
    ):
        rule = replace(CHECK, repeat=Limits(minutes=h("600:00")))
        history = unit(
            manufactured="2023-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01", minutes=h("5000:00"), cycles=0, count=ran(h(at_fitting), 0)),
            variations=(varied("2024-05-01", until_minutes=h("5700:00"), approved_minutes=h(approved_at)),),
            done=(done_on_aircraft("2024-06-01", count=ran(h("660:00"), 0)),),
        )
        assert due_point(rule, history).due_minutes == h(due)

    def test_approved_and_done_on_one_day_it_was_covered(self):
        rule = replace(CHECK, repeat=Limits(minutes=h("600:00")))
        history = unit(
            manufactured="2023-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01", count=ran(0, 0)),
            variations=(varied("2024-06-01", until_minutes=h("650:00"), approved_minutes=h("599:00")),),
            done=(done_on_aircraft("2024-06-01", count=ran(h("601:00"), 0)),),
        )
        assert due_point(rule, history).due_minutes == h("1200:00")

    def test_work_at_the_very_moment_the_unit_left_was_covered(self):
        work = done_on_aircraft("2024-06-01")
        assert covered_when_done(varied("2024-05-01", "2024-06-30", left_moment=work.moment), work)
        assert not covered_when_done(varied("2024-05-01", "2024-06-30", left_moment=work.moment - 1), work)


class TestTheBoundOfAnEarlierDuePoint:
    """What came after the work has no say in where it fell due before that work."""

    EACH = replace(
        CHECK,
        start="each_installation",
        repeat=Limits(days=100),
        anchor="due",
        window_late=Limits(days=10),
        variation_allowed=False,
    )

    def after(self, *work: Done, installations) -> str | None:
        history = unit(installations=tuple(installations), carried=carried(installations[-1].day and "2024-06-15"))
        anchor = anchor_in_force(self.EACH, history, work)
        return iso(anchor.day)

    def test_of_the_first_work_the_fitting_before_it_is_the_start(self):
        found = self.after(
            done_on_aircraft("2024-04-15"),
            installations=[fitted("2024-01-01"), fitted("2024-04-15", sequence=8000)],
        )
        assert found == "2024-04-10"

    def test_of_later_work_the_fitting_between_the_two(self):
        found = self.after(
            done_on_aircraft("2024-02-01"),
            done_on_aircraft("2024-06-15"),
            installations=[fitted("2024-01-01"), fitted("2024-03-01"), fitted("2024-06-15", sequence=8000)],
        )
        assert found == "2024-06-09"

    def test_and_not_what_was_fitted_before_earlier_work(self):
        found = self.after(
            done_on_aircraft("2024-01-10"),
            done_on_aircraft("2024-02-01"),
            done_on_aircraft("2024-06-15"),
            installations=[fitted("2024-01-01"), fitted("2024-03-01")],
        )
        assert found == "2024-06-09"

    def test_a_unit_off_now_was_on_then(self):
        history = unit(installations=(fitted("2024-01-01"),), now=ran(0, 0))
        assert iso(start_anchor(self.EACH, history, before=done("2024-04-15")).day) == "2024-01-01"
        refitted = unit(installations=(fitted("2024-01-01"), fitted("2024-03-01")), now=ran(0, 0))
        found = done_anchor(self.EACH, refitted, done_on_aircraft("2024-02-01"), before=done("2024-06-15"))
        assert iso(found.day) == "2024-03-01"

    def test_fitted_at_the_very_moment_of_the_work_it_was_not_fitted_before(self):
        history = unit(installations=(fitted("2024-01-01"), fitted("2024-04-15", sequence=5000)), carried=carried())
        assert iso(start_anchor(self.EACH, history, before=done("2024-04-15")).day) == "2024-01-01"

    def test_never_fitted_before_the_work_it_had_not_begun(self):
        rule = needs(start="first_installation", first={"months": 12})
        later = fitted("2024-06-01", first_ever=True, count=ran(0, 0))
        history = unit(opening=ran(0, 0), installations=(later,), now=ran(0, 0))
        anchor = start_anchor(rule, history, before=done("2024-04-15"))
        assert (anchor.day, anchor.unfitted) == (None, True)

    def test_after_shop_work_the_fitting_of_a_later_turn_is_no_start(self):
        rule = needs(start="installation", repeat={"months": 12})
        history = unit(installations=(fitted("2024-06-01"),), carried=carried("2024-06-01"))
        for earlier in (unit(), history):
            anchor = done_anchor(rule, replace(earlier, installed_now=True, installations=history.installations),
                                 done("2024-02-01"), before=done("2024-04-15"))  # fmt: skip
            assert (anchor.day, anchor.unfitted) == (None, True)

    def test_fitted_earlier_on_the_day_of_the_work_it_counts_from_the_work(self):
        rule = replace(self.EACH, anchor="done", window_late=Limits(), repeat=Limits(minutes=h("600:00")))
        history = unit(
            installations=(fitted("2024-02-01", sequence=1000, count=ran(h("40:00"), 0)),),
            carried=carried("2024-02-01", count=ran(0, 0)),
            done=(done_on_aircraft("2024-02-01", count=ran(h("50:00"), 0)),),
        )
        assert due_point(rule, history).due_minutes == h("650:00")


class TestTheFirstFitting:
    FIRST = needs(start="first_installation", first={"minutes": h("600:00")})

    def test_stated_on_the_day_of_the_one_recorded_the_recorded_one_counts(self):
        history = unit(
            opening=ran(0, 0),
            first_installed="2024-02-01",
            installations=(fitted("2024-02-01", first_ever=True, count=ran(h("50:00"), 0)),),
            carried=carried("2024-02-01", count=ran(h("50:00"), 0)),
        )
        assert due_point(self.FIRST, history).due_minutes == h("600:00")

    def test_stated_after_the_shelf_allowance_has_run_out_the_allowance_counts(self):
        rule = needs(start="first_installation", first={"months": 36}, shelf_allowance_months=12)
        history = unit(first_installed="2025-01-01", releases=(released("2023-01-10"),), carried=carried("2025-01-01"))
        assert iso(due_point(rule, history).calendar_due) == "2027-01-10"

    @pytest.mark.parametrize(
        ("rule", "releases", "cause"),
        [
            (needs(start="first_installation", repeat={"months": 12}), (released("2015-01-10"),),
             "no-first-installation"),
            (needs(start="first_installation", first={"months": 12}), (), "no-first-installation"),
            (needs(start="first_installation", repeat={"months": 12}), (), "no-accomplishment"),
        ],
    )  # fmt: skip
    @pytest.mark.parametrize("installations", [(), (fitted("2024-02-01"),)])
    def test_not_recorded_it_is_unknown_for_the_cause_that_can_be_mended(self, rule, releases, cause, installations):
        history = unit(
            opening=ran(100, 100), releases=releases, installations=installations, carried=carried("2024-02-01")
        )
        point = due_point(rule, history)
        assert (point.standing, causes(point)) == ("unknown", {("calendar", cause)})

    def test_installed_now_with_no_fitting_recorded_it_is_not_waiting_for_one(self):
        history = unit(opening=ran(0, 0), installed_now=True)
        rule = needs(start="first_installation", first={"months": 12})
        assert causes(due_point(rule, history)) == {("calendar", "no-first-installation")}

    def test_an_estimated_count_at_it_makes_the_point_an_estimate(self):
        for estimated in (True, False):
            first = fitted("2024-02-01", first_ever=True, count=ran(0, 0, estimated=estimated))
            history = unit(opening=ran(0, 0), installations=(first,), carried=carried("2024-02-01"))
            assert due_point(self.FIRST, history).estimated is estimated

    def test_where_its_cycles_are_not_known_they_count_from_new(self):
        rule = needs(start="first_installation", first={"cycles": 600})
        history = unit(
            opening=ran(0, 0),
            installations=(fitted("2024-02-01", first_ever=True, count=ran(0, None)),),
            carried=carried("2024-02-01", cycles=1_000, count=ran(0, 0)),
        )
        assert due_point(rule, history).due_cycles == 1_600

    def test_with_no_count_at_all_that_is_the_cause(self):
        history = unit(first_installed="2018-02-01", carried=carried("2024-02-01"))
        assert causes(due_point(self.FIRST, history)) == {("hours", "no-count-at-installation")}


class TestEveryFitting:
    RULE = needs(start="each_installation", repeat={"months": 12})
    HOURS = needs(start="each_installation", repeat={"minutes": h("600:00")})

    def test_installed_with_no_fitting_recorded_it_is_unknown_for_that_cause(self):
        assert causes(due_point(self.RULE, unit(installed_now=True))) == {("calendar", "no-installation-date")}

    def test_installed_since_nobody_knows_when_it_is_unknown_for_that_cause(self):
        history = unit(installations=(fitted("2020-01-01", day_known=False),), carried=carried("2020-01-01"))
        point = due_point(self.RULE, history)
        assert (point.calendar_due, causes(point)) == (None, {("calendar", "no-installation-date")})

    def test_with_no_count_at_the_fitting_that_is_the_cause(self):
        history = unit(installations=(fitted("2024-02-01"),), carried=carried("2024-02-01"))
        assert causes(due_point(self.HOURS, history)) == {("hours", "no-count-at-installation")}

    def test_an_estimated_count_at_it_makes_the_point_an_estimate(self):
        for estimated in (True, False):
            latest = fitted("2024-02-01", count=ran(0, 0, estimated=estimated))
            history = unit(installations=(latest,), carried=carried("2024-02-01"))
            assert due_point(self.HOURS, history).estimated is estimated


class TestCauses:
    def test_work_with_no_count_is_the_cause_and_not_the_total_since_new(self):
        rule = needs(repeat={"minutes": h("600:00")})
        assert causes(due_point(rule, unit(done=(done("2024-01-10"),)))) == {("hours", "no-count-at-accomplishment")}

    def test_a_count_that_is_not_known_where_the_carriage_began(self):
        rule = needs(repeat={"minutes": h("600:00")})
        history = unit(done=(done("2024-01-10", count=ran(0, 0)),), carried=carried(count=ran(None, 0)))
        assert causes(due_point(rule, history)) == {("hours", "no-totals-of-a-stay")}

    def test_of_two_claims_the_later_is_told(self):
        rule = needs(start="release", repeat={"months": 36})
        claims = (done("2022-05-01", proven=False), done("2021-05-01", proven=False))
        point = due_point(rule, unit(done=(done("2020-01-10"), *claims)))
        assert point.basis.endswith("the paper of 2022-05-01 does not show this work")

    def test_with_no_limit_stated_the_expiry_still_binds(self):
        point = due_point(needs(), unit(expires="2026-03-31"))
        assert (iso(point.calendar_due), causes(point)) == ("2026-03-31", {("calendar", "no-limit-stated")})


class TestProblems:
    def told(self, **fields) -> str:
        return " ".join(check_requirement(needs(**fields)))

    def test_a_life_limit_takes_no_anchor_with_or_without_a_window(self):
        limit = {"kind": "life_limit", "start": "manufacture", "first": {"months": 180}}
        assert "takes no anchor and no window" in self.told(**limit, anchor="due")
        assert "takes no anchor and no window" not in self.told(**limit)

    def test_what_is_on_condition_has_no_bands(self):
        told = self.told(kind="on_condition", reference="MPD 25-60", bands=(band(24, months=12),))
        assert "a on_condition has none" in told

    @pytest.mark.parametrize(("age", "refused"), [(0, False), (1, True)])
    def test_without_a_repeat_the_first_band_begins_at_birth(self, age, refused):
        told = self.told(bands=(band(age, months=12),), band_rule="basis", start="manufacture")
        assert ("No repeat is stated for units younger than" in told) is refused

    @pytest.mark.parametrize(("months", "refused"), [(-1, True), (0, False)])
    def test_a_shelf_allowance_of_none_can_be_stated(self, months, refused):
        told = self.told(start="installation", repeat={"months": 36}, shelf_allowance_months=months)
        assert ("is below 0" in told) is refused


class TestIfFitted:
    def test_a_limit_in_days_gives_the_date_it_would_have(self):
        rule = needs(start="installation", repeat={"days": 100})
        point = due_point(rule, unit(done=(done("2024-01-10"),), stored=True))
        judged = row(rule, point, as_of="2024-06-01", stored=True)
        assert (judged.state, iso(judged.due_if_fitted)) == ("waiting", "2024-09-09")

    def test_a_calendar_that_only_a_band_brings_starts_at_the_fitting_too(self):
        """Once a year from 2030-01-01 on, no sooner than a year after the fitting."""
        rule = needs(start="installation", bands=(band(180, months=12),))
        history = unit(manufactured="2015-01-01", done=(done("2024-01-10"),), stored=True)
        point = due_point(rule, history)
        dates = {}
        for on in ("2024-06-01", "2029-06-01"):
            left = left_if_fitted(rule, history, point, on=d(on))
            judged = row(rule, point, as_of=on, stored=True, manufactured="2015-01-01")
            dates[on] = (left.state, iso(left.calendar_due), judged.state, iso(judged.due_if_fitted))
        assert dates == {
            "2024-06-01": ("in date", "2030-01-01", "waiting", "2030-01-01"),
            "2029-06-01": ("in date", "2030-06-01", "waiting", "2030-06-01"),
        }

    def test_and_fitted_before_its_shelf_allowance_ends_it_is_due_before_the_latest_day(self):
        rule = needs(start="installation", bands=(band(180, months=12),), shelf_allowance_months=24)
        history = unit(manufactured="2010-06-15", done=(done("2025-01-10"),), stored=True)
        point = due_point(rule, history)
        assert iso(point.calendar_due) == "2028-01-10"
        left = left_if_fitted(rule, history, point, on=d("2025-03-01"))
        assert iso(left.calendar_due) == "2026-03-01"

    def test_a_point_that_waits_and_names_no_interval_has_no_date_even_then(self):
        point = DuePoint(standing="waiting")
        left = left_if_fitted(needs(start="installation", repeat={"months": 36}), unit(), point, on=d("2024-06-01"))
        assert (left.state, left.reason) == ("waiting", "No date follows even from a fitting.")

    def test_under_whichever_last_a_spent_limit_waits_for_the_other(self):
        """The calendar comes with a band and has not begun; the operations are used up."""
        rule = needs(
            start="installation",
            repeat={"operations": 10},
            bands=(band(180, months=12),),
            operation="activation",
            whichever="last",
        )
        history = unit(
            manufactured="2015-01-01",
            done=(done("2024-01-10"),),
            operated=(operated("2024-02-01", "activation", 10),),
            stored=True,
        )
        point = due_point(rule, history)
        assert (point.standing, point.operations_left) == ("waiting", 0)
        assert left_if_fitted(rule, history, point, on=d("2024-06-01")).state == "in date"

    def test_waiting_with_another_measure_unknown_it_is_unknown(self):
        unknown = (Unknown(measure="operations", cause="no-operation-record"),)
        point = DuePoint(standing="waiting", unknown=unknown)
        assert left_if_fitted(needs(start="installation"), unit(), point, on=d("2024-06-01")).state == "unknown"

    def test_under_whichever_last_what_waits_is_not_overdue_for_what_is_spent(self):
        rule = needs(start="installation", repeat={"operations": 10}, whichever="last")
        for standing, state in (("waiting", "in date"), ("known", "overdue")):
            point = DuePoint(standing=standing, whichever="last", operations_left=0)
            assert left_if_fitted(rule, unit(), point, on=d("2024-06-01")).state == state


class TestWhicheverLastOnTheDay:
    RULE = replace(CHECK, repeat=Limits(days=100, minutes=h("100:00")), whichever="last")

    def point(self, **fields) -> DuePoint:
        """Due 2024-04-10 by the calendar and at 100:00 of the airframe."""
        history = unit(
            manufactured="2024-01-01", opening=ran(0, 0), carried=carried("2024-01-01", count=ran(0, 0)), **fields
        )
        return due_point(self.RULE, history)

    def test_not_over_by_the_mean_no_rate_puts_it_before_the_day_asked(self):
        """By the highest rate 100:00 was passed days ago; by the mean it has not been reached."""
        quick = Rate(minutes=h("900:00"), cycles=0, span=30)
        view = flying("2024-04-20", "80:00", a_day="1:00", rates=(quick,))
        judged = row(self.RULE, self.point(), view, as_of="2024-04-30")
        assert (judged.state, iso(judged.due_date)) == ("in date", "2024-05-10")
        assert iso(judged.due_earliest) == "2024-04-30"

    def test_all_over_the_earliest_day_stays_where_it_was(self):
        view = flying("2024-04-05", "95:00", a_day="1:00")
        judged = row(self.RULE, self.point(), view, as_of="2024-05-30")
        assert (judged.state, iso(judged.due_date), iso(judged.due_earliest)) == (
            "overdue",
            "2024-04-10",
            "2024-04-10",
        )

    def varied_point(self) -> DuePoint:
        return self.point(variations=(varied("2024-03-01", "2024-06-30", approved_minutes=0),))

    def test_under_a_variation_the_day_first_due_is_told(self):
        view = flying("2024-03-20", "90:00", a_day="1:00")
        judged = row(self.RULE, self.varied_point(), view, as_of="2024-03-20")
        assert (iso(judged.due_date), iso(judged.original_due)) == ("2024-06-30", "2024-04-10")

    def test_and_lists_it_in_the_window_of_the_day_first_due(self):
        view = flying("2024-03-20", "90:00", a_day="1:00")
        for until, state in (("2024-04-09", "in date"), ("2024-04-10", "due")):
            judged = row(self.RULE, self.varied_point(), view, as_of="2024-03-20", window=("2024-03-20", until))
            assert judged.state == state

    def test_operations_passed_and_the_calendar_extended_it_is_in_variation(self):
        rule = replace(CHECK, repeat=Limits(days=100, operations=5), operation="filling", whichever="last")
        history = unit(
            opened="2024-01-01",
            manufactured="2024-01-01",
            opening=ran(0, 0),
            operations_opening=0,
            operated=(operated("2024-02-01", count=6),),
            carried=carried("2024-01-01", count=ran(0, 0)),
            variations=(varied("2024-03-01", "2024-06-30"),),
        )
        judged = row(rule, due_point(rule, history), flying("2024-05-01"), as_of="2024-05-01")
        assert judged.state == "in variation"

    def test_waiting_in_its_only_measure_it_is_waiting(self):
        rule = needs(start="installation", repeat={"months": 12, "days": 400}, whichever="last")
        point = due_point(rule, unit(done=(done("2024-01-10"),), stored=True))
        assert row(rule, point, as_of="2024-06-01", stored=True).state == "waiting"

    def test_with_a_leg_unknown_no_date_is_named(self):
        history = unit(manufactured="2024-01-01", carried=carried("2024-01-01", count=ran(0, 0)))
        point = due_point(self.RULE, history)
        judged = row(self.RULE, point, flying("2024-03-20", "90:00", a_day="1:00"), as_of="2024-03-20")
        assert iso(point.calendar_due) == "2024-04-10"
        assert (judged.state, judged.due_date, judged.due_earliest) == ("unknown", None, None)


class TestFlying:
    RULE = replace(CHECK, repeat=Limits(minutes=h("600:00")))

    def point(self, *approvals) -> DuePoint:
        history = unit(
            manufactured="2024-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01", count=ran(0, 0)),
            variations=approvals,
        )
        return due_point(self.RULE, history)

    def test_a_reading_of_yesterday_with_no_rate_is_an_estimate_of_today(self):
        view = flying("2024-06-01", "500:00")
        states = [row(self.RULE, self.point(), view, as_of=day).estimated for day in ("2024-06-01", "2024-06-02")]
        assert states == [False, True]

    def test_at_the_last_hour_of_its_variation_it_is_still_covered(self):
        point = self.point(varied("2024-05-01", until_minutes=h("650:00"), approved_minutes=h("590:00")))
        for total, state in (("650:00", "in variation"), ("650:01", "overdue")):
            assert row(self.RULE, point, flying("2024-06-01", total), as_of="2024-06-01").state == state

    def test_under_a_variation_in_hours_the_date_is_that_of_its_hours(self):
        point = self.point(varied("2024-05-01", until_minutes=h("650:00"), approved_minutes=h("590:00")))
        view = flying("2024-06-01", "590:00", a_day="5:00", cycles_a_day=1)
        judged = row(self.RULE, point, view, as_of="2024-06-01")
        assert (iso(judged.due_date), iso(judged.original_due)) == ("2024-06-13", "2024-06-03")
