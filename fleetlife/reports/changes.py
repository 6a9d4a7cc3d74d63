"""The change list of a revised programme: what moves, from when to when, why; the worst first."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.due import LONGEST_PLACE, place, unknown_words
from fleetlife.reports.harmless import TIE, said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Flow, Paragraph, Report, Rule, counted, title
from fleetlife.reports.signs import ESTIMATE, ESTIMATE_MEANS, signed
from fleetlife.terms.measure import counted_text, hours_text
from fleetlife.terms.views import ChangeList, ChangeRow, DueRow

_SIGNS = {
    "becomes overdue": "!!",
    "becomes unknown": "??",
    "earlier": ">>",
    "new": ">>",
    "differs": ">>",
    "becomes known": "==",
    "later": "==",
    "no longer required": "==",
}
_COLUMNS = (
    Column("where", whole=True, under=""),
    Column("part number", whole=True),
    Column("serial number", whole=True),
    Column("requirement", rank=2, floor=10, under=""),
    Column("due now", whole=True),
    Column("then", whole=True),
    Column("days", rank=1, whole=True, right=True, under="days"),
)


def changes_report(changes: ChangeList) -> RenderableType:
    """Counts on top, a section a move, the reason under every row; a file that changes nothing says so."""
    blocks: list[Block] = [
        title("PROGRAMME CHANGES", Text("before it is taken in")),
        about_block(changes.about),
        Rule(),
        Flow(
            [
                Text.assemble(signed(_SIGNS[move]), TIE, move.replace(" ", TIE), TIE, (f"{count:,}", STRONG))
                for move, count in changes.counts()
            ]
        ),
    ]
    if not changes.rows:
        blocks.append(Paragraph(Text(_nothing(changes), style=STRONG)))
    sections = [
        Section(
            move.upper(), [_row(row, changes.about.as_of) for row in changes.rows if row.move == move], f"{count:,}"
        )
        for move, count in changes.counts()
    ]
    if sections:
        blocks += [Blank(), Columns(_COLUMNS, sections, indent=3)]
    estimated = any(row.estimated_before or row.estimated_after for row in changes.rows)
    blocks += [
        Blank(),
        Rule(),
        *([Paragraph(Text(ESTIMATE_MEANS, style=QUIET))] if estimated else []),
        Paragraph(
            Text(
                f"{counted(changes.new, 'new row')}, {changes.known:,} in the records already; "
                f"{counted(changes.units, 'unit')} of the parts concerned: {counted(len(changes.rows), 'due point')} "
                f"moved, {changes.restated:,} under another edition without moving.",
                style=STRONG,
            )
        ),
    ]
    return Report(blocks)


def _nothing(changes: ChangeList) -> str:
    if not changes.new:
        return "This changes nothing: every row is in the records already."
    if not changes.units:
        return "Nothing moves: no unit of the parts concerned is in the records."
    return "Nothing moves: every due point stays where it is."


def _row(row: ChangeRow, as_of: str) -> Row:
    where = place(DueRow(registration=row.registration, position=row.position, store=row.store))
    return Row(
        [
            where,
            whole(row.part_number),
            whole(row.serial_number),
            said(_requirement(row)),
            whole(_when(row, "before")),
            whole(_when(row, "after")),
            whole("" if row.days is None else f"{row.days:+,}"),
        ],
        [Text.assemble(text, style=QUIET) for text in _details(row, as_of)],
        [said(row.why, QUIET)] if row.why else [],
    )


def _requirement(row: ChangeRow) -> str:
    if row.requirement is None:
        return "no programme"
    kind = (row.kind or "").replace("_", " ")
    return f"{row.requirement} {kind}" if kind and kind != row.requirement.lower() else row.requirement


def _when(row: ChangeRow, side: str) -> str:
    """The date, or in a word why there is none."""
    state, due = getattr(row, f"state_{side}"), getattr(row, f"due_{side}")
    if state is None:
        return "not required"
    if due is not None:
        return f"{ESTIMATE if getattr(row, f'estimated_{side}') else ''}{due}"
    return {"overdue": "passed", "unknown": "not known", "waiting": "waiting"}.get(state, "no date")


def _details(row: ChangeRow, as_of: str) -> list[Text]:
    """What stands under a row: from when it applies, its parent, the other measures that move, what is not known."""
    found = [tied("at once") if row.applies_from == as_of else tied("applies from", row.applies_from)]
    if not row.registration and row.store and len(row.store) > LONGEST_PLACE:
        found.append(said(f"at {row.store}"))
    if row.parent_serial_number:
        found.append(tied("in", row.parent_part_number, row.parent_serial_number))
    if row.state_after == "overdue" and row.state_before == "overdue":
        found.append(said("overdue before as well"))
    named = row.counter_after or row.counter_before or ""
    for name, words, show in (
        ("due_earliest", "at the earliest", f"{ESTIMATE}{{}}".format),
        ("due_if_fitted", "if fitted on the day asked", str),
        ("calendar_due", "by the calendar", str),
        ("airframe_hours_due", "airframe FH", hours_text),
        ("airframe_cycles_due", "airframe FC", str),
        ("hours_left", "FH left", hours_text),
        ("cycles_left", "FC left", str),
        ("operations_left", "operations left", str),
        ("counter", "counted in", str),
        ("counter_due", f"airframe {named}", counted_text),
        ("counter_left", f"{named} left", counted_text),
    ):
        was, becomes = getattr(row, f"{name}_before"), getattr(row, f"{name}_after")
        if was != becomes and (was, becomes) != (row.due_before, row.due_after):
            texts = ["none" if value is None else show(value) for value in (was, becomes)]
            found.append(tied(words, f"{texts[0]}, then {texts[1]}"))
    if row.unknown_after and row.unknown_after != row.unknown_before:
        found.append(said(f"not known: {unknown_words(row.unknown_after)}"))
    return found
