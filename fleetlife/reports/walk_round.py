"""A walk-round: every position with its sign, then what differs, with what to do about it."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.certificate import place_by_place, spelled
from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.deferrals import deferred_block
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
    counted,
    heading,
    title,
)
from fleetlife.reports.signs import signed
from fleetlife.terms.walk_round import AGREE, DIFFER, NOT_LOOKED_AT, WalkRecorded, WalkRound, WalkRow


def walk_round_report(answer: WalkRound) -> RenderableType:
    """The report of `walk-round`."""
    differ = [row for row in answer.rows if row.verdict in DIFFER]
    blocks: list[Block] = [
        title("WALK-ROUND", whole(answer.registration), said(f"type {answer.type}, {answer.on}")),
        about_block(answer.about),
        Rule(),
        Paragraph(said(_counts(answer))),
        _table(answer.rows),
        *deferred_block(answer.deferrals),
    ]
    if answer.harness_differs:
        blocks += [
            heading("RIGGED FOR ANOTHER SIDE THAN RECORDED", len(answer.harness_differs)),
            Listing([said(text) for text in answer.harness_differs]),
        ]
    if differ:
        blocks.append(heading("DIFFERENCES", len(differ)))
        for row in differ:
            blocks += [Blank(), *_difference(row)]
    blocks += [Blank(), Rule(), Paragraph(Text("Nothing is recorded by looking: --record does that.", QUIET))]
    blocks.append(
        Paragraph(
            Text("Not looked at: the units that hang in others, and anything but plate and rig.", QUIET),
        )
    )
    return Report(blocks)


def walk_round_recorded(done: WalkRecorded) -> RenderableType:
    """What became of it, in a sentence."""
    if not done.entries:
        return Report([Paragraph(Text("Nothing to record: no position was looked at."))])
    first, last = done.entries[0], done.entries[-1]
    which = f"Entry {first}" if first == last else f"Entries {first} to {last}"
    told = [f"{counted(done.agreed, 'plate')} as recorded"]
    if done.read_otherwise:
        told.append(f"{done.read_otherwise} otherwise, the units recorded there on hold")
    if done.moved:
        told.append(f"{counted(done.moved, 'unit')} found elsewhere or gone")
    return Report([Paragraph(said(f"{which}: {', '.join(told)}.")), Paragraph(said(f"Ledger head {done.ledger_head}"))])


def _counts(answer: WalkRound) -> str:
    looked = [row for row in answer.rows if row.verdict != NOT_LOOKED_AT]
    agree = sum(row.verdict == AGREE for row in looked)
    return (
        f"{len(looked)} of {counted(len(answer.rows), 'position')} looked at: {agree} as recorded, "
        f"{len(looked) - agree} not."
    )


def _sign(row: WalkRow) -> Text:
    if row.verdict == NOT_LOOKED_AT:
        return signed("??", row.verdict)
    return signed("==" if row.verdict == AGREE else "!!", row.verdict)


def _table(rows: tuple[WalkRow, ...]) -> Block:
    return Columns(
        [
            Column("at", whole=True),
            Column("", whole=True),
            Column("recorded", whole=True),
            Column("found", whole=True),
            Column("rig", rank=1, whole=True, under="rig"),
            Column("note", rank=2, floor=12, under="note"),
        ],
        [
            Section(
                "",
                [
                    Row(
                        [
                            whole(row.position),
                            _sign(row),
                            tied(row.recorded_part_number or "nothing", row.recorded_serial_number or ""),
                            _found(row),
                            whole(row.harness or ""),
                            said(row.note or ""),
                        ]
                    )
                    for row in rows
                ],
            )
        ],
        indent=3,
    )


def _found(row: WalkRow) -> Text:
    if row.verdict == NOT_LOOKED_AT:
        return Text("")
    return tied(row.found_part_number or "nothing", row.found_serial_number or "")


def _difference(row: WalkRow) -> list[Block]:
    words = f"{row.position}: {row.why}"
    if row.elsewhere:
        words += f"; recorded at {row.elsewhere}"
    blocks: list[Block] = [Paragraph(signed("!!").append_text(said(f" {words}.", STRONG)), hang=3)]
    for name, found, recorded, marks in (
        ("part number", row.found_part_number, row.recorded_part_number, row.part_marks),
        ("serial number", row.found_serial_number, row.recorded_serial_number, row.serial_marks),
    ):
        if marks and found and recorded:
            told = spelled(place_by_place(found, recorded, marks), one_of="plate", other_of="record", at="in")
            blocks.append(Listing([Text(f"{name}: {text}") for text in told], indent=3))
    if row.action:
        blocks.append(Paragraph(said(f"-> {row.action}"), indent=3, hang=3))
    return blocks
