"""What a single small change of the rules would have left unnoticed: found by mutation, told as cases of the trade.

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

from fleetlife.life.points import due_point
from fleetlife.life.state import left_if_fitted
from fleetlife.life.values import Unknown

CYCLES = needs(
    kind="inspection",
    start="manufacture",
    repeat={"cycles": 600},
    done_at="aircraft",
    variation_allowed=True,
)


class TestCyclesAreTreatedAsHoursAre:
    def under(self, *, until: int, at: int):
        """Due at 600 cycles, approved at 590 to a total of the airframe, done at `at`."""
        approval = varied("2024-05-01", until_cycles=until, approved_cycles=590)
        return unit(
            manufactured="2023-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01", cycles=0, count=ran(0, 0)),
            variations=(approval,),
            done=(done_on_aircraft("2024-06-01", count=ran(0, at)),),
        )

    def test_done_late_under_a_variation_the_next_goes_on_from_the_due_point(self):
        assert due_point(CYCLES, self.under(until=650, at=640)).due_cycles == 1_200

    def test_done_beyond_it_the_next_counts_from_what_was_done(self):
        assert due_point(CYCLES, self.under(until=650, at=651)).due_cycles == 1_251

    def test_at_its_very_end_it_is_covered(self):
        assert due_point(CYCLES, self.under(until=650, at=650)).due_cycles == 1_200

    def test_done_on_the_due_point_itself_is_not_late(self):
        assert due_point(CYCLES, self.under(until=650, at=600)).due_cycles == 1_200
        assert due_point(CYCLES, self.under(until=650, at=599)).due_cycles == 1_199

    @pytest.mark.parametrize(("approved_at", "until"), [(600, 650), (601, None)])
    def test_approved_with_the_cycles_passed_it_came_too_late(self, approved_at, until):
        approval = varied("2024-05-01", until_cycles=650, approved_cycles=approved_at)
        history = unit(manufactured="2023-01-01", opening=ran(0, 0), carried=carried(cycles=0), variations=(approval,))
        assert due_point(CYCLES, history).varied_cycles == until

    def test_too_late_when_the_work_was_judged_the_next_counts_from_the_work(self):
        history = self.under(until=650, at=640)
        late = replace(history.variations[0], approved_cycles=601, approved_cycles_least=601)
        assert due_point(CYCLES, replace(history, variations=(late,))).due_cycles == 1_240

    def test_inside_their_window_they_go_on_from_the_due_point(self):
        rule = replace(CYCLES, anchor="due", window_early=replace(CYCLES.repeat, cycles=20))
        history = replace(self.under(until=650, at=590), variations=())
        assert due_point(rule, history).due_cycles == 1_200
        outside = replace(self.under(until=650, at=579), variations=())
        assert due_point(rule, outside).due_cycles == 1_179

    def test_fitted_anew_each_time_they_count_from_the_fitting(self):
        rule = needs(start="each_installation", repeat={"cycles": 600})
        history = unit(
            installations=(fitted("2024-02-01", count=ran(0, 150)),), carried=carried(cycles=2_000, count=ran(0, 150))
        )
        assert due_point(rule, history).due_cycles == 2_600


class TestWhicheverLast:
    RULE = needs(
        kind="inspection",
        start="manufacture",
        repeat={"days": 100, "minutes": h("100:00")},
        whichever="last",
        done_at="aircraft",
        variation_allowed=True,
    )

    def test_done_with_one_measure_still_to_run_was_not_late(self):
        """Nothing was due, so the approval was not used: the next counts from the work."""
        history = unit(
            manufactured="2024-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01", count=ran(0, 0)),
            variations=(varied("2024-04-01", "2024-12-31", approved_minutes=0),),
            done=(done_on_aircraft("2024-05-01", count=ran(h("50:00"), 0)),),
        )
        assert iso(due_point(self.RULE, history).calendar_due) == "2024-08-09"

    def test_the_later_of_the_two_is_the_date_and_lists_it_in_the_window(self):
        history = unit(manufactured="2024-01-01", opening=ran(0, 0), carried=carried(count=ran(0, 0)))
        view = flying("2024-03-01", "0:00", a_day="1:00")
        judged = row(self.RULE, due_point(self.RULE, history), view, as_of="2024-03-01")
        assert (judged.state, iso(judged.due_date), iso(judged.due_earliest)) == ("in date", "2024-06-09", "2024-06-09")
        listed = row(
            self.RULE,
            due_point(self.RULE, history),
            view,
            as_of="2024-03-01",
            window=("2024-06-01", "2024-06-30"),
        )
        assert listed.state == "due"

    def test_in_stores_it_waits(self):
        rule = replace(self.RULE, start="installation")
        point = due_point(rule, unit(releases=(released("2024-01-01"),), opening=ran(0, 0), now=ran(0, 0)))
        assert (point.standing, row(rule, point, as_of="2024-02-01").state) == ("waiting", "waiting")

    def test_with_a_measure_unknown_it_is_unknown_and_not_waiting(self):
        """Overhauled in stores, and nobody wrote down what it had run."""
        rule = replace(self.RULE, start="installation", done_at="shop")
        point = due_point(rule, unit(done=(done("2024-01-10"),), opening=ran(0, 0), now=ran(0, 0)))
        assert (point.standing, row(rule, point, as_of="2024-02-01").state) == ("unknown", "unknown")

    def test_off_the_airframe_with_nothing_left_and_the_calendar_passed_it_is_due(self):
        history = unit(manufactured="2024-01-01", opening=ran(0, 0), now=ran(h("100:00"), 0))
        point = due_point(self.RULE, history)
        assert row(self.RULE, point, as_of="2024-04-11").state == "due"
        assert row(self.RULE, point, as_of="2024-04-10").state == "in date"


class TestBandsThatLeaveAMeasureOut:
    def test_it_keeps_the_requirements_own(self):
        rule = needs(
            repeat={"days": 300, "minutes": 5_000, "cycles": 70},
            bands=(band(60, minutes=4_000), band(120, cycles=60)),
        )
        made, worked = "2010-01-01", done("2024-01-10", count=ran(0, 0))
        point = due_point(rule, unit(manufactured=made, done=(worked,), now=ran(0, 0)))
        assert (iso(point.calendar_due), point.left_minutes, point.left_cycles) == ("2024-11-05", 5_000, 60)

    def test_and_one_it_states_takes_its_place(self):
        rule = needs(repeat={"days": 300, "minutes": 5_000}, bands=(band(60, minutes=6_000, days=200),))
        worked = done("2024-01-10", count=ran(0, 0))
        point = due_point(rule, unit(manufactured="2010-01-01", done=(worked,), now=ran(0, 0)))
        assert (iso(point.calendar_due), point.left_minutes) == ("2024-07-28", 6_000)


class TestWhatIsLeftIfFitted:
    RULE = needs(repeat={"months": 36, "minutes": h("600:00"), "cycles": 500, "operations": 9}, operation="activation")

    def test_every_measure_is_told(self):
        history = unit(
            done=(done("2024-01-10", count=ran(0, 0)),),
            now=ran(h("100:00"), 40),
            operated=(operated("2024-02-01", "activation"),),
        )
        left = left_if_fitted(self.RULE, history, due_point(self.RULE, history), on=d("2024-06-01"))
        figures = (left.state, left.minutes_left, left.cycles_left, left.operations_left)
        assert figures == ("in date", h("500:00"), 460, 8)
        assert not left.estimated
        rebuilt = replace(history, rebuilt=True)
        assert left_if_fitted(self.RULE, rebuilt, due_point(self.RULE, rebuilt), on=d("2024-06-01")).estimated

    def test_the_cycles_of_the_airframe_that_carries_it_count(self):
        rule = needs(repeat={"cycles": 500})
        history = unit(done=(done("2024-01-10", count=ran(0, 0)),), carried=carried(cycles=1_000, count=ran(0, 0)))
        view = flying("2024-06-01", cycles=1_480)
        left = left_if_fitted(rule, history, due_point(rule, history), on=d("2024-06-01"), outlook=view)
        assert (left.state, left.cycles_left) == ("in date", 20)

    def test_what_was_done_once_stops_nothing_and_a_soft_life_never_does(self):
        once = needs(kind="soft_life", first={"months": 12})
        history = unit(done=(done("2024-01-10"),))
        left = left_if_fitted(once, history, due_point(once, history), on=d("2024-06-01"))
        assert (left.state, left.stops) == ("in date", False)

    def test_a_passed_date_that_is_not_charged_says_nothing_of_staying(self):
        rule = needs(repeat={"months": 12})
        history = unit(done=(done("2022-01-10", count=ran(0, 0)),))
        left = left_if_fitted(rule, history, due_point(rule, history), on=d("2024-06-01"))
        assert left.state == "overdue"
        assert "2023-01-10" in left.reason
        assert "emptied" not in left.reason


class TestPaperThatDoesNotShowTheWork:
    def test_a_claim_for_other_work_is_not_held_against_this(self):
        other = done("2024-01-10", requirement="R2", proven=False)
        rule = needs(repeat={"months": 12})
        point = due_point(rule, unit(done=(other,)))
        assert point.unknown == (Unknown(measure="calendar", cause="no-accomplishment"),)
        assert "does not show" not in point.basis


class TestApprovalsOfOneDuePoint:
    RULE = needs(kind="inspection", repeat={"days": 100}, done_at="aircraft", variation_allowed=True)

    def test_one_for_other_work_is_passed_over(self):
        other = replace(varied("2024-02-01", "2024-12-31"), requirement="R2")
        own = varied("2024-03-01", "2024-06-30", entry=2)
        history = unit(done=(done_on_aircraft("2024-01-01"),), carried=carried(), variations=(other, own))
        assert iso(due_point(self.RULE, history).varied_calendar) == "2024-06-30"

    def test_one_approved_on_the_day_of_the_work_belonged_to_the_point_before_it(self):
        history = unit(
            done=(done_on_aircraft("2024-01-01"),), carried=carried(), variations=(varied("2024-01-01", "2024-06-30"),)
        )
        assert due_point(self.RULE, history).varied_calendar is None

    def test_done_on_the_day_it_was_approved_it_was_covered(self):
        """Due 2024-04-10, approved that day, done 2024-04-10 is on time; approved and done late it is not approved."""
        approval = varied("2024-04-10", "2024-06-30")
        late = unit(
            done=(done_on_aircraft("2024-01-01"), done_on_aircraft("2024-04-20")),
            carried=carried(),
            variations=(approval,),
        )
        assert iso(due_point(self.RULE, late).calendar_due) == "2024-07-19"

    def test_on_its_last_day_it_covers_the_work(self):
        history = unit(
            done=(done_on_aircraft("2024-01-01"), done_on_aircraft("2024-04-20")),
            carried=carried(),
            variations=(varied("2024-04-01", "2024-04-20"),),
        )
        assert iso(due_point(self.RULE, history).calendar_due) == "2024-07-19"


class TestNeverRun:
    """Either total at zero shows that the unit was not flown before its opening statement."""

    @pytest.mark.parametrize("opening", [ran(0, None), ran(None, 0), ran(0, 0)])
    def test_its_first_fitting_in_the_records_is_its_first(self, opening):
        rule = needs(start="first_installation", first={"months": 12})
        history = unit(opening=opening, installations=(fitted("2024-02-01", count=ran(0, 0)),), carried=carried())
        assert iso(due_point(rule, history).calendar_due) == "2025-02-01"

    @pytest.mark.parametrize("opening", [ran(1, 1), ran(None, 1), ran()])
    def test_else_it_is_not_known(self, opening):
        rule = needs(start="first_installation", first={"months": 12})
        history = unit(opening=opening, installations=(fitted("2024-02-01", count=ran(0, 0)),), carried=carried())
        assert due_point(rule, history).unknown == (Unknown(measure="calendar", cause="no-first-installation"),)


class TestChargedOnTheDay:
    RULE = needs(
        kind="requalification",
        source="dangerous_goods",
        reference="49 CFR 180.205(c)",
        repeat={"months": 12},
        operation="filling",
        at_due="no-refill",
    )

    def charged(self, *events) -> bool:
        history = unit(opened="2022-01-01", done=(done("2023-01-10", date_basis="mark"),), operated=events)
        return due_point(self.RULE, history).charged

    def test_filled_on_the_day_of_the_test_and_on_the_due_date(self):
        assert self.charged(operated("2023-01-10"))
        assert self.charged(operated("2024-01-10"))
        assert not self.charged(operated("2024-01-11"))

    def test_emptied_at_the_moment_of_the_filling_the_proof_ends(self):
        assert not self.charged(operated("2023-05-01"), operated("2023-05-01", "activation"))
        assert self.charged(operated("2023-05-01", "activation", sequence=6000), operated("2023-05-01"))
