"""The one derivation: from the facts of some connected units to every row that follows from them.

Stages: place (by unit), carry (by assembly tree), due points and certificate verdicts (by unit and requirement,
by certificate line). Recording, importing, verifying and questions about the past call it with different sources.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from fleetlife.dates.moment import FAR_DAY, FIRST_DAY, day_of, end_of_day
from fleetlife.dates.partial import day_number
from fleetlife.follows.book import Book
from fleetlife.follows.carry import Boundary, BoundaryKey, Counts, carriages_of, not_known_since
from fleetlife.follows.counted import CountedTree
from fleetlife.follows.history import by_kind, history_of, modifications_of, part_number_on, part_numbers_of
from fleetlife.follows.place import Contradiction, Recorded, UnitStays, circles, stays_of
from fleetlife.follows.plates import plate_text
from fleetlife.follows.receipts import Received, with_holds
from fleetlife.follows.rows import (
    DERIVED_TABLES,
    CarriageRow,
    CertificateLineRow,
    DuePointRow,
    PlacementRow,
    UnitStateRow,
)
from fleetlife.follows.totals import Counters, Totals
from fleetlife.ledger.facts import (
    Certificate,
    Fact,
    HoldDecision,
    Movement,
    Opening,
    PlateReading,
    Receipt,
    Transfer,
    UnitModification,
)
from fleetlife.life.points import due_point, expand_resets
from fleetlife.life.values import DuePoint, History, Requirement, Unknown
from fleetlife.paper.agreement import verdict_of, worse
from fleetlife.paper.status import is_release
from fleetlife.terms.filling import changed
from fleetlife.terms.number import fold

NO_PROGRAMME_KEY = 0

# By unit, the stays of all and its carriages: its due points where they are known already, else None.
DuePointsAsStored = Callable[[int, Mapping[int, UnitStays], Sequence[CarriageRow]], tuple[DuePointRow, ...] | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Derived:
    """What follows, by unit, and what was impossible. `histories` serve the explanations, and so does `counted`: by
    unit and counter, the carriages with the airframes' totals of the counter."""

    placements: dict[int, tuple[PlacementRow, ...]] = field(default_factory=dict)
    carriages: dict[int, tuple[CarriageRow, ...]] = field(default_factory=dict)
    due_points: dict[int, tuple[DuePointRow, ...]] = field(default_factory=dict)
    unit_states: dict[int, UnitStateRow] = field(default_factory=dict)
    certificate_lines: dict[int, tuple[CertificateLineRow, ...]] = field(default_factory=dict)
    histories: dict[int, History] = field(default_factory=dict)
    counted: dict[tuple[int, str], tuple[CarriageRow, ...]] = field(default_factory=dict)
    problems: tuple[Contradiction, ...] = ()

    def take(self, other: Derived) -> None:
        """Take in what follows for other units."""
        self.placements.update(other.placements)
        self.carriages.update(other.carriages)
        self.due_points.update(other.due_points)
        self.unit_states.update(other.unit_states)
        self.certificate_lines.update(other.certificate_lines)
        self.histories.update(other.histories)
        self.counted.update(other.counted)

    def put(self, unit_id: int, rows: Mapping[str, Sequence[Any]]) -> None:
        """Take in the rows of one unit that follow as they stand, by derived table."""
        for table, held in rows.items():
            if table == "unit_state":
                self.unit_states.update((unit_id, state) for state in held)
            else:
                getattr(self, _HELD_IN[table])[unit_id] = tuple(held)

    def rows_of(self, table: str, unit_id: int) -> Sequence[Any]:
        """The rows of one derived table for one unit, in order of moment; none for a unit that was not derived."""
        if table == "unit_state":
            state = self.unit_states.get(unit_id)
            return () if state is None else (state,)
        by_unit: Mapping[int, Sequence[Any]] = getattr(self, _HELD_IN[table])
        return by_unit.get(unit_id, ())

    def by_table(self) -> dict[str, list[Any]]:
        """All derived rows by table, in (unit, moment) order."""
        units = sorted(self.placements)
        return {table: [row for unit in units for row in self.rows_of(table, unit)] for table in DERIVED_TABLES}


# Where a derivation holds the rows of a table that has several a unit.
_HELD_IN = {
    "placement": "placements",
    "carriage": "carriages",
    "due_point": "due_points",
    "certificate_line": "certificate_lines",
}


