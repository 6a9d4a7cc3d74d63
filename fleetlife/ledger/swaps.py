"""Facts of the work at a door: a swap from its plan to its release, what is put in and taken out beside the unit,
what is tested and signed, and what must be so before a door is released."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fleetlife.ledger.fact import Fact

# --- what must be so: reference data ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseItem(Fact):
    """What must be accounted for at positions of a type before the door is released. `position` and `position_kind`
    None: at all of them.

    `category` is one of words.RELEASE_CATEGORIES: a safety device that is placed and removed, a lock that is broken and
    remade, a test that passes (`runs` times), an inspection by a second person.
    """

    KIND: ClassVar[str] = "release_item"
    KEY: ClassVar[tuple[str, ...]] = ("type", "position", "position_kind", "category", "item")
    type: str
    position: str | None = None
    position_kind: str | None = None
    category: str
    item: str
    runs: int | None = None
    expects: str | None = None
    reference: str | None = None
    revision: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureBand(Fact):
    """The least and the most that a gauge may show at a temperature, inclusive. All three in thousandths."""

    KIND: ClassVar[str] = "pressure_band"
    KEY: ClassVar[tuple[str, ...]] = ("part_number", "millicelsius")
    part_number: str
    millicelsius: int
    minimum: int
    maximum: int
    pressure_unit: str
    reference: str | None = None
    revision: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Authorisation(Fact):
    """What a person may sign, both days included. `type` None: on every type of airframe; `kind` None: for positions
    of every kind."""

    KIND: ClassVar[str] = "authorisation"
    KEY: ClassVar[tuple[str, ...]] = ("staff", "role", "type", "position_kind", "valid_from")
    staff: str
    role: str
    type: str | None = None
    position_kind: str | None = None
    valid_from: str
    valid_to: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AirframeState(Fact):
    """What an airframe is doing from a day on: one of words.AIRFRAME_STATES."""

    KIND: ClassVar[str] = "airframe_state"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "since_on")
    airframe: int
    since_on: str
    state: str
    reference: str | None = None


# --- what happened ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapPlan(Fact):
    """Introduces a swap by its number: which unit is to go where, by when, to which approved data."""

    KIND: ClassVar[str] = "swap_plan"
    KEY: ClassVar[tuple[str, ...]] = ("swap",)
    swap: str
    airframe: int
    position: str
    planned_on: str
    target_on: str | None = None
    incoming: int | None = None
    outgoing: int | None = None
    planned_by: str
    work_order: str | None = None
    data_reference: str | None = None
    data_revision: str | None = None
    remarks: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapStep(Fact):
    """A step of a swap beside its plan, movement and signatures: one of words.SWAP_STEPS.

    Of a check: the unit asked about, the answer, how many stops and conditions it had, and the ledger head it was
    given against.
    """

    KIND: ClassVar[str] = "swap_step"
    KEY: ClassVar[tuple[str, ...]] = ("swap", "step", "stepped_on", "sequence")
    swap: str
    airframe: int
    step: str
    stepped_on: str
    sequence: int = 0
    signed_by: str
    incoming: int | None = None
    answer: str | None = None
    stops: int | None = None
    conditions: int | None = None
    ledger_head: str | None = None
    why: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionWork(Fact):
    """What was done or seen at a position beside the units: `outcome` is one of words.OUTCOMES of the category.

    `run`: which run of a test; `value`: what was read.
    """

    KIND: ClassVar[str] = "position_work"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "position", "item", "worked_on", "sequence")
    airframe: int
    position: str
    category: str
    item: str
    outcome: str
    worked_on: str
    sequence: int = 0
    swap: str | None = None
    run: int | None = None
    value: str | None = None
    signed_by: str
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeReading(Fact):
    """What a unit's gauge showed at which temperature. Both in thousandths."""

    KIND: ClassVar[str] = "gauge_reading"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "read_on", "sequence")
    unit: int
    read_on: str
    sequence: int = 0
    pressure: int
    pressure_unit: str
    millicelsius: int
    seen_by: str
    swap: str | None = None
    airframe: int | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapSignature(Fact):
    """A signature for a swap: one of words.SIGNATURE_ROLES. `exception`: why one person inspected their own work."""

    KIND: ClassVar[str] = "swap_signature"
    KEY: ClassVar[tuple[str, ...]] = ("swap", "role", "signed_on", "sequence")
    swap: str
    airframe: int
    role: str
    signed_on: str
    sequence: int = 0
    signed_by: str
    exception: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Deferral(Fact):
    """An inoperative or missing item carried under the operator's provisions, as authorised people entered it."""

    KIND: ClassVar[str] = "deferral"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "position", "opened_on")
    airframe: int
    position: str
    opened_on: str
    item: str
    expires_on: str | None = None
    log_page: str | None = None
    conditions: str | None = None
    authorised_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeferralClosed(Fact):
    """That a deferral is over: the one of that day at that position."""

    KIND: ClassVar[str] = "deferral_closed"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "position", "opened_on")
    airframe: int
    position: str
    opened_on: str
    closed_on: str
    closed_by: str


SWAP_FACTS = (
    *(ReleaseItem, PressureBand, Authorisation, AirframeState),
    *(SwapPlan, SwapStep, PositionWork, GaugeReading, SwapSignature, Deferral, DeferralClosed),
)
