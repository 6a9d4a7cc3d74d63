"""`walk-round --record`: what was seen at the doors becomes entries, all together or none.

A plate that reads what is recorded is evidence of the day; one that reads otherwise puts its unit on hold until that is
answered. A unit that hangs where another is recorded was found there; one that is gone is at an unknown place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import count
from typing import Any

from fleetlife.actions.mend import unchanged_since
from fleetlife.actions.plate import next_reading
from fleetlife.actions.settle import settle
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.actions.swap import next_sequence
from fleetlife.clocks.walk_round import walk_round_in
from fleetlife.clocks.world import World, open_world
from fleetlife.follows.order import STEP
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Fact, Movement, PlateReading
from fleetlife.store.engine import Store
from fleetlife.store.reference import load_reference
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.walk_round import (
    AGREE,
    EMPTY,
    NOT_RECORDED,
    OTHER_TEXT,
    OTHER_UNIT,
    UNKNOWN,
    SeenAt,
    WalkRecorded,
    WalkRow,
)

READ = (AGREE, OTHER_TEXT)


def record_walk_round(
    store: Store,
    *,
    registration: str,
    seen: Sequence[SeenAt],
    on: date,
    seen_by: str,
    as_of: date,
    recorded_by: str,
    head: str | None = None,
) -> WalkRecorded:
    """Record what the walk-round shows. `head`: the ledger head it was shown under, so that nothing else is recorded.

    Refusals: `in-the-future`, `seen-by-missing`, `recorded-meanwhile`, those of `walk_round`, and the contradictions of
    the derivation.
    """
    refuse_to_come(on, as_of=as_of, said="a walk-round is recorded when it has been made")
    if not seen_by.strip():
        raise Refusal("seen-by-missing", "Nobody is named who looked.", remedy="Say who with --seen-by.", status=2)

    def work(writer: Writer) -> WalkRecorded:
        unchanged_since(writer, head)
        return _record(writer, registration, seen, on, seen_by.strip())

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=False)


def _record(writer: Writer, registration: str, seen: Sequence[SeenAt], on: date, seen_by: str) -> WalkRecorded:
    reference = load_reference(writer.connection)
    before = writer.head.number
    world = open_world(writer.connection, as_of=on, reference=reference, head=(before, writer.head.digest))
    report = walk_round_in(world, registration=registration, seen=seen)
    airframe = reference.airframe_on(registration, on.toordinal())
    said: dict[str, Any] = {"reason": f"walk-round of {report.registration} on {report.on}", "authorised_by": seen_by}
    plates = list(_plates(world, airframe, report.rows, report.on, seen_by))
    moves = list(_moves(world, airframe, report.rows, report.on, seen_by))
    facts: list[Fact] = [*plates, *moves]
    told = {
        "agreed": sum(row.verdict == AGREE and row.found_part_number is not None for row in report.rows),
        "read_otherwise": sum(row.verdict in (OTHER_TEXT, UNKNOWN) for row in report.rows),
        "moved": len(moves),
    }
    if not facts:
        return WalkRecorded(entries=(), ledger_head=writer.head.digest, **told)
    group = f"walk-round {before + 1}"
    drafts = [
        Draft(
            kind=fact.KIND,
            on=fact.dated(),
            sequence=fact.sequence if isinstance(fact, Movement) else None,
            items=(fact,),
            group=group,
            **said,
        )
        for fact in facts
    ]
    writer.append(drafts)
    settle(writer, drafts, first_number=before + 1, reference=reference)
    return WalkRecorded(
        entries=tuple(range(before + 1, writer.head.number + 1)), ledger_head=writer.head.digest, **told
    )


def _plates(world: World, airframe: int, rows: Sequence[WalkRow], on: str, seen_by: str) -> Iterator[PlateReading]:
    """What the plates read of the units that are recorded there. Where no unit bears what was read, it is the recorded
    one's plate, or another unit hangs there: either way the recorded one is on hold until that is answered."""
    there = {row.position: row.unit_id for row in world.installed_on(airframe)}
    for row in rows:
        unit = there.get(row.position)
        if unit is None or row.found_part_number is None or row.found_serial_number is None:
            continue
        if row.verdict not in (*READ, UNKNOWN):
            continue
        yield PlateReading(
            unit=unit,
            read_on=on,
            sequence=next_reading(world.connection, unit, on),
            part_number=row.found_part_number,
            serial_number=row.found_serial_number,
            seen_by=seen_by,
            reference=f"walk-round, {row.position}",
        )


def _moves(world: World, airframe: int, rows: Sequence[WalkRow], on: str, seen_by: str) -> Iterator[Movement]:
    """Units found where the records hold another or none, in order of position; then what is gone and was found nowhere
    else on the airframe."""
    there: dict[str, int | None] = {row.position or "": row.unit_id for row in world.installed_on(airframe)}
    units = [each for each in (*there.values(), *(row.unit for row in rows)) if each is not None]
    places = count(next_sequence(world.connection, units, (), date.fromisoformat(on).toordinal()), STEP)
    found_units: set[int] = set()
    for row in rows:
        if row.verdict not in (OTHER_UNIT, NOT_RECORDED):
            continue
        unit = row.unit
        assert unit is not None
        believed = there.get(row.position)
        found_units.add(unit)
        yield Movement(
            airframe=airframe,
            position=row.position,
            moved_on=on,
            sequence=next(places),
            installed=unit,
            found=True,
            displaced=believed,
            harness=row.harness,
            signed_by=seen_by,
        )
        for position, held in there.items():
            if held == unit:
                there[position] = None
        there[row.position] = unit
    for row in rows:
        unit_there = there.get(row.position)
        if row.verdict == EMPTY and unit_there is not None and unit_there not in found_units:
            yield Movement(
                airframe=airframe,
                position=row.position,
                moved_on=on,
                sequence=next(places),
                removed=unit_there,
                removed_to="unknown",
                removed_condition="unknown",
                signed_by=seen_by,
            )
