"""The slow, obvious walk: every day fly, count, and ask whether the unit may still fly today.

Nothing of the life room is used here: no stored threshold, no projection, no formula for a due date but the calendar's
own counting of months. A measure keeps the day and the counts it runs from; each evening the walk looks whether more
was run, or more time has gone by, than is allowed.

Within a day: work first, then the fitting or removal, then the flying, then approvals in the office.
"""

from __future__ import annotations

import calendar
from copy import deepcopy
from dataclasses import dataclass, field
from datetime import date


@dataclass
class Allowed:
    """One set of limits of the walk's own."""

    months: int | None = None
    days: int | None = None
    minutes: int | None = None
    cycles: int | None = None

    def any(self) -> bool:
        return any(v is not None for v in (self.months, self.days, self.minutes, self.cycles))


@dataclass
class Rule:
    first: Allowed = field(default_factory=Allowed)
    repeat: Allowed = field(default_factory=Allowed)
    start: str = "release"
    whichever: str = "first"
    allowance: int | None = None
    month_last: bool = False
    bands: list[tuple[int, Allowed]] = field(default_factory=list)
    life_limit: bool = False
    on_aircraft: bool = False
    anchor_due: bool = False
    early: Allowed = field(default_factory=Allowed)
    late: Allowed = field(default_factory=Allowed)
    variation_allowed: bool = False


@dataclass
class Approval:
    """A variation: to a day or to an airframe total in minutes."""

    until_day: int | None = None
    until_minutes: int | None = None
    alive: bool = True


def months_on(day: int, months: int) -> int:
    """Months later by counting: same day of the month, or the last day of a shorter month."""
    start = date.fromordinal(day)
    year, month = start.year, start.month
    for _ in range(months):
        month += 1
        if month == 13:
            year, month = year + 1, 1
    return date(year, month, min(start.day, calendar.monthrange(year, month)[1])).toordinal()


def month_end(day: int) -> int:
    found = date.fromordinal(day)
    return date(found.year, found.month, calendar.monthrange(found.year, found.month)[1]).toordinal()


