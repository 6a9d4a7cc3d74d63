"""The index of an evidence pack: the suspicion on top, who else may be concerned, every file with its digest."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Listing, Pairs, Paragraph, Report, Rule, heading, title
from fleetlife.reports.stores import REPORTING
from fleetlife.terms.evidence import Concerned, EvidencePack, PackDocument

CHECK = (
    "Every file but this one is listed here with its SHA-256 (sha256sum -c sha256sums.txt). Whoever holds the ledger "
    "checks its head: fleetlife ledger verify --head HEAD."
)


def evidence_index(
    pack: EvidencePack, papers: Sequence[PackDocument], files: Sequence[tuple[str, str, int]]
) -> RenderableType:
    """The index; `papers`: the documents named, `files`: (name, SHA-256, bytes) of every other file of the pack."""
    suspected = said(pack.suspected, STRONG) if pack.suspected else Text("no: nobody has flagged it")
    lacking = [said(f"{each.document}: {each.state}; {each.named_by}") for each in papers if each.file is None]
    lacking += [
        said(f"certificate {each.certificate}{f' of {each.organisation}' if each.organisation else ''} is not filed")
        for each in pack.not_filed
    ]
    blocks: list[Block] = [
        title("EVIDENCE PACK", whole(pack.card.part_number, STRONG), whole(pack.card.serial_number, STRONG)),
        about_block(pack.about),
        Paragraph(said(f"ledger head in full {pack.about.ledger_head}", QUIET)),
        Rule(),
        Pairs(
            [
                ("suspected", suspected),
                ("place", said(pack.card.place)),
                ("hold", said(pack.card.hold, STRONG) if pack.card.hold else Text("none")),
            ]
        ),
        Blank(),
        Paragraph(said(REPORTING)),
        heading("RECEIPTS AND HOLDS", len(pack.received)),
        Listing([said(text) for text in pack.received]) if pack.received else Paragraph(Text("None recorded.")),
        heading("OTHER UNITS WITH SOMETHING IN COMMON", len(pack.concerned)),
        _concerned(pack.concerned),
        heading("NAMED AND NOT IN THIS PACK", len(lacking)),
        Listing(lacking) if lacking else Paragraph(Text("None.")),
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
        *(Blank(), Rule(), Paragraph(Text(CHECK, style=QUIET))),
    ]
    return Report(blocks)


def _concerned(rows: Sequence[Concerned]) -> Block:
    if not rows:
        return Paragraph(Text("None in these records."))
    whys = list(dict.fromkeys((row.why, row.shared) for row in rows))
    sections = [
        Section(
            f"{why}: {shared}",
            [
                Row(
                    [
                        whole(row.part_number),
                        whole(row.serial_number),
                        said(row.place),
                        said(row.hold, STRONG) if row.hold else Text(""),
                        Text(str(row.entry)),
                    ]
                )
                for row in rows
                if (row.why, row.shared) == (why, shared)
            ],
        )
        for why, shared in whys
    ]
    return Columns(
        [
            Column("part", whole=True),
            Column("serial", whole=True),
            Column("place", floor=16),
            Column("hold", rank=2, floor=12, under="on hold:"),
            Column("entry", rank=1, whole=True, right=True, under="entry"),
        ],
        sections,
        indent=3,
    )
