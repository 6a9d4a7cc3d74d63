"""Stock through the months: what is there, what comes back, what is taken, and how likely it is to run out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fleetlife.planning.poisson import running_out

YEAR_DAYS = 365.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Spares that stand in for one another. Days are day numbers.

    returns: when each unit that is in a shop is expected; removals: when each scheduled one is to be done.
    turnaround_days: the mean; None: nobody knows, and what goes away does not come back.
    """

    stock: int
    installed: int
    returns: Sequence[int] = ()
    removals: Sequence[int] = ()
    rate: float = 0.0  # unscheduled removals per installed unit and year
    turnaround_days: float | None = None

    @property
    def pipeline(self) -> float:
        """By Palm's theorem: how many are away at one time for unscheduled removals, on the mean."""
        return self.installed * self.rate * (self.turnaround_days or 0.0) / YEAR_DAYS

    def away(self, days: int) -> float:
        """The same so many days after a beginning with none away: it grows until the first come back."""
        lasting = days if self.turnaround_days is None else min(days, self.turnaround_days)
        return self.installed * self.rate * lasting / YEAR_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """One month of a line. level: the lowest stock of the month by what is scheduled and returns; expected: less the
    mean of what unscheduled removals keep away at its end; running_out: the chance that they keep away more."""

    first: int
    last: int
    returns: int
    removals: int
    level: int
    expected: float
    running_out: float


def months_from(*, as_of: int, months: int) -> list[tuple[int, int]]:
    """First and last day of the rest of the day's own month and of so many more."""
    found = []
    first = date.fromordinal(as_of)
    for _ in range(months + 1):
        following = (first.replace(day=1) + timedelta(days=32)).replace(day=1)
        found.append((first.toordinal(), following.toordinal() - 1))
        first = following
    return found


def through(line: Line, *, as_of: int, months: int) -> list[Month]:
    """The months of a line. A unit taken off on schedule comes back after the turnaround, where that is known."""
    back = [] if line.turnaround_days is None else [day + math.ceil(line.turnaround_days) for day in line.removals]
    steps: dict[int, int] = {}
    for day in (*line.returns, *back):
        steps[day] = steps.get(day, 0) + 1
    for day in line.removals:
        steps[day] = steps.get(day, 0) - 1
    level, found = line.stock, []
    for first, last in months_from(as_of=as_of, months=months):
        lowest = level
        for day in sorted(day for day in steps if first <= day <= last):
            level += steps[day]
            lowest = min(lowest, level)
        mean = line.away(last - as_of)
        found.append(
            Month(
                first=first,
                last=last,
                returns=sum(first <= day <= last for day in (*line.returns, *back)),
                removals=sum(first <= day <= last for day in line.removals),
                level=lowest,
                expected=lowest - mean,
                running_out=running_out(lowest, mean=mean),
            )
        )
    return found


def most_away(line: Line) -> int:
    """The most scheduled removals that are away at one time."""
    if line.turnaround_days is None:
        return len(line.removals)
    lasting = math.ceil(line.turnaround_days)
    return max((sum(day <= other < day + lasting for day in line.removals) for other in line.removals), default=0)
