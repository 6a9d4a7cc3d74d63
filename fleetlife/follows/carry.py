"""Stage two, by assembly tree: on which airframe each unit was carried, with the airframe's totals at both ends.

A total stated with the movement is used as it is. One that is not stated is bounded, not interpolated, so that an
estimate never flatters: an installation takes the last reading at or before the day before, a removal the first
reading at or after the day; where none has come yet the projected total, marked provisional.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fleetlife.dates.moment import day_of, end_of_day
from fleetlife.dates.partial import day_number
from fleetlife.follows.place import Recorded, UnitStays, moment_of_fact, stay_before
from fleetlife.follows.rows import CarriageRow, PlacementRow
from fleetlife.follows.totals import Point, Totals, projected
from fleetlife.ledger.facts import Movement, Opening
from fleetlife.life.values import Count, Spread
from fleetlife.terms.filling import changed, filled

BoundaryKey = tuple[int, int, int, str]  # unit on the position, airframe, moment, "from" or "until"
Boundary = tuple[int | None, int | None, str]  # minutes, cycles, basis

ESTIMATED_BASES = ("bounded", "provisional", "doubtful")


@filled
@dataclass(frozen=True, slots=True)
class Leg:
    """A time at one position of an airframe before totals are known: half-open in moments."""

    from_moment: int
    until_moment: int | None
    airframe_id: int
    position: str
    root_id: int
    entry: int
    doubtful: bool = False


def carriages_of(
    stays: Mapping[int, UnitStays],
    facts: Mapping[int, Sequence[Recorded]],
    *,
    totals: Totals,
    known: Mapping[BoundaryKey, Boundary] | None = None,
) -> dict[int, tuple[CarriageRow, ...]]:
    """Carriages of every unit of the tree. `known` holds boundaries already settled (stated, bounded, opening)."""
    desk = CarriageDesk(stays, facts, totals, known or {})
    return {unit_id: desk.rows(unit_id) for unit_id in stays}


def not_known_since(unit_id: int, stays: Mapping[int, UnitStays]) -> int | None:
    """The moment from which nobody knows what the unit ran: it was in a parent before the records know of the parent.

    None when there is no such time after the unit's opening statement.
    """
    begins = _opened_at(stays[unit_id])
    return min((max(start, begins) for start, end in _gaps(unit_id, stays, set()) if end > begins), default=None)


def _gaps(unit_id: int, stays: Mapping[int, UnitStays], above: set[int]) -> list[tuple[int, int]]:
    """Times in a parent, or in its parent, before the first stay of that one."""
    found: list[tuple[int, int]] = []
    for row in stays[unit_id].rows:
        parent = None if row.parent_id is None else stays.get(row.parent_id)
        if row.parent_id is None or parent is None or not parent.rows or row.parent_id in above:
            continue
        inherited = _gaps(row.parent_id, stays, above | {unit_id})
        for start, end in [(row.from_moment, parent.rows[0].from_moment), *inherited]:
            begin, stop = max(start, row.from_moment), end if row.until_moment is None else min(end, row.until_moment)
            if begin < stop:
                found.append((begin, stop))
    return found


def _opened_at(unit: UnitStays) -> int:
    assert unit.opened is not None
    opening = unit.opened.fact
    assert isinstance(opening, Opening)
    return end_of_day(day_number(opening.as_of))


class CarriageDesk:
    """Carriages of units whose stays are given, one unit at a time; what one asks serves the others.

    `flown` False: the totals are of a counter, and what movements state of flight hours and cycles is nothing to it.
    """

    def __init__(
        self,
        stays: Mapping[int, UnitStays],
        facts: Mapping[int, Sequence[Recorded]],
        totals: Totals,
        known: Mapping[BoundaryKey, Boundary],
        *,
        flown: bool = True,
    ) -> None:
        self.stays = stays
        self.totals = totals
        self.known = dict(known)
        self.stated: dict[tuple[int, str, int], tuple[int | None, int | None]] = {}
        self.found: dict[int, list[tuple[int, Recorded]]] = {}
        for unit_id, recorded_facts in facts.items():
            for recorded in recorded_facts:
                fact = recorded.fact
                if not isinstance(fact, Movement):
                    continue
                moment = moment_of_fact(fact)
                if flown and (fact.minutes_total is not None or fact.cycles_total is not None):
                    self.stated[fact.airframe, fact.position, moment] = (fact.minutes_total, fact.cycles_total)
                if fact.found and unit_id == (fact.removed if fact.removed is not None else fact.installed):
                    self.found.setdefault(unit_id, []).append((moment, recorded))
        self.legs_done: dict[int, tuple[Leg, ...]] = {}

    # -- legs ----------------------------------------------------------------------------------------------

    def legs(self, unit_id: int) -> tuple[Leg, ...]:
        """From the unit's opening statement on: what was before is in what it states."""
        begins = _opened_at(self.stays[unit_id])
        return tuple(
            leg if leg.from_moment >= begins else replace(leg, from_moment=begins)
            for leg in self._all_legs(unit_id)
            if leg.until_moment is None or leg.until_moment > begins
        )

    def _all_legs(self, unit_id: int) -> tuple[Leg, ...]:
        """From the first stay on: a unit may hold another that was opened earlier."""
        if unit_id in self.legs_done:
            return self.legs_done[unit_id]
        self.legs_done[unit_id] = ()  # a parent that holds itself through others carries nothing
        unit = self.stays.get(unit_id)
        if unit is None or unit.opened is None:
            return ()
        legs: list[Leg] = []
        for row in unit.rows:
            legs.extend(self._legs_of_stay(unit_id, row))
        result = tuple(self._with_doubt(unit_id, legs))
        self.legs_done[unit_id] = result
        return result

    def _legs_of_stay(self, unit_id: int, row: PlacementRow) -> list[Leg]:
        if row.kind == "position" and row.airframe_id is not None:
            return [Leg(row.from_moment, row.until_moment, row.airframe_id, row.position or "", unit_id, row.entry)]
        if row.kind == "slot" and row.parent_id is not None:
            result: list[Leg] = []
            for leg in self._all_legs(row.parent_id):
                begin = max(leg.from_moment, row.from_moment)
                end = _earlier(leg.until_moment, row.until_moment)
                if end is None or begin < end:
                    entry = max(leg.entry, row.entry)
                    result.append(changed(leg, from_moment=begin, until_moment=end, entry=entry))
            return result
        return []

    def _with_doubt(self, unit_id: int, legs: list[Leg]) -> list[Leg]:
        """A unit found where another was recorded is charged for the whole time it may have been there."""
        for moment, recorded in self.found.get(unit_id, ()):
            fact = recorded.fact
            assert isinstance(fact, Movement)
            believed = stay_before(self.stays[unit_id].rows, moment)
            if believed is None or (believed.kind == "position" and believed.until_known):
                continue
            doubtful_from = believed.from_moment
            if fact.displaced is not None and fact.displaced in self.stays:
                other = stay_before(self.stays[fact.displaced].rows, moment)
                if other is not None and other.kind == "position" and other.airframe_id == fact.airframe:
                    doubtful_from = max(doubtful_from, other.from_moment)
            if doubtful_from >= moment:
                continue
            kept = [leg for leg in legs if leg.until_moment is not None and leg.until_moment <= doubtful_from]
            later = [leg for leg in legs if leg.from_moment >= moment]
            cut = [
                replace(leg, until_moment=doubtful_from)
                for leg in legs
                if leg.from_moment < doubtful_from and (leg.until_moment is None or leg.until_moment > doubtful_from)
            ]
            doubt = Leg(doubtful_from, moment, fact.airframe, fact.position, unit_id, recorded.number, True)
            legs = [*kept, *cut, doubt, *later]
        return legs

    # -- rows ----------------------------------------------------------------------------------------------

    def rows(self, unit_id: int) -> tuple[CarriageRow, ...]:
        return tuple(self._row(unit_id, leg) for leg in self.legs(unit_id))

    def _row(self, unit_id: int, leg: Leg) -> CarriageRow:
        start = self._start(leg, leg.from_moment == _opened_at(self.stays[unit_id]))
        until: Boundary = (None, None, "open")
        if leg.until_moment is not None:
            until = self._end(leg, leg.until_moment)
        if leg.doubtful:
            start = self._dearer(leg, start, until)
        return CarriageRow(
            unit_id=unit_id,
            from_moment=leg.from_moment,
            until_moment=leg.until_moment,
            airframe_id=leg.airframe_id,
            root_id=leg.root_id,
            from_minutes=start[0],
            from_cycles=start[1],
            until_minutes=until[0],
            until_cycles=until[1],
            from_basis=start[2],
            until_basis=until[2],
            entry=leg.entry,
        )

    def _start(self, leg: Leg, at_opening: bool) -> Boundary:
        key = (leg.root_id, leg.airframe_id, leg.from_moment, "from")
        if key in self.known:
            return self.known[key]
        day = day_of(leg.from_moment)
        stated = self.stated.get((leg.airframe_id, leg.position, leg.from_moment))
        if stated is not None and stated[0] is not None and stated[1] is not None:
            boundary: Boundary = (stated[0], stated[1], "stated")
        else:
            point = self.totals.before(leg.airframe_id, day if at_opening else day - 1)
            if point is None:
                boundary = (None, None, "provisional")
            elif at_opening and point.day == day:
                boundary = (point.minutes, point.cycles, "opening")
            else:
                boundary = (point.minutes, point.cycles, "bounded")
            boundary = _mixed(stated, boundary)
        self.known[key] = boundary
        return boundary

    def _end(self, leg: Leg, moment: int) -> Boundary:
        key = (leg.root_id, leg.airframe_id, moment, "until")
        if key in self.known:
            return self.known[key]
        stated = self.stated.get((leg.airframe_id, leg.position, moment))
        if stated is not None and stated[0] is not None and stated[1] is not None:
            boundary: Boundary = (stated[0], stated[1], "stated")
        else:
            point = self.totals.after(leg.airframe_id, day_of(moment))
            if point is not None:
                boundary = (point.minutes, point.cycles, "bounded")
            else:
                known = self._stated_at_fitting(leg, moment)
                point = projected(self.totals, leg.airframe_id, day_of(moment), known=known)
                boundary = (point.minutes, point.cycles, "provisional") if point else (None, None, "provisional")
            boundary = _mixed(stated, boundary)
        self.known[key] = boundary
        return boundary

    def _stated_at_fitting(self, leg: Leg, moment: int) -> Point | None:
        """The airframe's totals stated when the unit on the position was fitted; 0 for the one not stated."""
        for fitting in self._all_legs(leg.root_id):
            covers = fitting.from_moment < moment and (fitting.until_moment is None or fitting.until_moment >= moment)
            if covers and fitting.airframe_id == leg.airframe_id:
                minutes, cycles = self.stated.get((leg.airframe_id, leg.position, fitting.from_moment), (None, None))
                return Point(day_of(fitting.from_moment), minutes or 0, cycles or 0)
        return None

    def _dearer(self, leg: Leg, start: Boundary, until: Boundary) -> Boundary:
        """Believed on one airframe, found on another: charge whichever ran more, measure by measure.

        What the found unit holds was wherever that unit was, and is charged the same.
        """
        minutes, cycles = _grown(start[0], until[0]), _grown(start[1], until[1])
        assert leg.until_moment is not None
        believed = stay_before(self.stays[leg.root_id].rows, leg.until_moment)
        if believed is not None and believed.kind == "position" and believed.airframe_id is not None:
            other = self.totals.before(believed.airframe_id, day_of(leg.from_moment) - 1)
            there = replace(leg, airframe_id=believed.airframe_id, position=believed.position or "")
            end = self._end(there, leg.until_moment)
            if other is None or end[0] is None or end[1] is None:
                return (None, None, "doubtful")
            minutes = None if minutes is None else max(minutes, end[0] - other.minutes)
            cycles = None if cycles is None else max(cycles, end[1] - other.cycles)
        return (
            None if minutes is None or until[0] is None else until[0] - minutes,
            None if cycles is None or until[1] is None else until[1] - cycles,
            "doubtful",
        )


