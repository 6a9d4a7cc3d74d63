"""The planner's window as one page: what expires, where, what to put there; and the doors, removals and stock.

It reads on paper, on a phone and without colour; nothing on it needs a script or a connection.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from fleetlife.reports.due import (
    coverage_line,
    due_text,
    is_earlier,
    left_text,
    nothing_due,
    ranked,
    requirement_text,
    window_words,
)
from fleetlife.reports.due_spares import spare_named, told_of
from fleetlife.reports.lines import counted
from fleetlife.reports.markup import Markup, element, joined
from fleetlife.reports.page import clocks, framed_page, pairs, part, table
from fleetlife.reports.pictures import (
    STYLE,
    door_look,
    doors_picture,
    legend_of,
    months_picture,
    patterns,
    stock_picture,
)
from fleetlife.reports.signs import STATE_MEANS, STATE_SIGNS, state_sign
from fleetlife.terms.planned import AirframeDoors, Planned, RemovalMonth
from fleetlife.terms.spares import NO_SPARE, SPARE, DueWithSpares, OutlookLine, PutThere, SpareChoice
from fleetlife.terms.views import DueList, DueRow, UnknownCause

LONGEST_WHOLE = 24  # characters that fit beside a cell's label on a narrow telephone
MOST_UNKNOWN = 40  # rows without a date that are listed one by one
MOST_PLACES = 5
CARE = "A choice of spares reserves nothing. Each was judged for the day it would be fitted, from these records alone."


def planners_page(plan: Planned) -> str:
    """The whole page."""
    due = plan.listed.due
    return framed_page(
        "What expires, where, and what to put there",
        window_words(due),
        *_parts(plan),
        about=due.about,
        style=STYLE + PAGE_STYLE,
    )


def _parts(plan: Planned) -> Iterator[Markup]:
    listed, due = plan.listed, plan.listed.due
    yield patterns()
    yield _counts(due)
    yield part("What was asked", _asked(due, plan.outlook.until))
    yield part("Expires in the window, with what is past and what cannot be told", *_expiring(listed))
    if listed.also:
        words = "They are empty, or fall due before the window or by a row that is not listed."
        yield part("Also want a spare by then", element("p", words), _positions(listed.also))
    without = [row for row in due.rows if row.requirement is None]
    if without:
        yield part("No programme: not the same as nothing due", _without(without))
    if due.coverage.causes:
        yield part("Cannot be told, by cause", _causes(ranked(due.coverage.causes)))
    yield part("Coverage", element("p", coverage_line(due.coverage).text.plain, class_="strong"), *_beside(plan))
    yield part("Doors by airframe", *_doors(plan.airframes))
    yield part("Removals by month", *_removals(plan))
    yield part("Stock through time", *_stock(plan.outlook.lines))


def _counts(due: DueList) -> Markup:
    """How many rows are in each state, in one line on top."""
    found = Counter(row.state for row in due.rows if row.requirement is not None)
    found["unknown"] = max(found["unknown"], due.coverage.unknown_rows)
    shown = [
        element("li", f"{STATE_SIGNS[state]} {state} ", element("strong", f"{found[state]:,}"))
        for state in STATE_SIGNS
        if found[state] or state in ("overdue", "due", "unknown")
    ]
    without = element("li", "?? without a programme ", element("strong", f"{due.coverage.without_programme:,}"))
    return element("ul", *shown, without, class_="legend counts")


def _asked(due: DueList, until: str) -> Markup:
    about = due.about
    files = "; ".join(f"{each.states} as in {each.file} (SHA-256 {each.sha256})" for each in about.what_if)
    return pairs(
        (
            ("What if", f"{files}. Supposed for this page alone, not recorded." if files else None),
            *clocks(about),
            ("Editions", "; ".join(about.editions) or "none in force"),
            ("Rules", "; ".join(about.rules)),
            ("Months shown", f"until {until}"),
            *(("Note", note) for note in about.notes),
            *(("Finding", f"{each.severity}: {each.message} {each.hint}") for each in due.findings),
        )
    )


# --- the table -----------------------------------------------------------------------------------------------------


def _expiring(listed: DueWithSpares) -> Iterator[Markup]:
    due = listed.due
    rows = [(row, there) for row, there in zip(due.rows, listed.put, strict=True) if row.requirement is not None]
    unknown = sum(row.state == "unknown" for row, _ in rows)
    if unknown > MOST_UNKNOWN:
        rows = [(row, there) for row, there in rows if row.state != "unknown"]
    rows.sort(key=lambda each: each[0].kind == "soft_life")  # listed, but it stops nothing: after all that does
    if rows:
        header = ("State", "Where", "Unit", "Requirement", "Due", "Left", "Put there")
        yield table(header, (_row(row, there) for row, there in rows))
        used = {row.state for row, _ in rows}
        means = [f"{STATE_SIGNS[state]} {STATE_MEANS[state]}" for state in STATE_SIGNS if state in used]
        estimated = "~ estimated: projected from readings, or bounded"
        yield element("ul", *(element("li", each) for each in (*means, estimated)), class_="legend")
    else:
        yield element("p", nothing_due(due, unknown=bool(unknown)))
    if unknown > MOST_UNKNOWN:
        told = f"?? {counted(unknown, 'row')} of which no date can be told: by cause below, one by one by due --full."
        yield element("p", told, class_="strong")
    if due.before_window:
        before = f"{counted(due.before_window, 'row')} between {due.about.as_of} and the window: not listed."
        yield element("p", before, class_="strong")
    yield element("p", CARE, class_="quiet")


def _row(row: DueRow, there: PutThere) -> list[str | None]:
    unit = _unit(row.part_number, row.serial_number)
    held = joined("in ", _unit(row.parent_part_number, row.parent_serial_number)) if row.parent_serial_number else None
    due = _whole(due_text(row))
    earliest = joined("at the earliest ", _whole(row.due_earliest or "")) if is_earlier(row) else None
    return [
        f"{state_sign(row.state)} {row.state}",
        _whole(_where(row)) if row.registration else _where(row),
        _lines(unit, held),
        requirement_text(row),
        _lines(due, earliest),
        _whole(left_text(row)) if row.state != "unknown" else None,
        _put(row, there),
    ]


def _whole(text: str) -> Markup:
    """A number or a date that is not broken at its hyphens, unless it is longer than a narrow screen."""
    return element("span", text, class_="whole") if len(text) <= LONGEST_WHOLE else joined(text)


def _unit(part_number: str | None, serial_number: str | None) -> Markup:
    return joined(_whole(part_number or ""), " ", _whole(serial_number or ""))


def _lines(*words: str | None) -> Markup:
    """Words, each on a line of its own."""
    return element("div", *(element("p", each) for each in words if each))


def _put(row: DueRow, there: PutThere) -> Markup:
    if there.put == SPARE:
        sign = ">>" if there.conditions else "=="
        return element(
            "div",
            element("p", f"{sign} ", element("strong", spare_named(there))),
            element("p", told_of(there)),
            *(element("p", f"> {text}") for text in there.conditions),
        )
    if there.put == NO_SPARE:
        return element("div", element("p", element("strong", "!! no spare")), _why(there.stops))
    reason = row.state_reason if row.state in ("unknown", "no refill", "in variation") else None
    return _lines(there.put, reason)


def _why(stops: Sequence[str]) -> Markup:
    return element("ul", *(element("li", stop) for stop in stops))


def _positions(rows: Sequence[SpareChoice]) -> Markup:
    header = ("Where", "Due", "Comes off", "For", "Put there")
    return table(header, (_position(row) for row in rows))


def _position(row: SpareChoice) -> list[str | None]:
    if row.spare_serial_number is None:
        put: Markup = element("div", element("p", element("strong", "!! no spare")), _why(row.stops))
    else:
        place = " ".join(each for each in (row.store, row.bin) if each)
        sign = ">>" if row.conditions else "=="
        named = f"{row.spare_part_number} {row.spare_serial_number}, {place}".removesuffix(", ")
        put = element(
            "div",
            element("p", f"{sign} ", element("strong", named)),
            element("p", f"fitted on {row.fit_on}: {row.outcome}"),
            *(element("p", f"> {text}") for text in row.conditions),
        )
    off = _unit(row.part_number, row.serial_number) if row.serial_number else "empty"
    return [_whole(f"{row.registration} {row.position}"), _whole(row.due_on), off, row.requirement, put]


def _without(rows: Sequence[DueRow]) -> Markup:
    """Units of parts for which no requirement is in force, a part a line, with where the first of them are."""
    by_part: dict[str, list[DueRow]] = {}
    for row in rows:
        by_part.setdefault(row.part_number, []).append(row)
    shown = (
        (_whole(part_number), f"{len(mine):,}", _first_places(mine))
        for part_number, mine in sorted(by_part.items(), key=lambda each: (-len(each[1]), each[0]))
    )
    return table(("Part", "Units", "Where"), shown)


def _first_places(rows: Sequence[DueRow]) -> str:
    told = [f"{row.serial_number} at {_where(row)}" for row in rows[:MOST_PLACES]]
    more = len(rows) - len(told)
    return ", ".join([*told, *([f"{more:,} more"] if more else [])])


def _where(row: DueRow) -> str:
    return f"{row.registration} {row.position or ''}".strip() if row.registration else row.store or "not known"


def _causes(causes: Sequence[UnknownCause]) -> Markup:
    rows = ((f"{each.units:,}", f"{each.rows:,}", each.sentence, each.cleared_by) for each in causes)
    return table(("Units", "Rows", "Cause", "Cleared by"), rows)


def _beside(plan: Planned) -> Iterator[Markup]:
    chosen = plan.listed.chosen
    yield element(
        "p",
        f"{chosen.spares:,} spares in stores, chosen together for {counted(len(chosen.rows), 'position')}. At "
        f"{counted(chosen.unknown, 'more position')} it cannot be told whether something falls due by {chosen.until}.",
    )


# --- the pictures --------------------------------------------------------------------------------------------------


def _doors(airframes: Sequence[AirframeDoors]) -> Iterator[Markup]:
    if not airframes:
        yield element("p", "No airframe was asked for.")
        return
    yield element(
        "p",
        "Seen from above, nose at the top. Each door has the days left until something falls due on the unit or on "
        "what it holds, at the earliest, with the day and the requirement; soft lives apart. ?? beside it: something "
        "more there cannot be told.",
    )
    yield legend_of(door_look(door)[0] for airframe in airframes for door in airframe.doors)
    yield element("div", *(_airframe(airframe) for airframe in airframes), class_="figures")


def _airframe(airframe: AirframeDoors) -> Markup:
    status = (airframe.status or "").replace("_", " ")
    told = ", ".join(
        each for each in (airframe.type, airframe.station, status if status != "in service" else "") if each
    )
    picture = doors_picture(airframe) if airframe.doors else element("p", "No positions in these records.")
    return element("figure", element("figcaption", element("strong", airframe.registration), f" {told}"), picture)


def _removals(plan: Planned) -> Iterator[Markup]:
    yield element(
        "p",
        "Positions from which a unit must come off for work in a shop, by the month of the first such due point at the "
        "earliest; each once. What is overdue stands in the first month. Work on the aircraft takes nothing off. Under "
        "it: where, what, for what and when.",
    )
    yield element("div", months_picture(plan.months), class_="single")
    apart = (
        f"{counted(plan.empty, 'required position')} empty; at {counted(plan.unknown, 'position')} it cannot be told."
    )
    yield element("p", f"In no month: {apart}", class_="strong")
    yield table(("Month", "Comes off"), (_month(month) for month in plan.months))


def _month(month: RemovalMonth) -> list[str | None]:
    told = (
        element(
            "li",
            f"{'!! overdue, ' if each.overdue else ''}",
            element("strong", f"{each.registration} {each.position}"),
            " ",
            _unit(each.part_number, each.serial_number),
            f", {each.requirement}, ",
            _whole(each.due_on),
        )
        for each in month.removals
    )
    return [month.month, element("ul", *told) if month.removals else "none"]


def _stock(lines: Sequence[OutlookLine]) -> Iterator[Markup]:
    if not lines:
        yield element("p", "No part hangs, or has hung, at a position.")
        return
    yield element(
        "p",
        "Of the whole fleet, a line what stands in for one another, by rig; the first to run short in front. Columns "
        "and figures: the lowest stock of the month by what is scheduled and expected back. Thick bar: the same less "
        "what unscheduled removals keep away on the mean. !! less than nothing is expected, >> it runs out with a "
        "chance of more than one in twenty, == it lasts. What each figure is: fleetlife spares outlook.",
    )
    yield element("div", *(_line(line) for line in lines), class_="figures wide")


def _line(line: OutlookLine) -> Markup:
    sign = f"!! short from {line.first_shortage}" if line.first_shortage else "== lasts"
    empty = f", {counted(line.empty, 'required position')} empty" if line.empty else ""
    told = (
        f"stock {line.stock:,} of {line.stock + line.not_counted:,} in stores{empty}; {line.installed:,} installed, "
        f"{line.in_shop:,} in shops; wanted {line.stock_wanted:,}"
    )
    caption = joined(
        element("strong", f"{line.line}, rig {line.rig}: {sign}"),
        element("p", told, class_="quiet"),
    )
    return element("figure", element("figcaption", caption), stock_picture(line))


PAGE_STYLE = """
.strong { font-weight: bold; }
.counts { font-size: 1.05rem; border: 1px solid #111; border-width: 1px 0; padding: .4rem 0; }
td p { margin: 0; }
th, td { overflow-wrap: break-word; }
td[data-name="Put there"] { min-width: 15rem; }
.whole, td:nth-child(1) { white-space: nowrap; }
td ul { margin: 0; }
@media screen and (max-width: 62rem) {
  table { font-size: .85rem; }
  th, td { padding-right: .4rem; }
  td[data-name="Put there"] { min-width: 9rem; }
}
@media screen and (max-width: 44rem) {
  .whole, td:nth-child(1) { white-space: normal; }
  th, td { overflow-wrap: anywhere; }
}
@media (max-width: 36rem) {
  table { font-size: 1rem; }
  th, td { overflow-wrap: anywhere; }
  td[data-name="Put there"] { min-width: 0; }
  td:nth-child(1) { white-space: normal; }
}
@media print {
  section > p, .legend { break-after: avoid; }
  .single { break-before: avoid; break-inside: avoid; }
  .figures { grid-template-columns: repeat(3, 1fr); gap: .6rem 1rem; }
  .figures.wide { grid-template-columns: repeat(2, 1fr); }
}
"""
