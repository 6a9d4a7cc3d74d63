"""Swaps in a world: gathers what `follows.swaps` judges, and tells it in words."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from fleetlife.checks.fitting import CAUTIONS
from fleetlife.checks.rows import LeftRow, SwapRow
from fleetlife.clocks.doors import doors_of
from fleetlife.clocks.plans import OPEN, plan_findings, where_told
from fleetlife.clocks.world import World
from fleetlife.follows.place import Recorded
from fleetlife.follows.swaps import (
    ROLES_TOLD,
    TOLD,
    Item,
    OpenPoint,
    SwapLife,
    authorised,
    gauge_items,
    items_of,
    last_of,
    points_before_release,
    second_person_asked,
    swap_lives,
    works_at,
)
from fleetlife.ledger.facts import Position
from fleetlife.ledger.swaps import PositionWork
from fleetlife.store.swaps import (
    airframes_to_judge,
    airframes_with_swaps,
    airframes_with_work,
    planned_swap,
)
from fleetlife.terms.measure import thousandths_text
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.swaps import SwapCard, SwapEvent, SwapFinding, SwapItem, SwapPoint, SwapUnit

SCANNED = "fleetlife swap show "
RECORD = (
    "Follow the current approved maintenance data and local rules; certifying staff decide. What is recorded here is "
    "no release to service."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapInWorld:
    """A swap with what it is judged by: its position, the work at it for whichever swap, and the gauges' items."""

    life: SwapLife
    position: Position
    works: tuple[tuple[int, PositionWork], ...]
    gauges: tuple[Item, ...]

    @property
    def airframe(self) -> int:
        return self.life.plan.airframe


def swap_number(text: str) -> str:
    """A swap's number as it was typed, or as the scanner sends it from the symbol on its sheet."""
    stripped = text.strip()
    if stripped.lower().startswith(SCANNED):
        stripped = stripped[len(SCANNED) :]
    return stripped.strip()


def swap_named(world: World, number: str) -> SwapInWorld:
    """The swap of that number. Refusals: `swap-unknown`, `swap-not-then`."""
    plan = planned_swap(world.connection, swap_number(number))
    if plan is None:
        raise Refusal(
            "swap-unknown",
            f"No swap {swap_number(number)} is planned.",
            remedy="Correct the number; fleetlife swap list names them. A new one: fleetlife swap plan.",
        )
    facts = doors_of(world, [plan.airframe])[plan.airframe]
    life = swap_lives(facts).get(plan.swap)
    if life is None:
        raise Refusal(
            "swap-not-then",
            f"Swap {plan.swap} was not planned then.",
            remedy="Ask for a later day, or leave --known-at out.",
        )
    return in_world(world, [life], facts)[0]


def in_world(world: World, lives: Iterable[SwapLife], facts: Sequence[Recorded]) -> list[SwapInWorld]:
    """The swaps of one airframe with what each is judged by."""
    found = []
    for life in lives:
        position = world.reference.position_of(life.plan.airframe, life.plan.position)
        found.append(
            SwapInWorld(
                life=life,
                position=position,
                works=works_at(facts, position.position),
                gauges=tuple(gauge_items(life, world.reference, _gauged(world, life))),
            )
        )
    return found


def _gauged(world: World, life: SwapLife) -> list[tuple[int, str, str]]:
    """(unit, part number, name) of what is to be fitted and all it holds, of parts that have a table of pressures."""
    if life.incoming is None or not world.reference.pressures:
        return []
    tree = world.tree_of(life.incoming)
    return [
        (unit, state.part_number, f"{state.part_number} {state.serial_number}")
        for unit, state in tree.items()
        if fold(state.part_number) in world.reference.pressures
    ]


def points_of(swap: SwapInWorld, world: World) -> list[OpenPoint]:
    """What keeps the door from being released."""
    return points_before_release(swap.life, swap.position, world.reference, swap.works, gauges=swap.gauges)


def card_of(world: World, swap: SwapInWorld) -> SwapCard:
    """The swap as it is shown."""
    life, plan = swap.life, swap.life.plan
    frame = world.reference.airframes[plan.airframe]
    units = _units(world, [unit for unit in (life.incoming, life.outgoing) if unit is not None])
    second = second_person_asked(swap.position, world.reference, stated_by=life.released_by_entry)
    items = [*items_of(life, swap.position, world.reference, swap.works), *swap.gauges]
    return SwapCard(
        about=world.about("swap", airframes={plan.airframe}),
        swap=plan.swap,
        state=life.state,
        registration=world.registration(plan.airframe),
        constructor_serial=frame.constructor_serial,
        type=frame.type,
        position=swap.position.position,
        side=swap.position.side,
        harness=swap.position.harness,
        target=plan.target_on,
        done_on=life.done_on,
        work_order=plan.work_order,
        data_reference=plan.data_reference,
        data_revision=plan.data_revision,
        remarks=plan.remarks,
        incoming=units.get(life.incoming or 0),
        outgoing=units.get(life.outgoing or 0),
        events=tuple(events_of(life, units)),
        items=tuple(
            SwapItem(
                category=item.category,
                item=item.item,
                settled=item.settled,
                told=item.told,
                asked=item.asked,
                runs=item.runs,
                passed=item.passed,
                expects=item.expects,
                reference=item.reference,
                entry=item.entry,
            )
            for item in items
        ),
        open=tuple(
            SwapPoint(what=point.what, text=point.text, entry=point.entry)
            for point in (() if life.state == "given up" else points_of(swap, world))
        ),
        second_person=None if second is None else second.item,
        findings=told_of_plans(world, [life]).get(plan.swap, ()),
        cautions=(RECORD, *CAUTIONS[1:]),
    )


