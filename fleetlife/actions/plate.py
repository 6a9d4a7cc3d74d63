"""`identity plate-differs` and `plate-agrees`: somebody read a unit's data plate.

What the plate reads is recorded, and no verdict: whether it is what the record says follows, and follows anew when the
record is put right.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from fleetlife.actions.mend import unchanged_since
from fleetlife.actions.settle import entered
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.actions.swap import UnitName
from fleetlife.clocks.between import moved_since
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.follows.plates import plate_differs
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import PlateReading
from fleetlife.store.engine import Store
from fleetlife.store.reference import facts_of_units, load_reference, units_by_number
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DifferenceRow


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSeen:
    """What was read, of which unit. plate: part and serial number; None: what the record says."""

    unit: UnitName
    plate: tuple[str, str] | None
    on: date
    seen_by: str
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateRecorded:
    """The entry, the unit and what its plate reads; why it is on hold after it, if it is. told: what to know beside."""

    entry: int
    ledger_head: str
    name: str
    plate: str
    hold: str | None
    told: tuple[str, ...] = ()
    moved: tuple[DifferenceRow, ...] = ()


def record_plate(
    store: Store,
    seen: PlateSeen,
    *,
    as_of: date,
    recorded_by: str,
    moves_on: date | None = None,
    preview: bool = False,
    head: str | None = None,
) -> PlateRecorded:
    """Record what a plate reads, or with `preview` show what that would change and record nothing.

    Refusals: `in-the-future`, `seen-by-missing`, `plate-agrees`, `unit-unknown`, `unit-ambiguous`, `unit-not-then`,
    `recorded-meanwhile`.
    """
    refuse_to_come(seen.on, as_of=as_of, said="a plate is recorded when it has been read")
    if not seen.seen_by.strip():
        raise Refusal("seen-by-missing", "Nobody is named who read it.", remedy="Say who with --seen-by.", status=2)

    def work(writer: Writer) -> PlateRecorded:
        unchanged_since(writer, head)
        return _record(writer, seen, as_of, moves_on)

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def _record(writer: Writer, seen: PlateSeen, as_of: date, moves_on: date | None) -> PlateRecorded:
    connection, before = writer.connection, writer.head.number
    reference = load_reference(connection)
    then = open_world(connection, as_of=seen.on, reference=reference, head=(before, writer.head.digest))
    unit = then.unit_named(seen.unit.part_number, seen.unit.serial_number, seen.unit.manufacturer)
    state = then.states([unit]).get(unit)
    if state is None:
        raise unit_not_then()
    recorded = (state.part_number, state.serial_number)
    part, serial = (text.strip() for text in seen.plate or recorded)
    day = seen.on.isoformat()
    fact = PlateReading(
        unit=unit,
        read_on=day,
        sequence=next_reading(connection, unit, day),
        part_number=part,
        serial_number=serial,
        seen_by=seen.seen_by.strip(),
        reference=seen.reference,
    )
    if seen.plate and not plate_differs(fact, borne=[(0, state.part_number)], serial_number=state.serial_number):
        raise Refusal(
            "plate-agrees",
            f"The plate reads what is recorded, {' '.join(recorded)}.",
            remedy="If that is to be recorded, say so with fleetlife identity plate-agrees.",
        )
    draft = Draft(kind=PlateReading.KIND, on=day, items=(fact,))
    now = entered(writer, draft, reference=reference, as_of=as_of)
    after = now.states([unit])[unit]
    return PlateRecorded(
        entry=before + 1,
        ledger_head=writer.head.digest,
        name=f"{after.part_number} {after.serial_number}",
        plate=f"{part} {serial}",
        hold=after.hold,
        told=(*then.notes, *_bearers(then, connection, unit, part, serial)),
        moved=() if moves_on is None else moved_since(connection, before, as_of=moves_on),
    )


def next_reading(connection: Any, unit: int, day: str) -> int:
    """The place of one more reading of the unit's plate among those of the day."""
    stated = (fact for _, fact in facts_of_units(connection, PlateReading, [unit]))
    taken = [fact.sequence for fact in stated if isinstance(fact, PlateReading) and fact.read_on == day]
    return max(taken, default=-1) + 1


def _bearers(world: World, connection: Any, unit: int, part: str, serial: str) -> list[str]:
    """The other units that the records have under what the plate reads."""
    rows = units_by_number(connection, serial_number=serial, part_number=part)
    others = world.states({row[0] for row in rows} - {unit})
    return [
        f"Another unit is recorded as what it reads: fleetlife unit {state.part_number} {state.serial_number}."
        for state in others.values()
    ]
