"""A swap as it is shown: from its plan to its release, what is accounted for and what is still open."""

from __future__ import annotations

from dataclasses import dataclass, field

from fleetlife.terms.views import About


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapUnit:
    """A unit of a swap by its numbers; `where`: in words where the records have it."""

    unit: int
    part_number: str
    serial_number: str
    manufacturer: str | None
    description: str | None
    where: str

    @property
    def name(self) -> str:
        return f"{self.part_number} {self.serial_number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapEvent:
    """One thing that was recorded of a swap: when, what, by whom, in which entry."""

    on: str
    what: str
    by: str | None
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapItem:
    """One thing to be accounted for before the release, and how it stands. `runs`: how often a test must pass."""

    category: str
    item: str
    settled: bool
    told: str
    asked: bool
    runs: int
    passed: int
    expects: str | None
    reference: str | None
    entry: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapPoint:
    """Why the door cannot be released."""

    what: str
    text: str
    entry: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapFinding:
    """What is found of a planned swap before it is done (PLN101 and up)."""

    finding: str
    severity: str
    message: str
    action: str
    number: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapCard:
    """A swap, whole. `state` is one of words.SWAP_STATES; `open`: what keeps the door from being released; `findings`:
    what can go wrong with it, while it is planned and not done."""

    about: About
    swap: str
    state: str
    registration: str
    constructor_serial: str
    type: str
    position: str
    side: str
    harness: str | None
    target: str | None
    done_on: str | None
    work_order: str | None
    data_reference: str | None
    data_revision: str | None
    remarks: str | None
    incoming: SwapUnit | None
    outgoing: SwapUnit | None
    events: tuple[SwapEvent, ...]
    items: tuple[SwapItem, ...]
    open: tuple[SwapPoint, ...]
    second_person: str | None
    cautions: tuple[str, ...]
    told: tuple[str, ...] = ()
    findings: tuple[SwapFinding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapLine:
    """A swap in a list of them. `open_points`: how many things keep its door from being released; `findings`: the codes
    of what can go wrong with it, while it is planned and not done."""

    swap: str
    state: str
    registration: str
    position: str
    target: str | None
    incoming: str | None
    outgoing: str | None
    planned_by: str
    done_on: str | None
    open_points: int
    work_order: str | None
    findings: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapList:
    """The swaps of a list, and what is found of each that is planned and not done, by swap."""

    about: About
    rows: tuple[SwapLine, ...]
    findings: dict[str, tuple[SwapFinding, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRecorded:
    """The entries of what was recorded for a swap, each told in words, and the swap after them."""

    first_entry: int
    entries: int
    ledger_head: str
    told: tuple[str, ...]
    card: SwapCard
    already: bool = False
