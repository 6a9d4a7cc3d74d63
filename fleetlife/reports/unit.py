"""One unit: what it is, where it is and was, its paper and work, and what falls due and why."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.bridging import bridged_blocks
from fleetlife.reports.certificate import SAME, paper_blocks
from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.due import due_rows_block, legend_of
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Listing, Pairs, Paragraph, Report, Rule, heading, title
from fleetlife.reports.publication import publication_blocks
from fleetlife.reports.signs import signed
from fleetlife.terms.views import PaperLine, Stay, UnitCard


def unit_card(card: UnitCard) -> RenderableType:
    """The card of a unit: identity, place, due with reasons, places, paper, work, findings."""
    made = [said(f"made by {card.manufacturer}")] if card.manufacturer else [Text("manufacturer not recorded")]
    blocks: list[Block] = [
        title("UNIT", whole(card.part_number, STRONG), whole(card.serial_number, STRONG), *made),
        about_block(card.about),
        Rule(),
        Pairs(_facts(card)),
        heading("FALLS DUE", len(card.due)),
    ]
    if card.due:
        blocks.append(due_rows_block(card.due, full=True))
    else:
        blocks.append(Paragraph(Text("No requirement is in force for this unit: that is not the same as nothing due.")))
    blocks += bridged_blocks(card.bridged)
    blocks += publication_blocks(card.publications, card.modifications)
    blocks += [heading("PLACES", len(card.stays)), _stays(card.stays)]
    blocks += [heading("PAPER", len(card.papers)), *papers_blocks(card.papers)]
    if card.received:
        blocks += [heading("RECEIPTS AND HOLDS", len(card.received)), Listing([said(text) for text in card.received])]
    blocks.append(heading("WORK RECORDED", len(card.done)))
    blocks.append(Listing([said(text) for text in card.done]) if card.done else Paragraph(Text("None.")))
    blocks.append(heading("FINDINGS", len(card.findings)))
    blocks.append(finding_block(card.findings) if card.findings else Paragraph(Text("None open in these records.")))
    blocks += [Blank(), Rule(), *legend_of(card.due)]
    if card.stays:
        blocks.append(Paragraph(Text(_BASIS_LEGEND, style=QUIET)))
    return Report(blocks)


_BASIS_LEGEND = (
    "Totals are the airframe's: stated on paper, reading of that day, bounded by the readings around it, provisional "
    "until the reading comes, or from the opening statement."
)


def _facts(card: UnitCard) -> list[tuple[str, Text]]:
    unknown = Text("not recorded", style=QUIET)
    borne = [number for number in card.part_numbers_borne if number != card.part_number]
    hold = said(card.hold, STRONG) if card.hold else Text("none")
    facts = [
        ("description", said(card.description)),
        ("place", said(card.place)),
        ("condition", said(card.condition)),
        ("hold", hold),
        ("harness", said(_harness(card))),
        ("manufactured", whole(card.manufactured) if card.manufactured else unknown),
        ("hours since new", whole(card.hours_since_new) if card.hours_since_new else unknown),
        ("cycles since new", whole(card.cycles_since_new) if card.cycles_since_new else unknown),
        *((f"{name} since new", whole(total) if total else unknown) for name, total in card.counters),
        ("life is", said(card.life_quality) if card.life_quality else unknown),
        ("owner", said(card.owner)),
        ("batch", whole(card.batch)),
        ("also bore", _numbers(borne)),
    ]
    if card.own_tracking:
        facts.append(("serial number", Text("the operator's own tracking number; the maker gave none")))
    facts += [("holds" if number == 0 else "", said(child)) for number, child in enumerate(card.children)]
    return facts


def _numbers(numbers: Sequence[str]) -> Text:
    text = Text("")
    for number in numbers:
        text.append_text(Text(", " if text.plain else ""))
        text.append_text(whole(number))
    return text


def _harness(card: UnitCard) -> str:
    rig = {"either": "the part takes either side", "none": "the part has no side"}.get(
        card.rig or "", f"the part is a {card.rig} one" if card.rig else "what the part takes is not recorded"
    )
    return f"{card.harness}; {rig}"


def _stays(stays: Sequence[Stay]) -> Block:
    if not stays:
        return Paragraph(Text("None recorded."))
    rows = [
        Row(
            [
                whole(stay.since),
                said(stay.until or "still there"),
                said(stay.place),
                said(stay.condition),
                said(stay.harness if stay.harness not in ("none", None) else ""),
                Text("" if stay.entry is None else str(stay.entry)),
                whole(stay.hours),
                whole(stay.cycles),
                said(stay.basis, QUIET),
            ]
        )
        for stay in stays
    ]
    return Columns(
        [
            Column("since", whole=True),
            Column("until", floor=11),
            Column("place", floor=12),
            Column("condition", rank=2, floor=12, under="condition"),
            Column("rigged", rank=3, floor=6, under="rigged"),
            Column("entry", rank=1, whole=True, right=True, under="entry"),
            Column("airframe hours", rank=7, whole=True, under="airframe hours"),
            Column("cycles", rank=8, whole=True, under="cycles"),
            Column("totals are", rank=9, floor=10, under="totals are"),
        ],
        [Section("", rows)],
        indent=3,
    )


def papers_blocks(papers: Sequence[PaperLine]) -> list[Block]:
    """Papers in a table; those whose numbers differ are shown in full under it."""
    if not papers:
        return [Paragraph(Text("None filed against this unit."))]
    rows = [
        Row(
            [
                signed("==" if _agrees(line) else "!!"),
                whole(line.dated_on),
                whole(line.tracking_number),
                said(line.organisation),
                said(line.status),
                said(_verdict(line)),
                said(line.form),
                Text("" if line.entry is None else str(line.entry)),
            ]
        )
        for line in papers
    ]
    table = Columns(
        [
            Column("", whole=True),
            Column("dated", whole=True),
            Column("certificate", whole=True),
            Column("organisation", rank=2, floor=12, under="of"),
            Column("status", rank=1, floor=10, under="status"),
            Column("numbers", floor=12),
            Column("form", rank=4, floor=8, under="form"),
            Column("entry", rank=3, whole=True, right=True, under="entry"),
        ],
        [Section("", rows)],
        indent=4,
    )
    blocks: list[Block] = [table]
    for line in papers:
        if not _agrees(line):
            named = Text.assemble("Certificate ", whole(line.tracking_number), " does not agree:")
            blocks += [Blank(), Paragraph(named), *paper_blocks(line)]
    return blocks


def _agrees(line: PaperLine) -> bool:
    return line.part_verdict in SAME and line.serial_verdict in SAME


def _verdict(line: PaperLine) -> str:
    if _agrees(line):
        return "agree"
    wrong = [
        f"{what} {verdict}"
        for what, verdict in (("part", line.part_verdict), ("serial", line.serial_verdict))
        if verdict not in SAME
    ]
    return "; ".join(wrong)
