"""Repeats that change with age: which interval is in force, and which later one caps it.

In force is the band at the accomplishment. With band_rule cap the due point is the earlier of (basis + its interval)
and, for every later band, the later of (band start, basis + that band's interval); with basis, the first alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from fleetlife.dates.partial import PartialDate
from fleetlife.life.reckoning import months_later
from fleetlife.life.values import Limits, Requirement
from fleetlife.terms.filling import filled


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """Limits that count from the basis, but bind only from `from_day` on (None: at once)."""

    limits: Limits
    from_day: int | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Intervals:
    """The interval in force first, then those of later bands. `unknown`: measures that need the age and lack it."""

    steps: tuple[Interval, ...]
    unknown: frozenset[str] = frozenset()

    @property
    def in_force(self) -> Limits:
        return self.steps[0].limits


def measures_of(limits: Limits) -> frozenset[str]:
    """The measures that a set of limits limits."""
    found = []
    if limits.months is not None or limits.days is not None:
        found.append("calendar")
    if limits.minutes is not None:
        found.append("hours")
    if limits.cycles is not None:
        found.append("cycles")
    if limits.operations is not None:
        found.append("operations")
    return frozenset(found)


def uses_first(requirement: Requirement, *, accomplished: bool) -> bool:
    """Whether the first limits serve: nothing done yet and some are stated. Else the repeat serves from the start."""
    return not accomplished and requirement.first.any()


def intervals(
    requirement: Requirement, manufactured: PartialDate | None, *, accomplished: bool, at_day: int | None
) -> Intervals:
    """The limits that count from the basis in force.

    `at_day` is the day of the accomplishment, or of the start when there is none yet; None when not known.
    A measure a band does not state keeps the requirement's own repeat. A date of manufacture known to the month or
    year counts from its first day, so that the older band binds earlier.
    """
    if uses_first(requirement, accomplished=accomplished):
        return Intervals(steps=(Interval(limits=requirement.first),))
    if not requirement.bands:
        return Intervals(steps=(Interval(limits=requirement.repeat),))
    stated = frozenset().union(*(measures_of(band.repeat) for band in requirement.bands))
    if manufactured is None or at_day is None:
        return Intervals(steps=(Interval(limits=requirement.repeat),), unknown=stated)
    made = manufactured.first_day.toordinal()
    starts = [(made, requirement.repeat)]
    for band in sorted(requirement.bands, key=lambda b: b.from_age_months):
        starts.append((months_later(made, band.from_age_months), _merged(requirement.repeat, band.repeat)))
    current = max((i for i, (start, _) in enumerate(starts) if start <= at_day), default=0)
    steps = [Interval(limits=starts[current][1])]
    if requirement.band_rule == "cap":
        steps += [Interval(limits=limits, from_day=start) for start, limits in starts[current + 1 :]]
    return Intervals(steps=tuple(steps))


def _merged(own: Limits, band: Limits) -> Limits:
    calendar = band if band.months is not None or band.days is not None else own
    return replace(
        band,
        months=calendar.months,
        days=calendar.days,
        minutes=own.minutes if band.minutes is None else band.minutes,
        cycles=own.cycles if band.cycles is None else band.cycles,
        operations=own.operations if band.operations is None else band.operations,
    )
