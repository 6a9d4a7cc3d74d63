"""Requirements, histories and outlooks in few words, for the tests of the life room."""

from __future__ import annotations

from datetime import date
from typing import Any

from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import day_text, parse_partial
from fleetlife.life.state import judge
from fleetlife.life.values import (
    AgeBand,
    Carried,
    Count,
    Done,
    DuePoint,
    History,
    Installation,
    Judged,
    Limits,
    Operated,
    Outlook,
    Rate,
    Release,
    Requirement,
    Varied,
)


def d(text: str) -> int:
    """An ISO day as its number."""
    return date.fromisoformat(text).toordinal()


def iso(day: int | None) -> str | None:
    return day_text(day)


def h(text: str) -> int:
    """HHHH:MM as minutes."""
    hours, minutes = text.split(":")
    sign = -1 if hours.startswith("-") else 1
    return sign * (abs(int(hours)) * 60 + int(minutes))


def needs(*, kind: str = "overhaul", **fields: Any) -> Requirement:
    """A requirement; first and repeat as dicts of limits."""
    for name in ("first", "repeat", "window_early", "window_late"):
        if isinstance(fields.get(name), dict):
            fields[name] = Limits(**fields[name])
    return Requirement(key=1, requirement="R1", part_number="QX100-1", kind=kind, **fields)


def band(from_age_months: int, **limits: int) -> AgeBand:
    return AgeBand(from_age_months=from_age_months, repeat=Limits(**limits))


def ran(minutes: int | None = None, cycles: int | None = None, *, estimated: bool = False) -> Count:
    return Count(minutes=minutes, cycles=cycles, estimated=estimated)


def done(text: str, *, sequence: int = 5000, count: Count | None = None, **fields: Any) -> Done:
    """The requirement R1 done on a day, month or year."""
    partial = parse_partial(text)
    day = partial.first_day.toordinal()
    return Done(
        requirement=fields.pop("requirement", "R1"),
        date=partial,
        day=day,
        moment=moment_of(day, sequence),
        count=count or Count(),
        **fields,
    )


def done_on_aircraft(text: str, **fields: Any) -> Done:
    return done(text, on_aircraft=True, installed=True, date_basis="log", **fields)


def fitted(text: str, *, sequence: int = 6000, count: Count | None = None, **fields: Any) -> Installation:
    day = d(text)
    return Installation(day=day, moment=moment_of(day, sequence), count=count or Count(), **fields)


def operated(text: str, operation: str = "filling", count: int = 1, *, sequence: int = 7000) -> Operated:
    day = d(text)
    return Operated(day=day, moment=moment_of(day, sequence), operation=operation, count=count)


def released(text: str, *, new: bool = True) -> Release:
    return Release(day=d(text), new=new)


def varied(approved_on: str, until: str | None = None, **fields: Any) -> Varied:
    """A variation of R1 for airframe 1; its totals when approved, where given, are exact."""
    fields.setdefault("airframe_id", 1)
    for measure in ("minutes", "cycles"):
        fields.setdefault(f"approved_{measure}_least", fields.get(f"approved_{measure}"))
    fields.setdefault("reference", "PV-1")
    fields.setdefault("approved_by", "S. Quill")
    until_day = None if until is None else d(until)
    return Varied(requirement="R1", approved_on=d(approved_on), until_day=until_day, **fields)


def carried(
    since: str = "2024-01-01",
    *,
    minutes: int | None = 0,
    cycles: int | None = 0,
    count: Count | None = None,
    airframe_id: int = 1,
    estimated: bool = False,
) -> Carried:
    """Carried since a day on which the airframe's totals were as given and the unit's relative count `count`."""
    return Carried(
        airframe_id=airframe_id,
        moment=moment_of(d(since)),
        minutes=minutes,
        cycles=cycles,
        count=Count(minutes=0, cycles=0) if count is None else count,
        estimated=estimated,
    )


def unit(*, opened: str = "2020-01-01", **fields: Any) -> History:
    """A history. Partial dates as text; carried implies installed."""
    for name in ("manufactured", "cured", "expires", "first_installed"):
        if isinstance(fields.get(name), str):
            fields[name] = parse_partial(fields[name])
    if fields.get("carried") is not None:
        fields.setdefault("installed_now", True)
    return History(unit_id=1, as_of=end_of_day(d(opened)), **fields)


def flying(
    day: str,
    total: str = "0:00",
    *,
    cycles: int = 0,
    a_day: str = "0:00",
    cycles_a_day: int = 0,
    rates: tuple[Rate, ...] = (),
    **fields: Any,
) -> Outlook:
    """An airframe read on a day, with a steady rate."""
    rate = Rate(minutes=h(a_day) * 365, cycles=cycles_a_day * 365, span=365)
    return Outlook(
        airframe_id=1,
        base_day=d(day),
        base_minutes=h(total),
        base_cycles=cycles,
        rate=fields.pop("rate", rate),
        rates=rates,
        **fields,
    )


def row(
    requirement: Requirement,
    point: DuePoint,
    view: Outlook | None = None,
    *,
    as_of: str,
    window: tuple[str | None, str | None] = (None, None),
    stored: bool = False,
    manufactured: str | None = None,
) -> Judged:
    return judge(
        requirement,
        point,
        view,
        as_of=d(as_of),
        window_from=None if window[0] is None else d(window[0]),
        window_until=None if window[1] is None else d(window[1]),
        stored=stored,
        manufactured=None if manufactured is None else parse_partial(manufactured),
    )
