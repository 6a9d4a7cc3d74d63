"""`swap rob`: a unit off one airframe and on another as one entry: off the donor, inspected or tagged, on the receiver.

What hung at the receiver comes off with it. The donor's position is empty afterwards. A unit that is neither inspected
nor released since it came off, or whose donor was not flying, is a stop: acknowledged by name and reason, or nothing is
recorded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.follow import Impossible
from fleetlife.actions.moving import Key, answered_once, told_after, whereabouts
from fleetlife.actions.settle import settle
from fleetlife.actions.showing import refuse_to_come
from fleetlife.actions.swap import Prepared, SwapRequest, UnitName, acknowledged_in, finding_in, prepare, stops_of
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.follows.order import STEP
from fleetlife.follows.reference import Reference
from fleetlife.ledger.entry import ROBBED, Draft
from fleetlife.ledger.facts import Fact, Movement, Transfer
from fleetlife.store.engine import Store
from fleetlife.store.reference import current_reference
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms import words
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.refusal import Refusal

WHAT = "swap rob"


@dataclass(frozen=True, slots=True, kw_only=True)
class RobberyRequest:
    """From which door to which. `unit` None: the one that the records hold at the donor.

    `inspection`: the tag or report by which the unit was found serviceable, signed by `unit_inspected_by`; or its
    release is named by `certificate`, filed before. What hangs at the receiver comes off, to where `removed_to` says.
    """

    donor: str
    donor_position: str
    registration: str
    position: str
    on: date
    unit: UnitName | None = None
    remove: UnitName | None = None
    sequence: int | None = None
    inspection: str | None = None
    unit_inspected_by: str | None = None
    donor_minutes_total: int | None = None
    donor_cycles_total: int | None = None
    donor_technical_log: str | None = None
    minutes_total: int | None = None
    cycles_total: int | None = None
    technical_log: str | None = None
    certificate: str | None = None
    certificate_organisation: str | None = None
    harness: str | None = field(default=None, metadata={"words": words.HARNESS_SIDES})
    removed_to: str | None = field(default=None, metadata={"words": words.REMOVED_TO})
    removed_to_name: str | None = None
    removed_condition: str | None = field(default=None, metadata={"words": words.CONDITIONS})
    removal_kind: str | None = field(default=None, metadata={"words": words.REMOVAL_KINDS})
    defect: str | None = None
    work_order: str | None = None
    data_reference: str | None = None
    data_revision: str | None = None
    station: str | None = None
    signed_by: str | None = None
    inspected_by: str | None = None
    released_by: str | None = None


_OF_RECEIVER = (
    *("minutes_total", "cycles_total", "technical_log", "certificate", "certificate_organisation", "harness"),
    *("removed_to", "removed_to_name", "removed_condition", "removal_kind", "defect"),
)
_OF_BOTH = (*("work_order", "data_reference", "data_revision", "station", "signed_by", "inspected_by", "released_by"),)


def record_robbery(
    store: Store,
    request: RobberyRequest,
    *,
    as_of: date,
    recorded_by: str,
    acknowledged: Sequence[Acknowledgement] = (),
    request_key: str | None = None,
    preview: bool = False,
) -> MoveRecorded:
    """Record the robbery, or with `preview` show what it would change and record nothing.

    Refusals: `stops-not-acknowledged`, `inspection-incomplete`, `robbed-from-itself`, `position-empty`,
    `not-at-position`, `totals-fall`, `in-the-future`, `registration-*`, `position-unknown`, `unit-unknown`,
    `unit-ambiguous`, `unit-not-then`, the contradictions of the derivation, `request-key-reused`.
    """
    refuse_to_come(request.on, as_of=as_of, said="a robbery is recorded when it has happened")
    if bool((request.inspection or "").strip()) != bool((request.unit_inspected_by or "").strip()):
        raise Refusal(
            "inspection-incomplete",
            "An inspection of the unit has its tag or report and somebody who signed it; one of the two is missing.",
            remedy="Give both --inspection and --unit-inspected-by, or neither.",
            status=2,
        )

    def work(writer: Writer, key: Key) -> MoveRecorded:
        return _record(
            writer, request, as_of, acknowledged, key, current_reference(writer.connection, store.kept), preview
        )

    return answered_once(
        store, request, work, what=WHAT, recorded_by=recorded_by, request_key=request_key, preview=preview
    )


def _record(
    writer: Writer,
    request: RobberyRequest,
    as_of: date,
    acknowledged: Sequence[Acknowledgement],
    key: Key,
    reference: Reference,
    preview: bool,
) -> MoveRecorded:
    head = (writer.head.number, writer.head.digest)
    world = open_world(writer.connection, as_of=request.on, reference=reference, head=head)
    off, robbed = _off(world, request)
    there = world.states([robbed])
    if robbed not in there:
        raise unit_not_then()
    before = list(whereabouts(world, there.values()))
    items: list[Fact] = [off, *_inspected(world, request, off, robbed)]
    if problems := world.take_as_recorded(items):
        raise Impossible(problems)
    prepared = _on(world, request, off, robbed)
    on = prepared.movement
    if prepared.outgoing is not None:
        before += whereabouts(world, [prepared.outgoing])
    stops = stops_of(prepared)
    notes = acknowledged_in(stops, acknowledged, prepared, preview)
    draft = Draft(kind=ROBBED, on=off.moved_on, sequence=off.sequence, items=(*items, on), acknowledged=notes)
    writer.append([draft], request_key=key[0], request_digest=key[1])
    followed = settle(writer, [draft], first_number=head[0] + 1, reference=reference)
    donor = f"{reference.registration_on(off.airframe, world.as_of)} {off.position}"
    place = reference.position_of(off.airframe, off.position)
    return told_after(
        writer,
        world,
        followed,
        what=WHAT,
        as_of=as_of,
        entry=head[0] + 1,
        before=tuple(before),
        units=[robbed, *([on.removed] if on.removed is not None else [])],
        empty=[(donor, "empty, and it must hold a unit" if place.required else "empty")],
        airframes={off.airframe, on.airframe},
        findings=[finding_in(stop, prepared) for stop in stops],
        notes=_notes(donor, place.required),
    )


def _notes(donor: str, required: bool) -> list[str]:
    if not required:
        return []
    return [
        f"{donor} must hold a unit: it is found empty until one is fitted there, or told with its deferral "
        "(fleetlife deferral open) where authorised people have opened one."
    ]


def _off(world: World, request: RobberyRequest) -> tuple[Movement, int]:
    """The removal at the donor, and the unit. Refusals: `position-empty`, `not-at-position`, `totals-fall`."""
    wanted = SwapRequest(
        registration=request.donor,
        position=request.donor_position,
        on=request.on,
        remove=request.unit,
        remove_only=True,
        sequence=request.sequence,
        removal_kind="robbery",
        removed_to="store",
        minutes_total=request.donor_minutes_total,
        cycles_total=request.donor_cycles_total,
        technical_log=request.donor_technical_log,
        **{name: getattr(request, name) for name in _OF_BOTH},
    )
    movement = prepare(world, wanted).movement
    assert movement.removed is not None
    return movement, movement.removed


def _inspected(world: World, request: RobberyRequest, off: Movement, robbed: int) -> list[Transfer]:
    """That the unit was inspected between the two, or that a release since is filed: serviceable from then on. Nothing
    where neither is so."""
    released_on = world.states([robbed])[robbed].released_on
    if request.inspection:
        reference, signed = request.inspection.strip(), (request.unit_inspected_by or "").strip()
    elif request.certificate and released_on is not None and released_on >= world.as_of:
        reference, signed = f"certificate {request.certificate}", None
    else:
        return []
    return [
        Transfer(
            unit=robbed,
            moved_on=off.moved_on,
            sequence=off.sequence + STEP,
            target="store",
            condition="serviceable",
            certificate=request.certificate,
            certificate_organisation=request.certificate_organisation,
            reference=reference,
            signed_by=signed,
        )
    ]


def _on(world: World, request: RobberyRequest, off: Movement, robbed: int) -> Prepared:
    """The fitting at the receiver, with what comes off there, judged as after the removal. Refusals:
    `robbed-from-itself`, those of a swap."""
    airframe = world.reference.airframe_on(request.registration, world.as_of)
    if (airframe, world.reference.position_of(airframe, request.position).position) == (off.airframe, off.position):
        raise Refusal(
            "robbed-from-itself",
            f"Donor and receiver are the same position, {off.position}.",
            remedy="Name the position that receives the unit.",
            status=2,
        )
    name = world.states([robbed])[robbed]
    wanted = SwapRequest(
        registration=request.registration,
        position=request.position,
        on=request.on,
        install=UnitName(
            part_number=name.part_number, serial_number=name.serial_number, manufacturer=name.manufacturer
        ),
        remove=request.remove,
        **{name: getattr(request, name) for name in (*_OF_RECEIVER, *_OF_BOTH)},
    )
    prepared = prepare(world, wanted)
    sequence = max(prepared.movement.sequence, off.sequence + 2 * STEP)
    return replace(prepared, movement=replace(prepared.movement, sequence=sequence))