class Walk:
    """One unit from the day it was made, a day at a time. `flown` per day of each airframe is given by the caller."""

    def __init__(self, rule: Rule, *, made: int, released: int, expires: int | None = None) -> None:
        self.rule = rule
        self.made, self.released, self.expires = made, released, expires
        self.today = made
        self.minutes = self.cycles = 0
        self.airframe: int | None = None
        self.total_minutes = 0  # of the airframe that carries it, at the end of today
        self.work_day: int | None = None
        self.calendar_from: int | None = made if rule.start == "manufacture" else None
        self.waits_from: int | None = None  # the basis whose calendar waits for a fitting
        self.minutes_from = self.cycles_from = 0
        self.approval: Approval | None = None
        self.approvals_used = False

    # --- what happens on a day ---

    def begin(self, day: int) -> None:
        self.today = day
        rule = self.rule
        if day == self.released and self.work_day is None:
            if rule.start == "release":
                self.calendar_from = day
            elif rule.start in ("installation", "first_installation"):
                self.waits_from = day

    def work(self) -> None:
        """The requirement is done today, before any flying: on the aircraft or in the shop."""
        if self.rule.life_limit:
            return
        basis = self._next_basis() if self.rule.on_aircraft and self.airframe is not None else {}
        self.work_day = self.today
        self.waits_from = None
        self.calendar_from = basis.get("calendar", self.today)
        self.minutes_from = basis.get("minutes", self.minutes)
        self.cycles_from = basis.get("cycles", self.cycles)
        if self.rule.start == "installation" and self.airframe is None:
            self.calendar_from, self.waits_from = None, self.today
        if self.rule.start == "each_installation" and self.airframe is None:
            self.calendar_from = None
        self.approval, self.approvals_used = None, False

    def fit(self, airframe: int, total_minutes: int) -> None:
        self.airframe, self.total_minutes = airframe, total_minutes
        if self.rule.start == "each_installation":
            self.calendar_from, self.minutes_from, self.cycles_from = self.today, self.minutes, self.cycles
        elif self.waits_from is not None:
            self.calendar_from, self.waits_from = self.today, None

    def remove(self) -> None:
        self.airframe = None
        if self.approval is not None:
            self.approval.alive = False
        if self.rule.start == "each_installation" and not (self.done_once() and not self.rule.repeat.any()):
            self.calendar_from = None
            self.minutes_from, self.cycles_from = self.minutes, self.cycles

    def fly(self, minutes: int, cycles: int) -> None:
        if self.airframe is not None:
            self.minutes += minutes
            self.cycles += cycles
            self.total_minutes += minutes
        allowance = self.rule.allowance
        if (
            self.waits_from is not None
            and allowance is not None
            and self.today >= months_on(self.waits_from, allowance)
        ):
            self.calendar_from, self.waits_from = self.today, None

    def approve(self, approval: Approval) -> None:
        """In the evening: in time only while nothing has been passed, one to a due point."""
        if self.rule.variation_allowed and not self.approvals_used and not self.passed():
            self.approval, self.approvals_used = approval, True

    # --- the question of the evening ---

    def done_once(self) -> bool:
        return self.work_day is not None

    def may_fly(self) -> bool:
        return not self.passed() or self._covered()

    def passed(self) -> bool:
        if self.expires is not None and self.today > self.expires:
            return True
        gone = self._measures()
        if not gone:
            return False
        return all(gone.values()) if self.rule.whichever == "last" else any(gone.values())

    def _measures(self) -> dict[str, bool]:
        """Every limited measure, and whether it is past this evening."""
        gone: dict[str, bool] = {}
        for begins, limits in self._in_force():
            bound = begins is None or self.today > begins
            calendar_gone = [bound and self._calendar_past(begins, ends) for ends in self._ends(limits)]
            if calendar_gone:
                past = all(calendar_gone) if self.rule.whichever == "last" else any(calendar_gone)
                gone["calendar"] = gone.get("calendar", False) or past
            if limits.minutes is not None:
                past = bound and self.minutes - self.minutes_from > limits.minutes
                gone["minutes"] = gone.get("minutes", False) or past
            if limits.cycles is not None:
                past = bound and self.cycles - self.cycles_from > limits.cycles
                gone["cycles"] = gone.get("cycles", False) or past
        return gone

    def _ends(self, limits: Allowed) -> list[int | None]:
        """The last good day by months and by days; None where the calendar has not started."""
        ends: list[int | None] = []
        if limits.months is not None:
            ends.append(None if self.calendar_from is None else months_on(self.calendar_from, limits.months))
        if limits.days is not None:
            ends.append(None if self.calendar_from is None else self.calendar_from + limits.days)
        return ends

    def _calendar_past(self, begins: int | None, end: int | None) -> bool:
        if end is None:
            return False
        last = end if begins is None else max(end, begins)
        return self.today > (month_end(last) if self.rule.month_last else last)

    def _in_force(self) -> list[tuple[int | None, Allowed]]:
        """The limits that count now: those in force when it was done, and older ages that cut in later."""
        rule = self.rule
        if self.work_day is None and rule.first.any():
            return [(None, rule.first)]
        if self.work_day is not None and not rule.repeat.any() and not rule.bands:
            return []
        asked = self.work_day if self.work_day is not None else self.calendar_from
        current, later = rule.repeat, []
        for age, limits in rule.bands:
            begins = months_on(self.made, age)
            if asked is not None and begins <= asked:
                current = limits
            else:
                later.append((begins, limits))
        return [(None, current), *later]

    def _covered(self) -> bool:
        """The variation holds what is past: every measure whichever first, whichever last any one of them."""
        if self.approval is None or not self.approval.alive:
            return False
        held = [self._within(m, self.today, self.total_minutes) for m, past in self._measures().items() if past]
        return any(held) if self.rule.whichever == "last" else all(held)

    def _within(self, measure: str, day: int, total: int) -> bool:
        assert self.approval is not None
        if measure == "calendar":
            return self.approval.until_day is not None and day <= self.approval.until_day
        if measure == "minutes":
            return self.approval.until_minutes is not None and total <= self.approval.until_minutes
        return False

    # --- from where the next interval runs (work on the aircraft, no bands) ---

    def _next_basis(self) -> dict[str, int]:
        """Per measure the due point it goes on from; a measure left out runs from what was done."""
        rule, (_, limits) = self.rule, self._in_force()[0]
        points: dict[str, tuple[int, int, int]] = {}  # measure: due, at, what the next runs from
        ends = [end for end in self._ends(limits) if end is not None]
        if ends:
            end = max(ends) if rule.whichever == "last" else min(ends)
            points["calendar"] = (month_end(end) if rule.month_last else end, self.today, end)
        if limits.minutes is not None:
            due = self.minutes_from + limits.minutes
            points["minutes"] = (due, self.minutes, due)
        if limits.cycles is not None:
            due = self.cycles_from + limits.cycles
            points["cycles"] = (due, self.cycles, due)
        if self.approval is not None and self.approval.alive:
            late = {m for m, (due, at, _) in points.items() if at > due}
            counts = late == set(points) if rule.whichever == "last" else bool(late)
            under = {m for m in late if counts and self._within(m, self.today, self.total_minutes)}
            if under:
                return {m: points[m][2] for m in under}
        if not rule.anchor_due:
            return {}
        windows = {
            "calendar": (rule.early.days, rule.late.days),
            "minutes": (rule.early.minutes, rule.late.minutes),
            "cycles": (rule.early.cycles, rule.late.cycles),
        }
        stated = {m: w for m, w in windows.items() if w != (None, None)}
        for measure, (early, late_by) in stated.items():
            due, at, _ = points[measure]
            if not due - (early or 0) <= at <= due + (late_by or 0):
                return {}
        return {m: points[m][2] for m in stated}

    def copy(self) -> Walk:
        return deepcopy(self)
