"""What may be stated: one frozen class a kind, its fields the JSON of the ledger.

Values are text, whole numbers, booleans and None only (no floats): days are ISO text, partial dates their
canonical text, hours whole minutes, masses grams, cycles per day thousandths. A field that is None is left
out of the canonical text, so a later column does not change the digest of an older fact.

`KEY` names the natural key: one fact stands for a key at a time.
Units and airframes are named by the id that the introducing entry allotted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import MISSING, dataclass, fields
from typing import Any, ClassVar

from fleetlife.ledger.fact import UNIT_FIELDS, Fact, field_names
from fleetlife.ledger.planning import PLANNING_FACTS
from fleetlife.ledger.publications import Applicability, Compliance, NotEmbodied, Publication
from fleetlife.ledger.swaps import SWAP_FACTS

__all__ = ["FACTS", "UNIT_FIELDS", "Fact", "fact_from_body", "field_names"]

# --- reference data ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class AirframeType(Fact):
    KIND: ClassVar[str] = "airframe_type"
    KEY: ClassVar[tuple[str, ...]] = ("type",)
    type: str
    name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Position(Fact):
    """A place of a type. `harness` is the side a unit there must be rigged for; `retained` names items that stay."""

    KIND: ClassVar[str] = "position"
    KEY: ClassVar[tuple[str, ...]] = ("type", "position")
    type: str
    position: str
    side: str
    harness: str | None = None
    pair: str | None = None
    kind: str | None = None
    required: bool = False
    retained: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Airframe(Fact):
    """Introduces an airframe. `registered_from` and `registered_until` bound the registration given here."""

    KIND: ClassVar[str] = "airframe"
    KEY: ClassVar[tuple[str, ...]] = ("constructor_serial",)
    airframe: int
    registration: str
    constructor_serial: str
    type: str
    manufactured: str | None = None
    operator: str | None = None
    station: str | None = None
    programme: str | None = None
    registered_from: str | None = None
    registered_until: str | None = None
    status: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Registration(Fact):
    KIND: ClassVar[str] = "registration"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "registered_from")
    airframe: int
    registration: str
    registered_from: str
    registered_until: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AirframeModification(Fact):
    KIND: ClassVar[str] = "airframe_modification"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "modification")
    airframe: int
    modification: str
    embodied_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Fact):
    KIND: ClassVar[str] = "part"
    KEY: ClassVar[tuple[str, ...]] = ("part_number", "manufacturer")
    part_number: str
    manufacturer: str | None = None
    description: str | None = None
    kind: str | None = None
    rig: str | None = None
    mass_grams: int | None = None
    intermix_family: str | None = None
    cage: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot(Fact):
    KIND: ClassVar[str] = "slot"
    KEY: ClassVar[tuple[str, ...]] = ("part_number", "slot", "child_part_number")
    part_number: str
    slot: str
    child_part_number: str
    required: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Eligibility(Fact):
    KIND: ClassVar[str] = "eligibility"
    KEY: ClassVar[tuple[str, ...]] = ("type", "position", "part_number", "serial_from")
    type: str
    position: str
    part_number: str
    serial_from: str | None = None
    serial_to: str | None = None
    requires_modification: str | None = None
    excludes_modification: str | None = None
    requires_unit_modification: str | None = None
    excludes_unit_modification: str | None = None
    effective_from: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternate(Fact):
    """`alternate` may stand in for `part_number`; with direction supersedes, `alternate` supersedes `part_number`."""

    KIND: ClassVar[str] = "alternate"
    KEY: ClassVar[tuple[str, ...]] = ("part_number", "alternate")
    part_number: str
    alternate: str
    direction: str
    conditions: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Intermix(Fact):
    """What a door pair may carry together. `permitted` False is a stop only where a reference says so."""

    KIND: ClassVar[str] = "intermix"
    KEY: ClassVar[tuple[str, ...]] = ("family", "other_family")
    family: str
    other_family: str
    permitted: bool
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement(Fact):
    """What must be done to units of a part, and when. Limits None = no such limit. Hours are minutes.

    With a `counter` the limits in cycles (of a counter that counts) or in minutes (of one in hours) are limits in that
    counter, and in nothing that was flown.
    """

    KIND: ClassVar[str] = "requirement"
    KEY: ClassVar[tuple[str, ...]] = ("requirement", "part_number", "programme", "edition")
    requirement: str
    part_number: str
    kind: str
    source: str | None = None
    programme: str | None = None
    edition: str | None = None
    effective_from: str | None = None
    effective_to: str | None = None
    start: str | None = None
    first_months: int | None = None
    first_days: int | None = None
    first_minutes: int | None = None
    first_cycles: int | None = None
    first_operations: int | None = None
    repeat_months: int | None = None
    repeat_days: int | None = None
    repeat_minutes: int | None = None
    repeat_cycles: int | None = None
    repeat_operations: int | None = None
    operation: str | None = None
    whichever: str | None = None
    month_rule: str | None = None
    shelf_allowance_months: int | None = None
    done_at: str | None = None
    anchor: str | None = None
    window_early_days: int | None = None
    window_early_minutes: int | None = None
    window_early_cycles: int | None = None
    window_late_days: int | None = None
    window_late_minutes: int | None = None
    window_late_cycles: int | None = None
    variation_allowed: bool = False
    at_due: str | None = None
    resets: str | None = None
    requires_unit_modification: str | None = None
    reference: str | None = None
    counter: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Band(Fact):
    KIND: ClassVar[str] = "band"
    KEY: ClassVar[tuple[str, ...]] = ("requirement", "part_number", "programme", "edition", "from_age_months")
    requirement: str
    part_number: str
    programme: str | None = None
    edition: str | None = None
    from_age_months: int
    repeat_months: int | None = None
    repeat_minutes: int | None = None
    repeat_cycles: int | None = None
    band_rule: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Counter(Fact):
    """A counter beyond flight hours and cycles, named by the operator. `measure`: count, or hours (kept as minutes)."""

    KIND: ClassVar[str] = "counter"
    KEY: ClassVar[tuple[str, ...]] = ("counter",)
    counter: str
    measure: str
    description: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Organisation(Fact):
    """An organisation that signs release certificates, as the certificates name it."""

    KIND: ClassVar[str] = "organisation"
    KEY: ClassVar[tuple[str, ...]] = ("organisation",)
    organisation: str
    name: str | None = None
    country: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Approval(Fact):
    """An approval of an organisation, both days of its validity included; None: not stated, so without that end."""

    KIND: ClassVar[str] = "approval"
    KEY: ClassVar[tuple[str, ...]] = ("organisation", "approval", "valid_from")
    organisation: str
    approval: str
    authority: str | None = None
    scope: str | None = None
    valid_from: str | None = None
    valid_to: str | None = None


# --- units and what happens to them -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening(Fact):
    """Introduces a unit: counts at the end of `as_of`, and where it was then, there since `placed_on`.

    `place` is one of words.PLACE_KINDS; a place of kind position names airframe and position, of kind slot
    parent and slot, of kind store the store (in `place_name`) and bin.
    """

    KIND: ClassVar[str] = "unit"
    KEY: ClassVar[tuple[str, ...]] = ("part_number", "serial_number", "manufacturer")
    unit: int
    part_number: str
    serial_number: str
    manufacturer: str | None = None
    manufactured: str | None = None
    cured: str | None = None
    expires: str | None = None
    first_installed: str | None = None
    minutes_since_new: int | None = None
    cycles_since_new: int | None = None
    operations_since_new: int | None = None
    as_of: str
    place: str
    airframe: int | None = None
    position: str | None = None
    parent: int | None = None
    slot: str | None = None
    place_name: str | None = None
    bin: str | None = None
    placed_on: str | None = None
    condition: str | None = None
    hold: str | None = None
    harness: str | None = None
    life_quality: str | None = None
    owner: str | None = None
    return_by: str | None = None
    batch: str | None = None
    source: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitModification(Fact):
    KIND: ClassVar[str] = "unit_modification"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "modification")
    unit: int
    modification: str
    embodied_on: str
    new_part_number: str | None = None
    certificate: str | None = None
    certificate_organisation: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Accomplishment(Fact):
    """A requirement done on `done_on` (partial for marks). `*_since` = run since then at the unit's `as_of`.

    `expansion_*`: the figures of a cylinder's volumetric expansion test, volumes in thousandths of a cubic centimetre;
    `expansion_limit` is the rejection elastic expansion marked on it.
    `counter_*` are in the `counter`.
    """

    KIND: ClassVar[str] = "accomplishment"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "requirement", "done_on", "sequence")
    unit: int
    requirement: str
    done_on: str
    date_basis: str | None = None
    minutes_since_new: int | None = None
    cycles_since_new: int | None = None
    operations_since_new: int | None = None
    minutes_since: int | None = None
    cycles_since: int | None = None
    operations_since: int | None = None
    stated_due: str | None = None
    certificate: str | None = None
    certificate_organisation: str | None = None
    sequence: int | None = None
    expansion_total: int | None = None
    expansion_permanent: int | None = None
    expansion_limit: int | None = None
    expansion_specification: str | None = None
    counter: str | None = None
    counter_since_new: int | None = None
    counter_since: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation(Fact):
    KIND: ClassVar[str] = "operation"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "operated_on", "operation", "sequence")
    unit: int
    operated_on: str
    operation: str
    count: int
    reference: str | None = None
    sequence: int | None = None
    intent: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate(Fact):
    """One line of a release certificate. part_number and serial_number are what the paper says.

    `unit` is the unit it is filed against: None when no unit was named and none agrees.
    """

    KIND: ClassVar[str] = "certificate"
    KEY: ClassVar[tuple[str, ...]] = ("organisation", "tracking_number", "item", "serial_number")
    tracking_number: str
    organisation: str
    part_number: str
    serial_number: str
    status: str
    dated_on: str
    form: str | None = None
    side: str | None = None
    item: str | None = None
    authority: str | None = None
    approval: str | None = None
    work_order: str | None = None
    description: str | None = None
    quantity: int | None = None
    batch: str | None = None
    remarks: str | None = None
    signatory: str | None = None
    minutes_since_new: int | None = None
    cycles_since_new: int | None = None
    corrects: str | None = None
    document: str | None = None
    unit: int | None = None
    filed_stated: bool = False
    second_authority: str | None = None
    second_approval: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Fact):
    """Totals of an airframe at the end of a day."""

    KIND: ClassVar[str] = "reading"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "read_on")
    airframe: int
    read_on: str
    minutes: int
    cycles: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CounterReading(Fact):
    """An airframe's own total of a counter at the end of a day: a whole number, or minutes."""

    KIND: ClassVar[str] = "counter_reading"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "counter", "read_on")
    airframe: int
    counter: str
    read_on: str
    total: int


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitCounter(Fact):
    """What a unit had run in a counter since new, at the end of its opening statement's `as_of`."""

    KIND: ClassVar[str] = "unit_counter"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "counter")
    unit: int
    counter: str
    since_new: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement(Fact):
    """A removal, an installation, or both at one position as one thing (a swap).

    `found`: the unit named (removed if there is one, else installed) was found at the position although the
    records held another there, or held this one elsewhere. `displaced` is the unit the records believed there:
    its stay ends at an unknown time and its place is unknown.
    """

    KIND: ClassVar[str] = "movement"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "position", "moved_on", "sequence")
    airframe: int
    position: str
    moved_on: str
    sequence: int = 0
    time_utc: str | None = None
    station: str | None = None
    removed: int | None = None
    removed_to: str | None = None
    removed_to_name: str | None = None
    removed_condition: str | None = None
    removal_kind: str | None = None
    defect: str | None = None
    installed: int | None = None
    found: bool = False
    displaced: int | None = None
    minutes_total: int | None = None
    cycles_total: int | None = None
    certificate: str | None = None
    certificate_organisation: str | None = None
    harness: str | None = None
    technical_log: str | None = None
    work_order: str | None = None
    data_reference: str | None = None
    data_revision: str | None = None
    signed_by: str | None = None
    inspected_by: str | None = None
    released_by: str | None = None
    swap: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer(Fact):
    """Any change of place that is no movement at a position. `target` is one of words.TRANSFER_TARGETS."""

    KIND: ClassVar[str] = "transfer"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "moved_on", "sequence")
    unit: int
    moved_on: str
    sequence: int = 0
    target: str
    organisation: str | None = None
    store: str | None = None
    bin: str | None = None
    parent: int | None = None
    slot: str | None = None
    condition: str | None = None
    hold: str | None = None
    harness: str | None = None
    order: str | None = None
    expected_back: str | None = None
    certificate: str | None = None
    certificate_organisation: str | None = None
    reference: str | None = None
    signed_by: str | None = None
    disposition: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateReading(Fact):
    """What somebody read on a unit's data plate. Where the last one is not what the record says the unit is on hold."""

    KIND: ClassVar[str] = "plate_reading"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "read_on", "sequence")
    unit: int
    read_on: str
    sequence: int = 0
    part_number: str
    serial_number: str
    seen_by: str
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt(Fact):
    """What an inspector saw when a unit came in; where it went and what its plate reads are facts of their own.

    `mark`, `cured` and `expires` are what stands on the unit, partial; `looked` False: nobody looked for damage.
    `result` is one of words.RECEIPT_RESULTS. Whether any of it disagrees with the record follows.
    """

    KIND: ClassVar[str] = "receipt"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "received_on", "sequence")
    unit: int
    received_on: str
    sequence: int = 0
    inspector: str
    result: str
    certificate: str | None = None
    certificate_organisation: str | None = None
    order: str | None = None
    delivery_note: str | None = None
    mark: str | None = None
    cured: str | None = None
    expires: str | None = None
    looked: bool = False
    damage: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldDecision(Fact):
    """What a person decides of a hold: that a unit is a suspected unapproved part, that it is none, or that what was
    found at its receipt no longer holds it. `decision` is one of words.HOLD_DECISIONS; `document` a kept paper."""

    KIND: ClassVar[str] = "hold_decision"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "decided_on", "sequence")
    unit: int
    decided_on: str
    sequence: int = 0
    decision: str
    why: str
    decided_by: str
    reference: str | None = None
    document: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Utilisation(Fact):
    """Planned utilisation of a period, both days included. Cycles per day in thousandths."""

    KIND: ClassVar[str] = "utilisation"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "planned_from")
    airframe: int
    planned_from: str
    planned_to: str
    minutes_per_day: int
    millicycles_per_day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Variation(Fact):
    """An approved one-time extension, to a date or to airframe totals at which the unit must be off or done."""

    KIND: ClassVar[str] = "variation"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "requirement", "approved_on")
    unit: int
    requirement: str
    until_on: str | None = None
    until_minutes: int | None = None
    until_cycles: int | None = None
    approved_on: str | None = None
    approved_by: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver(Fact):
    """A finding accepted until a day, by name and reason. Never for overdue life, limitation or directive."""

    KIND: ClassVar[str] = "waiver"
    KEY: ClassVar[tuple[str, ...]] = ("finding", "subject")
    finding: str
    subject: str
    reason: str
    approved_by: str
    expires_on: str


