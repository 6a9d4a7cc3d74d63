"""What a comparison says of a due point that moved: in words, and whether more moved than a projection."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.clocks.between import _due_words, _moved_its_point
from fleetlife.terms.measure import Minutes
from fleetlife.terms.views import ChangeRow

SAME = ChangeRow(
    move="earlier",
    applies_from="2026-11-25",
    state_before="in date",
    state_after="in date",
    due_before="2027-05-01",
    due_after="2027-05-01",
)
LANDINGS = replace(SAME, counter_before="landings", counter_after="landings")


class TestCounters:
    def test_a_threshold_in_a_counter_that_moved_is_told_under_its_name(self) -> None:
        row = replace(LANDINGS, counter_due_before=5600, counter_due_after=5500)
        assert _moved_its_point(row)
        assert _due_words(row, "before") == "in date, 2027-05-01, at airframe landings 5600"
        assert _due_words(row, "after") == "in date, 2027-05-01, at airframe landings 5500"

    def test_hours_of_a_counter_are_shown_as_hours(self) -> None:
        apu = {"counter_before": "APU hours", "counter_after": "APU hours"}
        row = replace(SAME, counter_left_before=Minutes(90), counter_left_after=Minutes(30), **apu)
        assert _moved_its_point(row)
        assert _due_words(row, "after") == "in date, 2027-05-01, APU hours left 0:30"

    def test_what_is_left_to_a_standing_threshold_moves_with_the_readings_alone(self) -> None:
        row = replace(LANDINGS, counter_due_before=5600, counter_due_after=5600)
        assert not _moved_its_point(replace(row, counter_left_before=40, counter_left_after=35))
