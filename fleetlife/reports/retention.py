"""What must be kept until when: counts on top, what ends first above the rest, the rules at the end."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Listing,
    Paragraph,
    Report,
    Rule,
    heading,
    title,
)
from fleetlife.terms.retained import DUTIES, NOTHING_DELETED, RetainedRow, RetentionList

_HEADINGS = {"to be kept": "TO BE KEPT UNTIL", "no end": "NO END", "time is over": "THE TIME OF THE RULES IS OVER"}


def retention_report(answer: RetentionList) -> RenderableType:
    """The list by what becomes of the duty."""
    chosen = " and ".join(regime.upper() for regime in answer.chosen)
    if not answer.stated:
        chosen += ": none was chosen (--rules), so all are shown and the latest day counts"
    counts = ", ".join(f"{count:,} {duty}" for duty, count in answer.counts())
    blocks: list[Block] = [
        title("RETENTION", said(f"rules {chosen}")),
        about_block(answer.about),
        Rule(),
        Paragraph(Text(NOTHING_DELETED, style=STRONG)),
        Paragraph(said(f"{len(answer.rows):,} records: {counts}.")),
    ]
    for duty in DUTIES:
        rows = [row for row in answer.rows if row.standing == duty]
        if rows:
            blocks += [heading(_HEADINGS[duty], len(rows)), _table(rows)]
    blocks.append(heading("RULES", len(answer.cited)))
    blocks.append(Listing([said(text) for text in answer.cited]) if answer.cited else Paragraph(Text("None applied.")))
    blocks += [heading("NOT LISTED"), Listing([said(text) for text in answer.not_listed])]
    blocks += [Blank(), Rule(), Paragraph(Text("A day is the last on which the record must still be there.", QUIET))]
    return Report(blocks)


def _table(rows: list[RetainedRow]) -> Block:
    return Columns(
        [
            Column("until", whole=True),
            Column("record", floor=11),
            Column("of", whole=True),
            Column("unit", whole=True),
            Column("what", rank=1, floor=24, under=""),
            Column("eu", rank=2, whole=True, under="eu"),
            Column("us", rank=3, whole=True, under="us"),
            Column("entry", rank=4, whole=True, right=True, under="entry"),
        ],
        [
            Section(
                "",
                [
                    Row(
                        [
                            whole(row.kept_until or "no end"),
                            said(row.record),
                            whole(row.dated_on),
                            tied(row.part_number, row.serial_number),
                            said(f"{row.registration} {row.what}" if row.registration else row.what),
                            whole(row.kept_until_eu),
                            whole(row.kept_until_us),
                            Text(str(row.entry)),
                        ]
                    )
                    for row in rows
                ],
            )
        ],
        indent=3,
    )
