"""Visits to shops that are still to come, and the order of one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import harmless, said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Pairs, Paragraph, Report, Rule, counted, heading, title
from fleetlife.reports.signs import signed, state_sign
from fleetlife.terms.shop import BEFORE, DUE, GROUPS, NOT_TOLD, SOFT, OrderLine, ShopForecast, ShopOrder

DATED = (
    "A requalification counts from the month in which the unit left, all else from the day it is back; it goes at once "
    "to where it was before, and runs there as now."
)
ASSUMED = (
    "Assumed: each piece of work is a visit of its own, done on the day it falls due at the earliest, at once where "
    f"that has passed. {DATED} A life limit ends the unit."
)
CARE = "It says what these records hold, not how it is done: follow the current approved maintenance data."
_HEADINGS = {
    DUE: "TO BE DONE IN THIS VISIT",
    BEFORE: "FALLS DUE BEFORE THE UNIT'S OWN NEXT DATE",
    NOT_TOLD: "CANNOT BE TOLD",
    SOFT: "SOFT LIFE: it stops nothing",
}
_GROUP_SIGNS = {DUE: ">>", BEFORE: "->", NOT_TOLD: "??", SOFT: "--"}


# --- forecast ------------------------------------------------------------------------------------------------------


def shop_forecast(answer: ShopForecast) -> RenderableType:
    """Kinds by month, then parts by kind with their turnaround, then what is in no month and why."""
    visits = sum(row.visits for row in answer.rows)
    blocks: list[Block] = [
        title("SHOP FORECAST", Text(f"until {answer.until}"), Text(counted(visits, "visit"))),
        about_block(answer.about),
        Rule(),
    ]
    if visits:
        blocks += [heading("BY MONTH AND KIND"), _by_month(answer), heading("BY PART AND KIND"), _by_part(answer)]
    else:
        blocks.append(Paragraph(Text("No work in a shop with a known date falls due.")))
    if answer.apart:
        blocks += [heading("IN NO MONTH, OR NOT SURELY IN ITS OWN"), _apart(answer)]
    if answer.at_shops:
        told = f"{counted(answer.at_shops, 'unit')} with work in this forecast at shops now."
        blocks += [Blank(), Paragraph(Text(told))]
    again = sum(row.again for row in answer.rows)
    if again:
        told = f"{again:,} of these visits come again, after a visit that is itself forecast."
        blocks += [Blank(), Paragraph(Text(told))]
    return Report([*blocks, Blank(), Rule(), Paragraph(Text(ASSUMED, style=QUIET))])


def _kinds(answer: ShopForecast) -> list[str]:
    """The most frequent first."""
    count: Counter[str] = Counter()
    for row in answer.rows:
        count[row.kind] += row.visits
    return sorted(count, key=lambda kind: (-count[kind], kind))


def _by_month(answer: ShopForecast) -> Block:
    kinds = _kinds(answer)
    count: Counter[tuple[str, str]] = Counter()
    late: Counter[str] = Counter()
    for row in answer.rows:
        count[row.month, row.kind] += row.visits
        late[row.month] += row.overdue
    rows = []
    for month in answer.months:
        figures = [count[month, kind] for kind in kinds]
        cells = [signed("!!" if late[month] else "  "), whole(month), *(_figure(each) for each in figures)]
        notes = [said(f"of these {late[month]:,} overdue already")] if late[month] else []
        rows.append(Row([*cells, Text(f"{sum(figures):,}", style=STRONG)], notes))
    labels = [kind.replace("_", " ") for kind in kinds]
    columns = [Column(harmless(label), whole=True, right=True, rank=1, under=None) for label in labels]
    return Columns(
        [Column("", whole=True), Column("month", whole=True), *columns, Column("all", whole=True, right=True)],
        [Section("", rows)],
        indent=4,
    )


def _figure(number: int) -> Text:
    return Text(f"{number:,}") if number else Text("-", style=QUIET)


def _by_part(answer: ShopForecast) -> Block:
    visits: Counter[tuple[str, str]] = Counter()
    again: Counter[tuple[str, str]] = Counter()
    for row in answer.rows:
        visits[row.part_number, row.kind] += row.visits
        again[row.part_number, row.kind] += row.again
    times = {each.part_number: each for each in answer.parts}
    rows = []
    for part, kind in sorted(visits):
        time = times[part]
        whence = f"{time.turnaround:,} d, {_whence(time.returns, time.turnaround_from)}"
        cells = [whole(part), said(kind.replace("_", " ")), _figure(visits[part, kind]), _figure(again[part, kind])]
        rows.append(Row([*cells, said(whence)]))
    return Columns(
        [
            Column("part", whole=True),
            Column("kind", whole=True),
            Column("visits", whole=True, right=True),
            Column("again", whole=True, right=True),
            Column("turnaround", floor=12, rank=1),
        ],
        [Section("", rows)],
    )


def _whence(returns: int, of: str) -> str:
    """What a turnaround rests on."""
    if returns:
        return f"median of {counted(returns, 'return')} of {of}"
    return "given" if of == "given" else "none measured: back on the day it went"


def _apart(answer: ShopForecast) -> Block:
    rows = [
        Row(
            [
                signed("??"),
                whole(each.part_number),
                said((each.kind or "").replace("_", " ")),
                Text(f"{each.units:,}"),
                said(each.why),
            ]
        )
        for each in answer.apart
    ]
    columns = [Column("", whole=True), Column("part", whole=True), Column("kind", whole=True)]
    return Columns(
        [*columns, Column("units", whole=True, right=True), Column("why", floor=20)], [Section("", rows)], indent=4
    )


# --- order ---------------------------------------------------------------------------------------------------------


def shop_order(answer: ShopOrder) -> RenderableType:
    """What is to be done in the visit, what passes before the unit's own next date, and what cannot be told."""
    blocks: list[Block] = [
        title("SHOP ORDER", tied(answer.part_number, answer.serial_number, style=STRONG)),
        about_block(answer.about),
        Rule(),
        Pairs(_facts(answer)),
    ]
    for group in GROUPS:
        lines = [line for line in answer.lines if line.group == group]
        if lines or group == DUE:
            blocks.append(heading(_HEADINGS[group], len(lines)))
            blocks.append(_lines(lines) if lines else Paragraph(Text("Nothing falls due before it is back.")))
    return Report([*blocks, Blank(), Rule(), Paragraph(Text(f"{DATED} {CARE}", style=QUIET))])


