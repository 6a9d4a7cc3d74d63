"""What publications ask of one unit, and its modifications: frozen values of text and whole numbers."""

from __future__ import annotations

from dataclasses import dataclass, field

from fleetlife.terms.filling import filled

# The words for whether a unit is meant.
AFFECTED, CANNOT_BE_TOLD = "affected", "cannot be told"


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class PublicationRow:
    """One thing that a publication asks of one unit, in the words of the due list.

    `closed_by` says what closed it, `closes` what would, `ends_with` the modifications among that. `unit`, `airframe`
    and the entries are for addresses.
    """

    publication: str
    revision: str | None
    kind: str
    mandatory: bool
    affected: str
    state: str
    state_reason: str
    why_affected: str
    place: str
    part_number: str
    serial_number: str
    manufacturer: str | None
    unit: int
    action: str | None = None
    group: str | None = None
    registration: str | None = None
    position: str | None = None
    due_date: str | None = None
    due_earliest: str | None = None
    airframe_hours_due: int | None = None
    airframe_cycles_due: int | None = None
    days_left: int | None = None
    hours_left: int | None = None
    cycles_left: int | None = None
    estimated: bool = False
    unknown_measures: str | None = None
    basis: str | None = None
    last_done: str | None = None
    closed_by: str | None = None
    closed_on: str | None = None
    closed_entry: int | None = None
    closes: str | None = None
    airframe: int | None = None
    publication_entry: int = 0
    ask_entry: int | None = None
    ends_with: tuple[str, ...] = ()

    @property
    def named(self) -> str:
        return f"{self.publication} revision {self.revision}" if self.revision else self.publication

    @property
    def is_open(self) -> bool:
        """Something is, or may be, still to be done; what is due again and again is never closed by doing it."""
        return self.closed_by is None and (self.state != "in date" or self.action is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class ModificationLine:
    """Whether a modification is in a unit. status: embodied, not embodied or not known; `asked_by`: which publications
    are closed by it."""

    modification: str
    status: str
    on: str | None = None
    paper: str | None = None
    entry: int | None = None
    asked_by: tuple[str, ...] = field(default=())