def derive(
    facts: Mapping[int, Sequence[Recorded]],
    *,
    book: Book,
    totals: Totals,
    known: Mapping[BoundaryKey, Boundary] | None = None,
    counters: Counters | None = None,
    as_stored: DuePointsAsStored | None = None,
) -> Derived:
    """Every derived row of the units in `facts` (unit id to the facts touching it).

    `counters`: the readings of counters, needed where a requirement of the book names one. `as_stored`: by unit, stays
    and carriages the due points where they are known already; such a unit comes without a history.

    The units must be closed under assembly: whoever a unit was in or held must be there too.
    """
    stays = {unit_id: stays_of(unit_id, recorded) for unit_id, recorded in facts.items()}
    problems = (*(problem for unit in stays.values() for problem in unit.problems), *circles(stays))
    stays = {unit_id: unit for unit_id, unit in stays.items() if unit.opened is not None}
    if problems:
        return Derived(problems=problems)
    carriages = carriages_of(stays, facts, totals=totals, known=known)
    tree = CountedTree(stays, facts, counters)
    placements: dict[int, tuple[PlacementRow, ...]] = {}
    due_points: dict[int, tuple[DuePointRow, ...]] = {}
    states: dict[int, UnitStateRow] = {}
    lines: dict[int, tuple[CertificateLineRow, ...]] = {}
    histories: dict[int, History] = {}
    for unit_id, unit in stays.items():
        assert unit.opened is not None
        opening = unit.opened.fact
        assert isinstance(opening, Opening)
        own = by_kind(facts[unit_id])
        papers = own.get(Certificate, ())
        rows = carriages[unit_id]
        borne = part_numbers_of(unit_id, own.get(UnitModification, ()), opening)
        part_number = borne[-1][1]
        airframe_id = rows[-1].airframe_id if rows and rows[-1].until_moment is None else None
        mods = modifications_of(unit_id, own.get(UnitModification, ()))
        rules = applicable(book.on_part(part_number), programme_of(book, airframe_id), airframe_id is not None, mods)
        counts = Counts(
            rows,
            as_of=end_of_day(day_number(opening.as_of)),
            totals=totals,
            not_known_since=not_known_since(unit_id, stays),
        )
        placements[unit_id] = unit.rows
        standing = None if as_stored is None else as_stored(unit_id, stays, rows)
        if standing is None:
            history = history_of(unit_id, own, stays=unit, carriages=rows, counts=counts, requirements=rules)
            history = histories[unit_id] = tree.histories(history, rules)
            standing = due_rows(history, rules, airframe_id)
        due_points[unit_id] = standing
        lines[unit_id] = _lines(unit_id, papers, borne, opening, book)
        state = _state(unit_id, unit, rows, counts, opening, part_number, papers)
        plate = plate_text(unit_id, own.get(PlateReading, ()), borne, opening.serial_number)
        if plate is not None or Receipt in own or HoldDecision in own:
            received = Received(
                unit_id=unit_id,
                facts=facts[unit_id],
                stays=unit,
                opening=opening,
                lines=lines[unit_id],
                requalifications={r.requirement for r in book.on_part(part_number) if r.kind == "requalification"},
            )
            state = with_holds(state, received, plate)
        states[unit_id] = state
    covered = {unit_id: _covered_by(unit_id, stays, states) for unit_id in states}
    states = {
        unit_id: (state if covered[unit_id] is None else _with_cover(state, covered[unit_id]))
        for unit_id, state in states.items()
    }
    return Derived(
        placements=placements,
        carriages=carriages,
        due_points=due_points,
        unit_states=states,
        certificate_lines=lines,
        histories=histories,
        counted={
            (unit_id, each.counter): tree.carriages(each.counter, unit_id)
            for unit_id, history in histories.items()
            for each in history.counted
            if each.counter is not None
        },
    )


def programme_of(book: Book, airframe_id: int | None) -> str | None:
    return None if airframe_id is None else book.programmes.get(airframe_id)


def applicable(
    requirements: Iterable[Requirement], programme: str | None, carried: bool, modifications: Sequence[str]
) -> tuple[Requirement, ...]:
    """The requirements that apply to a unit: those of its airframe's programme and the general ones.

    One of the programme's own takes the place of a general one of the same name. A unit that no airframe carries
    keeps those of every programme.
    """
    mine = [
        r for r in requirements if r.requires_unit_modification is None or r.requires_unit_modification in modifications
    ]
    if not carried:
        return tuple(mine)
    special = {r.requirement for r in mine if r.programme and r.programme == programme}
    return tuple(r for r in mine if r.programme == programme or (not r.programme and r.requirement not in special))


