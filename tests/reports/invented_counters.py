"""Invented values for the reports: limits in counters, one that counts and one in hours."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms.measure import Minutes
from fleetlife.terms.views import ChangeList, DueList, DueRow, LifeLeft

from . import invented as given
from . import invented_changes

LANDINGS = DueRow(
    registration="Q-GUL",
    position="L3",
    part_number="KW-4100-3",
    serial_number="00830",
    requirement="LDG",
    kind="functional_test",
    state="overdue",
    state_reason="Due at 14101 airframe landings; 14120 read 2026-11-22, 19 over.",
    driver="landings",
    counter="landings",
    counter_due=14_101,
    counter_left=-19,
    hours_left=60_000,
    readings_as_of="2026-11-22",
    basis="done 2023-08-15 (log)",
    edition="7",
    estimated=True,
)
POWER_UNIT = replace(
    LANDINGS,
    serial_number="00831",
    requirement="REP",
    kind="replacement",
    state="in date",
    state_reason="Due at 21000:30 airframe APU hours; 20400:10 read 2026-11-22, 600:20 left.",
    driver="calendar",
    due_date="2027-03-01",
    due_earliest="2027-03-01",
    days_left=96,
    counter="APU hours",
    counter_due=Minutes(21_000 * 60 + 30),
    counter_left=Minutes(600 * 60 + 20),
    estimated=False,
)
COUNTED = DueList(
    about=given.about("due"),
    window_from=None,
    window_until=None,
    rows=(LANDINGS, POWER_UNIT),
    coverage=given.WINDOW.coverage,
)
_LEFT = LifeLeft(
    part_number="KW-4100-3",
    serial_number="00830",
    requirement="LDG",
    kind="functional_test",
    state="in date",
    due_if_fitted=None,
    hours_left=None,
    cycles_left=None,
    operations_left=None,
    text="1,204 landings are left; no airframe carries the unit.",
    counter="landings",
    counter_left=1_204,
)
COUNTED_ANSWER = replace(
    given.CLEAR_ANSWER,
    life=(
        *given.CLEAR_ANSWER.life,
        _LEFT,
        replace(_LEFT, requirement="REP", counter="APU hours", counter_left=Minutes(90)),
    ),
)
_MOVED = next(row for row in invented_changes.CHANGES.rows if row.move == "earlier")
COUNTED_CHANGES: ChangeList = replace(
    invented_changes.CHANGES,
    rows=(
        replace(
            _MOVED,
            counter_before="landings",
            counter_after="landings",
            counter_due_before=14_101,
            counter_due_after=13_101,
            counter_left_before=722,
            counter_left_after=-278,
            driver_before="landings",
            driver_after="landings",
        ),
    ),
)
COUNTED_UNIT = replace(given.UNIT, counters=(("landings", "~4878 at the reading of 2026-11-22"), ("APU hours", None)))
COUNTED_AIRFRAME = replace(
    given.AIRFRAME,
    counters=(("landings", "13379 read 2026-11-22, 4.1 a day over 364 days"), ("APU hours", None)),
)
