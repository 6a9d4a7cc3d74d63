"""What is answered of publications: frozen values of text and whole numbers."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.asked import AFFECTED, CANNOT_BE_TOLD, ModificationLine, PublicationRow
from fleetlife.terms.views import About

__all__ = ["AFFECTED", "CANNOT_BE_TOLD", "ModificationLine", "PublicationRow"]

STATUS_COLUMNS: tuple[str, ...] = (
    *("publication", "revision", "kind", "mandatory", "action", "group", "affected", "state", "state_reason"),
    *("registration", "position", "place", "part_number", "serial_number", "manufacturer"),
    *("due_date", "due_earliest", "airframe_hours_due", "airframe_cycles_due", "days_left", "hours_left"),
    *("cycles_left", "estimated", "unknown_measures", "basis", "last_done", "closed_by", "closed_on", "closed_entry"),
    *("closes", "why_affected"),
)
LIST_COLUMNS: tuple[str, ...] = (
    *("publication", "revision", "kind", "mandatory", "issuer", "title", "effective_on", "standing", "instead"),
    *("affected", "open", "overdue", "unknown", "closed", "cannot_be_told", "entry"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicationTold:
    """One revision and how it stands on the day; `asks` are sentences, `names` the rows of whom it means."""

    publication: str
    revision: str | None
    kind: str
    mandatory: bool
    issuer: str | None
    title: str | None
    effective_on: str
    standing: str
    entry: int
    instead: str | None = None
    supersedes: str | None = None
    cancelled_on: str | None = None
    names: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()

    @property
    def named(self) -> str:
        return f"{self.publication} revision {self.revision}" if self.revision else self.publication


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitsLookedAt:
    """The units in the records, without those on the scrap heap, by whether the publication means them."""

    looked_at: int
    affected: int
    not_affected: int
    cannot_be_told: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicationStatus:
    """One publication: every unit it means or may mean, the worst first, and how many were looked at."""

    about: About
    told: PublicationTold
    rows: tuple[PublicationRow, ...]
    units: UnitsLookedAt
    others: tuple[PublicationTold, ...] = ()
    not_checked: tuple[str, ...] = ()

    @property
    def is_open_or_unknown(self) -> bool:
        """Something is past its limit or cannot be told, of a publication that asks for something."""
        if self.told.standing not in ("in force", "to come"):
            return False
        nobody = bool(self.units.cannot_be_told) and not self.told.names
        return nobody or any(row.state in ("overdue", "unknown") for row in self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicationSummary:
    """One revision with how many units it means, and in how many of them something is open; None: not judged."""

    told: PublicationTold
    affected: int | None = None
    open: int | None = None
    overdue: int | None = None
    unknown: int | None = None
    closed: int | None = None
    cannot_be_told: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicationList:
    about: About
    rows: tuple[PublicationSummary, ...]
    units: int