FACTS: dict[str, type[Fact]] = {
    kind.KIND: kind
    for kind in (
        AirframeType,
        Position,
        Airframe,
        Registration,
        AirframeModification,
        Part,
        Slot,
        Eligibility,
        Alternate,
        Intermix,
        Requirement,
        Band,
        Opening,
        UnitModification,
        Accomplishment,
        Operation,
        Certificate,
        Reading,
        Movement,
        Transfer,
        Utilisation,
        Variation,
        Waiver,
        Counter,
        CounterReading,
        UnitCounter,
        PlateReading,
        Organisation,
        Approval,
        Receipt,
        HoldDecision,
        Publication,
        Applicability,
        Compliance,
        NotEmbodied,
        *SWAP_FACTS,
        *PLANNING_FACTS,
    )
}


def fact_from_body(kind: str, body: dict[str, Any]) -> Fact:
    """The frozen value of a ledger item. An unknown field is an assertion: a newer program wrote it."""
    return facts_from_bodies(kind, (body,))[0]


def facts_from_bodies(kind: str, bodies: Iterable[dict[str, Any]]) -> list[Fact]:
    """The frozen values of ledger items of one kind."""
    try:
        make = _MAKERS[kind]
        return [make(body) for body in bodies]
    except KeyError as error:
        raise TypeError(f"{kind} has no field {error}") from error