def _facts(answer: ShopOrder) -> list[tuple[str, Text]]:
    time = f"{answer.turnaround:,} days, {_whence(answer.returns, answer.turnaround_from)}"
    work = ", ".join(answer.work) or "none"
    if answer.assumed:
        work += " (nothing of the unit itself is due: the next to come)"
    following = "no date can be told"
    if answer.next_on:
        following = f"{answer.next_on}, {answer.next_requirement}"
    if not answer.carried:
        following += "; no airframe carries it, so hours and cycles are not run forward"
    return [
        ("made by", said(answer.manufacturer or "not recorded")),
        ("is at", said(answer.place)),
        ("sent", whole(answer.sent_on)),
        ("back", whole(answer.back_on)),
        ("turnaround", said(time)),
        ("own work", said(work)),
        ("own next date", said(following)),
    ]


_LINES = (
    Column("", whole=True),
    Column("part number", whole=True),
    Column("serial number", whole=True),
    Column("slot", rank=3, floor=8, under="slot"),
    Column("requirement", rank=2, floor=10, under="for"),
    Column("due", whole=True),
    Column("after it", whole=True, rank=1, under="after it"),
)


def _lines(lines: Sequence[OrderLine]) -> Block:
    return Columns(_LINES, [Section("", [_line(line) for line in lines])], indent=4)


def _line(line: OrderLine) -> Row:
    kind = (line.kind or "").replace("_", " ")
    passed = line.group == DUE and line.state in ("overdue", "no refill", "in variation")
    sign = state_sign(line.state) if passed else _GROUP_SIGNS[line.group]
    papers = ", ".join(each for each in (line.reference, f"edition {line.edition}" if line.edition else None) if each)
    return Row(
        [
            signed(sign),
            whole(line.part_number),
            whole(line.serial_number),
            said(line.slot),
            said(f"{line.requirement or 'no programme'} {kind}".strip()),
            whole(line.due_on or "not known"),
            whole(line.next_due),
        ],
        notes=[said(line.reason), *([said(papers, QUIET)] if papers else [])],
    )
