"""`stores receive`: a unit came in; what the inspector saw, and where it went, as one entry.

What was seen is recorded, and no verdict: what holds the unit follows, and goes when record and unit agree. A unit that
the records do not know is introduced with it, by what its paper states.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from fleetlife.actions.mend import unchanged_since
from fleetlife.actions.settle import entered
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.actions.swap import UnitName
from fleetlife.checks.fitting import CAUTIONS
from fleetlife.clocks.between import moved_since
from fleetlife.clocks.receipts import causes_in, requalifications_of
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.follows.order import STEP
from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.entry import RECEIVED, Draft
from fleetlife.ledger.facts import Accomplishment, Fact, Opening, PlateReading, Receipt, Transfer
from fleetlife.store.engine import Store
from fleetlife.store.reference import load_reference, next_ids
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.number import OWN_TRACKING_PREFIX, did_you_mean, fold, is_own_tracking
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.stores import Cause, UnitReceived

NO_SERIAL = ("", "N/A", "NA", "NIL", "NONE", "-")


@dataclass(frozen=True, slots=True, kw_only=True)
class NewUnit:
    """What the paper states of a unit the records do not know. None: not stated, and then it is unknown."""

    manufactured: str | None = None
    cured: str | None = None
    expires: str | None = None
    minutes_since_new: int | None = None
    cycles_since_new: int | None = None
    operations_since_new: int | None = None
    life_quality: str | None = None
    batch: str | None = None
    owner: str | None = None
    return_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptSeen:
    """What was seen of which unit, and where it goes. `plate`: part and serial number, None where nobody read it;
    `new`: introduces a unit the records do not know."""

    unit: UnitName
    on: date
    inspector: str
    result: str
    store: str | None = None
    bin: str | None = None
    plate: tuple[str, str] | None = None
    certificate: str | None = None
    certificate_organisation: str | None = None
    order: str | None = None
    delivery_note: str | None = None
    mark: str | None = None
    cured: str | None = None
    expires: str | None = None
    looked: bool = False
    damage: str | None = None
    condition: str | None = None
    reference: str | None = None
    new: NewUnit | None = None


def record_receipt(
    store: Store,
    seen: ReceiptSeen,
    *,
    as_of: date,
    recorded_by: str,
    moves_on: date | None = None,
    preview: bool = False,
    head: str | None = None,
) -> UnitReceived:
    """Record a receipt, or with `preview` show what would follow and record nothing.

    Refusals: `in-the-future`, `inspector-missing`, `damage-not-looked-for`, `store-missing`, `in-an-assembly`,
    `unit-unknown`, `unit-known`, `unit-ambiguous`, `unit-not-then`, `part-unknown`, `manufacturer-missing`,
    `serial-missing`, `batch-missing`, `recorded-meanwhile`, and the contradictions of the derivation.
    """
    _refuse_unfit(seen, as_of)

    def work(writer: Writer) -> UnitReceived:
        unchanged_since(writer, head)
        return _record(writer, seen, as_of, moves_on)

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def _refuse_unfit(seen: ReceiptSeen, as_of: date) -> None:
    refuse_to_come(seen.on, as_of=as_of, said="a receipt is recorded when the unit has come in")
    if not seen.inspector.strip():
        raise Refusal("inspector-missing", "Nobody is named who looked.", remedy="Say who with --inspector.", status=2)
    if seen.damage and not seen.looked:
        raise Refusal(
            "damage-not-looked-for",
            "Damage is told that nobody looked for.",
            remedy="Say that it was looked for, or leave the damage out.",
            status=2,
        )


def _record(writer: Writer, seen: ReceiptSeen, as_of: date, moves_on: date | None) -> UnitReceived:
    connection, before = writer.connection, writer.head.number
    reference = load_reference(connection)
    then = open_world(connection, as_of=seen.on, reference=reference, head=(before, writer.head.digest))
    opening = _introduced(then, connection, seen)
    if opening is not None:
        unit, state, own = opening.unit, None, []
    else:
        unit = then.unit_named(seen.unit.part_number, seen.unit.serial_number, seen.unit.manufacturer)
        state = then.states([unit]).get(unit)
        if state is None:
            raise unit_not_then()
        own = then.facts([unit])[unit]
    sequence = next_in_day(own, seen.on)
    items = _items(then, seen, opening, unit, state, sequence)
    draft = Draft(kind=RECEIVED, on=seen.on.isoformat(), sequence=sequence, items=tuple(items))
    now = entered(writer, draft, reference=reference, as_of=as_of)
    after = now.states([unit])[unit]
    causes = causes_in(now, unit)
    if after.plate is not None:
        causes.append(Cause(on=seen.on.isoformat(), text=f"the data plate reads {after.plate}", decided=False))
    place = " ".join(each for each in (after.kind, after.place_name, after.slot) if each)
    return UnitReceived(
        entry=before + 1,
        ledger_head=writer.head.digest,
        name=f"{after.part_number} {after.serial_number}",
        introduced=opening is not None,
        place=place + (f", bin {after.bin}" if after.bin else ""),
        hold=after.hold,
        causes=tuple(causes),
        told=(*then.notes, *_not_seen(seen)),
        cautions=CAUTIONS if seen.damage else (),
        moved=() if moves_on is None else moved_since(connection, before, as_of=moves_on),
    )


def next_in_day(facts: list[Recorded], on: date) -> int:
    """The place in the day behind everything that is recorded of the unit for it."""
    day = on.isoformat()
    taken = [getattr(r.fact, "sequence", None) or 0 for r in facts if r.fact.dated() == day]
    return max(taken, default=0) + STEP


def _introduced(then: World, connection: Any, seen: ReceiptSeen) -> Opening | None:
    """The opening statement of a unit that the records do not know, as of the day before it came in; None where they
    know it."""
    try:
        then.unit_named(seen.unit.part_number, seen.unit.serial_number, seen.unit.manufacturer)
    except Refusal as refusal:
        if refusal.code != "unit-unknown" or seen.new is None:
            raise
    else:
        if seen.new is not None:
            raise Refusal(
                "unit-known",
                f"{seen.unit.part_number} {seen.unit.serial_number} is in the records already.",
                remedy="Leave out that it is new, and what its paper states of its life: that is recorded.",
            )
        return None
    new, part, serial = seen.new, seen.unit.part_number.strip(), seen.unit.serial_number.strip()
    return Opening(
        unit=next_ids(connection)[1],
        part_number=part,
        serial_number=serial,
        manufacturer=_maker(then, part, serial, seen),
        manufactured=new.manufactured,
        # where the paper is silent, what stands on the unit is what is known
        cured=new.cured or seen.cured,
        expires=new.expires or seen.expires,
        minutes_since_new=new.minutes_since_new,
        cycles_since_new=new.cycles_since_new,
        operations_since_new=new.operations_since_new,
        as_of=(seen.on - timedelta(days=1)).isoformat(),
        place="unknown",
        life_quality=new.life_quality,
        batch=new.batch,
        owner=new.owner,
        return_by=new.return_by,
        source=", ".join(
            text
            for text in (
                f"certificate {seen.certificate}" if seen.certificate else "",
                f"delivery note {seen.delivery_note}" if seen.delivery_note else "",
            )
            if text
        )
        or f"receipt of {seen.on.isoformat()}",
    )


def _maker(then: World, part: str, serial: str, seen: ReceiptSeen) -> str | None:
    """Who made the new unit, as the parts file says. Refusals: `part-unknown`, `manufacturer-missing`,
    `serial-missing`, `batch-missing`."""
    rows = then.reference.parts.get(fold(part), [])
    if not rows:
        known = [each.part_number for parts in then.reference.parts.values() for each in parts]
        raise Refusal(
            "part-unknown",
            f"No part {part} is in the records." + did_you_mean(part, known),
            remedy="Correct the part number, or state the part first: fleetlife import parts.csv",
        )
    if fold(serial) in NO_SERIAL:
        raise Refusal(
            "serial-missing",
            "An item without a serial number needs the operator's own tracking number.",
            remedy=f"Give {OWN_TRACKING_PREFIX} and your number, and its batch with --batch.",
            status=2,
        )
    if is_own_tracking(serial) and not (seen.new and seen.new.batch):
        raise Refusal(
            "batch-missing",
            "An item under an own tracking number is known by its batch.",
            remedy="Say it with --batch.",
            status=2,
        )
    makers = sorted({row.manufacturer for row in rows if row.manufacturer})
    if seen.unit.manufacturer is None and len(makers) > 1:
        raise Refusal(
            "manufacturer-missing",
            f"Part {part} is made by {' and by '.join(makers)}.",
            remedy="Say which made this unit with --manufacturer.",
        )
    return seen.unit.manufacturer or (makers[0] if makers else None)


def _items(
    then: World, seen: ReceiptSeen, opening: Opening | None, unit: int, state: UnitStateRow | None, sequence: int
) -> list[Fact]:
    """What the entry states: the receipt first, then what goes with it."""
    day = seen.on.isoformat()
    receipt = Receipt(
        unit=unit,
        received_on=day,
        sequence=sequence,
        inspector=seen.inspector.strip(),
        result=seen.result,
        certificate=seen.certificate,
        certificate_organisation=seen.certificate_organisation,
        order=seen.order,
        delivery_note=seen.delivery_note,
        mark=seen.mark,
        cured=seen.cured,
        expires=seen.expires,
        looked=seen.looked,
        damage=seen.damage,
        reference=seen.reference,
    )
    items: list[Fact] = [receipt] if opening is None else [opening, receipt]
    items += _put_away(seen, unit, state, sequence)
    if seen.plate is not None:
        items.append(
            PlateReading(
                unit=unit,
                read_on=day,
                sequence=sequence,
                part_number=seen.plate[0].strip(),
                serial_number=seen.plate[1].strip(),
                seen_by=seen.inspector.strip(),
                reference=seen.reference,
            )
        )
    if opening is not None and seen.mark:
        # of a new unit the mark on it is the record; of which test is known only where the part has one
        names = requalifications_of(then, opening.part_number)
        if len(names) == 1:
            items.append(Accomplishment(unit=unit, requirement=names.pop(), done_on=seen.mark, date_basis="mark"))
    return items


def _put_away(seen: ReceiptSeen, unit: int, state: UnitStateRow | None, sequence: int) -> list[Fact]:
    """The move to its store and bin; none for a unit that is looked at inside its assembly. Refusals: `store-missing`,
    `in-an-assembly`."""
    if state is not None and state.kind == "slot":
        if seen.store or seen.bin:
            raise Refusal(
                "in-an-assembly",
                f"It is in slot {state.slot} of an assembly, which goes to a store as a whole.",
                remedy="Leave store and bin out; if it is out of the assembly, say so with a row of transfers first.",
            )
        return []
    if not (seen.store or "").strip():
        raise Refusal("store-missing", "Where it goes is not said.", remedy="Say it with --store.", status=2)
    return [
        Transfer(
            unit=unit,
            moved_on=seen.on.isoformat(),
            sequence=sequence,
            target="store",
            store=(seen.store or "").strip(),
            bin=seen.bin,
            condition=seen.condition,
            order=seen.order,
            certificate=seen.certificate,
            certificate_organisation=seen.certificate_organisation,
            reference=seen.delivery_note or seen.reference,
            signed_by=seen.inspector.strip(),
        )
    ]


def _not_seen(seen: ReceiptSeen) -> list[str]:
    """What nobody looked at: nothing is taken for good that was not seen."""
    told = []
    if seen.plate is None:
        told.append("Its data plate was not read.")
    if not seen.looked:
        told.append("Nobody looked for damage.")
    return told
