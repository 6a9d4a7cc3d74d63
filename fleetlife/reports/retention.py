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
    chosen = _named(answer.chosen)
    if not answer.stated:
        chosen += ": none was chosen (--rules), so all are shown and the latest day counts"
    if answer.operators or answer.not_in_records:
        chosen = "by operator"
    counts = ", ".join(f"{count:,} {duty}" for duty, count in answer.counts())
    blocks: list[Block] = [
        title("RETENTION", said(f"rules {chosen}")),
        about_block(answer.about),
        Rule(),
        Paragraph(Text(NOTHING_DELETED, style=STRONG)),
        Paragraph(said(f"{len(answer.rows):,} records: {counts}.")),
        *_by_operator(answer),
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


def _named(rules: tuple[str, ...]) -> str:
    return " and ".join(regime.upper() for regime in rules)


def _by_operator(answer: RetentionList) -> list[Block]:
    """Whose records were judged by which rules, where the settings state rules by operator."""
    if not (answer.operators or answer.not_in_records):
        return []
    lines = []
    for each in answer.operators:
        why = "as the settings say" if each.stated else "nothing is stated for it"
        if not each.stated and not answer.stated:
            why += ", so the latest day of all rules counts"
        lines.append(
            said(f"{each.operator or 'no operator, carried by no airframe of one'}: {_named(each.rules)}, {why}")
        )
    lines += [said(f"{name}: named in the settings, and no airframe of it is here") for name in answer.not_in_records]
    last = Paragraph(Text("A unit carried by several operators' airframes is kept as long as each of them must."))
    return [heading("RULES BY OPERATOR", len(lines)), Listing(lines), last]


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
