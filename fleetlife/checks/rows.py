"""What the checks judge: rows that a candidate query brought, with the address of what they are about.

Days are ordinal day numbers, moments dates/moment.py integers, entries numbers in the ledger.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fleetlife.checks.removal import Removal
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_number
from fleetlife.fit.intermix import IntermixAnswer
from fleetlife.follows.deferrals import Carried
from fleetlife.follows.rows import CarriageRow, CertificateLineRow, UnitStateRow
from fleetlife.ledger.facts import (
    Accomplishment,
    Airframe,
    Certificate,
    HoldDecision,
    Movement,
    Part,
    PlateReading,
    Position,
    Receipt,
)
from fleetlife.ledger.swaps import PositionWork
from fleetlife.life.values import History, Requirement
from fleetlife.planning.ground import Least, Period
from fleetlife.terms.filling import filled
from fleetlife.terms.views import BridgedLine, Reason


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A unit with its address.

    registration and position are those of the airframe that carries it, in itself or in its parent; None in stores.
    opened_at: the moment of its opening statement, `entry` the entry of it; `since_entry` began its present stay.
    since_known False: the opening statement says that it was there, not since when. parent: the unit it is in.
    """

    state: UnitStateRow
    registration: str | None = None
    position: str | None = None
    opened_at: int = 0
    since_known: bool = True
    entry: int | None = None
    since_entry: int | None = None
    parent: UnitStateRow | None = None

    @property
    def name(self) -> str:
        return f"{self.state.part_number} {self.state.serial_number}"

    @property
    def since(self) -> int:
        """The day its present stay began."""
        return day_of(self.state.since_moment)

    @property
    def carried(self) -> bool:
        return self.state.carried_airframe_id is not None

    @property
    def fitted_on_record(self) -> bool:
        """Its present stay began after its opening statement: somebody fitted it while these records were kept."""
        return self.state.since_moment > self.opened_at

    @property
    def command(self) -> str:
        """The command that shows the unit."""
        return f"fleetlife unit {self.state.part_number} {self.state.serial_number}"

    def address(self) -> dict[str, Any]:
        """The address fields of a finding about the unit."""
        return {
            "registration": self.registration,
            "position": self.position,
            "part_number": self.state.part_number,
            "serial_number": self.state.serial_number,
            "manufacturer": self.state.manufacturer,
            "unit": self.state.unit_id,
            "airframe": self.state.carried_airframe_id,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorRow:
    """A position of an airframe and the unit that hangs there. `part` is what is stated of that unit's part number;
    `state` what the airframe is doing, one of words.AIRFRAME_STATES; `carried` the deferrals that stand there."""

    frame: Airframe
    registration: str
    position: Position
    occupant: Placed | None = None
    part: Part | None = None
    state: str | None = None
    carried: tuple[Carried, ...] = ()

    @property
    def where(self) -> str:
        """The position of this airframe, whatever its registration is."""
        return f"{self.frame.airframe} {self.position.position}"

    def address(self) -> dict[str, Any]:
        if self.occupant is not None:
            return self.occupant.address()
        return {
            "registration": self.registration,
            "position": self.position.position,
            "airframe": self.frame.airframe,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class DeferralRow:
    """A deferral, and the registration of its airframe."""

    carried: Carried
    registration: str

    def address(self) -> dict[str, Any]:
        fact = self.carried.fact
        return {"registration": self.registration, "position": fact.position, "airframe": fact.airframe}


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyRow:
    """A unit and what is in its slots."""

    unit: Placed
    children: tuple[UnitStateRow, ...] = ()


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class PaperRow:
    """A certificate line and the unit it is filed against; manufactured is that unit's, as a partial date's text."""

    line: CertificateLineRow
    unit: Placed | None = None
    manufactured: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RefitRow:
    """A carried unit that was off before its present stay, and its removal."""

    unit: Placed
    removal: Removal


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanRow:
    """A unit lent out (`out`), or borrowed and still here, the day by which it was to be back, and with whom it is or
    whose it is."""

    unit: Placed
    out: bool
    back_by: int
    other: str | None = None
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapRow:
    """A scrapped unit, the life limits ever stated of its part, and how it is kept from coming back."""

    unit: Placed
    limits: tuple[str, ...] = ()
    disposition: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeployedRow:
    """A unit that deployed after its last release, the day, and whether it was meant to."""

    unit: Placed
    on: int
    intent: str | None = None
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingRow:
    """A fitting and the papers of the unit: `named` where the fitting names one, else all lines filed against it."""

    unit: Placed
    fitted_on: int
    entry: int | None = None
    named: CertificateLineRow | None = None
    lines: tuple[CertificateLineRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LateEntryRow:
    """A movement, the day it was recorded, and the day from which the airframe's records were kept here."""

    movement: Movement
    registration: str
    recorded_on: int
    kept_since: int
    entry: int
    unit: Placed | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimRow:
    """An accomplishment, the kind of its requirement, and the certificate line it cites."""

    unit: Placed
    accomplishment: Accomplishment
    entry: int
    requirement_kind: str
    line: CertificateLineRow | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpansionRow:
    """An accomplishment with the figures of an expansion test."""

    unit: Placed
    accomplishment: Accomplishment
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateRow:
    """The last reading of a unit's data plate, where that is not what is recorded."""

    unit: Placed
    reading: PlateReading
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptRow:
    """The last receipt of a unit that is on hold since it was received; its state says by what."""

    unit: Placed
    receipt: Receipt
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspectedRow:
    """The last suspicion of a unit, of which nobody has cleared it."""

    unit: Placed
    decision: HoldDecision
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FormerDueRow:
    """An accomplishment with a due date from old records, and the date computed from that same accomplishment."""

    unit: Placed
    requirement: str
    done_on: str
    stated_due: int
    computed_due: int
    basis: str | None = None
    edition: str | None = None
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRow:
    """The work done on a unit under one requirement, with what it takes to say whether it was done in time.

    `history` has its resets expanded; `own`: the entries that record this requirement itself as done.
    `totals_stated`: entries of accomplishments that state what the unit had run; `counters_stated`: in the counter of
    the requirement, which `history` then counts in.
    """

    unit: Placed
    requirement: Requirement
    history: History
    carriages: tuple[CarriageRow, ...] = ()
    own: frozenset[int] = field(default_factory=frozenset)
    totals_stated: frozenset[int] = field(default_factory=frozenset)
    counters_stated: frozenset[int] = field(default_factory=frozenset)


@dataclass(frozen=True, slots=True)
class DoneLine:
    """One accomplishment in few figures, to tell which units are worth the whole history.

    `day` is the first day it may mean; minutes and cycles are totals since new as stated, opening_* those of the
    opening statement of the day `as_of`. Of work after the opening: when the unit last left an aircraft before it, how
    many carry it on the day, and what it had run on stays that had ended by then.
    `variations`: how many are recorded of this requirement on the unit; each may have moved a due point.
    """

    unit: int
    requirement: str
    day: int
    date_basis: str | None
    minutes: int | None
    cycles: int | None
    entry: int
    part_fold: str
    as_of: int
    manufactured: str | None
    opening_minutes: int | None
    opening_cycles: int | None
    off_moment: int | None = None
    carried: int | None = None
    run_minutes: int | None = None
    run_cycles: int | None = None
    variations: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedRow:
    """A movement with its position's kind and the part fitted there, for looking at who signed what on one day."""

    movement: Movement
    registration: str
    entry: int
    position_kind: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedRow:
    """A unit in stores and the orders its transfers named since it arrived: (order, day, entry) in order."""

    unit: Placed
    orders: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgedRow:
    """A unit that came under its airframe's programme from another: what differs, what comes earlier first."""

    unit: Placed
    lines: tuple[BridgedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FiledLine:
    """A line of a certificate as stated, its entry, and the unit it is filed against with its address.

    `recorded_on`: the day it was recorded, told where the paper is dated after the day asked.
    """

    fact: Certificate
    entry: int
    unit: Placed | None = None
    recorded_on: int | None = None

    @property
    def dated_on(self) -> int:
        return day_number(self.fact.dated_on)

    def address(self) -> dict[str, Any]:
        """The address of a finding about the line: its unit's, else the numbers as printed."""
        printed = {"part_number": self.fact.part_number, "serial_number": self.fact.serial_number}
        place = printed if self.unit is None else self.unit.address()
        return {**place, "certificate": self.fact.tracking_number}


@dataclass(frozen=True, slots=True, kw_only=True)
class WholePaper:
    """A certificate with all its lines in the order recorded. `corrected_on`: by tracking number, the day of the
    certificates that its lines say they correct, where those are filed."""

    lines: tuple[FiledLine, ...]
    corrected_on: Mapping[str, int] = field(default_factory=dict)

    @property
    def organisation(self) -> str:
        return self.lines[0].fact.organisation

    @property
    def tracking_number(self) -> str:
        return self.lines[0].fact.tracking_number

    @property
    def named(self) -> str:
        return f"certificate {self.tracking_number} of {self.organisation}"

    def address(self) -> dict[str, Any]:
        """The address of a finding about the certificate as a whole: that of its first line that is filed."""
        return next((line for line in self.lines if line.unit is not None), self.lines[0]).address()


@dataclass(frozen=True, slots=True, kw_only=True)
class OrganisationRow:
    """How many lines of an organisation are filed against units, how many of those disagree, and the first of these."""

    organisation: str
    lines: int
    differing: int = 0
    papers: tuple[CertificateLineRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperTally:
    """Certificates that have a thing in common (`what`): how many, and the first of them in the order of the stream."""

    what: str
    organisation: str
    count: int
    first: FiledLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What a unit had run since new by the records: at least and at most; None: not known."""

    least: int | None = None
    most: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedLine:
    """A line that says what its unit had run, and what the records can mean of that day.

    `stated`: what the work that rests on the paper is recorded with, where that is stated.
    """

    line: FiledLine
    minutes: Bounds = field(default_factory=Bounds)
    cycles: Bounds = field(default_factory=Bounds)
    stated_minutes: int | None = None
    stated_cycles: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LifePaperRow:
    """The latest release of a unit with a life in hours or cycles. `measures`: those its life is limited in."""

    unit: Placed
    line: FiledLine
    measures: tuple[str, ...]
    requirement: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What ledger verification found: where, what was expected and what stands, at which entry."""

    where: str
    expected: str
    found: str
    entry: int | None = None
    unit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftRow:
    """The last that was recorded of a device, a lock or a retained item at a position."""

    registration: str
    position: str
    work: PositionWork
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapRow:
    """A planned swap. `open`: what keeps, or should have kept, its door from being released, in words; `exceptions`:
    (by, on, why, entry) of inspections of own work under the exception; `gauges_wrong`: (item, told, entry) of
    readings below or above their table; `release_refused`: why its release is outside the signer's authorisation."""

    swap: str
    registration: str
    airframe: int
    position: str
    state: str
    entry: int
    last_entry: int
    done_on: str | None = None
    released_on: str | None = None
    released_by: str | None = None
    open: tuple[str, ...] = ()
    exceptions: tuple[tuple[str, str, str, int], ...] = ()
    gauges_wrong: tuple[tuple[str, str, int | None], ...] = ()
    release_refused: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MateRow:
    """The other position of a door pair beside a planned swap: what hangs there and what another open plan is to put
    there, each as (name, answer of the intermix rules with the unit that is to go on)."""

    position: str
    now: tuple[str, IntermixAnswer] | None = None
    planned: tuple[str, IntermixAnswer] | None = None
    swap: str | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """A planned swap whose unit has not been changed yet, beside what the records say now.

    `fitted_on`: the day on which it is judged, its target or the day asked about where that has passed or none is
    stated. `hanging`: the unit at the position now, `hanging_entry` the movement that last changed it. `off_at`,
    `on_at`: in words where the unit to come off and the one to go on are. `gone`: the one to go on cannot be fitted
    from where it is. `stops`: why the fitting question answers do not fit, place, rig and pair apart; `rig`: what it
    says of the rig, `asks`: the side that the position asks for. `also_for`: (swap, where, entry) of other open plans
    that are to fit the same unit. `life`: days from that fitting until something falls due, None where nothing is
    limited in days; `next_ground`: the first ground time after it; `least`: the operator's rule of the life to fit
    that counts on that day.
    """

    swap: str
    registration: str
    airframe: int
    position: str
    entry: int
    planned_on: int
    fitted_on: int
    target: str | None = None
    incoming: UnitStateRow | None = None
    outgoing: UnitStateRow | None = None
    hanging: UnitStateRow | None = None
    hanging_entry: int | None = None
    off_at: str | None = None
    on_at: str | None = None
    gone: bool = False
    stops: tuple[str, ...] = ()
    rig: Reason | None = None
    asks: str | None = None
    mates: tuple[MateRow, ...] = ()
    also_for: tuple[tuple[str, str, int], ...] = ()
    life: int | None = None
    next_ground: Period | None = None
    least: Least | None = None

    @property
    def where(self) -> str:
        return f"{self.registration} {self.position}"

    def address(self, unit: UnitStateRow | None) -> dict[str, Any]:
        """The address fields of a finding about the plan and one of its units."""
        return {
            "registration": self.registration,
            "position": self.position,
            "airframe": self.airframe,
            "unit": None if unit is None else unit.unit_id,
            "part_number": None if unit is None else unit.part_number,
            "serial_number": None if unit is None else unit.serial_number,
            "manufacturer": None if unit is None else unit.manufacturer,
        }
