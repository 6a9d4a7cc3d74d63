"""The slow, obvious walk: every day fly, count, and ask whether the unit may still fly today.

Nothing of the life room is used here: no stored threshold, no projection, no formula for a due date but the calendar's
own counting of months. A measure keeps the day and the counts it runs from; each evening the walk looks whether more
was run, or more time has gone by, than is allowed.

Within a day: work first, then the fitting or removal, then what is operated, then the flying, then approvals in the
office.
"""

from __future__ import annotations

import calendar
from copy import copy
from dataclasses import dataclass, field
from datetime import date

MEASURES = ("calendar", "minutes", "cycles", "operations")
# Work of these kinds renews what an expiry stated at the opening was stated for.
RENEWING = ("overhaul", "requalification", "replacement")


@dataclass
class Allowed:
    """One set of limits of the walk's own."""

    months: int | None = None
    days: int | None = None
    minutes: int | None = None
    cycles: int | None = None
    operations: int | None = None

    def any(self) -> bool:
        return any(v is not None for v in (self.months, self.days, self.minutes, self.cycles, self.operations))

    def calendar(self) -> bool:
        return self.months is not None or self.days is not None

    def measures(self) -> set[str]:
        named = {"minutes": self.minutes, "cycles": self.cycles, "operations": self.operations}
        return {name for name, limit in named.items() if limit is not None} | (
            {"calendar"} if self.calendar() else set()
        )


@dataclass
class Rule:
    first: Allowed = field(default_factory=Allowed)
    repeat: Allowed = field(default_factory=Allowed)
    start: str = "release"
    whichever: str = "first"
    allowance: int | None = None
    month_last: bool = False
    bands: list[tuple[int, Allowed]] = field(default_factory=list)
    band_basis: bool = False
    life_limit: bool = False
    on_aircraft: bool = False
    anchor_due: bool = False
    early: Allowed = field(default_factory=Allowed)
    late: Allowed = field(default_factory=Allowed)
    variation_allowed: bool = False
    kind: str = "inspection"
    operation: str | None = None
    no_refill: bool = False