def _mixed(stated: tuple[int | None, int | None] | None, boundary: Boundary) -> Boundary:
    """One total stated and the other not: the stated one stands, the other is bounded."""
    if stated is None:
        return boundary
    minutes = stated[0] if stated[0] is not None else boundary[0]
    cycles = stated[1] if stated[1] is not None else boundary[1]
    return (minutes, cycles, boundary[2])


def _earlier(first: int | None, second: int | None) -> int | None:
    if first is None:
        return second
    if second is None:
        return first
    return min(first, second)


def _grown(start: int | None, end: int | None) -> int | None:
    return None if start is None or end is None else end - start


class Counts:
    """Relative counts of one unit along its carriages: what it ran since its opening statement.

    From `not_known_since` on, where given, nothing is known of them.
    """

    def __init__(
        self, rows: Sequence[CarriageRow], *, as_of: int, totals: Totals, not_known_since: int | None = None
    ) -> None:
        self.rows = rows
        self.as_of = as_of
        self.totals = totals
        self.not_known_since = not_known_since
        self.starts: list[Count] = []
        minutes: int | None = 0
        cycles: int | None = 0
        estimated = False
        for row in rows:
            if not_known_since is not None and row.from_moment > not_known_since:
                minutes = cycles = None
            estimated = estimated or row.from_basis in ESTIMATED_BASES
            self.starts.append(Count(minutes=minutes, cycles=cycles, estimated=estimated))
            if row.until_moment is None:
                break
            minutes = _plus(minutes, _grown(row.from_minutes, row.until_minutes))
            cycles = _plus(cycles, _grown(row.from_cycles, row.until_cycles))
            estimated = estimated or row.until_basis in ESTIMATED_BASES
        if not_known_since is not None:
            minutes = cycles = None
        self.final = Count(minutes=minutes, cycles=cycles, estimated=estimated)

    def at(self, moment: int) -> Count:
        """The relative count at a moment, rounded down; unknown before the opening."""
        if moment < self.as_of or (self.not_known_since is not None and moment > self.not_known_since):
            return Count()
        for index in range(len(self.rows) - 1, -1, -1):
            row = self.rows[index]
            if row.from_moment > moment:
                continue
            start = self.starts[index]
            if row.until_moment is not None and row.until_moment <= moment:
                minutes = _plus(start.minutes, _grown(row.from_minutes, row.until_minutes))
                cycles = _plus(start.cycles, _grown(row.from_cycles, row.until_cycles))
                return Count(
                    minutes=minutes, cycles=cycles, estimated=start.estimated or row.until_basis in ESTIMATED_BASES
                )
            if row.from_moment == moment:
                return start
            point = self.totals.before(row.airframe_id, day_of(moment) - 1)
            if point is None or row.from_minutes is None or row.from_cycles is None:
                return Count()
            return Count(
                minutes=_plus(start.minutes, max(0, point.minutes - row.from_minutes)),
                cycles=_plus(start.cycles, max(0, point.cycles - row.from_cycles)),
                estimated=True,
            )
        return Count(minutes=0, cycles=0)

    def bounded_at(self, moment: int) -> Count:
        """The same with how far it may be off, for what a due point is compared with."""
        count = self.at(moment)
        return changed(count, spread=self._spread_at(moment)) if count.estimated else count

    def spread_once_carried(self) -> Spread:
        """How far the count at the start of the last carriage, and the airframe's totals there, may be off together."""
        *before, now = self.rows
        over: tuple[int | None, int | None] = (0, 0)
        for row in before:
            over = _both(over, _both(self._began_off(row), self._ended_off(row)))
        return _spread(_both(over, self._began_off(now)), (0, 0))

    def _spread_at(self, moment: int) -> Spread:
        over: tuple[int | None, int | None] = (0, 0)
        for row in self.rows:
            if row.from_moment >= moment:
                break
            over = _both(over, self._began_off(row))
            if row.until_moment is None or row.until_moment > moment:
                return _spread(over, self._ran_on(row, day_of(moment)))
            over = _both(over, self._ended_off(row))
        return _spread(over, (0, 0))

    def _began_off(self, row: CarriageRow) -> tuple[int | None, int | None]:
        """How far below the airframe's true totals the ones at the start of a stay may lie."""
        if row.from_basis not in ESTIMATED_BASES:
            return (0, 0)
        point = self.totals.after(row.airframe_id, day_of(row.from_moment)) if row.from_basis == "bounded" else None
        return _above((row.from_minutes, row.from_cycles), point)

    def _ended_off(self, row: CarriageRow) -> tuple[int | None, int | None]:
        """How far above the airframe's true totals the ones at the end of a stay may lie."""
        if row.until_basis not in ESTIMATED_BASES:
            return (0, 0)
        assert row.until_moment is not None
        found = row.until_basis == "bounded"
        point = self.totals.before(row.airframe_id, day_of(row.until_moment) - 1) if found else None
        if point is None or row.until_minutes is None or row.until_cycles is None:
            return (None, None)
        return (max(0, row.until_minutes - point.minutes), max(0, row.until_cycles - point.cycles))

    def _ran_on(self, row: CarriageRow, day: int) -> tuple[int | None, int | None]:
        """How much more than counted the airframe may have run on a day within a stay."""
        counted = self.totals.before(row.airframe_id, day - 1)
        if counted is None or row.from_minutes is None or row.from_cycles is None:
            return (None, None)
        at_least = (max(counted.minutes, row.from_minutes), max(counted.cycles, row.from_cycles))
        return _above(at_least, self.totals.after(row.airframe_id, day))


def _above(totals: tuple[int | None, int | None], point: Point | None) -> tuple[int | None, int | None]:
    minutes, cycles = totals
    if point is None or minutes is None or cycles is None:
        return (None, None)
    return (max(0, point.minutes - minutes), max(0, point.cycles - cycles))


def _both(first: tuple[int | None, int | None], second: tuple[int | None, int | None]) -> tuple[int | None, int | None]:
    return (_plus(first[0], second[0]), _plus(first[1], second[1]))


def _spread(over: tuple[int | None, int | None], under: tuple[int | None, int | None]) -> Spread:
    return Spread(minutes_over=over[0], minutes_under=under[0], cycles_over=over[1], cycles_under=under[1])


def _plus(first: int | None, second: int | None) -> int | None:
    return None if first is None or second is None else first + second
