"""Ground times of an airframe: in which one work is done in time, which one comes next, and which least life counts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fleetlife.terms.number import fold


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Period:
    """A ground time; both days, as ordinal numbers, are in it. `entry`: where it is stated."""

    first: int
    last: int
    station: str
    reference: str | None = None
    entry: int | None = None

    def holds(self, day: int) -> bool:
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """The ground time in which work is done, and the day on which it can begin there: its first, or the day asked about
    where it has begun already."""

    period: Period
    day: int


def place_in_time(periods: Iterable[Period], *, due: int, as_of: int) -> Placing | None:
    """The latest ground time that begins no later than the day on which the work falls due, and is not over: the whole
    of it may be needed, and the work is done in time on its first day. None: there is none.
    """
    found = [
        Placing(period=period, day=max(period.first, as_of))
        for period in periods
        if period.last >= as_of and max(period.first, as_of) <= due
    ]
    return max(found, key=lambda each: (each.period.first, each.period.last), default=None)


def next_after(periods: Iterable[Period], day: int) -> Period | None:
    """The first ground time that begins after the day; None: none is known."""
    return min((period for period in periods if period.first > day), default=None)


def holding(periods: Iterable[Period], day: int) -> Period | None:
    """The ground time that the day is in."""
    return next((period for period in sorted(periods) if period.holds(day)), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Least:
    """A rule of the least life to fit, from a day on. `operator`, `part_number` None: of all. `entry`: where it is
    stated."""

    days: int
    effective_from: int
    reference: str
    operator: str | None = None
    part_number: str | None = None
    entry: int | None = None


def least_life(rules: Iterable[Least], *, operator: str | None, part_number: str, on: int) -> Least | None:
    """The rule that counts on the day: one that names the part before one that does not, then one that names the
    operator, then the latest. None: none does.
    """
    held = [
        rule
        for rule in rules
        if rule.effective_from <= on
        and (rule.operator is None or (operator is not None and fold(rule.operator) == fold(operator)))
        and (rule.part_number is None or fold(rule.part_number) == fold(part_number))
    ]
    return max(
        held,
        key=lambda rule: (rule.part_number is not None, rule.operator is not None, rule.effective_from),
        default=None,
    )