def _maker(kind: type[Fact]) -> Callable[[dict[str, Any]], Fact]:
    """What makes a fact from its body, its slots filled directly: in half the time the frozen class takes itself.

    Bodies of a kind state the same few sets of fields, each in the order of its names; how a set is put into the slots
    is written once.
    """
    written: dict[tuple[str, ...], Callable[[Any], Fact]] = {}

    def make(body: dict[str, Any]) -> Fact:
        stated = tuple(body)
        put = written.get(stated)
        if put is None:
            put = _filler(kind, stated)
            if len(written) < _MOST_SETS:
                written[stated] = put
        return put(body.values())

    return make


# Of one kind, which a program writes no more than a few dozen of; a foreign ledger's are not kept without end.
_MOST_SETS = 1_000


def _filler(kind: type[Fact], stated: tuple[str, ...]) -> Callable[[Any], Fact]:
    """What makes a fact from the values of the fields stated, in their order; the others have their defaults."""
    own = {f.name: f for f in fields(kind)}
    if unknown := [name for name in stated if name not in own]:
        raise KeyError(unknown[0])
    if lacking := [f.name for f in own.values() if f.default is MISSING and f.name not in stated]:
        raise TypeError(f"{kind.__name__} lacks {', '.join(sorted(lacking))}")
    names: dict[str, Any] = {"_new": object.__new__, "_kind": kind}
    names |= {f"set_{name}": getattr(kind, name).__set__ for name in own}
    names |= {f"default_{name}": f.default for name, f in own.items()}
    taken = "".join(f"{name}, " for name in stated)
    lines = ["def make(_values):", "_fact = _new(_kind)", *([f"({taken}) = _values"] if stated else [])]
    lines += [f"set_{name}(_fact, {name if name in stated else f'default_{name}'})" for name in own]
    exec("\n    ".join([*lines, "return _fact"]), names)
    put: Callable[[Any], Fact] = names["make"]
    return put


_MAKERS = {name: _maker(kind) for name, kind in FACTS.items()}
