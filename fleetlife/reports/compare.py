"""What changed between two states of knowledge: what was believed, what is, and the entries that say so."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import TIE, harmless, said, tied, whole
from fleetlife.reports.head import HEAD_LENGTH, about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Flow,
    Paragraph,
    Report,
    Rule,
    counted,
    heading,
    title,
)
from fleetlife.terms.views import Comparison, DifferenceRow, EntryLine

MOST_ENTRIES = 100
_COLUMNS = (
    Column("part number", whole=True),
    Column("serial number", whole=True),
    Column("where now", rank=2, floor=12, under=""),
    Column("by entry", rank=1, floor=10, under="by entry"),
)
_ENTRY_COLUMNS = (
    Column("entry", whole=True, right=True),
    Column("of", floor=10),
    Column("on", whole=True, rank=2, under="on"),
    Column("recorded", whole=True),
    Column("by", whole=True, rank=1, under="by"),
)


def comparison_report(answer: Comparison) -> RenderableType:
    """Counts on top, a section for each kind of difference with before and after under every row, then the entries."""
    blocks: list[Block] = [
        title("COMPARED", Text("two states of knowledge of one day")),
        about_block(answer.about),
        Flow(
            [
                Text.assemble(
                    ("beside", QUIET),
                    TIE,
                    tied(
                        f"known at {answer.earlier_moment}, ledger head {answer.earlier_head[:HEAD_LENGTH]},"
                        f" entry {answer.earlier_entry}",
                        style=QUIET,
                    ),
                )
            ]
        ),
        Rule(),
    ]
    if answer.rows:
        counts = [
            Text.assemble(_plural(what, count).replace(" ", TIE), TIE, (f"{count:,}", STRONG))
            for what, count in answer.counts()
        ]
        units = [list(rows) for _, rows in groupby(answer.rows, key=_unit)]
        blocks += [
            Flow(counts),
            heading("UNITS OF WHICH SOMETHING ELSE IS BELIEVED", len(units)),
            Columns(_COLUMNS, [Section("", [_row(rows) for rows in units])], indent=3),
        ]
    else:
        blocks.append(Paragraph(Text("Nothing differs in what is believed of any unit.", style=STRONG)))
    if answer.entries:
        shown = answer.entries[:MOST_ENTRIES]
        more = len(answer.entries) - len(shown)
        blocks += [
            heading("RECORDED BETWEEN", len(answer.entries)),
            Columns(_ENTRY_COLUMNS, [Section("", [_entry(line) for line in shown])], indent=3),
        ]
        if more:
            blocks.append(Paragraph(Text(f"and {more:,} more: --format json lists them all.", style=QUIET)))
    blocks += [Blank(), Rule(), Paragraph(Text(_readings(answer), style=QUIET))]
    return Report(blocks)


def moved_report(rows: Sequence[DifferenceRow], *, units: int) -> RenderableType:
    """What moves when something is recorded: the units of which something else will be believed."""
    head: list[Block] = [title("WHAT MOVES", Text(f"{counted(units, 'unit')} derived again")), Rule()]
    return Report([*head, *moved_blocks(rows, words=""), Blank(), Rule()])


def moved_blocks(rows: Sequence[DifferenceRow], *, words: str = "WHAT MOVES") -> list[Block]:
    """The units of which something else will be believed, and what; or that nothing moves."""
    grouped = [list(each) for _, each in groupby(rows, key=_unit)]
    above = [heading(words, len(grouped))] if words else []
    if not grouped:
        nothing = "Nothing moves, dates projected from a newer reading apart: of every unit the same is believed."
        return [*above, Paragraph(Text(nothing, style=STRONG))]
    return [*above, Columns(_COLUMNS[:-1], [Section("", [_row(each, entries=False) for each in grouped])], indent=3)]


def _readings(answer: Comparison) -> str:
    units = f"{counted(answer.units, 'unit')} compared."
    if not answer.reading_entries:
        return f"{units} No readings were recorded between the two."
    return (
        f"{units} {counted(answer.reading_entries, 'entry', 'entries')} of readings of "
        f"{counted(answer.reading_airframes, 'airframe')} came between: dates that only move with a "
        "newer projection are listed where an entry names the unit, and left out elsewhere."
    )


def _plural(what: str, count: int) -> str:
    if count == 1:
        return what
    return "harnesses" if what == "harness" else f"{what}s"


def _unit(row: DifferenceRow) -> tuple[str | None, ...]:
    return row.manufacturer, row.part_number, row.serial_number, row.entries, row.place


def _row(rows: Sequence[DifferenceRow], *, entries: bool = True) -> Row:
    """A unit, and under it each thing that differs: what was believed, then what is."""
    first = rows[0]
    return Row(
        [
            whole(first.part_number),
            whole(first.serial_number),
            said(first.place or "no longer in the records"),
            *([said(first.entries or "readings, programme")] if entries else []),
        ],
        [],
        [note for row in rows for note in _notes(row)],
    )


def _notes(row: DifferenceRow) -> list[Text]:
    what = row.what if row.requirement is None else f"{row.requirement} {(row.kind or '').replace('_', ' ')}".rstrip()
    still = row.days == 0 and row.state_before == row.state_after
    moved = "" if still or row.move in ("differs", "stated", "withdrawn") else f" {row.move}"
    days = f" by {counted(abs(row.days), 'day')}" if row.days and row.move in ("earlier", "later") else ""
    before = row.before or ("not required" if row.what == "due point" else "not in the records")
    after = row.after or ("not required" if row.what == "due point" else "no longer in the records")
    text = Text.assemble((harmless(f"{what}{moved}{days}: "), STRONG), harmless(f"was {before}; now {after}"))
    return [text, *([said(row.why, QUIET)] if row.why else [])]


def _entry(line: EntryLine) -> Row:
    notes = []
    if line.mends:
        notes.append(said(f"mends entry {line.mends}" + (f": {line.reason}" if line.reason else ""), QUIET))
    elif line.reason:
        notes.append(said(line.reason, QUIET))
    details = [tied("authorised by", line.authorised_by, style=QUIET)] if line.authorised_by else []
    return Row(
        [
            whole(f"{line.number:,}"),
            said(line.kind.replace("_", " ")),
            whole(line.on or ""),
            whole(line.recorded_at[:19].replace("T", " ")),
            whole(line.recorded_by),
        ],
        details,
        notes,
    )
