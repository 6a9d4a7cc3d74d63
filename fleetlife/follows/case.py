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
    """What a due row was judged from.

    `history` with resets expanded and, where the rule names a counter, counted in it; `counted`, `counter_view` and
    `counter_totals` are then what `carriages`, `view` and `totals` are for the other axis. `above`: the assemblies that
    hold the unit now, each with its name and releases; `registration` names an airframe on a day.
    """

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
    counted: Sequence[CarriageRow] = ()
    counter_view: Outlook | None = None
    counter_totals: Totals | None = None

    def in_counter(self, measure: str) -> bool:
        """Whether the figures of the measure are the counter's."""
        return self.rule.counter is not None and measure == self.rule.counter_axis

    def carriages_in(self, measure: str) -> Sequence[CarriageRow]:
        return self.counted if self.in_counter(measure) else self.carriages

    def view_of(self, measure: str) -> Outlook | None:
        return self.counter_view if self.in_counter(measure) else self.view


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