def due_rows(history: History, rules: Sequence[Requirement], airframe_id: int | None) -> tuple[DuePointRow, ...]:
    """One row for each edition of each requirement, and one for each time without any programme."""
    rows: list[DuePointRow] = []
    if rules:
        history = with_resets(history, rules)
    for rule in rules:
        rows.append(row_of(rule, due_point(rule, history), history, airframe_id))
    for start, until in _gaps(rules, since=day_of(history.as_of)):
        rows.append(
            DuePointRow(
                unit_id=history.unit_id,
                requirement_key=NO_PROGRAMME_KEY,
                in_force_from=start,
                in_force_until=until,
                standing="no_programme",
                airframe_id=airframe_id,
                entry=history.entry,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.requirement_key, row.in_force_from)))


def with_resets(history: History, rules: Sequence[Requirement]) -> History:
    """The history with what the requirements reset by one another told as done."""
    if not any(rule.resets for rule in rules):
        return history
    return replace(
        history,
        done=expand_resets(rules, history.done),
        counted=tuple(replace(each, done=expand_resets(rules, each.done)) for each in history.counted),
    )


def row_of(rule: Requirement, point: DuePoint, history: History, airframe_id: int | None) -> DuePointRow:
    """The stored form of a due point. What is in a counter has columns of its own, apart from what was flown."""
    passed = (
        (point.operations_left is not None and point.operations_left < 0)
        or (point.left_minutes is not None and point.left_minutes < 0)
        or (point.left_cycles is not None and point.left_cycles < 0)
    )
    flown, counted = _apart(rule, point)
    gate = "any"
    if point.whichever == "last":
        gate = _gate(flown, counter=rule.counter)
    unknown = json.dumps([{"measure": u.measure, "cause": u.cause} for u in point.unknown]) if point.unknown else None
    return DuePointRow(
        unit_id=history.unit_id,
        requirement_key=rule.key,
        in_force_from=rule.in_force_from,
        in_force_until=rule.in_force_until,
        standing=point.standing,
        airframe_id=airframe_id,
        whichever=point.whichever,
        gate=gate,
        calendar_due=point.calendar_due,
        due_minutes=flown.due_minutes,
        due_cycles=flown.due_cycles,
        left_minutes=flown.left_minutes,
        left_cycles=flown.left_cycles,
        operations_left=point.operations_left,
        passed=int(passed),
        charged=int(point.charged),
        varied_calendar=point.varied_calendar,
        varied_minutes=flown.varied_minutes,
        varied_cycles=flown.varied_cycles,
        variation=point.variation,
        if_fitted_months=point.if_fitted_months,
        if_fitted_days=point.if_fitted_days,
        estimated=int(point.estimated),
        basis=point.basis,
        basis_day=point.basis_day,
        last_done=point.last_done,
        unknown=unknown,
        entry=max(history.entry, rule.entry),
        counter=rule.counter,
        due_counter=counted[0],
        left_counter=counted[1],
        varied_counter=counted[2],
    )


_FIGURES = {
    "hours": ("due_minutes", "left_minutes", "varied_minutes"),
    "cycles": ("due_cycles", "left_cycles", "varied_cycles"),
}


def _apart(rule: Requirement, point: DuePoint) -> tuple[DuePoint, tuple[int | None, int | None, int | None]]:
    """The point with nothing but what is flown in its axes, and what is in the counter: due, left and varied."""
    if rule.counter is None:
        return point, (None, None, None)
    due, left, varied = _FIGURES[rule.counter_axis or "cycles"]
    counted = (getattr(point, due), getattr(point, left), getattr(point, varied))
    return changed(point, **{due: None, left: None, varied: None}), counted


def point_of_row(row: DuePointRow, rule: Requirement | None = None) -> DuePoint:
    """The stored row as the value that the rules judge; a row with a counter needs its `rule`, which says of which
    axis the counter's figures are."""
    point = _flown_point(row)
    if row.counter is None:
        return point
    assert rule is not None, "the row counts in a counter"
    assert rule.counter == row.counter, "the row counts in the counter of its rule"
    due, left, varied = _FIGURES[rule.counter_axis or "cycles"]
    return changed(point, **{due: row.due_counter, left: row.left_counter, varied: row.varied_counter})


