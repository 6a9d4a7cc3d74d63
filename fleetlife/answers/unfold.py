"""`unit --explain`: a due date unfolded into everything it rests on."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fleetlife.answers.cards import name_of, place_text
from fleetlife.clocks.due_rows import Desk, changed_candidates, sort_key
from fleetlife.clocks.world import World, open_world
from fleetlife.follows.case import Case
from fleetlife.follows.derive import Derived, point_of_row
from fleetlife.follows.unfold import unfold
from fleetlife.life.points import expand_resets
from fleetlife.life.values import History, Release, Requirement
from fleetlife.store.due_query import DueCandidate, due_candidates
from fleetlife.store.engine import Store
from fleetlife.terms.number import nearest
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow, Passage, Unfolded, UnfoldedUnit


def unfolded(
    store: Store,
    *,
    part_number: str,
    serial_number: str,
    manufacturer: str | None = None,
    requirement: str | None = None,
    as_of: date,
    known_at: str | None = None,
) -> UnfoldedUnit:
    """The due rows of a unit, or the one of `requirement`, each with the sentences and figures it rests on.

    Refusals: `unit-unknown`, `unit-ambiguous`, `unit-not-then`, `requirement-unknown`, those of `clocks.world`.
    """
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        unit_id = world.unit_named(part_number, serial_number, manufacturer)
        state = world.states([unit_id]).get(unit_id)
        if state is None:
            raise Refusal(
                "unit-not-then",
                "The unit was not in the records then.",
                remedy="Ask for a later day, or leave --known-at out.",
            )
        derived = world.derive([unit_id])
        candidates = _candidates(world, unit_id)
        if requirement is not None:
            candidates = _asked(candidates, requirement)
        carriers = {c.point.airframe_id for c in candidates if c.point.airframe_id is not None}
        desk = Desk(world, world.outlooks(carriers))
        desk.prepare(candidates)
        rows = [_unfolded(world, desk, candidate, derived) for candidate in candidates]
        rows.sort(key=lambda each: sort_key(each.row))
        parents = {state.parent_id} - {None}
        return UnfoldedUnit(
            about=world.about("unit --explain", airframes=carriers or None),
            part_number=state.part_number,
            serial_number=state.serial_number,
            manufacturer=state.manufacturer,
            place=place_text(world, state, world.states(p for p in parents if p is not None)),
            due=tuple(rows),
        )


def _candidates(world: World, unit_id: int) -> list[DueCandidate]:
    if unit_id in world.changed_units:
        return changed_candidates(world, units={unit_id})
    return due_candidates(world.connection, as_of=world.as_of, unit_ids=[unit_id])


def _asked(candidates: list[DueCandidate], requirement: str) -> list[DueCandidate]:
    names = {c.requirement for c in candidates if c.requirement is not None}
    found = [c for c in candidates if c.requirement is not None and c.requirement.casefold() == requirement.casefold()]
    if not found:
        near = nearest(requirement.upper(), names)
        hint = f" Did you mean {near}?" if near else ""
        has = f"It has {', '.join(sorted(names))}." if names else "It has none."
        raise Refusal(
            "requirement-unknown",
            f"No requirement {requirement} is in force for this unit.{hint}",
            remedy=f"Name one of the unit's requirements, or leave the name out for all. {has}",
        )
    return found


def _unfolded(world: World, desk: Desk, candidate: DueCandidate, derived: Derived) -> Unfolded:
    judged, row = desk.row(candidate, None, None)
    point = candidate.point
    if point.standing == "no_programme":
        return Unfolded(row=row, passages=_no_programme(row))
    rules = world.reference.book().by_key
    rule = rules[point.requirement_key]
    history = derived.histories[point.unit_id]
    mine = [rules[p.requirement_key] for p in derived.due_points[point.unit_id] if p.requirement_key in rules]
    case = Case(
        rule=rule,
        point=point_of_row(point),
        judged=judged,
        history=_with_resets(history, mine),
        carriages=derived.carriages[point.unit_id],
        view=desk.outlooks.get(point.airframe_id) if point.airframe_id is not None else None,
        totals=world.totals(),
        as_of=world.as_of,
        above=_above(derived, point.unit_id),
        registration=world.reference.registration_on,
    )
    return Unfolded(row=row, passages=unfold(case))


def _with_resets(history: History, rules: list[Requirement]) -> History:
    return replace(history, done=expand_resets(rules, history.done))


def _above(derived: Derived, unit_id: int) -> tuple[tuple[str, tuple[Release, ...]], ...]:
    """The assemblies that hold the unit now, the nearest first."""
    found: list[tuple[str, tuple[Release, ...]]] = []
    seen = {unit_id}
    parent = derived.unit_states[unit_id].parent_id
    while parent is not None and parent in derived.unit_states and parent not in seen:
        seen.add(parent)
        found.append((name_of(derived.unit_states[parent]), derived.histories[parent].releases))
        parent = derived.unit_states[parent].parent_id
    return tuple(found)


def _no_programme(row: DueRow) -> tuple[Passage, ...]:
    return (
        Passage(topic="rule", text="No requirement is in force for this part number. That is not the same as clean."),
        Passage(topic="today", text=row.state_reason, figures=(("state", row.state),)),
        Passage(
            topic="false if",
            text="It would be another answer if the requirements of the part were taken in (requirements file), "
            "or if it were stated that nothing applies (kind on_condition with a reference).",
        ),
    )
