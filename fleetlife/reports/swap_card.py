"""A planned swap: where it stands, what is accounted for, and what keeps the door from being released."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import said, tied, whole
from fleetlife.reports.head import HEAD_LENGTH, about_block
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
    counted,
    heading,
    title,
)
from fleetlife.reports.recorded import KEEP
from fleetlife.reports.signs import signed, verdict_sign
from fleetlife.terms import words
from fleetlife.terms.swaps import SwapCard, SwapFinding, SwapItem, SwapLine, SwapList, SwapUnit, WorkRecorded

CATEGORIES = {
    "device": "safety device",
    "lock": "lock",
    "test": "test",
    "retained": "stays with the aircraft",
    "gauge": "gauge",
}
_LINE_SIGNS = {"done": "!!", "begun": ">>", "checked": "..", "planned": "..", "given up": "--", "released": "=="}


def swap_card(card: SwapCard) -> RenderableType:
    """The swap whole: state and what is open on top, then what is accounted for, then what happened."""
    return Report([*_title(card), *_body(card), Blank(), Rule(), about_block(card.about)])


def work_recorded(done: WorkRecorded, preview: bool = False) -> RenderableType:
    """What was recorded for a swap, or with `preview` would be, and the swap after it."""
    last = done.first_entry + done.entries - 1
    entries = f"ENTRY {done.first_entry}" if done.entries == 1 else f"ENTRIES {done.first_entry} TO {last}"
    words = "PREVIEW: NOTHING IS RECORDED" if preview else f"RECORDED, {entries}"
    if done.already:
        words = f"RECORDED BEFORE UNDER THIS REQUEST KEY, {entries}: NOTHING WAS ADDED"
    blocks: list[Block] = [
        Rule(heavy=True),
        Paragraph(Text(words, style=STRONG), indent=1),
        Rule(heavy=True),
        Listing([said(text) for text in done.told]),
        Blank(),
        *_title(done.card),
        *_where(done.card),
        *_found(done.card),
        *_open(done.card),
        heading("CAUTION"),
        Listing([said(text) for text in done.card.cautions], mark="!"),
        Blank(),
        Rule(),
        Paragraph(said(f"The whole of it: fleetlife swap show {done.card.swap}", QUIET)),
    ]
    if preview:
        blocks.append(Paragraph(Text("Nothing was written. Recorded, it would be the ledger's next entry.")))
    else:
        head = Text.assemble(("ledger head ", QUIET), whole(done.ledger_head[:HEAD_LENGTH]))
        blocks += [Paragraph(head), Paragraph(Text(KEEP, style=QUIET))]
    return Report(blocks)


def _title(card: SwapCard) -> list[Block]:
    sign = "==" if card.state == "released" else "--" if card.state == "given up" else "!!" if card.open else ">>"
    still = "" if card.state in words.SWAPS_OVER else f"   ({counted(len(card.open), 'point')} open before release)"
    return [
        Paragraph(Text.assemble(signed(sign), (f" SWAP {card.swap}: {card.state.upper()}", STRONG), still)),
        Rule(),
    ]


def _where(card: SwapCard) -> list[Block]:
    rig = f"; a unit here is rigged {card.harness}" if card.harness else ""
    where = f"{card.registration} {card.position}, {card.side}; type {card.type}, constructor's serial "
    pairs = [
        ("position", said(f"{where}{card.constructor_serial}{rig}")),
        ("went on" if card.done_on else "goes on", _unit(card.incoming)),
        ("came off" if card.done_on else "comes off", _unit(card.outgoing)),
    ]
    data = " revision ".join(part for part in (card.data_reference, card.data_revision) if part)
    for name, text in (
        ("target", card.target),
        ("work order", card.work_order),
        ("approved data", data),
        ("remarks", card.remarks),
    ):
        if text:
            pairs.append((name, said(text)))
    if card.second_person:
        pairs.append(("inspection", said(f"{card.second_person}: another person than the one who did the work")))
    return [Pairs(pairs)]


def _found(card: SwapCard) -> list[Block]:
    """What can go wrong with the plan."""
    if not card.findings:
        return []
    rows = [
        Row(
            [signed(verdict_sign(each.severity)), whole(each.finding, STRONG), said(each.message)],
            notes=[said(f"What to do: {each.action}", QUIET)],
        )
        for each in card.findings
    ]
    columns = [Column("", whole=True), Column("", whole=True), Column("", floor=30)]
    return [heading("WHAT CAN GO WRONG WITH THE PLAN", len(rows)), Columns(columns, [Section("", rows)], indent=4)]


def _open(card: SwapCard) -> list[Block]:
    """What keeps the door from being released."""
    if not card.open:
        return []
    rows = [Row([signed("!!"), said(point.text)]) for point in card.open]
    return [
        heading("OPEN BEFORE THE DOOR IS RELEASED", len(rows)),
        Columns([Column("", whole=True), Column("", floor=30)], [Section("", rows)], indent=4),
    ]


def _body(card: SwapCard) -> list[Block]:
    blocks: list[Block] = [*_where(card), *_found(card), *_open(card)]
    if card.items:
        columns = [
            Column("", whole=True),
            Column("what", whole=True),
            Column("item", floor=18),
            Column("how it stands", floor=30),
        ]
        blocks += [
            heading("ACCOUNTED FOR"),
            Columns(columns, [Section("", [_item(item) for item in card.items])], indent=4),
        ]
    events = [
        Row([tied(event.on), said(event.what), said(event.by or ""), Text(str(event.entry), style=QUIET)])
        for event in card.events
    ]
    columns = [
        Column("day", whole=True),
        Column("what happened", floor=30),
        Column("by", rank=1, floor=6),
        Column("entry", whole=True),
    ]
    blocks += [heading("WHAT HAPPENED"), Columns(columns, [Section("", events)])]
    if card.told:
        blocks += [heading("NOTE"), Listing([said(text) for text in card.told])]
    return [*blocks, heading("CAUTION"), Listing([said(text) for text in card.cautions], mark="!")]


def _unit(unit: SwapUnit | None) -> Text:
    if unit is None:
        return Text("not chosen")
    maker = f" made by {unit.manufacturer}" if unit.manufacturer else ""
    what = f", {unit.description}" if unit.description else ""
    return Text.assemble(whole(unit.name, STRONG), said(f"{maker}{what}; {unit.where}"))


def _item(item: SwapItem) -> Row:
    name = item.item if item.runs == 1 else f"{item.item} ({item.runs} times)"
    asked = "" if item.asked else ", which no data asks for"
    return Row(
        [signed("==" if item.settled else "!!"), tied(CATEGORIES[item.category]), said(name), said(item.told + asked)]
    )


def swap_list(answer: SwapList) -> RenderableType:
    """Planned swaps: what is done and not released on top."""
    waiting = sum(1 for row in answer.rows if row.state == "done")
    blocks: list[Block] = [
        title("SWAPS", Text(f"{len(answer.rows):,}"), Text(f"{waiting:,} done and not released")),
        about_block(answer.about),
        Rule(),
    ]
    if not answer.rows:
        blocks.append(Paragraph(Text("None is open. fleetlife swap plan begins one.")))
        return Report(blocks)
    columns = [
        Column("state", whole=True),
        Column("swap", whole=True),
        Column("where", whole=True),
        Column("goes on", floor=12),
        Column("comes off", rank=1, floor=12),
        Column("by", rank=2, floor=10),
        Column("open", right=True),
    ]
    blocks.append(
        Columns(columns, [Section("", [_line(row, answer.findings.get(row.swap, ())) for row in answer.rows])])
    )
    return Report(blocks)


def _line(row: SwapLine, found: Sequence[SwapFinding]) -> Row:
    return Row(
        [
            signed(_LINE_SIGNS[row.state], row.state),
            whole(row.swap),
            tied(f"{row.registration} {row.position}"),
            said(row.incoming or "not chosen"),
            said(row.outgoing or ""),
            tied(row.target or ""),
            Text(str(row.open_points) if row.open_points else ""),
        ],
        notes=[
            Text.assemble(signed(verdict_sign(each.severity)), " ", whole(each.finding), " ", said(each.message))
            for each in found
        ],
    )