def _flown_point(row: DuePointRow) -> DuePoint:
    unknown = tuple(Unknown(measure=u["measure"], cause=u["cause"]) for u in json.loads(row.unknown or "[]"))
    return DuePoint(
        standing=row.standing,
        whichever=row.whichever,
        calendar_due=row.calendar_due,
        due_minutes=row.due_minutes,
        due_cycles=row.due_cycles,
        left_minutes=row.left_minutes,
        left_cycles=row.left_cycles,
        operations_left=row.operations_left,
        charged=bool(row.charged),
        varied_calendar=row.varied_calendar,
        varied_minutes=row.varied_minutes,
        varied_cycles=row.varied_cycles,
        variation=row.variation,
        if_fitted_months=row.if_fitted_months,
        if_fitted_days=row.if_fitted_days,
        estimated=bool(row.estimated),
        basis=row.basis,
        basis_day=row.basis_day,
        last_done=row.last_done,
        unknown=unknown,
    )


def _gate(flown: DuePoint, *, counter: str | None) -> str:
    """For whichever comes last any one measure finds the row: calendar when it has one, else hours, else cycles; any
    where nothing but a counter is left to find it by."""
    if flown.calendar_due is not None:
        return "calendar"
    if flown.due_minutes is not None:
        return "hours"
    return "cycles" if flown.due_cycles is not None or counter is None else "any"


def _gaps(rules: Sequence[Requirement], *, since: int) -> list[tuple[int, int]]:
    """Times in which no requirement is in force; all time when there is none at all.

    Before the first edition only where that begins after `since`, the day of the unit's opening statement.
    """
    if not rules:
        return [(FIRST_DAY, FAR_DAY)]
    spans = sorted((rule.in_force_from, rule.in_force_until) for rule in rules)
    gaps: list[tuple[int, int]] = []
    if spans[0][0] > since:
        gaps.append((FIRST_DAY, spans[0][0]))
    reached = spans[0][1]
    for start, until in spans[1:]:
        if start > reached:
            gaps.append((reached, start))
        reached = max(reached, until)
    if reached < FAR_DAY:
        gaps.append((reached, FAR_DAY))
    return gaps


def _lines(
    unit_id: int, papers: Sequence[Recorded], borne: Sequence[tuple[int, str]], opening: Opening, book: Book
) -> tuple[CertificateLineRow, ...]:
    return tuple(
        line_of(r.number, r.fact, borne=borne, opening=opening, book=book)
        for r in papers
        if isinstance(r.fact, Certificate) and r.fact.unit == unit_id
    )


def line_of(
    number: int, fact: Certificate, *, borne: Sequence[tuple[int, str]], opening: Opening | None, book: Book
) -> CertificateLineRow:
    """A certificate line with its verdict against the unit it is filed against; `unfiled` against none."""
    day = day_number(fact.dated_on)
    part_verdict = serial_verdict = verdict = "unfiled"
    expected_part = expected_serial = None
    if opening is not None:
        expected_part, expected_serial = part_number_on(borne, day), opening.serial_number
        stand_ins = book.stand_ins.get(fold(expected_part), ())
        part_verdict = verdict_of(
            fact.part_number,
            expected_part,
            kind="part",
            borne=[part for _, part in borne if part != expected_part],
            alternates=stand_ins,
        )
        serial_verdict = verdict_of(fact.serial_number, expected_serial, kind="serial")
        verdict = worse(part_verdict, serial_verdict)
    return CertificateLineRow(
        organisation=fact.organisation,
        tracking_number=fact.tracking_number,
        item=fact.item or "",
        serial_number=fact.serial_number,
        part_number=fact.part_number,
        unit_id=fact.unit,
        status=fact.status,
        side=fact.side,
        dated_on=day,
        verdict=verdict,
        part_verdict=part_verdict,
        serial_verdict=serial_verdict,
        expected_part_number=expected_part,
        expected_serial_number=expected_serial,
        entry=number,
    )


