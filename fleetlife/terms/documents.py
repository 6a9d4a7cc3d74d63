"""What is told of documents."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.finding import Finding
from fleetlife.terms.views import About, PaperBlock, PaperLine


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentRow:
    """A document that a certificate names. state: there, missing, altered, or elsewhere: the name of a place where
    people keep it, which nobody looked into. `lines`: of the certificate, the first of which is told by its numbers."""

    tracking_number: str
    organisation: str
    part_number: str
    serial_number: str
    document: str
    state: str
    lines: int
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentReport:
    """Every document named, those first that are not what they should be; how many certificates name none; what is kept
    and no standing certificate names."""

    about: About
    place: str
    rows: tuple[DocumentRow, ...]
    without: int
    unnamed: tuple[str, ...]
    findings: tuple[Finding, ...]


DOCUMENT_COLUMNS = tuple(DocumentRow.__dataclass_fields__)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperRead:
    """What the text of a paper seems to say, for a person to compare with the paper itself.

    blocks: by the numbers of the form; lines: each beside the unit it would be filed against. rows: of the file
    `certificates`, one for each line. changes: what a person put in the place of what was read. doubts: what was not
    clear. missing: columns without which it cannot be filed.
    """

    about: About
    file: str
    form: str | None
    blocks: tuple[PaperBlock, ...]
    lines: tuple[PaperLine, ...]
    rows: tuple[dict[str, str], ...]
    changes: tuple[str, ...]
    doubts: tuple[str, ...]
    missing: tuple[str, ...]
