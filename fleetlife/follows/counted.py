"""Counters beyond flight hours and cycles: the history of a unit with a counter in place of one axis.

Stays are bounded from the counter's own readings by the rule that bounds flight totals: at the start the last reading
at or before the day before, at the end the first at or after the day, else the projected total. Nothing that was flown
enters, and what movements state of flight totals does not either. Nothing is stored of it but the due points: the
counter's totals at the ends of the stays follow from its readings at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from fleetlife.dates.moment import end_of_day
from fleetlife.dates.partial import day_number
from fleetlife.follows.carry import ESTIMATED_BASES, CarriageDesk, Counts, not_known_since
from fleetlife.follows.history import relative, total_by
from fleetlife.follows.place import Recorded, UnitStays
from fleetlife.follows.rows import CarriageRow
from fleetlife.follows.totals import Counters, Totals
from fleetlife.ledger.facts import Accomplishment, Opening, UnitCounter
from fleetlife.life.values import Carried, Count, Done, History, Requirement, Varied
from fleetlife.terms.filling import changed


@dataclass(slots=True)
class CountedTree:
    """The stays of connected units, counted in a counter when first asked for."""

    stays: Mapping[int, UnitStays]
    facts: Mapping[int, Sequence[Recorded]]
    counters: Counters | None
    _desks: dict[str, CarriageDesk] = field(default_factory=dict)

    def carriages(self, counter: str, unit_id: int) -> tuple[CarriageRow, ...]:
        """The unit's carriages with the airframes' totals of the counter, both figures alike."""
        desk = self._desks.get(counter)
        if desk is None:
            desk = self._desks[counter] = CarriageDesk(self.stays, self.facts, self._totals(counter), {}, flown=False)
        return desk.rows(unit_id)

    def histories(self, history: History, rules: Iterable[Requirement]) -> History:
        """The history with one more for each counter that the rules name."""
        axes = {rule.counter: rule.counter_axis for rule in rules if rule.counter is not None}
        if not axes:
            return history
        counted = tuple(self._history(history, counter, axis or "cycles") for counter, axis in sorted(axes.items()))
        return changed(history, counted=counted)

    def _totals(self, counter: str) -> Totals:
        assert self.counters is not None, f"a requirement counts {counter}, and no readings of counters were given"
        return self.counters.of(counter)

    def _history(self, history: History, counter: str, axis: str) -> History:
        unit_id = history.unit_id
        facts, unit = self.facts[unit_id], self.stays[unit_id]
        assert unit.opened is not None
        opening = unit.opened.fact
        assert isinstance(opening, Opening)
        counts = Counts(
            self.carriages(counter, unit_id),
            as_of=end_of_day(day_number(opening.as_of)),
            totals=self._totals(counter),
            not_known_since=not_known_since(unit_id, self.stays),
        )
        since_new = next(
            (
                r.fact.since_new
                for r in facts
                if isinstance(r.fact, UnitCounter) and r.fact.unit == unit_id and r.fact.counter == counter
            ),
            None,
        )
        stated = {
            r.number: r.fact
            for r in facts
            if isinstance(r.fact, Accomplishment) and r.fact.unit == unit_id and r.fact.counter == counter
        }
        at = _Axis(axis, counts)
        return changed(
            history,
            counter=counter,
            opening=at.opening(history.opening, since_new),
            installations=tuple(
                changed(
                    each, count=at.merged(each.count, counts.bounded_at(each.moment) if each.day_known else Count())
                )
                for each in history.installations
            ),
            done=tuple(at.done(each, history, stated.get(each.entry), since_new) for each in history.done),
            variations=tuple(at.varied(each) for each in history.variations),
            carried=at.carried(history.carried),
            now=at.merged(history.now, counts.final),
        )


@dataclass(frozen=True, slots=True)
class _Axis:
    """Puts what a counter says in place of one axis; the other stays what it was.

    A count is marked estimated where either of its figures is: too often rather than too rarely.
    """

    axis: str
    counts: Counts

    def put(self, count: Count, figure: int | None, counted: Count | None = None) -> Count:
        """The count with `figure` on the axis, as sure as `counted` is; exact without one."""
        over, under = (0, 0) if counted is None else counted.bounds.of("cycles")
        estimated = count.estimated or (counted is not None and counted.estimated)
        if self.axis == "hours":
            spread = changed(count.bounds, minutes_over=over, minutes_under=under)
            return changed(count, minutes=figure, estimated=estimated, spread=spread)
        spread = changed(count.bounds, cycles_over=over, cycles_under=under)
        return changed(count, cycles=figure, estimated=estimated, spread=spread)

    def opening(self, count: Count, figure: int | None) -> Count:
        """What was run before the opening statement, which is as sure as the statement is."""
        return changed(count, minutes=figure) if self.axis == "hours" else changed(count, cycles=figure)

    def merged(self, count: Count, counted: Count) -> Count:
        return self.put(count, counted.cycles, counted)

    def done(self, work: Done, history: History, stated: Accomplishment | None, since_new: int | None) -> Done:
        """Stated counts first; else counted along the stays; before the opening only what is stated."""
        counted = self.counts.bounded_at(work.moment) if work.moment >= history.as_of else Count()
        if stated is None or (stated.counter_since_new is None and stated.counter_since is None):
            return changed(work, count=self.merged(work.count, counted))
        figure = relative(stated.counter_since_new, since_new, stated.counter_since, counted.cycles)
        return changed(work, count=changed(self.put(work.count, figure), estimated=False))

    def varied(self, varied: Varied) -> Varied:
        if varied.airframe_id is None:
            return varied
        then = total_by(self.counts.totals, varied.airframe_id, varied.approved_on)
        least = self.counts.totals.before(varied.airframe_id, varied.approved_on - 1)
        figure, at_least = (None if point is None else point.cycles for point in (then, least))
        if self.axis == "hours":
            return changed(varied, approved_minutes=figure, approved_minutes_least=at_least)
        return changed(varied, approved_cycles=figure, approved_cycles_least=at_least)

    def carried(self, carried: Carried | None) -> Carried | None:
        if carried is None:
            return None
        row, start = self.counts.rows[-1], self.counts.starts[-1]
        over, under = self.counts.spread_once_carried().of("cycles")
        if self.axis == "hours":
            found = changed(carried, minutes=row.from_cycles)
            spread = changed(carried.bounds, minutes_over=over, minutes_under=under)
        else:
            found = changed(carried, cycles=row.from_cycles)
            spread = changed(carried.bounds, cycles_over=over, cycles_under=under)
        return changed(
            found,
            count=self.merged(carried.count, start),
            estimated=carried.estimated or start.estimated or row.from_basis in ESTIMATED_BASES,
            spread=spread,
        )