def _state(
    unit_id: int,
    unit: UnitStays,
    carriages: Sequence[CarriageRow],
    counts: Counts,
    opening: Opening,
    part_number: str,
    papers: Sequence[Recorded],
) -> UnitStateRow:
    last = unit.rows[-1]
    removed_on = None
    for earlier in unit.rows[:-1]:
        if earlier.kind in ("position", "slot") and earlier.until_moment is not None:
            removed_on = day_of(earlier.until_moment)
    releases = [
        (day_number(r.fact.dated_on), r.number, r.fact)
        for r in papers
        if isinstance(r.fact, Certificate) and r.fact.unit == unit_id and is_release(r.fact.status)
    ]
    release = max(releases, key=lambda item: item[:2])[2] if releases else None
    carried = carriages[-1] if carriages and carriages[-1].until_moment is None else None
    total = counts.final
    return UnitStateRow(
        unit_id=unit_id,
        part_number=part_number,
        serial_number=opening.serial_number,
        manufacturer=opening.manufacturer,
        kind=last.kind,
        since_moment=last.from_moment,
        airframe_id=last.airframe_id,
        position=last.position,
        parent_id=last.parent_id,
        slot=last.slot,
        place_name=last.place_name,
        bin=last.bin,
        carried_airframe_id=carried.airframe_id if carried else None,
        root_id=carried.root_id if carried else None,
        condition=last.condition or "unknown",
        hold=last.hold,
        harness=last.harness or "unknown",
        minutes_since_new=_total(opening.minutes_since_new, total.minutes),
        cycles_since_new=_total(opening.cycles_since_new, total.cycles),
        released_on=day_number(release.dated_on) if release else None,
        release_status=release.status if release else None,
        release_certificate=release.tracking_number if release else None,
        removed_on=removed_on,
        life_quality=opening.life_quality,
    )


def _total(opening: int | None, run: int | None) -> int | None:
    """Since new at the start of the open carriage, or at the last known moment: what no later reading changes."""
    return None if opening is None or run is None else opening + run


def _covered_by(unit_id: int, stays: Mapping[int, UnitStays], states: Mapping[int, UnitStateRow]) -> int | None:
    """The parent whose release covers a child received inside it and never changed since."""
    rows = stays[unit_id].rows
    if len(rows) != 1 or rows[0].kind != "slot" or rows[0].parent_id is None:
        return None
    parent = states.get(rows[0].parent_id)
    if parent is None:
        return None
    if parent.released_on is not None:
        return parent.unit_id
    return _covered_by(parent.unit_id, stays, states)


def _with_cover(state: UnitStateRow, covered_by: int | None) -> UnitStateRow:
    return changed(state, covered_by=covered_by)


# The facts by which units must be derived together; no other says what a unit was in, or was taken for.
JOINING = (Opening, Transfer, Movement)


def connected(facts: Iterable[Recorded]) -> list[tuple[int, int]]:
    """Pairs of units that must be derived together: child and parent, the unit found and the one displaced."""
    return [pair for recorded in facts if (pair := _inside(recorded.fact) or _taken_for(recorded.fact)) is not None]


def needed_beside(fact: Fact, units: Collection[int]) -> tuple[int, ...]:
    """Without whom those of `units` that the fact touches cannot be derived: what they were in, who was taken for them.

    What they hold is not needed: what is carried says nothing of what carries it.
    """
    if not isinstance(fact, JOINING):
        return ()
    inside = _inside(fact)
    if inside is not None:
        return inside[1:] if inside[0] in units else ()
    return _taken_for(fact) or ()


def _inside(fact: Fact) -> tuple[int, int] | None:
    """The unit that the fact puts into a parent, and the parent."""
    return (fact.unit, fact.parent) if isinstance(fact, (Opening, Transfer)) and fact.parent is not None else None


def _taken_for(fact: Fact) -> tuple[int, int] | None:
    """The unit that was found, and the one that the records held in its place."""
    if not isinstance(fact, Movement) or fact.displaced is None:
        return None
    found = fact.removed if fact.removed is not None else fact.installed
    return None if found is None else (found, fact.displaced)


def held_by(facts: Iterable[Recorded], unit_id: int) -> set[int]:
    """The units that the facts put into the unit, at whatever time."""
    found = set()
    for recorded in facts:
        fact = recorded.fact
        if isinstance(fact, (Opening, Transfer)) and fact.parent == unit_id:
            found.add(fact.unit)
    return found


def passed_on(
    placements: Iterable[PlacementRow], carriages: Iterable[CarriageRow], state: UnitStateRow | None
) -> tuple[object, ...]:
    """All of a unit's derived rows that the units it holds are derived from: where it was carried, since when it is
    known, and the release that covers them."""
    stays = list(placements)
    return (
        stays[0].from_moment if stays else None,
        [row for row in stays if row.kind in ("position", "slot")],
        list(carriages),
        None if state is None else (state.released_on is not None, state.covered_by),
    )
