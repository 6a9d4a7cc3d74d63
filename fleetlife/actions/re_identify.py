"""`identity re-identify`: a unit that bears another part number by a modification, with what moves by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.moving import Key, answered_once, refuse_blank, told_after, whereabouts
from fleetlife.actions.settle import settle, world_at_head
from fleetlife.actions.showing import refuse_to_come
from fleetlife.actions.swap import UnitName
from fleetlife.actions.transferred import unit_then
from fleetlife.clocks.between import moved_since
from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import UnitModification
from fleetlife.store.engine import Store
from fleetlife.store.facts import facts_ever
from fleetlife.store.reference import units_by_number
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal

WHAT = "identity re-identify"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReIdentifyRequest:
    """Which unit bears which part number from the day on, by which modification and which paper."""

    unit: UnitName
    on: date
    modification: str
    new_part_number: str
    certificate: str | None = None
    certificate_organisation: str | None = None
    reference: str | None = None


def record_re_identification(
    store: Store,
    request: ReIdentifyRequest,
    *,
    as_of: date,
    recorded_by: str,
    acknowledged: Sequence[Acknowledgement] = (),
    request_key: str | None = None,
    preview: bool = False,
) -> MoveRecorded:
    """Record it, or with `preview` show what it would move. Nothing stops it, so nothing is acknowledged.

    Refusals: `in-the-future`, `said-with-nothing`, `part-unknown`, `nothing-changes`, `modification-recorded-already`,
    `number-borne-by-another`, `unit-unknown`, `unit-ambiguous`, `unit-not-then`, `request-key-reused`.
    """
    refuse_to_come(request.on, as_of=as_of, said="a modification is recorded when it has been embodied")
    refuse_blank(("modification", request.modification), ("new part number", request.new_part_number))

    def work(writer: Writer, key: Key) -> MoveRecorded:
        before_it = writer.head.number
        world = world_at_head(writer, store, as_of=request.on)
        unit = unit_then(world, request.unit)
        fact = UnitModification(
            unit=unit.unit_id,
            modification=request.modification.strip(),
            embodied_on=request.on.isoformat(),
            new_part_number=_new_number(world, unit, request.new_part_number.strip()),
            certificate=request.certificate,
            certificate_organisation=request.certificate_organisation,
            reference=request.reference,
        )
        _refuse_twice(writer, fact)
        before = whereabouts(world, [unit])
        draft = Draft(kind=UnitModification.KIND, on=fact.embodied_on, items=(fact,))
        writer.append([draft], request_key=key[0], request_digest=key[1])
        followed = settle(writer, [draft], first_number=before_it + 1, reference=world.reference)
        return told_after(
            writer,
            world,
            followed,
            what=WHAT,
            as_of=as_of,
            entry=before_it + 1,
            before=before,
            units=[unit.unit_id],
            notes=[
                f"It stays the unit it is: every paper and entry under {unit.part_number} remains its own, and it is "
                "found by either number. Read the data plate again: it should bear the new one.",
            ],
            cautions=(),
            moved=moved_since(writer.connection, before_it, as_of=as_of),
        )

    return answered_once(
        store, request, work, what=WHAT, recorded_by=recorded_by, request_key=request_key, preview=preview
    )


def _new_number(world: World, unit: UnitStateRow, number: str) -> str:
    """As the parts file writes it. Refusals: `part-unknown`, `nothing-changes`, `number-borne-by-another`."""
    parts = world.reference.parts.get(fold(number))
    if not parts:
        known = [row.part_number for rows in world.reference.parts.values() for row in rows]
        raise Refusal(
            "part-unknown",
            f"No part {number} is in the records." + did_you_mean(number, known),
            remedy="Correct the number, or state the part and its programme first (parts, requirements).",
        )
    if fold(number) == fold(unit.part_number):
        raise Refusal(
            "nothing-changes",
            f"{name_of(unit)} bears that part number already.",
            remedy="A modification that leaves the number as it is goes into the unit_modifications file.",
        )
    others = {
        row[0]
        for row in units_by_number(world.connection, serial_number=unit.serial_number, part_number=number)
        if row[3] is None or unit.manufacturer is None or fold(row[3]) == fold(unit.manufacturer)
    } - {unit.unit_id}
    if others:
        raise Refusal(
            "number-borne-by-another",
            f"{number} {unit.serial_number} is another unit in these records already.",
            remedy="Look at both plates; two records of one unit are made one with fleetlife identity merge.",
        )
    return parts[0].part_number


def _refuse_twice(writer: Writer, fact: UnitModification) -> None:
    for ever in facts_ever(writer.connection, [fact.key()]).get(fact.key(), []):
        if ever.standing == "stands":
            raise Refusal(
                "modification-recorded-already",
                f"Entry {ever.number} states {fact.modification} on this unit.",
                remedy=f"If that entry is wrong, correct it: fleetlife ledger correct {ever.number}.",
            )
