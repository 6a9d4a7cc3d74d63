"""What a due row was judged from, gathered so that it can be told; and how its figures are written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from fleetlife.follows.rows import CarriageRow
from fleetlife.follows.totals import Totals
from fleetlife.life.values import DuePoint, History, Judged, Outlook, Release, Requirement
from fleetlife.terms.measure import hours_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What a due row was judged from. `history` with resets expanded; `above`: the assemblies that hold the unit now,
    each with its name and releases; `registration` names an airframe on a day."""

    rule: Requirement
    point: DuePoint
    judged: Judged
    history: History
    carriages: Sequence[CarriageRow]
    view: Outlook | None
    totals: Totals
    as_of: int
    above: Sequence[tuple[str, Sequence[Release]]]
    registration: Callable[[int, int], str]


MEASURES = ("hours", "cycles")


def figure(measure: str, value: int | None) -> str:
    """Hours as HHHH:MM, cycles as a whole number."""
    if value is None:
        return "not known"
    return (hours_text(value) or "") if measure == "hours" else str(value)


def is_limited(rule: Requirement, measure: str) -> bool:
    """Whether the requirement limits hours, or cycles, at any age."""
    sets = (rule.first, rule.repeat, *(band.repeat for band in rule.bands))
    return any((each.minutes if measure == "hours" else each.cycles) is not None for each in sets)
