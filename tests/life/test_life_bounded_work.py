"""Work compared with its due point by counts that are only bounded: what the bounds show decides, else the earlier."""

from __future__ import annotations

from dataclasses import replace

import pytest
from life_history import carried, done_on_aircraft, h, iso, needs, ran, unit, varied

from fleetlife.life.points import due_point
from fleetlife.life.values import Count, Spread

INSPECTION = needs(
    kind="inspection",
    repeat={"months": 12, "minutes": h("600:00")},
    done_at="aircraft",
    anchor="due",
    window_early={"days": 30, "minutes": h("30:00")},
    window_late={"days": 30, "minutes": h("30:00")},
    variation_allowed=True,
)
HOURS_ONLY = replace(
    INSPECTION,
    repeat=needs(repeat={"minutes": h("600:00")}).repeat,
    window_early=needs(repeat={"minutes": h("30:00")}).repeat,
    window_late=needs(repeat={"minutes": h("30:00")}).repeat,
)


def bounded(minutes: str, *, over: str | None = "0:00", under: str | None = "0:00") -> Count:
    """A count counted along the stays, perhaps too high by `over` and too low by `under`; None: nobody knows."""
    spread = Spread(
        minutes_over=None if over is None else h(over),
        minutes_under=None if under is None else h(under),
        cycles_over=0,
        cycles_under=0,
    )
    return Count(minutes=h(minutes), cycles=0, estimated=True, spread=spread)


def next_due(rule, at: Count, *, day: str = "2024-12-20", first: Count | None = None, **fields):
    """Done 2024-01-01 at 0:00, so due 2025-01-01 and at 600:00; then done again as given."""
    before = done_on_aircraft("2024-01-01", count=first or ran(0, 0))
    history = unit(done=(before, done_on_aircraft(day, count=at)), carried=carried(), **fields)
    point = due_point(rule, history)
    return iso(point.calendar_due), point.due_minutes


class TestAWindowJudgedByBounds:
    def test_where_every_count_that_may_be_lies_inside_the_next_goes_on_from_the_due_point(self):
        assert next_due(INSPECTION, bounded("590:00", under="20:00")) == ("2026-01-01", h("1200:00"))

    def test_where_none_does_it_counts_from_the_work(self):
        assert next_due(INSPECTION, bounded("500:00", under="60:00")) == ("2025-12-20", h("1100:00"))

    @pytest.mark.parametrize("under", ["60:00", None])
    def test_where_some_do_each_measure_counts_from_the_earlier_of_work_and_due_point(self, under):
        """Recorded at 560:00, outside; it may have been at 620:00, inside. Late by the calendar, early by the hours."""
        told = next_due(INSPECTION, bounded("560:00", under=under), day="2025-01-20")
        assert told == ("2026-01-01", h("1160:00"))

    def test_a_count_that_may_be_too_high_is_no_surer(self):
        """At 640:00 as charged, outside; 600:00 perhaps."""
        told = next_due(INSPECTION, bounded("640:00", over="40:00"), day="2024-12-20")
        assert told == ("2025-12-20", h("1210:00"))

    def test_the_earlier_point_is_not_sought_further_back_than_the_window_reaches(self):
        """Charged at 900:00 since the first fitting of a unit of which nobody knows how much of that it had run."""
        assert next_due(HOURS_ONLY, bounded("900:00", over=None))[1] == h("900:00") - h("30:00") + h("600:00")

    def test_what_was_charged_too_much_before_both_is_in_both(self):
        """Forty hours too many before the first work are in the second count too: their difference is sure."""
        first, second = bounded("0:00", over="40:00"), bounded("590:00", over="40:00")
        assert next_due(INSPECTION, second, first=first) == ("2026-01-01", h("1200:00"))

    def test_the_work_before_may_have_been_done_later_than_counted(self):
        """Due between 600:00 and 610:00; done at 572:00: inside the one, outside the other."""
        told = next_due(HOURS_ONLY, bounded("572:00"), first=bounded("0:00", under="10:00"))
        assert told[1] == h("1172:00")
        assert next_due(HOURS_ONLY, bounded("572:00"))[1] == h("1200:00")

    def test_of_work_after_that_too_the_earlier_is_taken(self):
        """Whether it was due at 1160:00 or at 1200:00 nobody knows: done at 1195:00 it may have been late or early."""
        works = (
            done_on_aircraft("2024-01-01", count=ran(0, 0)),
            done_on_aircraft("2024-10-01", count=bounded("560:00", under="60:00")),
            done_on_aircraft("2025-06-01", count=ran(h("1195:00"), 0)),
        )
        point = due_point(HOURS_ONLY, unit(done=works, carried=carried()))
        assert point.due_minutes == h("1165:00") + h("600:00")


class TestAnApprovalJudgedByBounds:
    rule = needs(
        kind="inspection",
        repeat={"minutes": h("600:00")},
        done_at="aircraft",
        variation_allowed=True,
        source="programme",
    )

    def told(self, at: str, least: str) -> int | None:
        """Due at 600:00, approved at `at` (as bounded above) to 700:00, done at 650:00."""
        approval = varied(
            "2024-06-01", until_minutes=h("700:00"), approved_minutes=h(at), approved_minutes_least=h(least)
        )
        return next_due(self.rule, ran(h("650:00"), 0), variations=(approval,))[1]

    def test_in_time_the_next_counts_from_the_due_point(self):
        assert self.told("600:00", "590:00") == h("1200:00")

    def test_too_late_for_sure_from_the_work(self):
        assert self.told("620:00", "601:00") == h("1250:00")

    def test_too_late_perhaps_from_the_earlier_of_the_two(self):
        assert self.told("620:00", "600:00") == h("1200:00")

    def test_whichever_last_a_count_that_may_be_late_keeps_the_calendar_from_its_due_point(self):
        """Past by the calendar, at 595:00 of 600:00 or at 605:00: not due at all, or done late under the approval."""
        rule = replace(self.rule, whichever="last", repeat=needs(repeat={"months": 12, "minutes": h("600:00")}).repeat)
        approval = varied("2024-12-01", "2025-12-31", approved_minutes=h("500:00"))
        sure = next_due(rule, ran(h("595:00"), 0), day="2025-03-01", variations=(approval,))
        unsure = next_due(rule, bounded("595:00", under="10:00"), day="2025-03-01", variations=(approval,))
        assert (sure[0], unsure[0]) == ("2026-03-01", "2026-01-01")

    def test_whichever_last_a_measure_nobody_knows_of_may_not_have_been_passed_when_it_was_approved(self):
        """Long past by the calendar, its hours since new not known: approved in time, as far as anybody can tell."""
        rule = replace(
            self.rule,
            whichever="last",
            start="manufacture",
            repeat=needs(repeat={"months": 12, "minutes": h("600:00")}).repeat,
        )
        history = unit(
            manufactured="2018-01-01",
            opening=ran(None, None),
            done=(done_on_aircraft("2024-06-01", count=ran(h("50:00"), 0)),),
            variations=(varied("2024-05-01", "2024-12-31", until_minutes=h("900:00"), approved_minutes=h("40:00")),),
            carried=carried(),
        )
        assert iso(due_point(rule, history).calendar_due) == "2020-01-01"