@dataclass
class Approval:
    """A variation: to a day, or to airframe totals in minutes or cycles."""

    until_day: int | None = None
    until_minutes: int | None = None
    until_cycles: int | None = None
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
    """One requirement of one unit from the day it was made, a day at a time; the caller says what was flown.

    `made` None: the date of manufacture is not recorded. A count from which something runs is None when nobody
    recorded it: then that measure is unknown. `operations` keeps (day, kind, how many) since the opening statement.
    """

    def __init__(
        self,
        rule: Rule,
        *,
        made: int | None,
        released: int,
        expires: int | None = None,
        cured: int | None = None,
    ) -> None:
        self.rule = rule
        self.made, self.released, self.expires = made, released, expires
        self.today = made if made is not None else released
        self.minutes = self.cycles = 0
        self.airframe: int | None = None
        self.installed = self.ever_installed = False
        self.stored = True
        self.total_minutes = self.total_cycles = 0  # of the airframe that carries it, at the end of today
        self.work_day: int | None = None  # the day the last work counts from
        self.calendar_from: int | None = {"manufacture": made, "cure": cured}.get(rule.start)
        self.waits_from: int | None = None  # the basis whose calendar waits for a fitting
        self.minutes_from: int | None = 0
        self.cycles_from: int | None = 0
        self.operations: list[tuple[int, str, int]] = []
        self.operations_before: int | None = 0  # run between the basis and the opening statement
        self.operations_from = 0  # the day from which they count
        self.approval: Approval | None = None
        self.approvals_used = False
        self.approvals_asked = self.approval_refused = self.rests_on_totals = self.told_earlier = False
        # Work is written down for a day, and may have been done before or after that day's flying.
        self.unsure = {"minutes": 0, "cycles": 0}  # how much later than counted the basis may lie
        self.approvals_told = False
        self._worked: dict[str, tuple[int, int]] | None = None  # today's work: measure: done at, was due at
        self._goes_on: set[str] = set()  # the measures that went on from their due points
        self._ends_kept: dict[tuple[int, int], int] = {}

    # --- what happens on a day ---

    def begin(self, day: int) -> None:
        self.today = day
        rule = self.rule
        if day == self.released and self.work_day is None:
            if rule.start == "release":
                self.calendar_from = day
            elif rule.start in ("installation", "first_installation"):
                self.waits_from = day

    def work(self, marked: int | None = None) -> None:
        """The requirement is done today, before any flying: on the aircraft or in the shop.

        `marked`: the day from which the mark on a cylinder counts, at or before today.
        """
        if self.rule.life_limit:
            return
        on_aircraft = self.rule.on_aircraft and self.airframe is not None
        basis = self._next_basis() if on_aircraft else {}
        self._worked = {m: (at, due) for m, (due, at, _) in self._points().items()} if on_aircraft else {}
        self._goes_on = set(basis)
        self.told_earlier |= on_aircraft and self.approval_refused
        self.approval_refused = False
        self.rests_on_totals |= on_aircraft and self.approvals_asked
        self.approvals_told, self.approvals_asked = self.approvals_asked, False
        self.work_day = self.today if marked is None else marked
        self.waits_from = None
        self.calendar_from = basis.get("calendar", self.work_day)
        self.minutes_from = basis.get("minutes", self.minutes)
        self.cycles_from = basis.get("cycles", self.cycles)
        self.operations_from, self.operations_before = self.work_day, 0
        if self.rule.start == "installation" and not self.installed:
            self.calendar_from, self.waits_from = None, self.today
        if self.rule.start == "each_installation" and not self.installed:
            self.calendar_from = None
        if self.rule.kind in RENEWING:
            self.expires = None
        self.approval, self.approvals_used = None, False

    def install(self) -> None:
        """Fitted at a position or into its parent."""
        self.installed, self.stored = True, False
        if self.rule.start == "each_installation":
            self.calendar_from, self.minutes_from, self.cycles_from = self.today, self.minutes, self.cycles
            self.unsure = {"minutes": 0, "cycles": 0}
            self.approval, self.approvals_used = None, False
        elif self.waits_from is not None:
            self.calendar_from, self.waits_from = self.today, None
        if self.rule.start in ("first_installation", "installation") and self.never_done() and not self.ever_installed:
            # The counts run from the first installation.
            self.minutes_from, self.cycles_from = self.minutes, self.cycles
        self.ever_installed = True

    def carry(self, airframe: int, total_minutes: int, total_cycles: int = 0) -> None:
        """An airframe carries it from now on, by itself or in its parent."""
        self.airframe, self.total_minutes, self.total_cycles = airframe, total_minutes, total_cycles

    def put_down(self) -> None:
        """No airframe carries it any more; it may still be in its parent."""
        self.airframe = None
        # Off that airframe its totals cannot be compared any more with those of an approval: told earlier perhaps.
        self.told_earlier |= self.rests_on_totals
        if self.approval is not None:
            self.approval.alive = False

    def take_out(self, *, to_store: bool = True) -> None:
        """Removed from the position or the parent."""
        self.installed, self.stored = False, to_store
        if self.rule.start == "each_installation" and not (self.done_once() and not self.rule.repeat.any()):
            self.calendar_from = None
            self.minutes_from, self.cycles_from = self.minutes, self.cycles

    def fit(self, airframe: int, total_minutes: int, total_cycles: int = 0) -> None:
        self.install()
        self.carry(airframe, total_minutes, total_cycles)

    def remove(self) -> None:
        self.put_down()
        self.take_out()

    def operate(self, kind: str, count: int = 1) -> None:
        self.operations.append((self.today, kind, count))

    def _after_the_work(self, flown: dict[str, int]) -> None:
        """Where the day's flying decides between late and in time, or inside and outside, the earlier point is told."""
        assert self._worked is not None
        if self.rule.anchor_due or self.approvals_told:
            for measure, (at, due) in self._worked.items():
                early, late = getattr(self.rule.early, measure, None), getattr(self.rule.late, measure, None)
                if measure == "calendar":
                    continue  # a day is a day
                gaps = (at - due - self.unsure[measure], at - due + flown[measure])
                if len({(gap > 0, gap >= -(early or 0), gap > (late or 0)) for gap in gaps}) > 1:
                    self.told_earlier = True
        for measure in self.unsure.keys() - self._goes_on:
            self.unsure[measure] = flown[measure]
        self._worked = None

    def fly(self, minutes: int, cycles: int) -> None:
        if self._worked is not None:
            carried = self.airframe is not None
            self._after_the_work({"minutes": minutes if carried else 0, "cycles": cycles if carried else 0})
        if self.airframe is not None:
            self.minutes += minutes
            self.cycles += cycles
            self.total_minutes += minutes
            self.total_cycles += cycles
        if self.waits_from is None or self.rule.allowance is None:
            return
        if self.today >= self._months_on(self.waits_from, self.rule.allowance):
            self.calendar_from, self.waits_from = self.today, None

    def approve(self, approval: Approval) -> None:
        """In the evening: in time only while nothing has been passed, one to a due point."""
        self.approvals_asked = True
        self.approval_refused |= self.rule.variation_allowed and not self.approvals_used and self.passed()
        if self.rule.variation_allowed and not self.approvals_used and not self.passed():
            self.approval, self.approvals_used = approval, True

    # --- the question of the evening ---

    def done_once(self) -> bool:
        return self.work_day is not None

    def never_done(self) -> bool:
        return self.work_day is None

    def complete(self) -> bool:
        """Done once, and nothing follows."""
        return self.done_once() and not self.rule.repeat.any() and not self.rule.bands

    def may_fly(self) -> bool:
        return not self.passed() or (not self.expired() and self._covered())

    def expired(self) -> bool:
        return self.expires is not None and self.rule.kind != "soft_life" and self.today > self.expires

    def passed(self) -> bool:
        if self.expired():
            return True
        gone = self._measures()
        if not gone:
            return False
        return all(gone.values()) if self.rule.whichever == "last" else any(gone.values())

    def waiting(self) -> bool:
        """The calendar is limited and has not started, by rule: it waits for a fitting, with no allowance running."""
        if self.complete() or self.calendar_from is not None or self.rule.allowance is not None:
            return False
        if self._age_wanted() and any(limits.calendar() for _, limits in self.rule.bands):
            return False  # not known, rather than not begun
        limited = any(limits.calendar() for _, limits in self._in_force())
        return limited and (self.waits_from is not None or (self.rule.start == "each_installation"))

    def state(self) -> str:
        """overdue, no refill, in variation, waiting, unknown or flies, this evening, by the design's own words."""
        if self.rule.kind == "storage" and not self.stored:
            return "flies"
        if self.expired():
            return "overdue"
        if self.complete():
            return "flies"
        gone, waits = self._measures(), self.waiting()
        known = {m: past for m, past in gone.items() if past is not None and not (waits and m == "calendar")}
        if self.rule.whichever == "last":
            if None in gone.values():
                return "unknown"
            if waits:
                return "waiting"
            if all(known.values()):
                return "in variation" if self._covered() else "overdue"
            return "flies"
        bad = {m for m, past in known.items() if past}
        hard = {m for m in bad if not self._holds(m)}
        if hard - {"calendar"} or ("calendar" in hard and not self.charged()):
            return "overdue"
        if hard:
            return "no refill"
        if bad:
            return "in variation"
        if self.expires is not None and self.rule.kind != "soft_life":
            return "flies"  # the expiry is a date by itself
        if waits:
            return "waiting"
        return "flies" if known else "unknown"

    def nothing_left(self) -> bool:
        """Off an airframe, or in operations: nothing is left and nothing is passed: due."""
        if self.complete() or (self.rule.kind == "storage" and not self.stored):
            return False
        gone = self._measures()
        left = {m: self._left(m) for m in gone if m != "calendar"}
        zero = {m: n is not None and n <= 0 and not gone[m] for m, n in left.items()}
        zero = {m: z and (m == "operations" or self.airframe is None) for m, z in zero.items()}
        if self.rule.whichever == "last":
            past = {m: bool(gone[m]) and not self._holds(m) for m in gone}
            return None not in gone.values() and all(past[m] or zero.get(m, False) for m in gone)
        return any(zero.values())

    def left(self, measure: str) -> int | None:
        """What is left of one limit in force; None where it is not limited or not known."""
        return self._left(measure)

    def charged(self) -> bool:
        """Filled before the date and not since, nothing else done to it that may have emptied it, history known."""
        if not self.rule.no_refill or self.calendar_from is None:
            return False
        due = self._calendar_due()
        since = self.work_day if self.work_day is not None else 0
        told = [(n, day, kind) for n, (day, kind, count) in enumerate(self.operations) if count > 0 and day >= since]
        fillings = [(n, day) for n, day, kind in told if kind in ("filling", self.rule.operation)]
        if due is None or not fillings or any(day > due for _, day in fillings):
            return False
        return not any(n > fillings[-1][0] for n, _, kind in told if kind not in ("filling", self.rule.operation))

    def _calendar_due(self) -> int | None:
        day = self.today
        try:
            while self.today < day + 40_000:
                self.today += 1
                if self._measures().get("calendar"):
                    break
            else:
                return None
            while self._measures().get("calendar"):
                self.today -= 1
            return self.today
        finally:
            self.today = day

    def _measures(self) -> dict[str, bool | None]:
        """Every limited measure, and whether it is past this evening; None: not known."""
        gone: dict[str, bool | None] = {}
        if self.complete():
            return gone
        if self._age_wanted():
            for _, limits in self.rule.bands:
                gone.update(dict.fromkeys(limits.measures()))
        for begins, limits in self._in_force():
            bound = begins is None or self.today > begins
            ends = self._ends(limits)
            for measure in limits.measures():
                if measure in gone and gone[measure] is None:
                    continue
                past: bool | None
                if measure == "calendar":
                    each = [bound and self._calendar_past(begins, end) for end in ends]
                    past = all(each) if self.rule.whichever == "last" else any(each)
                    if self.calendar_from is None and not self._calendar_waits():
                        past = None
                else:
                    left = self._left_of(measure, limits)
                    past = None if left is None else bound and left < 0
                gone[measure] = None if past is None else bool(gone.get(measure)) or past
        return gone

    def _age_wanted(self) -> bool:
        """Bands are in use and the age is not known."""
        serves_first = self.work_day is None and self.rule.first.any()
        return bool(self.rule.bands) and not serves_first and self.made is None

    def _calendar_waits(self) -> bool:
        return self.waits_from is not None or self.rule.start == "each_installation"

    def _left(self, measure: str) -> int | None:
        lefts = [
            self._left_of(measure, limits)
            for begins, limits in self._in_force()
            if measure in limits.measures() and (begins is None or begins <= self.today)
        ]
        return None if not lefts or None in lefts or self._measures().get(measure, False) is None else min(lefts)  # type: ignore[type-var]

    def _left_of(self, measure: str, limits: Allowed) -> int | None:
        if measure == "minutes" and limits.minutes is not None:
            return None if self.minutes_from is None else limits.minutes - (self.minutes - self.minutes_from)
        if measure == "cycles" and limits.cycles is not None:
            return None if self.cycles_from is None else limits.cycles - (self.cycles - self.cycles_from)
        assert limits.operations is not None
        told = [(day, count) for day, kind, count in self.operations if kind == self.rule.operation]
        if not told or self.operations_before is None:
            return None  # no record since the opening is not a count of none
        run = self.operations_before + sum(count for day, count in told if day >= self.operations_from)
        return limits.operations - run

    def _ends(self, limits: Allowed) -> list[int | None]:
        """The last good day by months and by days; None where the calendar has not started."""
        ends: list[int | None] = []
        begin = self.calendar_from
        if limits.months is not None:
            ends.append(None if begin is None else self._months_on(begin, limits.months))
        if limits.days is not None:
            ends.append(None if begin is None else begin + limits.days)
        return ends

    def _months_on(self, day: int, months: int) -> int:
        """The counting, kept, because every evening asks the same."""
        if (day, months) not in self._ends_kept:
            self._ends_kept[day, months] = months_on(day, months)
        return self._ends_kept[day, months]

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
        if not rule.bands or self.made is None:
            return [(None, rule.repeat)]
        asked = self.work_day if self.work_day is not None else self.calendar_from
        current, later = rule.repeat, []
        for age, limits in rule.bands:
            begins = self._months_on(self.made, age)
            # A measure that a band leaves out keeps the requirement's own repeat.
            stated = Allowed(
                months=limits.months if limits.calendar() else rule.repeat.months,
                days=limits.days if limits.calendar() else rule.repeat.days,
                minutes=rule.repeat.minutes if limits.minutes is None else limits.minutes,
                cycles=rule.repeat.cycles if limits.cycles is None else limits.cycles,
                operations=rule.repeat.operations,
            )
            if asked is not None and begins <= asked:
                current = stated
            elif not rule.band_basis:
                later.append((begins, stated))
        return [(None, current), *later]

    def _covered(self) -> bool:
        """The variation holds what is past: every measure whichever first, whichever last any one of them."""
        held = [self._holds(m) for m, past in self._measures().items() if past]
        return any(held) if self.rule.whichever == "last" else all(held)

    def _holds(self, measure: str) -> bool:
        if self.approval is None or not self.approval.alive:
            return False
        return self._within(measure, self.today, self.total_minutes, self.total_cycles)

    def _within(self, measure: str, day: int, total_minutes: int, total_cycles: int) -> bool:
        assert self.approval is not None
        if measure == "calendar":
            return self.approval.until_day is not None and day <= self.approval.until_day
        if measure == "minutes":
            return self.approval.until_minutes is not None and total_minutes <= self.approval.until_minutes
        if measure == "cycles":
            return self.approval.until_cycles is not None and total_cycles <= self.approval.until_cycles
        return False

    # --- from where the next interval runs (work on the aircraft) ---

    def _next_basis(self) -> dict[str, int]:
        """Per measure the due point it goes on from; a measure left out runs from what was done."""
        rule, points = self.rule, self._points()
        if self.approval is not None and self.approval.alive:
            late = {m for m, (due, at, _) in points.items() if at > due}
            counts = late == set(points) if rule.whichever == "last" else bool(late)
            under = {m for m in late if counts and self._within(m, self.today, self.total_minutes, self.total_cycles)}
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
        if not set(stated) <= set(points):
            # A window that cannot be judged: each measure from the earlier of the two.
            if any(not self._inside(points[m], stated[m]) for m in stated if m in points):
                return {}
            # Of which of the two it was, the work after this one does not know either.
            self.told_earlier |= bool(set(stated) & set(points))
            return {m: points[m][2] for m in stated if m in points and points[m][0] < points[m][1]}
        if not all(self._inside(points[m], window) for m, window in stated.items()):
            return {}
        return {m: points[m][2] for m in stated}

    def _points(self) -> dict[str, tuple[int, int, int]]:
        """Per measure where it was due, where it is today, and what the next would run from."""
        rule = self.rule
        points: dict[str, tuple[int, int, int]] = {}
        for begins, limits in self._in_force():
            ends = [end for end in self._ends(limits) if end is not None]
            if ends:
                end = max(ends) if rule.whichever == "last" else min(ends)
                end = end if begins is None else max(end, begins)
                if "calendar" not in points or end < points["calendar"][2]:
                    points["calendar"] = (month_end(end) if rule.month_last else end, self.today, end)
            if begins is not None and begins > self.today:
                continue  # this age has not come: its counts bind nobody yet
            for measure, limit, begin, run in (
                ("minutes", limits.minutes, self.minutes_from, self.minutes),
                ("cycles", limits.cycles, self.cycles_from, self.cycles),
            ):
                if limit is None or begin is None:
                    continue
                due = begin + limit
                if measure not in points or due < points[measure][0]:
                    points[measure] = (due, run, due)
        if self._age_wanted():
            for _, limits in rule.bands:  # without the age nobody knows when these were due
                for measure in limits.measures():
                    points.pop(measure, None)
        return points

    @staticmethod
    def _inside(point: tuple[int, int, int], window: tuple[int | None, int | None]) -> bool:
        due, at, _ = point
        early, late = window
        return due - (early or 0) <= at <= due + (late or 0)

    def copy(self) -> Walk:
        other = copy(self)
        other.operations = list(self.operations)
        other.approval = copy(self.approval)
        return other
