"""Counters beyond flight hours and cycles: from the files to the due list, and what is refused on the way."""

from __future__ import annotations

from datetime import date

import pytest

from fleetlife.answers.due import due
from fleetlife.answers.verify import verify
from fleetlife.terms.views import DueRow

from .counted import worked_example
from .fleet import Intake

ON = date(2026, 3, 1)


def the_row(intake: Intake, on: date = ON) -> DueRow:
    (row,) = due(intake.store, as_of=on, everything=True).rows
    return row


class TestWorkedExample:
    @pytest.mark.parametrize(
        ("counter", "due_at", "left"), [("landings", "6370", "370"), ("APU hours", "6369:45", "369:45")]
    )
    def test_example_2_is_the_same_in_a_counter(self, intake: Intake, counter: str, due_at: str, left: str) -> None:
        intake.take(worked_example(counter))
        row = the_row(intake)
        assert (row.counter, row.counter_due, row.counter_left) == (counter, due_at, left)
        assert (row.due_date, row.due_earliest, row.driver) == ("2026-04-16", "2026-04-16", counter)
        flown = (row.airframe_hours_due, row.airframe_cycles_due, row.hours_left, row.cycles_left)
        assert flown == (None, None, None, None)
        assert row.readings_as_of == "2026-03-01"
        assert f"airframe {counter}" in row.state_reason
        assert verify(intake.store).findings == ()
