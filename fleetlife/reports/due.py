"""The due list: what is past its point first, then what falls due, then the unknown by cause, then the coverage."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import TIE, harmless, said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Flow, Paragraph, Report, Rule, counted, heading, title
from fleetlife.reports.signs import ESTIMATE, ESTIMATE_MEANS, STATE_SIGNS, signed, state_in_words, state_legend
from fleetlife.terms.measure import Minutes, hours_text
from fleetlife.terms.number import position_label, serial_runs
from fleetlife.terms.views import Coverage, DueList, DueRow, UnknownCause
from fleetlife.terms.words import PLACE_KINDS

GROUPS = ("state", "month", "airframe", "station", "part", "position")
PAST = ("overdue", "no refill", "in variation")
UNIT_WORDS = {" d": "d days", " FH": "FH flight hours", " FC": "FC flight cycles", " op": "op operations"}
NOT_KNOWN = "not known"
LONGEST_PLACE = 12
_STATE_HEADINGS = {
    "overdue": "OVERDUE",
    "no refill": "NO REFILL: may stay until emptied",
    "in variation": "IN VARIATION: past the first due point, covered",
    "due": "FALLS DUE IN THE WINDOW",
    "unknown": "UNKNOWN",
    "waiting": "WAITING: the calendar starts at fitting",
    "in date": "IN DATE",
}


Notes = Mapping[DueRow, Sequence[Text]]


def due_report(
    due: DueList, *, by: str = "state", full: bool = False, notes: Notes | None = None, more: Sequence[Block] = ()
) -> RenderableType:
    """The due list, grouped by state, month, airframe, station, part or position. By state soft lives stand apart.

    Unknown rows are grouped by cause with counts; with `full` they are listed one by one as well, and every row
    says its reason. `notes` stand under their rows, `more` before the findings. The coverage line is always the last.
    """
    assert by in GROUPS, by
    dated = [row for row in due.rows if row.state != "unknown"]
    unknown = [row for row in due.rows if row.state == "unknown"]
    blocks: list[Block] = [
        title("DUE LIST", Text(window_words(due))),
        about_block(due.about),
        *([_fitting_day(due.fitted_on)] if due.fitted_on else []),
        Rule(),
        Flow(_strip(due, unknown)),
    ]
    makers = _ambiguous(due.rows)
    first = [row for row in dated if row.state in (*PAST, "due")]
    rest = [row for row in dated if row.state not in (*PAST, "due")]
    soft: list[DueRow] = []
    if by != "state":
        first, rest = dated, []
    else:
        soft = [row for row in first if row.kind == "soft_life"]
        first = [row for row in first if row.kind != "soft_life"]
    noted = notes or {}
    sections = [_section(words, rows, full, makers, by, noted) for words, rows in _groups(first, by)]
    later = [_section(words, rows, full, makers, by, noted) for words, rows in _groups(rest, by)]
    if soft:
        later.insert(0, _section("SOFT LIFE, apart: it stops nothing", soft, full, makers, by, noted))
    if full and unknown:
        later.insert(0, _section("UNKNOWN, one by one", unknown, full, makers, "state", noted))
    every = [row for section in (*sections, *later) for row in section.rows]
    if sections:
        blocks += [Blank(), Columns(DUE_TABLE, sections, indent=3, measured=every)]
    if not first:
        blocks += [Blank(), Paragraph(Text(nothing_due(due, bool(unknown))))]
    blocks += _unknown_blocks(due, unknown)
    if later:
        blocks += [Blank(), Columns(DUE_TABLE, later, indent=3, measured=every)]
    if due.before_window:
        verb = "falls" if due.before_window == 1 else "fall"
        text = (
            f"{counted(due.before_window, 'row')} {verb} due after {due.about.as_of} and before the window begins on "
            f"{due.window_from}; not listed here."
        )
        blocks += [Blank(), Paragraph(Text(text, style=STRONG))]
    blocks += more
    if due.findings:
        blocks += [heading("FINDINGS", len(due.findings)), finding_block(due.findings)]
    blocks += [Blank(), Rule(), *legend_of(due.rows), coverage_line(due.coverage)]
    return Report(blocks)


def window_words(due: DueList) -> str:
    """Which window was asked for."""
    if due.window_from and due.window_until:
        return f"from {due.window_from} to {due.window_until}"
    if due.window_until:
        return f"until {due.window_until}"
    return "every row, dated or not"


def _fitting_day(day: str) -> Block:
    """The day of the fitting where it is not the day asked about: it stands in the head."""
    return Paragraph(
        Text.assemble("What it would be due if fitted is told for a fitting on ", whole(day), ".", style=STRONG)
    )


def nothing_due(due: DueList, unknown: bool) -> str:
    """What is said where no row has a known date."""
    rest = " What is unknown stands below." if unknown or due.coverage.unknown_rows else ""
    where = "" if due.window_until is None else " in this window"
    return f"Nothing with a known date falls due{where}, and nothing is past its due point.{rest}"


def _strip(due: DueList, unknown: Sequence[DueRow]) -> list[Text]:
    """All that matters in one line on top: how many are past, due, unknown, without a programme."""
    items = []
    for state in STATE_SIGNS:
        count = sum(row.state == state for row in due.rows)
        text = state_in_words(state)
        if state == "unknown":
            count = max(due.coverage.unknown_rows, sum(not _is_without(row) for row in unknown))
            text.append(f",{TIE}whole{TIE}or{TIE}in{TIE}part")
        if count or state in ("overdue", "due", "unknown"):
            text.append(f"{TIE}{count:,}", style=STRONG if count else "")
            items.append(text)
    items.append(Text.assemble("without programme ", (f"{due.coverage.without_programme:,}", STRONG)))
    return items


def _is_without(row: DueRow) -> bool:
    return row.requirement is None


# --- rows ----------------------------------------------------------------------------------------------------------

DUE_TABLE = (
    Column("state", whole=True, under=""),
    Column("where", whole=True, under=""),
    Column("part number", whole=True),
    Column("serial number", whole=True),
    Column("requirement", rank=3, floor=10, under=""),
    Column("due", rank=1, whole=True, under="due"),
    Column("left", rank=2, whole=True, right=True, under="left"),
)


def due_rows_block(rows: Sequence[DueRow], *, full: bool = False) -> Block:
    """Due rows of a card, without headings, the worst first as they come."""
    makers = _ambiguous(rows)
    return Columns(DUE_TABLE, [Section("", [due_row(row, full=full, makers=makers) for row in rows])], indent=3)


def due_row(
    row: DueRow, *, full: bool, makers: frozenset[tuple[str, str]] = frozenset(), more: Sequence[Text] = ()
) -> Row:
    """One row: where, which unit, which requirement, its state in words and sign, when, what is left."""
    notes = [said(row.state_reason, QUIET)] if full or row.state in ("no refill", "in variation") else []
    return Row(
        [
            state_in_words(row.state),
            place(row),
            whole(row.part_number),
            whole(row.serial_number),
            said(requirement_text(row)),
            whole(due_text(row)),
            whole(left_text(row)),
        ],
        [Text.assemble(text, style=QUIET) for text in _details(row, full, makers)],
        [*notes, *more],
    )


def place(row: DueRow) -> Text:
    """Registration and position, or the store; a child stands where its parent is. Long names stand under the row."""
    if row.registration:
        return tied(row.registration, row.position)
    name = row.store or "not known"
    return whole(name if len(name) <= LONGEST_PLACE else _place_kind(name))


def _place_kind(name: str) -> str:
    """The sort of a place whose name is too long for a column: `shop Outer Reef Overhaul` is a shop."""
    first = name.split(" ", 1)[0]
    return first if first in PLACE_KINDS else "store"


def requirement_text(row: DueRow) -> str:
    """The requirement and its kind."""
    if row.requirement is None:
        return "no programme"
    kind = (row.kind or "").replace("_", " ")
    return f"{row.requirement} {kind}" if kind and kind != row.requirement.lower() else row.requirement


def due_text(row: DueRow) -> str:
    """The due date, marked where it is estimated, or why there is none."""
    mark = ESTIMATE if row.estimated else ""
    if row.due_date:
        return f"{mark}{row.due_date}"
    if row.due_earliest:
        return f"{mark}{row.due_earliest}"
    return {"overdue": "passed", "waiting": "not begun", "unknown": NOT_KNOWN}.get(row.state, "none")


def measures_left(row: DueRow) -> dict[str, str]:
    """What is left by measure, in words."""
    mark = ESTIMATE if row.estimated else ""
    found = {}
    if row.days_left is not None:
        found["calendar"] = f"{row.days_left:,} d"
    if row.hours_left is not None:
        found["hours"] = f"{mark if row.driver == 'hours' else ''}{hours_text(row.hours_left)} FH"
    if row.cycles_left is not None:
        found["cycles"] = f"{mark if row.driver == 'cycles' else ''}{row.cycles_left:,} FC"
    if row.operations_left is not None:
        found["operations"] = f"{row.operations_left:,} op"
    if row.counter is not None and row.counter_left is not None:
        found[row.counter] = f"{mark if row.driver == row.counter else ''}{_counted(row.counter_left)} {row.counter}"
    return found


def _counted(value: int) -> str:
    """A figure of a counter: hours as HHHH:MM, a count with its thousands apart."""
    return hours_text(value) if isinstance(value, Minutes) else f"{value:,}"


def _is_past(text: str) -> bool:
    return text.lstrip(ESTIMATE).startswith("-")


def left_text(row: DueRow) -> str:
    """What is left by the measure that decides."""
    return measures_left(row).get(row.driver or "", row.driver or "")


def _details(row: DueRow, full: bool, makers: frozenset[tuple[str, str]]) -> list[Text]:
    """What stands under a row: its parent, an earlier date, other measures, the variation, what is not known."""
    found = []
    if not row.registration and row.store and len(row.store) > LONGEST_PLACE:
        found.append(said(f"at {row.store}"))
    if row.parent_serial_number:
        found.append(tied("in", row.parent_part_number, row.parent_serial_number))
    if row.manufacturer and (row.part_number, row.serial_number) in makers:
        found.append(said(f"made by {row.manufacturer}"))
    if is_earlier(row):
        found.append(tied("at the earliest", f"{ESTIMATE}{row.due_earliest}"))
    others = [text for measure, text in measures_left(row).items() if measure != row.driver]
    left = [text for text in others if not _is_past(text)]
    past = [text.replace("-", "", 1) for text in others if _is_past(text)]
    if left:
        found.append(tied("also left", ", ".join(left)))
    if past:
        found.append(tied("already past by", ", ".join(past)))
    if row.variation and row.variation not in row.state_reason:
        found.append(said(f"under {row.variation}"))
    if row.original_due and row.original_due != row.due_date:
        found.append(tied("first due", row.original_due))
    if row.due_if_fitted and row.state in ("waiting", "in date", "due"):
        found.append(tied("if fitted on the day asked", row.due_if_fitted))
    if row.kind == "soft_life":
        found.append(said("soft life: listed, stops nothing"))
    if row.unknown_measures and not _is_without(row):
        found.append(said(f"not known: {unknown_words(row.unknown_measures)}"))
    if row.life_quality and row.life_quality != "documented":
        found.append(said(f"life {row.life_quality}"))
    if full:
        found += _figures(row)
    return found


def _figures(row: DueRow) -> list[Text]:
    """For the full list: from what, under which edition, against which figures of the airframe."""
    found = []
    if row.basis:
        found.append(said(f"counted from {row.basis}"))
    if row.airframe_hours_due is not None:
        found.append(tied("airframe", hours_text(row.airframe_hours_due), "FH"))
    if row.airframe_cycles_due is not None:
        found.append(tied("airframe", f"{row.airframe_cycles_due:,}", "FC"))
    if row.counter is not None and row.counter_due is not None:
        found.append(tied("airframe", _counted(row.counter_due), row.counter))
    if row.readings_as_of and row.driver in ("hours", "cycles", row.counter):
        found.append(tied("reading of", row.readings_as_of))
    if row.edition:
        found.append(said(f"edition {row.edition}"))
    if row.reference:
        found.append(said(row.reference))
    return found


def unknown_words(measures: str) -> str:
    """`calendar: no-mark; hours: no-release` in words."""
    return measures.replace("-", " ")


def is_earlier(row: DueRow) -> bool:
    """Whether it may fall due before the date that is printed."""
    return bool(row.due_earliest and row.due_date and row.due_earliest != row.due_date)


def _figures_of(row: DueRow) -> list[str]:
    return list(measures_left(row).values())


def _ambiguous(rows: Iterable[DueRow]) -> frozenset[tuple[str, str]]:
    """Part and serial numbers that two manufacturers have given: there the manufacturer must stand in the row."""
    makers: dict[tuple[str, str], set[str | None]] = {}
    for row in rows:
        makers.setdefault((row.part_number, row.serial_number), set()).add(row.manufacturer)
    return frozenset(name for name, made in makers.items() if len(made) > 1)


# --- groups --------------------------------------------------------------------------------------------------------


def _groups(rows: Sequence[DueRow], by: str) -> list[tuple[str, list[DueRow]]]:
    """The rows in groups with their headings; inside a group in the order in which they come, the worst first."""
    key, words = _GROUPINGS[by]
    found: dict[tuple[object, ...], list[DueRow]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return [(words(found[group][0]), found[group]) for group in sorted(found)]


def _by_state(row: DueRow) -> tuple[object, ...]:
    return (list(STATE_SIGNS).index(row.state) if row.state in STATE_SIGNS else len(STATE_SIGNS),)


def _by_month(row: DueRow) -> tuple[object, ...]:
    return (0, "") if row.state in PAST else (1, _month(row) or "9999-99")


def _by_airframe(row: DueRow) -> tuple[object, ...]:
    return (0, row.registration) if row.registration else (1, row.store or "")


def _by_position(row: DueRow) -> tuple[object, ...]:
    if row.registration and row.position:
        return 0, serial_runs(position_label(row.position))
    return (1, ()) if row.registration else (2, ())


def _month(row: DueRow) -> str:
    return (row.due_earliest or row.due_date or "")[:7]


_GROUPINGS: dict[str, tuple[Callable[[DueRow], tuple[object, ...]], Callable[[DueRow], str]]] = {
    "state": (_by_state, lambda row: _STATE_HEADINGS.get(row.state, row.state.upper())),
    "month": (_by_month, lambda row: "PAST THEIR DUE POINT" if row.state in PAST else _month(row) or "NO DATE"),
    "airframe": (_by_airframe, lambda row: row.registration or row.store or "PLACE NOT KNOWN"),
    "station": (
        lambda row: (0, row.station) if row.station else (1, ""),
        lambda row: row.station or ("NOT ON AN AIRFRAME" if not row.registration else "STATION NOT STATED"),
    ),
    "part": (lambda row: (serial_runs(row.part_number),), lambda row: row.part_number),
    "position": (
        _by_position,
        lambda row: (
            "NOT ON AN AIRFRAME" if not row.registration else row.position or "ON AN AIRFRAME, POSITION NOT KNOWN"
        ),
    ),
}


def _section(
    words: str, rows: Sequence[DueRow], full: bool, makers: frozenset[tuple[str, str]], by: str, notes: Notes
) -> Section:
    count = f"{len(rows):,}"
    past = sum(row.state == "overdue" for row in rows)
    if by != "state":
        count = counted(len(rows), "row") + (f", {past:,} overdue" if past else "")
    shown = [due_row(row, full=full, makers=makers, more=notes.get(row, ())) for row in rows]
    return Section(harmless(words), shown, count)


# --- what is unknown, and the coverage -----------------------------------------------------------------------------


def _unknown_blocks(due: DueList, unknown: Sequence[DueRow]) -> list[Block]:
    """Rows without a date by cause, and units without a programme by part number."""
    blocks: list[Block] = []
    without = [row for row in unknown if _is_without(row)]
    if without:
        parts: dict[str, set[tuple[str, str | None]]] = {}
        for row in without:
            parts.setdefault(row.part_number, set()).add((row.serial_number, row.manufacturer))
        by_count = sorted(parts, key=lambda part: (-len(parts[part]), serial_runs(part)))
        blocks += [
            heading("NO PROGRAMME: not the same as nothing due", len(without)),
            Flow(
                [
                    Text.assemble(signed("??"), TIE, whole(part), f":{TIE}{counted(len(parts[part]), 'unit')}")
                    for part in by_count
                ],
                indent=3,
            ),
        ]
    if due.coverage.causes:
        rows = due.coverage.unknown_rows
        blocks += [
            heading(f"UNKNOWN: a date, or one measure of it, cannot be told; {counted(rows, 'row')}, by cause"),
            causes_table(due.coverage.causes),
        ]
    return blocks


def causes_table(causes: Sequence[UnknownCause]) -> Columns:
    """Causes ranked by how many units the named document would clear."""
    rows = [
        Row(
            [
                signed("??"),
                Text(f"{cause.units:,}"),
                Text(f"{cause.rows:,}"),
                said(cause.sentence),
                said(cause.cleared_by, QUIET),
            ]
        )
        for cause in ranked(causes)
    ]
    return Columns(
        [
            Column("", whole=True),
            Column("units", whole=True, right=True),
            Column("rows", whole=True, right=True),
            Column("cause", floor=24),
            Column("cleared by", rank=1, floor=24),
        ],
        [Section("", rows)],
        indent=16,
    )


def ranked(causes: Sequence[UnknownCause]) -> list[UnknownCause]:
    """First what most units wait for."""
    return sorted(causes, key=lambda cause: (-cause.units, -cause.rows, cause.cause))


def coverage_line(coverage: Coverage) -> Paragraph:
    """Units counted, with a programme, without, unknown by cause; the last line of every due list."""
    causes = ", ".join(
        f"{harmless(cause.cause.replace('-', ' '))} {counted(cause.units, 'unit')}" for cause in ranked(coverage.causes)
    )
    unknown = "unknown: none"
    if coverage.unknown_rows or coverage.unknown_units:
        unknown = f"unknown: {counted(coverage.unknown_rows, 'row')} of {counted(coverage.unknown_units, 'unit')}"
        unknown += f" ({causes})" if causes else ""
    return Paragraph(
        Text(
            f"{counted(coverage.units, 'unit')} counted: {coverage.with_programme:,} with a programme, "
            f"{coverage.without_programme:,} without; {unknown}.",
            style=STRONG,
        )
    )


def legend_of(rows: Sequence[DueRow]) -> list[Block]:
    """The signs used, the units used and the mark of an estimate."""
    if not rows:
        return []
    words = [
        f"{UNIT_WORDS[unit]}" for unit in UNIT_WORDS if any(unit in text for row in rows for text in _figures_of(row))
    ]
    blocks: list[Block] = [state_legend([row.state for row in rows])]
    estimated = [ESTIMATE_MEANS] if any(row.estimated or is_earlier(row) for row in rows) else []
    if words or estimated:
        blocks.append(Flow([Text(text, style=QUIET) for text in (*words, *estimated)], fold=2))
    return blocks
