"""Documents: what is not what it should be on top, then the rest by what is known of it."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.certificate import legend, numbered, paper_blocks
from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import STRONG, Blank, Block, Listing, Paragraph, Report, Rule, counted, heading, title
from fleetlife.terms.documents import DocumentReport, DocumentRow, PaperRead

_HEADINGS = {
    "altered": "NOT WHAT WAS FILED",
    "missing": "NOT THERE",
    "elsewhere": "KEPT ELSEWHERE, NOT LOOKED INTO",
    "there": "THERE, AS FILED",
}
SHOWN = 20  # characters of a name: the digest's first twelve are told apart anywhere


def documents_report(answer: DocumentReport, *, everything: bool = False) -> RenderableType:
    """The report of `document check`; with `everything` each document in a row."""
    blocks: list[Block] = [
        title("DOCUMENTS", said(answer.place)),
        about_block(answer.about),
        Rule(),
        Paragraph(
            said(
                f"{counted(len(answer.rows), 'document')} named. "
                + ", ".join(f"{sum(r.state == s for r in answer.rows)} {s}" for s in _HEADINGS)
                + f". {counted(answer.without, 'certificate')} without a document."
            )
        ),
    ]
    if answer.findings:
        blocks += [heading("FINDINGS", len(answer.findings)), finding_block(answer.findings)]
    for state, words in _HEADINGS.items():
        rows = [row for row in answer.rows if row.state == state]
        if rows and (everything or state in ("altered", "missing")):
            blocks += [heading(words, len(rows)), _table(rows)]
    if answer.unnamed:
        blocks += [
            heading("KEPT, AND NAMED BY NO STANDING CERTIFICATE", len(answer.unnamed)),
            Listing([said(name) for name in answer.unnamed]),
        ]
    blocks += [
        Blank(),
        Rule(),
        Paragraph(Text("Every document named by its digest was read whole. Nothing is ever taken away.")),
    ]
    return Report(blocks)


def paper_read_report(read: PaperRead) -> RenderableType:
    """What was read, block by block and line by line, each line beside its unit."""
    blocks: list[Block] = [title("PAPER AS READ", said(read.file)), about_block(read.about), Rule()]
    blocks.append(
        Paragraph(Text("Proposed from the text of the file, filed only when a person confirms it.", style=STRONG))
    )
    blocks.append(Paragraph(said(f"Form: {read.form}." if read.form else "Form: not stated.")))
    if read.doubts:
        blocks += [heading("NOT CLEAR", len(read.doubts)), Listing([said(doubt) for doubt in read.doubts])]
    if read.changes:
        blocks += [heading("PUT RIGHT BY HAND", len(read.changes)), Listing([said(change) for change in read.changes])]
    if read.missing:
        names = ", ".join(name.replace("_", " ") for name in read.missing)
        blocks.append(Paragraph(said(f"Not read: {names}.", STRONG)))
    blocks += [Blank(), *numbered(read.blocks, None)]
    for number, line in enumerate(read.lines, 1):
        blocks += [Blank(), Paragraph(Text(f"LINE {number} OF {len(read.lines)}", style=STRONG))]
        blocks += [*numbered(read.blocks, number), *paper_blocks(line, numbered=True)]
    blocks += [Blank(), Rule(), *legend(read.lines, read.blocks)]
    return Report(blocks)


def _table(rows: list[DocumentRow]) -> Block:
    return Columns(
        [
            Column("certificate", whole=True),
            Column("issued by", rank=1, floor=12, under=""),
            Column("for", whole=True),
            Column("lines", rank=3, whole=True, right=True, under="lines"),
            Column("document", floor=SHOWN, rank=2, under=""),
            Column("entry", rank=4, whole=True, right=True, under="entry"),
        ],
        [
            Section(
                "",
                [
                    Row(
                        [
                            whole(row.tracking_number),
                            said(row.organisation),
                            tied(row.part_number, row.serial_number),
                            Text(str(row.lines)),
                            said(_name(row)),
                            Text(str(row.entry)),
                        ]
                    )
                    for row in rows
                ],
            )
        ],
        indent=3,
    )


def _name(row: DocumentRow) -> str:
    return row.document if row.state == "elsewhere" else f"{row.document[:SHOWN]}..."
