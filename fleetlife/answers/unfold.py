"""`unit --explain`: a due date unfolded into everything it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from fleetlife.clocks.bridging import bridged_of
from fleetlife.clocks.due_rows import JudgedRow, judged_rows
from fleetlife.clocks.places import name_of, place_text
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.follows.case import Case
from fleetlife.follows.derive import Derived, point_of_row, with_resets
from fleetlife.follows.unfold import unfold
from fleetlife.life.values import Release
from fleetlife.store.engine import Store
from fleetlife.terms.number import did_you_mean
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import BridgedLine, DueRow, Passage, Unfolded, UnfoldedUnit


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
            raise unit_not_then()
        derived = world.derive([unit_id])
        rows = judged_rows(world, [unit_id])
        if requirement is not None:
            rows = _asked(rows, requirement)
        carriers = {c.point.airframe_id for c, *_ in rows if c.point.airframe_id is not None}
        parents = [] if state.parent_id is None else [state.parent_id]
        bridged = bridged_of(world, [unit_id]).get(unit_id, ())
        return UnfoldedUnit(
            about=world.about("unit --explain", airframes=carriers or None),
            part_number=state.part_number,
            serial_number=state.serial_number,
            manufacturer=state.manufacturer,
            place=place_text(world, state, world.states(parents)),
            due=tuple(_with_other(_unfolded(world, each, derived), bridged) for each in rows),
            bridged=bridged if requirement is None else (),
        )


def _asked(rows: list[JudgedRow], requirement: str) -> list[JudgedRow]:
    names = {row.requirement for *_, row in rows if row.requirement is not None}
    found = [each for each in rows if (each[-1].requirement or "").casefold() == requirement.casefold()]
    if not found:
        has = f"It has {', '.join(sorted(names))}." if names else "It has none."
        raise Refusal(
            "requirement-unknown",
            f"No requirement {requirement} is in force for this unit.{did_you_mean(requirement.upper(), names)}",
            remedy=f"Name one of the unit's requirements, or leave the name out for all. {has}",
        )
    return found


def _unfolded(world: World, each: JudgedRow, derived: Derived) -> Unfolded:
    candidate, rule, judged, row = each
    if rule is None:
        return Unfolded(row=row, passages=_no_programme(row))
    point = candidate.point
    rules = world.reference.book().by_key
    mine = [rules[p.requirement_key] for p in derived.due_points[point.unit_id] if p.requirement_key in rules]
    carrier = point.airframe_id
    case = Case(
        rule=rule,
        point=point_of_row(point, rule),
        judged=judged,
        history=with_resets(derived.histories[point.unit_id], mine).counted_in(rule.counter),
        carriages=derived.carriages[point.unit_id],
        view=None if carrier is None else world.outlooks([carrier]).get(carrier),
        totals=world.totals(),
        as_of=world.as_of,
        above=_above(derived, point.unit_id),
        registration=world.reference.registration_on,
        **_in_counter(world, derived, point.unit_id, carrier, rule.counter),
    )
    return Unfolded(row=row, passages=unfold(case))


def _with_other(each: Unfolded, bridged: Sequence[BridgedLine]) -> Unfolded:
    """With what the programme it was kept under says of the same requirement, after what today's says."""
    passages = list(each.passages)
    at = next((n for n, passage in enumerate(passages) if passage.topic == "today"), len(passages) - 1) + 1
    for line in bridged:
        if line.requirement == each.row.requirement and line.state_after is not None:
            passages.insert(at, _other_programme(line))
            at += 1
    return replace(each, passages=tuple(passages))


def _other_programme(line: BridgedLine) -> Passage:
    left = f" until {line.kept_until}" if line.kept_until else ""
    return Passage(
        topic="other programme",
        text=f"It was kept under {line.kept_under}{left}, and is judged by {line.now_under} now. {line.text} Which of "
        "them holds is decided by those who approve the programme (LIF109).",
        figures=(
            ("programme_before", line.kept_under),
            ("programme_now", line.now_under),
            ("due_before", line.due_before),
            ("due_now", line.due_after),
            ("earlier", line.earlier),
        ),
        known=None,
    )


def _in_counter(
    world: World, derived: Derived, unit_id: int, carrier: int | None, counter: str | None
) -> dict[str, Any]:
    """What the case of a requirement in a counter holds beside; nothing for one in flight hours and cycles."""
    counters = world.counters()
    if counter is None or counters is None:
        return {}
    return {
        "counted": derived.counted[unit_id, counter],
        "counter_view": None if carrier is None else world.counter_outlooks([carrier])[carrier, counter],
        "counter_totals": counters.of(counter),
    }


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