def told_of_plans(world: World, lives: Iterable[SwapLife]) -> dict[str, tuple[SwapFinding, ...]]:
    """What is found of those among the swaps that are planned and not done, by swap."""
    asked = {life.plan.swap: life.plan.airframe for life in lives if life.state in OPEN}
    if not asked:
        return {}
    found: dict[str, list[SwapFinding]] = {}
    for swap, each in plan_findings(world, airframes=set(asked.values()), swaps=asked):
        told = SwapFinding(
            finding=each.code, severity=each.severity, message=each.message, action=each.hint, number=each.number
        )
        found.setdefault(swap, []).append(told)
    return {swap: tuple(each) for swap, each in found.items()}


def _units(world: World, wanted: Collection[int]) -> dict[int, SwapUnit]:
    found = {}
    for unit, state in world.states(wanted).items():
        part = world.reference.part(state.part_number, state.manufacturer)
        found[unit] = SwapUnit(
            unit=unit,
            part_number=state.part_number,
            serial_number=state.serial_number,
            manufacturer=state.manufacturer,
            description=None if part is None else part.description,
            where=where_told(world, state),
        )
    return found


def events_of(life: SwapLife, units: dict[int, SwapUnit]) -> list[SwapEvent]:
    """What was recorded of the swap, in the order in which it happened."""
    plan = life.plan
    goes_on = units.get(plan.incoming or 0)
    text = "planned" + (f": {goes_on.name} to go on" if goes_on is not None else "")
    text += f", by {plan.target_on}" if plan.target_on else ""
    found: list[tuple[int, SwapEvent]] = []

    def tell(order: int, on: str, what: str, by: str | None, entry: int) -> None:
        found.append((order, SwapEvent(on=on, what=what, by=by, entry=entry)))

    tell(0, plan.planned_on, text, plan.planned_by, life.entry)
    for number, step in life.steps:
        told = step.step.replace("_", " ")
        if step.step == "checked" and step.answer:
            told += f": {step.answer}, against ledger head {(step.ledger_head or 'not stated')[:16]}"
        elif step.why:
            told += f": {step.why}"
        tell(1, step.stepped_on, told, step.signed_by, number)
    for number, movement in life.movements:
        names = {"on": movement.installed, "off": movement.removed}
        told = ", ".join(
            f"{units[unit].name if unit in units else 'a unit'} {word}"
            for word, unit in names.items()
            if unit is not None
        )
        rig = f", rigged {movement.harness}" if movement.harness else ""
        tell(3, movement.moved_on, f"done: {told}{rig}", movement.signed_by, number)
    for number, work in life.works:
        run = f" (run {work.run})" if work.run else ""
        read = f": {work.value}" if work.value else ""
        order = 2 if work.outcome in ("placed", "broken") else 4
        tell(order, work.worked_on, f"{work.item} {TOLD[work.outcome]}{run}{read}", work.signed_by, number)
    for number, reading in life.gauges:
        told = (
            f"gauge {thousandths_text(reading.pressure)} {reading.pressure_unit} at "
            f"{thousandths_text(reading.millicelsius)} °C"
        )
        tell(4, reading.read_on, told, reading.seen_by, number)
    for number, signature in life.signatures:
        told = f"signed: {ROLES_TOLD[signature.role]}"
        told += f", own work: {signature.exception}" if signature.exception else ""
        tell(6 if signature.role == "released" else 5, signature.signed_on, told, signature.signed_by, number)
    return [event for _, event in sorted(found, key=lambda each: (each[1].on, each[0], each[1].entry))]


def door_rows(world: World, airframes: Collection[int] | None) -> tuple[list[LeftRow], list[SwapRow]]:
    """What findings of the work at doors are judged by: of the airframes, or of all at which something may be open."""
    candidates = set(airframes_to_judge(world.connection))
    if world.past:
        # what is settled now may have been open then
        candidates |= set(airframes_with_swaps(world.connection)) | set(airframes_with_work(world.connection))
    wanted = sorted(candidates if airframes is None else candidates & set(airframes))
    left: list[LeftRow] = []
    rows: list[SwapRow] = []
    for airframe, facts in doors_of(world, wanted).items() if wanted else ():
        registration = world.registration(airframe)
        for position in sorted({r.fact.position for r in facts if isinstance(r.fact, PositionWork)}):
            works = works_at(facts, position)
            left += [
                LeftRow(registration=registration, position=position, work=work, entry=number)
                for category in ("device", "lock", "retained")
                for number, work in last_of(works, category).values()
            ]
        rows += [_row(world, swap, registration) for swap in in_world(world, swap_lives(facts).values(), facts)]
    return left, rows


def _row(world: World, swap: SwapInWorld, registration: str) -> SwapRow:
    life = swap.life
    released = life.signed("released")
    last = released[-1][1] if released else None
    refused = None
    if last is not None:
        held, why = authorised(last.signed_by, "released", swap.position, world.reference, last.signed_on)
        refused = None if held is not None else why
    return SwapRow(
        swap=life.plan.swap,
        registration=registration,
        airframe=life.plan.airframe,
        position=life.plan.position,
        state=life.state,
        entry=life.entry,
        last_entry=life.last_entry,
        done_on=life.done_on,
        released_on=None if last is None else last.signed_on,
        released_by=None if last is None else last.signed_by,
        open=tuple(point.text for point in points_of(swap, world)) if life.state in ("done", "released") else (),
        exceptions=tuple(
            (signature.signed_by, signature.signed_on, signature.exception, number)
            for number, signature in life.signed("inspected")
            if signature.exception
        ),
        gauges_wrong=tuple(
            (gauge.item, gauge.told, gauge.entry) for gauge in swap.gauges if gauge.outcome in ("below", "above")
        ),
        release_refused=refused,
    )
