"""What an evidence pack holds: everything in the records about one unit, and who else it may concern."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.finding import Finding
from fleetlife.terms.story import PackPaper, UnitStory
from fleetlife.terms.views import About, UnitCard


@dataclass(frozen=True, slots=True, kw_only=True)
class Concerned:
    """Another unit that has something in common with the one in the pack: `why` says what, `entry` where from."""

    part_number: str
    serial_number: str
    manufacturer: str | None
    place: str
    hold: str | None
    why: str
    shared: str
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PackDocument:
    """A document that a paper or a decision names. state: kept, missing, altered, or elsewhere (no kept document)."""

    document: str
    named_by: str
    state: str
    file: str | None
    sha256: str | None
    bytes: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidencePack:
    """The pack of one unit. named: (document, what names it); suspected: why it is flagged, if it is."""

    about: About
    name: str
    card: UnitCard
    story: UnitStory
    papers: tuple[PackPaper, ...]
    not_filed: tuple[PackPaper, ...]
    received: tuple[str, ...]
    suspected: str | None
    findings: tuple[Finding, ...]
    concerned: tuple[Concerned, ...]
    named: tuple[tuple[str, str], ...]
