"""Stores: what was received and what holds it, what was decided, and what lies where."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.head import HEAD_LENGTH, about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Listing, Pairs, Paragraph, Report, Rule, heading, title
from fleetlife.reports.recorded import KEEP
from fleetlife.reports.signs import signed
from fleetlife.terms.measure import hours_text
from fleetlife.terms.published import RULES
from fleetlife.terms.stores import DecisionRecorded, StoresList, StoresRow, UnitReceived

PUT_RIGHT = "goes when it is put right"
DECIDED = "lifted by name: stores lift"
REPORTING = (
    f"{RULES['AC 21-29D report'].cited}. This program reports nothing to anybody: whom to tell, how and by when "
    "follows the rules of your authority."
)
_DONE = {
    "lifted": "What its receipt found no longer holds it.",
    "suspected": "It is flagged as a suspected unapproved part.",
    "cleared": "It is no longer suspected.",
}


def unit_received(received: UnitReceived, preview: bool = False) -> RenderableType:
    """What was recorded of a receipt, or with `preview` would be: where it is and what holds it."""
    new = ", new to these records" if received.introduced else ""
    blocks: list[Block] = [
        *_title("RECEIPT", received.entry, preview),
        Pairs(
            [
                ("unit", Text.assemble(whole(received.name, STRONG), said(new))),
                ("place", said(received.place)),
                ("hold", said(received.hold, STRONG) if received.hold else Text("none")),
            ]
        ),
    ]
    if received.cautions:
        blocks += [heading("CAUTION"), Listing([said(text) for text in received.cautions], mark="!")]
    if received.causes:
        rows = [
            Row([signed("!!"), said(each.text), said(DECIDED if each.decided else PUT_RIGHT, QUIET)])
            for each in received.causes
        ]
        columns = [Column("", whole=True), Column("what holds it", floor=24), Column("", rank=1, floor=12, under="")]
        blocks += [heading("WHAT DOES NOT AGREE", len(rows)), Columns(columns, [Section("", rows)], indent=4)]
    if received.told:
        blocks += [heading("NOTE"), Listing([said(text) for text in received.told])]
    return Report([*blocks, *_end(received, preview)])


def decision_recorded(recorded: DecisionRecorded, preview: bool = False) -> RenderableType:
    """What was recorded of a decision, or with `preview` would be, and what holds the unit after it."""
    blocks: list[Block] = [
        *_title("DECISION", recorded.entry, preview),
        Pairs(
            [
                ("unit", whole(recorded.name, STRONG)),
                ("decided", said(_DONE[recorded.decision])),
                ("hold", said(recorded.hold, STRONG) if recorded.hold else Text("none")),
            ]
        ),
    ]
    if recorded.decision == "suspected":
        blocks += [Blank(), Paragraph(said(REPORTING))]
    if recorded.told:
        blocks += [heading("NOTE"), Listing([said(text) for text in recorded.told])]
    return Report([*blocks, *_end(recorded, preview)])


def _title(name: str, entry: int, preview: bool) -> list[Block]:
    words = f"PREVIEW OF A {name}: NOTHING IS RECORDED" if preview else f"{name} RECORDED, ENTRY {entry}"
    return [Rule(heavy=True), Paragraph(Text(words, style=STRONG), indent=1), Rule(heavy=True)]


def _end(recorded: UnitReceived | DecisionRecorded, preview: bool) -> list[Block]:
    if preview:
        return [Blank(), Rule(), Paragraph(Text("Nothing was written. Recorded, it would be the ledger's next entry."))]
    head = Text.assemble(("ledger head ", QUIET), whole(recorded.ledger_head[:HEAD_LENGTH]))
    return [Blank(), Rule(), Paragraph(head), Paragraph(Text(KEEP, style=QUIET))]


# --- what lies where ------------------------------------------------------------------------------------------------


def stores_list(answer: StoresList) -> RenderableType:
    """Units in the stores, store by store, what is left of each; worst first."""
    blocks: list[Block] = [
        title("IN STORES", Text(f"{len(answer.rows):,} units"), Text(f"{answer.on_hold:,} on hold")),
        about_block(answer.about),
        Rule(),
    ]
    if not answer.rows:
        blocks.append(Paragraph(Text("No unit is in a store that was asked for.")))
        return Report(blocks)
    stores = list(dict.fromkeys(row.store for row in answer.rows))
    sections = []
    for store in stores:
        rows = [row for row in answer.rows if row.store == store]
        sections.append(Section(store or "store not named", [_stores_row(row) for row in rows], str(len(rows))))
    blocks.append(
        Columns(
            [
                Column("", whole=True),
                Column("bin", rank=3, floor=6, under="bin"),
                Column("part", whole=True),
                Column("serial", whole=True),
                Column("side", rank=2, floor=6, under="rigged"),
                Column("condition", rank=4, floor=13, under="condition"),
                Column("what is left", floor=14),
                Column("falls due", rank=1, floor=20, under="falls due"),
            ],
            sections,
            indent=3,
        )
    )
    blocks += [Blank(), Rule(), *_legend(answer.rows)]
    return Report(blocks)


def _stores_row(row: StoresRow) -> Row:
    sign = "!!" if row.hold or row.state in ("overdue", "no refill") else "??" if row.state in (None, "unknown") else ""
    notes = [said(f"On hold: {row.hold}.", STRONG)] if row.hold else []
    return Row(
        [
            signed(sign) if sign else Text(""),
            whole(row.bin),
            whole(row.part_number),
            whole(row.serial_number),
            said(row.side if row.side != "none" else ""),
            said(row.condition if row.condition != "serviceable" else ""),
            _left(row),
            said(_due_text(row)),
        ],
        notes=notes,
    )


def _due_text(row: StoresRow) -> str:
    of = f" of {row.of_part_number} {row.of_serial_number}" if row.of_serial_number else ""
    told = f"{row.due_date or row.due_if_fitted or ''} {row.requirement or ''}{of}".strip()
    return told if row.due_date or not row.due_if_fitted else f"{told} if fitted"


def _left(row: StoresRow) -> Text:
    """What is left of the row that falls due first: days, hours, cycles, operations, as far as each is known."""
    if row.state is None:
        return Text("no programme")
    parts = []
    if row.days_left is not None:
        parts.append(f"{row.days_left:,} d")
    if row.hours_left is not None:
        parts.append(f"{hours_text(row.hours_left)} h")
    if row.cycles_left is not None:
        parts.append(f"{row.cycles_left:,} c")
    if row.operations_left is not None:
        parts.append(f"{row.operations_left:,} op")
    pieces = [whole(row.state)] if row.state in ("overdue", "no refill", "in variation") else []
    pieces += [whole(("~" if row.estimated and not number else "") + part) for number, part in enumerate(parts)]
    if not pieces and row.due_if_fitted:
        pieces.append(said("starts when fitted"))
    if row.unknown_rows:
        dates = "date" if row.unknown_rows == 1 else "dates"
        pieces.append(whole(f"{row.unknown_rows} {dates} not known"))
    return Text(", ").join(pieces) if pieces else Text("nothing due")


def _legend(rows: Sequence[StoresRow]) -> list[Block]:
    words = (
        "d days, h flight hours, c cycles, op operations left of the row that falls due first, of the unit or of what "
        "it holds. What waits for a fitting shows the date it would have if fitted. What bears no condition is "
        "recorded as serviceable."
    )
    if any(row.estimated for row in rows):
        words += " ~ rests on an estimate."
    return [Paragraph(Text(words, style=QUIET))]
