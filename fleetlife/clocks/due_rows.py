"""Due rows in a world: the candidates the database narrows to, judged and told.

The database narrows to what can fall due by the last day asked; the pure rule judges every row that comes.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from fleetlife.checks.life import stale_readings
from fleetlife.clocks.bridging import bridged_of, remarks_of
from fleetlife.clocks.world import STALE_DAYS, World, statuses_of
from fleetlife.dates.moment import FAR_DAY
from fleetlife.dates.partial import PartialDate, day_text, parse_partial
from fleetlife.follows.derive import point_of_row
from fleetlife.follows.rows import DuePointRow, UnitStateRow
from fleetlife.ledger.facts import Opening
from fleetlife.life.causes import CAUSES
from fleetlife.life.projection import search_limits
from fleetlife.life.state import judge
from fleetlife.life.values import Judged, Outlook, Requirement, Unknown
from fleetlife.store.due_query import (
    DueCandidate,
    Limit,
    counters_used,
    coverage,
    due_candidates,
    units_by_place,
)
from fleetlife.store.rows import read_rows
from fleetlife.terms.finding import Finding
from fleetlife.terms.measure import counted_figure
from fleetlife.terms.number import fold
from fleetlife.terms.views import Coverage, DueRow, UnknownCause
from fleetlife.terms.words import HARNESS_SIDES

STATE_ORDER = {
    state: rank
    for rank, state in enumerate(("overdue", "no refill", "in variation", "due", "unknown", "waiting", "in date"))
}
LISTED = frozenset(("overdue", "no refill", "in variation", "due", "unknown"))
NO_PROGRAMME = "no-programme"


def candidates_of(
    world: World,
    outlooks: dict[int, Outlook],
    *,
    until_day: int,
    everything: bool = False,
    airframes: Collection[int] | None = None,
) -> list[DueCandidate]:
    """The stored rows that may be asked for, with those of units derived again in the place of theirs. Read once for
    each window: who lists a month and chooses spares for it asks twice."""
    asked = (until_day, everything, None if airframes is None else frozenset(airframes), frozenset(outlooks))
    if asked not in world.candidates:
        world.candidates[asked] = _candidates_of(world, outlooks, until_day, everything, airframes)
    return list(world.candidates[asked])


def _candidates_of(
    world: World, outlooks: dict[int, Outlook], until_day: int, everything: bool, airframes: Collection[int] | None
) -> list[DueCandidate]:
    limits = {airframe: search_limits(view, until_day=until_day) for airframe, view in outlooks.items()}
    found = due_candidates(
        world.connection,
        as_of=world.as_of,
        until_day=until_day,
        limits=limits,
        everything=everything,
        airframe_ids=airframes,
        counters=_counter_limits(world, outlooks if airframes is None else airframes, until_day=until_day),
    )
    if not world.changed_units:
        return found
    kept = _stored(world, found)

    def asked_for(point: DuePointRow) -> bool:
        return everything or _may_fall_due(point, limits.get(point.airframe_id or 0), until_day=until_day)

    return [*kept, *changed_candidates(world, airframes=airframes, asked_for=asked_for)]


def _stored(world: World, found: Iterable[DueCandidate]) -> list[DueCandidate]:
    """Stored candidates of units not derived anew; what is said of a parent that was is said of it as it was then."""
    rules = world.reference.book().by_key
    return [
        candidate_in(world, c.unit, c.point, rules.get(c.point.requirement_key))
        if c.point.unit_id in world.changed_units
        else c
        for c in found
        if c.point.unit_id not in world.derived_anew
    ]


def _may_fall_due(point: DuePointRow, limit: Limit | None, *, until_day: int) -> bool:
    """What the due query asks of stored rows, asked of one in memory: may it be listed by the day? True in doubt.

    `limit`: the highest thresholds of its airframe that can fall due by then; None: not carried.
    """
    if point.unknown is not None or point.standing == "no_programme" or point.counter is not None or point.passed:
        return True
    left = (point.left_minutes, point.left_cycles, point.left_counter, point.operations_left)
    if any(each is not None and each <= 0 for each in left):
        return True
    if point.standing != "known":
        return False
    reached = [(point.calendar_due, until_day)]
    if point.airframe_id is not None:
        if limit is None or limit[0] is None:
            return True
        reached += [(point.due_minutes, limit[0]), (point.due_cycles, limit[1] or 0)]
    return any(due is not None and due <= last for due, last in reached)


def _counter_limits(world: World, airframes: Iterable[int], *, until_day: int) -> dict[tuple[int, str], int | None]:
    """By airframe and counter the highest threshold that can fall due by the day, None without a reading of it; empty
    where no requirement names a counter."""
    if not world.reference.book().counters:
        return {}
    views = world.counter_outlooks(airframes)
    return {key: search_limits(view, until_day=until_day)[1] for key, view in views.items()}


def changed_candidates(
    world: World,
    *,
    airframes: Collection[int] | None = None,
    units: Collection[int] | None = None,
    asked_for: Callable[[DuePointRow], bool] = lambda point: True,
) -> list[DueCandidate]:
    """Candidates for the units that were derived again in memory, of the due points asked for."""
    rules = world.reference.book().by_key
    result = []
    for unit in sorted(world.derived_anew):
        if units is not None and unit not in units:
            continue
        states: list[UnitStateRow] = list(world.changed.rows_of("unit_state", unit))
        if not states:
            continue
        state = states[0]
        if airframes is not None and state.carried_airframe_id not in airframes:
            continue
        for point in world.changed.rows_of("due_point", unit):
            if point.in_force_from <= world.as_of < point.in_force_until and asked_for(point):
                result.append(candidate_in(world, state, point, rules.get(point.requirement_key)))
    return result


def candidate_in(world: World, state: UnitStateRow, point: DuePointRow, rule: Requirement | None) -> DueCandidate:
    """The due point with what is said of its unit, requirement and airframe, from what the world holds in memory."""
    carrier = world.reference.airframes.get(state.carried_airframe_id or 0)
    parent = _state_of(world, state.parent_id)
    root = _state_of(world, state.root_id)
    return DueCandidate(
        point=point,
        unit=state,
        requirement=rule.requirement if rule else None,
        requirement_kind=rule.kind if rule else None,
        source=rule.source if rule else None,
        reference=rule.reference if rule else None,
        programme=rule.programme if rule else None,
        edition=rule.edition if rule else None,
        at_due=rule.at_due if rule else None,
        registration=carrier.registration if carrier else None,
        constructor_serial=carrier.constructor_serial if carrier else None,
        airframe_type=carrier.type if carrier else None,
        operator=carrier.operator if carrier else None,
        station=carrier.station if carrier else None,
        parent_part_number=parent.part_number if parent else None,
        parent_serial_number=parent.serial_number if parent else None,
        parent_manufacturer=parent.manufacturer if parent else None,
        parent_kind=parent.kind if parent else None,
        parent_place_name=parent.place_name if parent else None,
        parent_bin=parent.bin if parent else None,
        root_part_number=root.part_number if root else None,
        root_serial_number=root.serial_number if root else None,
        root_position=root.position if root else None,
    )


def _state_of(world: World, unit: int | None) -> UnitStateRow | None:
    if unit is None:
        return None
    return world.states([unit]).get(unit)


def is_scrapped(candidate: DueCandidate) -> bool:
    """True for a unit on the scrap heap, alone or in its parent: nothing is due there, and coverage leaves it out."""
    return candidate.unit.kind == "scrap" or candidate.parent_kind == "scrap"


def narrowed(
    rows: list[DueCandidate], part_numbers: Collection[str], requirements: Collection[str]
) -> list[DueCandidate]:
    parts = {fold(number) for number in part_numbers}
    names = set(requirements)
    return [
        row
        for row in rows
        if (not parts or fold(row.unit.part_number) in parts) and (not names or row.requirement in names)
    ]


def side_of(world: World, row: DueCandidate) -> str | None:
    """The side of the position that carries the unit; in stores the side it is rigged for, or its part is made for."""
    unit = row.unit
    position = row.root_position
    if unit.carried_airframe_id is not None and position is not None:
        return world.reference.position_of(unit.carried_airframe_id, position).side
    part = world.reference.part(unit.part_number, unit.manufacturer)
    if part is not None and part.rig in HARNESS_SIDES:
        return part.rig
    return unit.harness if unit.harness in HARNESS_SIDES else None


class Desk:
    """Judges candidates: the airframe's outlook, the requirement, the day.

    `fitted_on` is the day for which the date if fitted is asked, the world's own when left out. `remarks` are sentences
    that a row adds to its reason, by unit and requirement; they judge nothing.
    """

    def __init__(self, world: World, outlooks: dict[int, Outlook], *, fitted_on: int | None = None) -> None:
        self.world = world
        self.fitted_on = fitted_on
        self.outlooks = outlooks
        self.rules = world.reference.book().by_key
        self.remarks: Mapping[tuple[int, str], str] = {}
        self._openings: dict[int, Opening] = {}
        self._counters: dict[tuple[int, str], Outlook] = {}

    def prepare(self, candidates: Iterable[DueCandidate]) -> None:
        """Fetch at once the opening statements that judging rows with bands needs, and the outlooks of counters."""
        candidates = list(candidates)
        counted = {c.point.airframe_id for c in candidates if c.point.counter is not None}
        carriers = sorted(airframe for airframe in counted if airframe is not None)
        if carriers:
            self._counters.update(self.world.counter_outlooks(carriers))
        banded = {key for key, rule in self.rules.items() if rule.bands}
        self._openings.update(
            self.world.openings({c.point.unit_id for c in candidates if c.point.requirement_key in banded})
        )

    def row(self, candidate: DueCandidate, begin: int | None, until: int | None) -> tuple[Judged, DueRow]:
        """The judgement and the printed row."""
        judged = self.judged(candidate, begin, until)
        return judged, self._row(candidate, judged)

    def judged(self, candidate: DueCandidate, begin: int | None, until: int | None) -> Judged:
        point = candidate.point
        if point.standing == "no_programme":
            return Judged(
                state="unknown",
                state_reason=f"No programme: no requirement is in force for part number {candidate.unit.part_number}. "
                "A unit without a programme is not clean.",
                unknown=(Unknown(measure="calendar", cause=NO_PROGRAMME),),
            )
        rule = self.rules[point.requirement_key]
        manufactured = self.manufactured(point.unit_id) if rule.bands else None
        view = self.outlooks.get(point.airframe_id) if point.airframe_id is not None else None
        return judge(
            rule,
            point_of_row(point, rule),
            view,
            as_of=self.world.as_of,
            window_from=begin,
            window_until=until,
            stored=candidate.unit.kind == "store",
            manufactured=manufactured,
            fitted_on=self.fitted_on,
            counter_outlook=self.counter_view(point),
        )

    def manufactured(self, unit: int) -> PartialDate | None:
        """When the unit was made, as its opening statement says."""
        opening = self._opening(unit)
        return parse_partial(opening.manufactured) if opening and opening.manufactured else None

    def counter_view(self, point: DuePointRow) -> Outlook | None:
        """The outlook of the counter that the point is in, on the airframe that carries the unit."""
        if point.counter is None or point.airframe_id is None:
            return None
        found = self._counters.get((point.airframe_id, point.counter))
        if found is None:
            self._counters.update(self.world.counter_outlooks([point.airframe_id]))
            found = self._counters[point.airframe_id, point.counter]
        return found

    def _opening(self, unit: int) -> Opening | None:
        if unit not in self._openings:
            self._openings.update(self.world.openings([unit]))
        return self._openings.get(unit)

    def _row(self, candidate: DueCandidate, judged: Judged) -> DueRow:
        point, unit = candidate.point, candidate.unit
        view = self.outlooks.get(point.airframe_id) if point.airframe_id is not None else None
        part = self.world.reference.part(unit.part_number, unit.manufacturer)
        store = unit.place_name if unit.kind == "store" else None
        if unit.kind == "slot" and candidate.parent_kind == "store":
            store = candidate.parent_place_name
        carried = unit.carried_airframe_id
        remark = self.remarks.get((unit.unit_id, candidate.requirement or ""))
        rule = self.rules.get(point.requirement_key)
        axis = None if point.counter is None or rule is None else rule.counter_axis
        driver = judged.driver
        if axis is not None and driver == axis:
            driver, view = point.counter, self.counter_view(point)
        return DueRow(
            registration=self.world.registration(carried) if carried is not None else None,
            constructor_serial=candidate.constructor_serial,
            operator=candidate.operator,
            station=candidate.station,
            position=unit.position or candidate.root_position,
            store=store or (_elsewhere(unit, candidate) if carried is None else None),
            part_number=unit.part_number,
            serial_number=unit.serial_number,
            manufacturer=unit.manufacturer,
            parent_part_number=candidate.parent_part_number,
            parent_serial_number=candidate.parent_serial_number,
            description=part.description if part else None,
            requirement=candidate.requirement,
            kind=candidate.requirement_kind,
            source=candidate.source,
            reference=candidate.reference,
            edition=candidate.edition,
            state=judged.state,
            state_reason=f"{judged.state_reason} {remark}" if remark else judged.state_reason,
            driver=driver,
            due_date=_day(judged.due_date),
            due_earliest=_day(judged.due_earliest),
            due_if_fitted=_day(judged.due_if_fitted),
            calendar_due=_day(point.calendar_due),
            airframe_hours_due=point.due_minutes,
            airframe_cycles_due=point.due_cycles,
            hours_left=None if axis == "hours" else judged.minutes_left,
            cycles_left=None if axis == "cycles" else judged.cycles_left,
            operations_left=judged.operations_left,
            days_left=judged.days_left,
            unknown_measures="; ".join(f"{u.measure}: {u.cause}" for u in judged.unknown) or None,
            estimated=judged.estimated,
            variation=point.variation,
            original_due=_day(judged.original_due),
            last_done=_day(point.last_done),
            basis=point.basis,
            life_quality=unit.life_quality,
            readings_as_of=_day(view.base_day) if view is not None else None,
            counter=point.counter,
            counter_due=counted_figure(axis, point.due_counter),
            counter_left=counted_figure(axis, judged.minutes_left if axis == "hours" else judged.cycles_left),
        )


def _elsewhere(unit: UnitStateRow, candidate: DueCandidate) -> str | None:
    kind = candidate.parent_kind if unit.kind == "slot" else unit.kind
    name = candidate.parent_place_name if unit.kind == "slot" else unit.place_name
    if kind is None:
        return None
    return f"{kind} {name}" if name and kind != "store" else (name or kind)


def _day(number: int | None) -> str | None:
    return None if number is None or number >= FAR_DAY else day_text(number)


def sort_key(row: DueRow) -> tuple[Any, ...]:
    """The worst first, then by date, then by place and unit: the same rows always in the same order."""
    return (
        STATE_ORDER[row.state],
        row.due_earliest or row.due_date or "9999",
        row.registration or "~",
        row.position or "",
        row.part_number,
        row.serial_number,
        row.requirement or "",
        row.edition or "",
    )


def coverage_of(
    world: World,
    rows: Iterable[DueCandidate],
    *,
    airframes: Collection[int] | None = None,
    part_numbers: Collection[str] = (),
    requirements: Collection[str] = (),
) -> Coverage:
    """Units counted, with a programme and without, and what is unknown by cause: first what most units wait for.

    `rows` are of the airframes and parts asked for; units are counted among those. A unit without a programme is one
    whatever requirements are asked for.
    """
    causes: dict[str, tuple[int, set[int]]] = {}
    unknown_rows, unknown_units = 0, set()
    without = set()
    for row in rows:
        point = row.point
        if point.standing == "no_programme":
            without.add(point.unit_id)
            continue
        if not point.unknown or (requirements and row.requirement not in requirements):
            continue
        unknown_rows += 1
        unknown_units.add(point.unit_id)
        for unknown in json.loads(point.unknown):
            count, units = causes.setdefault(unknown["cause"], (0, set()))
            units.add(point.unit_id)
            causes[unknown["cause"]] = (count + 1, units)
    listed = [
        UnknownCause(
            cause=word,
            rows=count,
            units=len(units),
            sentence=CAUSES[word].sentence,
            cleared_by=CAUSES[word].clears,
        )
        for word, (count, units) in causes.items()
    ]
    listed.sort(key=lambda cause: (-cause.units, cause.cause))
    counted = _units_counted(world, airframes, part_numbers)
    return Coverage(
        units=counted,
        with_programme=counted - len(without),
        without_programme=len(without),
        unknown_rows=unknown_rows,
        unknown_units=len(unknown_units),
        causes=tuple(listed),
    )


def _units_counted(world: World, airframes: Collection[int] | None, part_numbers: Collection[str]) -> int:
    """The units of the airframes and parts asked for, as the world knows them, without those on the scrap heap."""
    if airframes is None and not part_numbers and not world.changed_units:
        return coverage(world.connection, as_of=world.as_of).units
    parts = {fold(number) for number in part_numbers}

    def asked(airframe: int | None, part_number: str) -> bool:
        return (airframes is None or airframe in airframes) and (not parts or fold(part_number) in parts)

    if airframes is None and not parts:
        stored = coverage(world.connection, as_of=world.as_of).units
    else:
        stored = sum(n for airframe, part, n in units_by_place(world.connection) if asked(airframe, part))
    # what those derived anew hold counts as it is stored
    anew = sorted(world.derived_anew)
    now = read_rows(world.connection, UnitStateRow, unit_ids=anew)
    then = [state for unit in anew if (state := world.changed.unit_states.get(unit)) is not None]
    for sign, rows in ((-1, now), (1, then)):
        stored += sign * sum(r.kind != "scrap" and asked(r.carried_airframe_id, r.part_number) for r in rows)
    return stored


def counters_read(world: World, airframes: Collection[int] | None) -> list[tuple[str, int, str, Outlook]]:
    """(registration, airframe, counter, outlook) of every counter in which something is limited on what the airframes
    (None: all) carry, in order. No statement where no requirement names a counter."""
    if not world.reference.book().counters:
        return []
    pairs = counters_used(world.connection, as_of=world.as_of, but_of=world.derived_anew)
    for unit in world.derived_anew:
        for point in world.changed.rows_of("due_point", unit):
            if point.counter is not None and point.airframe_id is not None:
                if point.in_force_from <= world.as_of < point.in_force_until:
                    pairs.add((point.airframe_id, point.counter))
    pairs = {key for key in pairs if airframes is None or key[0] in airframes}
    views = world.counter_outlooks({airframe for airframe, _ in pairs})
    return [(world.registration(key[0]), *key, views[key]) for key in sorted(pairs)]


def stale_findings(
    world: World, outlooks: dict[int, Outlook], airframes: Collection[int] | None
) -> tuple[Finding, ...]:
    """One finding for each airframe whose base reading is too old, or that has none."""
    return tuple(
        sorted(
            stale_readings(
                (
                    (world.registration(airframe), airframe, view)
                    for airframe, view in outlooks.items()
                    if airframes is None or airframe in airframes
                ),
                as_of=world.as_of,
                after_days=STALE_DAYS,
                statuses=statuses_of(world, outlooks),
                counters=counters_read(world, airframes),
            ),
            key=Finding.sort_key,
        )
    )


# A due row with the candidate, the rule (None: no programme) and the judgement behind it.
JudgedRow = tuple[DueCandidate, Requirement | None, Judged, DueRow]


def due_rows_of(world: World, unit_ids: Iterable[int]) -> tuple[DueRow, ...]:
    """Every due row of the units on the world's day, the worst first."""
    return tuple(row for *_, row in judged_rows(world, unit_ids))


def judged_rows(world: World, unit_ids: Iterable[int], *, fitted_on: int | None = None) -> list[JudgedRow]:
    """Every due row of the units with what is behind it, the worst first. `fitted_on`: as of `Desk`."""
    wanted = list(dict.fromkeys(unit_ids))
    stored = [unit for unit in wanted if unit not in world.derived_anew]
    found = _stored(world, due_candidates(world.connection, as_of=world.as_of, unit_ids=stored) if stored else [])
    found = [*found, *changed_candidates(world, units=set(wanted))]
    carriers = {c.point.airframe_id for c in found if c.point.airframe_id is not None}
    desk = Desk(world, world.outlooks(carriers), fitted_on=fitted_on)
    desk.prepare(found)
    desk.remarks = remarks_of(bridged_of(world, wanted))
    judged = [(c, desk.rules.get(c.point.requirement_key), *desk.row(c, None, None)) for c in found]
    return sorted(judged, key=lambda one: sort_key(one[3]))
