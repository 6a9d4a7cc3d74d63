"""What an airframe was doing on a day, by what is stated of it."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.dates.moment import FAR_DAY
from fleetlife.dates.partial import day_number
from fleetlife.follows.reference import Reference

# How many days parked is long is the operator's to say. This one is common practice and has no source.
LONG_PARKED_DAYS = 365


@dataclass(frozen=True, slots=True, kw_only=True)
class AirframePeriod:
    """A time in one state, [since, until). since None: the airframe's row states it, and not from which day on."""

    state: str
    since: int | None
    until: int = FAR_DAY


def periods_of(reference: Reference, airframe: int) -> tuple[AirframePeriod, ...]:
    """The states of the airframe in order of time. Where no day is stated for any, what its row says, undated."""
    stated = sorted((day_number(fact.since_on), number, fact) for number, fact in reference.states.get(airframe, ()))
    if not stated:
        frame = reference.airframes.get(airframe)
        undated = None if frame is None else frame.status
        return () if undated is None else (AirframePeriod(state=undated, since=None),)
    ends = [since for since, *_ in stated[1:]] + [FAR_DAY]
    return tuple(
        AirframePeriod(state=fact.state, since=since, until=until)
        for (since, _, fact), until in zip(stated, ends, strict=True)
    )


def state_on(reference: Reference, airframe: int, day: int) -> AirframePeriod | None:
    """The state on the day; None where nothing is stated of it."""
    for period in reversed(periods_of(reference, airframe)):
        if period.since is None or period.since <= day:
            return period
    return None


def registered_by(reference: Reference, airframe: int, day: int) -> bool:
    """Whether the airframe bore a registration of these records by the day; True where none says from when."""
    periods = reference.registrations.get(airframe, [])
    return not periods or periods[0][0] <= day


def not_flying(reference: Reference) -> frozenset[int]:
    """The airframes that were ever stated to be anything but in service."""
    return frozenset(
        airframe
        for airframe in reference.airframes
        if any(period.state != "in_service" for period in periods_of(reference, airframe))
    )
