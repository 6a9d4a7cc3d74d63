"""What every record of a unit's change of place shares: the unit by its numbers, its place then, one transfer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fleetlife.actions.acknowledge import Acknowledgement, notes_of
from fleetlife.actions.follow import Impossible
from fleetlife.actions.moving import Key, answered_once, finding_of, told_after, whereabouts
from fleetlife.actions.receive import next_in_day
from fleetlife.actions.settle import settle, world_at_head
from fleetlife.actions.showing import refuse_to_come
from fleetlife.actions.swap import UnitName
from fleetlife.clocks.places import name_of, place_text
from fleetlife.clocks.world import World, unit_not_then
from fleetlife.dates.moment import day_of, sequence_of
from fleetlife.follows.order import STEP
from fleetlife.follows.place import moment_of_fact
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Movement, Transfer
from fleetlife.store.engine import Store
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.finding import Finding
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import Reason

# A unit in hand: on the bench, in a store or a shop.
IN_HAND = ("store", "shop")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A transfer ready to be recorded. `stops` must be accepted; `others`: units told of beside it; `empty`: places
    that are empty after it; `findings` it leaves open that stop nothing."""

    fact: Transfer
    stops: Sequence[Reason] = ()
    others: Sequence[int] = ()
    empty: Sequence[tuple[str, str]] = ()
    findings: Sequence[Finding] = ()
    notes: Sequence[str] = ()


def record_transfer(
    store: Store,
    request: Any,
    plan: Callable[[World, UnitStateRow, int], Planned],
    *,
    what: str,
    as_of: date,
    recorded_by: str,
    acknowledged: Sequence[Acknowledgement] = (),
    request_key: str | None = None,
    preview: bool = False,
) -> MoveRecorded:
    """Record what is planned for the request's unit on its day, or with `preview` show it and record nothing.

    `plan` is given the world, the unit as it was then and its place in the day: the request's, else the next free one.
    Refusals: `in-the-future`, `unit-unknown`, `unit-ambiguous`, `unit-not-then`, `stops-not-acknowledged`,
    `request-key-reused`, those of the plan, the contradictions of the derivation.
    """
    refuse_to_come(request.on, as_of=as_of, said="what moved is recorded when it has moved")

    def work(writer: Writer, key: Key) -> MoveRecorded:
        world = world_at_head(writer, store, as_of=request.on)
        state = unit_then(world, request.unit)
        sequence = request.sequence
        if sequence is None:
            sequence = sequence_of_day(world, state.unit_id, request.on)
        planned = plan(world, state, sequence)
        return _enter(writer, world, planned, state, key, as_of, acknowledged, what=what, preview=preview)

    return answered_once(
        store, request, work, what=what, recorded_by=recorded_by, request_key=request_key, preview=preview
    )


def unit_then(world: World, name: UnitName) -> UnitStateRow:
    """The unit as it was on the world's day. Refusals: `unit-unknown`, `unit-ambiguous`, `unit-not-then`."""
    unit = world.unit_named(name.part_number, name.serial_number, name.manufacturer)
    state = world.states([unit]).get(unit)
    if state is None:
        raise unit_not_then()
    return state


def sequence_of_day(world: World, unit: int, on: date) -> int:
    """The place in the day behind everything recorded of the unit for it, movements too."""
    facts = world.facts([unit])[unit]
    day = on.toordinal()
    moved = [
        sequence_of(moment_of_fact(r.fact))
        for r in facts
        if isinstance(r.fact, (Movement, Transfer)) and day_of(moment_of_fact(r.fact)) == day
    ]
    return max(next_in_day(facts, on), max(moved, default=0) + STEP)


def refuse_unless_at(world: World, state: UnitStateRow, kinds: Sequence[str], *, remedy: str) -> None:
    """Refusal: `not-in-hand`, with where the records have it."""
    if state.kind in kinds:
        return
    parents = world.states([state.parent_id]) if state.parent_id is not None else {}
    raise Refusal(
        "not-in-hand",
        f"The records have {name_of(state)} at {place_text(world, state, parents)}.",
        remedy=remedy,
    )


def _enter(
    writer: Writer,
    world: World,
    planned: Planned,
    state: UnitStateRow,
    key: Key,
    as_of: date,
    acknowledged: Sequence[Acknowledgement],
    *,
    what: str,
    preview: bool,
) -> MoveRecorded:
    fact, name = planned.fact, name_of(state)
    kept_open = "the findings stay open."
    notes = notes_of(planned.stops, acknowledged, subject=name, what="this", kept_open=kept_open, preview=preview)
    before = whereabouts(world, world.states([state.unit_id, *planned.others]).values())
    first = writer.head.number + 1
    draft = Draft(kind=Transfer.KIND, on=fact.moved_on, sequence=fact.sequence, items=(fact,), acknowledged=notes)
    if problems := world.take_as_recorded([fact]):
        raise Impossible(problems)
    writer.append([draft], request_key=key[0], request_digest=key[1])
    followed = settle(writer, [draft], first_number=first, reference=world.reference)
    address = {
        "part_number": state.part_number,
        "serial_number": state.serial_number,
        "manufacturer": state.manufacturer,
    }
    hint = f"fleetlife unit {name}"
    return told_after(
        writer,
        world,
        followed,
        what=what,
        as_of=as_of,
        entry=first,
        before=before,
        units=[state.unit_id, *planned.others],
        empty=planned.empty,
        findings=(*(finding_of(stop, hint=hint, **address) for stop in planned.stops), *planned.findings),
        notes=planned.notes,
    )
