"""The index of an airframe's pack: what is open on top, then every file with its digest."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Listing,
    Pairs,
    Paragraph,
    Report,
    Rule,
    heading,
    title,
)
from fleetlife.reports.story import hole_text
from fleetlife.terms.story import Pack, PackPaper

CHECK = (
    "Every file but this one is listed here with its SHA-256 (sha256sum -c sha256sums.txt). Whoever holds the ledger "
    "checks its head: fleetlife ledger verify --head HEAD. A card's own SHA-256, as its JSON says, is of its content."
)
NO_DOCUMENTS = (
    "No document itself is in this pack: scans and pages named in papers.csv are handed over beside it. "
    "These records are no release; certifying staff decide."
)


def pack_index(pack: Pack, files: Sequence[tuple[str, str, int]]) -> RenderableType:
    """The index; `files`: (name, SHA-256, bytes) of every other file of the pack."""
    holes = [
        said(f"{card.part_number} {card.serial_number} ({place}): {hole_text(hole)}")
        for card, place in zip(pack.units, pack.places, strict=True)
        for hole in card.holes
    ]
    missing = [said(_missing(paper)) for paper in pack.not_filed]
    blocks: list[Block] = [
        title("PACK OF AIRFRAME", whole(pack.registration, STRONG), said(pack.type), whole(pack.constructor_serial)),
        about_block(pack.about),
        Paragraph(said(f"ledger head in full {pack.about.ledger_head}", QUIET)),
        Rule(),
        Pairs(
            [
                ("operator", said(pack.operator)),
                ("registrations", said("; ".join(pack.registrations))),
                ("hours total", said(_read(pack.hours_total, pack.read_on))),
                ("cycles total", said(_read(pack.cycles_total, pack.read_on))),
                ("units carried", Text(f"{len(pack.units):,}")),
                ("empty positions", said("; ".join(pack.empty) or "none")),
            ]
        ),
        heading("GAPS, OVERLAPS AND UNKNOWNS", len(holes)),
        Listing(holes) if holes else Paragraph(Text("None.")),
        heading("PAPERS NAMED BUT NOT FILED", len(missing)),
        Listing(missing) if missing else Paragraph(Text("None.")),
        heading("OPEN FINDINGS", len(pack.findings)),
        finding_block(pack.findings) if pack.findings else Paragraph(Text("None open in these records.")),
        heading("FILES", len(files)),
        Columns(
            [
                Column("file", whole=True),
                Column("bytes", rank=1, whole=True, right=True, under="bytes"),
                Column("SHA-256", rank=2, whole=True, under=""),
            ],
            [Section("", [Row([whole(name), Text(f"{size:,}"), whole(sha)]) for name, sha, size in files])],
            indent=3,
        ),
        *(Blank(), Rule(), Paragraph(Text(NO_DOCUMENTS)), Paragraph(Text(CHECK, style=QUIET))),
    ]
    return Report(blocks)


def _missing(paper: PackPaper) -> str:
    of = f" of {paper.organisation}" if paper.organisation else ""
    named = f"named by {paper.named_by} (entry {paper.entry})"
    return f"{paper.part_number} {paper.serial_number}: certificate {paper.certificate}{of}, {named}"


def _read(total: str | None, read_on: str | None) -> str:
    return f"{total} read {read_on}" if total else "no reading"
