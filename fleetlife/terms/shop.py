"""What the shop forecast and the order of one visit tell."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.views import About

# Why work that may send a unit to a shop is in no month, or may come earlier than its month.
NO_PROGRAMME = "no programme"
UNKNOWN = "cannot be told when"
IN_PART = "in its month, and perhaps earlier: a measure is not known"
UNTIL_EMPTIED = "past its date, may stay until emptied"
NO_NEXT_DATE = "in its month, and no date after that visit can be told"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopMonth:
    """Visits of units of a part for one kind of work in a month: how many in all, how many of these are `overdue` on
    the day asked about (they stand in its month), and how many come `again`, after a visit that is itself forecast."""

    part_number: str
    kind: str
    month: str
    visits: int
    overdue: int
    again: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopApart:
    """Work that is not, or not surely, where the months have it: `why`, one of the words above; of how many units."""

    part_number: str
    kind: str | None
    why: str
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopPart:
    """The turnaround a part was reckoned with: days, and `returns` stays at shops whose median they are;
    `turnaround_from`: this line, all lines, given, or none, which is reckoned as no day at all."""

    part_number: str
    visits: int
    again: int
    turnaround: int
    returns: int
    turnaround_from: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopForecast:
    """Every month that has visits, by part and kind. `months`: all months of the forecast, those without visits too.
    `at_shops`: units of the parts asked for that are at shops on the day; their work stands on its own days."""

    about: About
    until: str
    months: tuple[str, ...]
    rows: tuple[ShopMonth, ...]
    apart: tuple[ShopApart, ...]
    parts: tuple[ShopPart, ...]
    at_shops: int


# What a line of an order is: to be done in this visit, a limit that passes before the unit's own next date, what cannot
# be told, and what begins or stops nothing but is worth a look while the unit is open.
DUE, BEFORE, NOT_TOLD, SOFT = "due", "before the next date", "cannot be told", "soft life"
GROUPS = (DUE, BEFORE, NOT_TOLD, SOFT)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One requirement of the unit that goes, or of what it holds. `due_on` at the earliest; `next_due`: after this
    visit, where it is done in it. `reason` in sentences: why it is in the order, then how its date comes about."""

    group: str
    part_number: str
    serial_number: str
    slot: str | None
    requirement: str | None
    kind: str | None
    state: str
    due_on: str | None
    next_due: str | None
    reason: str
    reference: str | None
    edition: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopOrder:
    """The work of one visit. `work`: the requirements of the unit itself that are done; `assumed`: none of them is due
    or was named, so the next to come is taken. `next_on`: the day on which the unit itself falls due again after the
    visit, by `next_requirement`; None: no date can be told, and every limit of what it holds is listed. `carried`: an
    airframe carries it; else hours and cycles are not run forward."""

    about: About
    part_number: str
    serial_number: str
    manufacturer: str | None
    place: str
    carried: bool
    sent_on: str
    back_on: str
    turnaround: int
    turnaround_from: str
    returns: int
    work: tuple[str, ...]
    assumed: bool
    next_on: str | None
    next_requirement: str | None
    lines: tuple[OrderLine, ...]
