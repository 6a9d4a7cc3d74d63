"""Spares: which one to which position, and how long the stock lasts."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import harmless, said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Pairs, Paragraph, Report, Rule, counted, heading, title
from fleetlife.reports.signs import signed
from fleetlife.terms.spares import OutlookLine, SpareChoice, SparesChosen, SparesOutlook

CARE = (
    "A choice from these records, not a release: follow the current approved maintenance data and local rules; "
    "certifying staff decide."
)


def spares_chosen(answer: SparesChosen) -> RenderableType:
    """The positions without a spare first, then each choice with its reasons, then the totals beside first-come."""
    left = [row for row in answer.rows if row.spare_serial_number is None]
    served = [row for row in answer.rows if row.spare_serial_number is not None]
    blocks: list[Block] = [
        title("SPARES CHOSEN", Text(f"until {answer.until}"), Text(counted(len(answer.rows), "position"))),
        about_block(answer.about),
        Rule(),
    ]
    if not answer.rows:
        blocks.append(Paragraph(Text("No position that was asked for wants a spare by then.")))
    if left:
        blocks += [heading("WITHOUT A SPARE", len(left)), positions_block(left)]
    if served:
        blocks += [heading("CHOSEN", len(served)), positions_block(served)]
    blocks += _compared(answer)
    if answer.unknown:
        told = (
            f"At {counted(answer.unknown, 'more position')} it cannot be told whether something falls due: due --full."
        )
        blocks += [Blank(), Paragraph(Text.assemble(signed("??"), f" {told}"))]
    words = (
        f"{answer.spares:,} spares in stores, {answer.asked:,} pairs put to the fitting question. "
        "Due: at the earliest. Each pair is judged on the day it would be fitted. "
        "Thrown away: days from then until the position falls due. > to be met first."
    )
    if answer.least_days:
        words += f" A spare must have {answer.least_days:,} days of life left when fitted."
    return Report([*blocks, Blank(), Rule(), Paragraph(Text(words, style=QUIET)), Paragraph(Text(CARE, style=QUIET))])


_PLACES = (
    Column("", whole=True),
    Column("where", whole=True),
    Column("due", whole=True),
    Column("comes off", floor=12, rank=2, under="comes off"),
    Column("for", rank=3, floor=8, under="for"),
    Column("spare", floor=12),
    Column("from", rank=4, floor=10, under="from"),
)


def positions_block(rows: Sequence[SpareChoice]) -> Block:
    """Positions with the spare chosen for each and why, or without one and why not."""
    return Columns(_PLACES, [Section("", [_position(row) for row in rows])], indent=3)


def _position(row: SpareChoice) -> Row:
    without = row.spare_serial_number is None
    notes = [said(line, QUIET) for line in row.stops]
    if not without:
        notes = [_told(row), *(said(f"> {text}") for text in row.conditions)]
    spare = tied(row.spare_part_number, row.spare_serial_number, style=STRONG)
    of = "" if row.of_serial_number in (None, row.serial_number) else f" of {row.of_part_number} {row.of_serial_number}"
    return Row(
        [
            signed("!!" if without else ">>" if row.conditions else "=="),
            tied(row.registration, row.position),
            whole(row.due_on),
            tied(row.part_number, row.serial_number) if row.serial_number else said("empty"),
            said(f"{row.requirement}{of}" if row.requirement else ""),
            Text("none", style=STRONG) if without else spare,
            said("" if without else f"{row.store or ''} {row.bin or ''}".strip()),
        ],
        notes=notes,
    )


def _told(row: SpareChoice) -> Text:
    """Why this one: the day, what it costs, the life it has then, and the second best."""
    parts = [f"Fitted on {row.fit_on}: {row.outcome}"]
    if row.rerig:
        parts.append("harness to be re-rigged or looked at")
    if row.days_thrown_away:
        parts.append(f"{row.days_thrown_away:,} days thrown away")
    if row.days_of_life is not None:
        parts.append(f"{row.days_of_life:,} days of life then")
    if row.again_on:
        parts.append(f"falls due itself on {row.again_on}, inside the horizon")
    return said(f"{'; '.join(parts)}. {_second(row)}".strip())


def _second(row: SpareChoice) -> str:
    if row.second_without is None:
        return ""
    other = f"Second best {row.second_spare}" if row.second_spare else "Without it none here"
    more = [
        f"{value:+,} {word}"
        for value, word in (
            (row.second_without, "left without"),
            (row.second_late, "days without"),
            (row.second_rigs, "re-rigged"),
            (row.second_days, "days thrown away"),
        )
        if value
    ]
    return f"{other}: {', '.join(more) if more else 'costs no more'}."


def _compared(answer: SparesChosen) -> list[Block]:
    if not answer.rows:
        return []
    rows = [
        Row([said(each.way), *(Text(f"{n:,}") for n in (each.without, each.late, each.rigs, each.days))])
        for each in answer.totals
    ]
    columns = [
        Column("way", floor=20),
        *(
            Column(label, whole=True, right=True)
            for label in ("without", "days without", "re-rigs", "days thrown away")
        ),
    ]
    return [heading("BESIDE FIRST-COME"), Columns(columns, [Section("", rows)], indent=3)]


# --- the outlook ----------------------------------------------------------------------------------------------------


def spares_outlook(answer: SparesOutlook) -> RenderableType:
    """A line a family and rig with what it rests on, and the months under it."""
    short = sum(line.first_shortage is not None for line in answer.lines)
    blocks: list[Block] = [
        title("SPARES OUTLOOK", Text(f"until {answer.until}"), Text(f"{short:,} of {len(answer.lines):,} run short")),
        about_block(answer.about),
        Rule(),
    ]
    if not answer.lines:
        blocks.append(Paragraph(Text("No part that was asked for hangs, or has hung, at a position.")))
    for line in answer.lines:
        blocks += [heading(f"{harmless(line.line)}, rig {harmless(line.rig)}"), *_basis(line), _months(line)]
    if answer.unknown:
        places = counted(answer.unknown, "position")
        told = f"At {places} it cannot be told whether something falls due; they are in no month: due --full."
        blocks += [Blank(), Paragraph(Text.assemble(signed("??"), f" {told}"))]
    words = (
        "Back and off: expected returns, and scheduled removals at the earliest. Lowest: stock by them alone. "
        "Expected: less the mean that unscheduled removals keep away at the month's end. Out: the chance that they "
        f"keep away more than there is. Wanted: for a fill rate of {answer.fill_rate:g}, with the scheduled ones that "
        "are away at one time. In brackets: the exact interval of 95 %."
    )
    return Report([*blocks, Blank(), Rule(), Paragraph(Text(words, style=QUIET))])


def _basis(line: OutlookLine) -> list[Block]:
    empty = f", {counted(line.empty, 'required position')} empty" if line.empty else ""
    late = f", {line.late:,} of them late and in no month" if line.late else ""
    rate = "no time at positions recorded"
    if line.rate is not None:
        rate = (
            f"{line.rate:.3f} a unit and year ({line.rate_low:.3f} to {line.rate_high:.3f}), "
            f"{line.unscheduled:,} in {line.unit_years:,.1f} unit-years"
        )
    high = "" if line.stock_wanted_high is None else f" (up to {line.stock_wanted_high:,})"
    sign = signed("!!", f"short from {line.first_shortage}") if line.first_shortage else signed("==", "lasts")
    pairs = [
        ("parts", said(", ".join(line.part_numbers))),
        ("stock", said(f"{line.stock:,} of {line.stock + line.not_counted:,} in stores{empty}")),
        ("installed", said(f"{line.installed:,}")),
        ("in shops", said(f"{line.in_shop:,}{late}")),
        ("turnaround", said(_turnaround(line))),
        ("unscheduled", said(rate)),
        ("away, mean", said(f"{line.pipeline:.2f} unscheduled; {line.scheduled_away:,} scheduled at most")),
        ("wanted", said(f"{line.stock_wanted:,}{high}")),
        ("outlook", sign),
    ]
    return [Pairs(pairs, indent=3)]


def _turnaround(line: OutlookLine) -> str:
    if line.turnaround_median is None:
        return "none measured: what goes away is not counted back"
    if not line.turnaround_returns:
        return f"{line.turnaround_median:g} days, given"
    whence = "" if line.turnaround_from == "this line" else f" of {line.turnaround_from}"
    returns = counted(line.turnaround_returns, "return")
    return f"{line.turnaround_median:g} days median, {line.turnaround_mean:g} mean, {returns}{whence}"


def _months(line: OutlookLine) -> Block:
    rows = [
        Row(
            [
                signed("!!" if month.expected < 0 else ">>" if month.running_out > 0.05 else "=="),
                whole(month.month),
                *(Text(f"{number:,}") for number in (month.returns, month.removals, month.level)),
                Text(f"{month.expected:.2f}"),
                Text(f"{100 * month.running_out:.1f} %"),
            ]
        )
        for month in line.months
    ]
    labels = ("back", "off", "lowest", "expected", "out")
    figures = [Column(label, whole=True, right=True) for label in labels]
    return Columns([Column("", whole=True), Column("month", whole=True), *figures], [Section("", rows)], indent=3)
