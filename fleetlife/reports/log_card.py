"""The log card that goes with a unit: what the rule asks for, part by part, and how its receiver checks it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.due import due_rows_block
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
from fleetlife.reports.story import holes_blocks
from fleetlife.reports.unit import papers_blocks
from fleetlife.terms.story import CardLine, Fitting, LogCard

CHECK = (
    "The SHA-256 is that of the canonical text (RFC 8785: keys sorted, no spaces, UTF-8) of the member `content` of "
    "this card as JSON (--log-card --format json). A card asked anew with the same --as-of and --known-at, at the same "
    "ledger head, has the same SHA-256. Whoever holds the ledger checks the head: fleetlife ledger verify --head HEAD."
)
NO_RELEASE = "A log card is no release: certifying staff decide, by the current approved maintenance data."


def log_card(card: LogCard, sha256: str) -> RenderableType:
    """The card; `sha256` is the digest of its canonical content."""
    unknown = Text("not recorded", style=QUIET)
    made = [said(f"made by {card.manufacturer}")] if card.manufacturer else [Text("manufacturer not recorded")]
    borne = ", ".join(number for number in card.part_numbers_borne if number != card.part_number)
    blocks: list[Block] = [
        title("LOG CARD", whole(card.part_number, STRONG), whole(card.serial_number, STRONG), *made),
        about_block(card.about),
        Rule(),
        Paragraph(said(f"By {card.rule}.", QUIET)),
        Pairs(
            [
                ("description", said(card.description)),
                ("also bore", said(borne)),
                ("manufactured", whole(card.manufactured) if card.manufactured else unknown),
                ("place", said(card.place)),
                ("condition", said(card.condition)),
                ("hold", said(card.hold, STRONG) if card.hold else Text("none")),
                ("harness", said(card.harness)),
                ("hours since new", whole(card.hours_since_new) if card.hours_since_new else unknown),
                ("cycles since new", whole(card.cycles_since_new) if card.cycles_since_new else unknown),
                *((f"{name} since new", whole(total) if total else unknown) for name, total in card.counters),
                ("life is", said(card.life_quality) if card.life_quality else unknown),
                *(("holds", said(child)) for child in card.holds),
            ]
        ),
        *holes_blocks(card.holes),
        heading("INSTALLATIONS AND REMOVALS", len(card.fitted)),
        _fitted(card.fitted),
        heading("OPERATIONS", len(card.operations)),
        Listing([said(text) for text in card.operations])
        if card.operations
        else Paragraph(Text("None recorded. That is not the same as none.")),
    ]
    for part in card.parts:
        blocks += _part(part)
    blocks.append(heading("LIMITS, AND WHAT IS LEFT", len(card.due)))
    if card.due:
        blocks.append(due_rows_block(card.due, full=True))
    else:
        blocks.append(Paragraph(Text("No requirement is in force for this unit: that is not the same as nothing due.")))
    blocks += [heading("CERTIFICATES", len(card.papers)), *papers_blocks(card.papers)]
    blocks.append(heading("FINDINGS", len(card.findings)))
    blocks.append(finding_block(card.findings) if card.findings else Paragraph(Text("None open in these records.")))
    blocks += [
        *(Blank(), Rule(), Paragraph(Text(NO_RELEASE))),
        *(Paragraph(Text(f"SHA-256 {sha256}", style=STRONG)), Paragraph(Text(CHECK, style=QUIET))),
        Paragraph(said(f"Ledger head {card.about.ledger_head}, entry {card.about.ledger_entry}.")),
    ]
    return Report(blocks)


def _part(part: CardLine) -> list[Block]:
    blocks: list[Block] = [heading(part.asked.upper(), len(part.held))]
    blocks.append(Listing([said(text) for text in part.held]) if part.held else Paragraph(Text("None recorded.")))
    if part.not_held:
        blocks.append(Paragraph(said(f"Not held by these records: {part.not_held}", QUIET)))
    return blocks


def _fitted(fitted: Sequence[Fitting]) -> Block:
    if not fitted:
        return Paragraph(Text("None recorded: in these records it was never on an airframe or in an assembly."))
    rows = [
        Row(
            [
                whole(each.on),
                said(each.event),
                said(each.into_type),
                whole(each.into_part_number),
                whole(each.into_serial_number),
                whole(each.into_registration),
                said(each.position),
                whole(each.hours_since_new or "not known"),
                whole(each.cycles_since_new or "not known"),
                said(each.basis, QUIET),
                said(each.reason),
                Text("" if each.entry is None else str(each.entry)),
            ]
        )
        for each in fitted
    ]
    return Columns(
        [
            Column("on", whole=True),
            Column("event", floor=7),
            Column("in type", rank=5, floor=8, under="in type"),
            Column("part number", rank=3, whole=True, under="part number"),
            Column("serial", whole=True),
            Column("registration", whole=True),
            Column("at", floor=4),
            Column("hours", whole=True, right=True),
            Column("cycles", whole=True, right=True),
            Column("totals are", rank=6, floor=9, under="totals are"),
            Column("reason", rank=4, floor=10, under="reason"),
            Column("entry", rank=2, whole=True, right=True, under="entry"),
        ],
        [Section("", rows)],
        indent=3,
    )
