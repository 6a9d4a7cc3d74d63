"""Pictures as part of a page: doors as they lie along the body, months as bars, stock as columns.

Every figure stands beside its sign and its number: a strip of pattern and a colour only help the eye. Sizes are in
units of the picture's own box, drawn so that a unit is about a pixel on a narrow telephone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from fleetlife.reports.lines import counted
from fleetlife.reports.markup import Markup, element
from fleetlife.reports.signs import STATE_SIGNS
from fleetlife.terms.number import serial_runs
from fleetlife.terms.planned import AirframeDoors, DoorLeft, RemovalMonth
from fleetlife.terms.spares import OutlookLine

SOON_DAYS = 90
# How near a door's first date is: the name of its look, and what the legend says of it.
LOOKS: dict[str, str] = {
    "past": "!! overdue, or empty where a unit is required",
    "varied": "!+ in variation, !- no refill: past its first date and covered",
    "window": ">> falls due by the end of the window",
    "unknown": "?? cannot be told",
    "soon": f"-> within {SOON_DAYS} days",
    "later": "== later, or no date",
    "none": "-- empty, and none is required",
}
_CELL, _HIGH, _STRIP, _GAP, _BODY = 124, 36, 10, 4, 28
_WIDE = 2 * (_CELL + _GAP) + _BODY
_TOP, _STEP = 34, 44


def patterns() -> Markup:
    """The patterns that the pictures of a page share; not seen by itself."""
    lines = {
        "past": _line("M0 0h8v8h-8z", fill="#111"),
        "varied": _line("M0 4h8M4 0v8", width="2.5"),
        "window": _line("M-2 10L10 -2M-2 2L2 -2M6 10L10 6", width="2.5"),
        "unknown": _line("M0 0L8 8M8 0L0 8", width="1.2"),
        "soon": _line("M0 4h8", width="1.5"),
        "later": _line("M3.5 3.5h1v1h-1z", fill="#777"),
    }
    made = (
        element("pattern", lines[name], id=f"look-{name}", width="8", height="8", patternUnits="userSpaceOnUse")
        for name in lines
    )
    return element("svg", element("defs", *made), class_="patterns", width="0", height="0", aria_hidden="true")


def _line(path: str, *, fill: str = "none", width: str = "0") -> Markup:
    return element("path", d=path, fill=fill, stroke="#111", stroke_width=width)


def _box(x: float, y: float, wide: float, high: float, class_: str) -> Markup:
    return element("rect", x=f"{x:g}", y=f"{y:g}", width=f"{wide:g}", height=f"{high:g}", class_=class_)


def _text(x: float, y: float, words: str, class_: str = "") -> Markup:
    named = {"class_": class_} if class_ else {}
    return element("text", words, x=f"{x:g}", y=f"{y:g}", **named)


def _fitted(x: float, y: float, words: str, class_: str, *, most: int) -> Markup:
    """A line in a door's cell; one of more characters than `most` is drawn narrower, so that nothing of it is lost."""
    named = {"class_": class_} if class_ else {}
    if len(words) > most:
        named |= {"textLength": f"{_CELL - _STRIP - 9:g}", "lengthAdjust": "spacingAndGlyphs"}
    return element("text", words, x=f"{x:g}", y=f"{y:g}", **named)


def _picture(wide: float, high: float, says: str, parts: Iterable[Markup]) -> Markup:
    box = f"-1 -1 {wide + 2:g} {high + 2:g}"  # half a stroke lies outside its box
    return element("svg", *parts, role="img", aria_label=says, viewBox=box)


# --- doors ---------------------------------------------------------------------------------------------------------


def door_look(door: DoorLeft) -> tuple[str, str]:
    """How the door is drawn, one of LOOKS, and what stands in it: its sign and what is left, in words."""
    if door.serial_number is None:
        return ("past", "!! empty") if door.required else ("none", "-- empty")
    left = "no date" if door.days_left is None else f"{door.days_left:,} d"
    more = " ??" if door.unknown else ""
    if door.state == "overdue":
        return "past", f"!! overdue{more}"
    if door.state in ("in variation", "no refill"):
        return "varied", f"{STATE_SIGNS[door.state]} {door.state}{more}"
    if door.in_window:
        return "window", f">> {left}{more}"
    if door.state == "unknown":
        return "unknown", "?? unknown"
    if door.days_left is not None and door.days_left <= SOON_DAYS:
        return "soon", f"-> {left}{more}"
    return "later", f"== {left}{more}"


def doors_picture(airframe: AirframeDoors) -> Markup:
    """The doors of an airframe seen from above, its nose at the top, each where it lies along the left or right."""
    rows = [list(group) for _, group in groupby(sorted(airframe.doors, key=_along), key=_along)]
    high = _TOP + _STEP * len(rows) + 20
    parts = [_body(high)]
    for number, row in enumerate(rows):
        for door in row:
            x = {"left": 0, "right": _CELL + 2 * _GAP + _BODY}.get(door.side, (_WIDE - _CELL) / 2)
            parts.extend(_door(door, x, _TOP + _STEP * number))
    says = f"{airframe.registration}: " + "; ".join(
        f"{door.position} {door_look(door)[1]}" for row in rows for door in row
    )
    return _picture(_WIDE, high, says, parts)


def _along(door: DoorLeft) -> tuple[object, ...]:
    return serial_runs(door.pair or door.position[1:] or door.position)


def _body(high: float) -> Markup:
    """The body between the doors: nose, walls, tail."""
    left, right = _CELL + _GAP, _CELL + _GAP + _BODY
    middle = (left + right) / 2
    path = f"M{left} {high - 18}V26Q{left} 2 {middle} 2Q{right} 2 {right} 26V{high - 18}L{middle} {high - 2}Z"
    return element("path", d=path, class_="body")


def _door(door: DoorLeft, x: float, y: float) -> Iterator[Markup]:
    look, words = door_look(door)
    strip = x + _CELL - _STRIP if door.side == "right" else x
    inside = x + 5 if door.side == "right" else x + _STRIP + 5
    yield _box(x, y, _CELL, _HIGH, f"cell {look}")
    yield _box(strip, y, _STRIP, _HIGH, f"strip {look}")
    yield _fitted(inside, y + 15, f"{door.position} {words}", "strong", most=17)
    if door.due_on:
        yield _fitted(inside, y + 29, f"{door.due_on} {door.requirement or ''}".strip(), "", most=18)
    elif door.serial_number is None and door.required:
        yield _text(inside, y + 29, "a unit is required")


# --- removals by month ---------------------------------------------------------------------------------------------

_LABEL, _ROW, _LONGEST, _MONTHS_WIDE = 58, 24, 190, 360


def months_picture(months: Sequence[RemovalMonth]) -> Markup:
    """A row a month: as many boxes as units must come off, those overdue in front."""
    most = max((len(month.removals) for month in months), default=0)
    unit = min(16.0, _LONGEST / max(most, 1))
    parts: list[Markup] = []
    for number, month in enumerate(months):
        y = _ROW * number
        overdue = sum(removal.overdue for removal in month.removals)
        parts.append(_text(0, y + 16, month.month))
        for at in range(len(month.removals)):
            look = "past" if at < overdue else "window"
            parts.append(_box(_LABEL + unit * at, y + 4, unit, _ROW - 8, f"strip {look}"))
        told = f"{len(month.removals):,}" + (f", overdue {overdue:,}" if overdue else "")
        parts.append(_text(_LABEL + unit * len(month.removals) + 6, y + 16, told, "strong"))
    parts.append(element("path", d=f"M{_LABEL} 0V{_ROW * len(months)}", class_="axis"))
    says = "; ".join(f"{month.month}: {counted(len(month.removals), 'removal')}" for month in months)
    return _picture(_MONTHS_WIDE, _ROW * len(months), says, parts)


# --- stock ---------------------------------------------------------------------------------------------------------

_WIDTH, _UP, _ROOM = 360, 16, 84


def stock_picture(line: OutlookLine) -> Markup:
    """A column a month: the lowest stock of the month, under the line where it is below nothing; a bar across it where
    it is expected with unscheduled removals taken off."""
    levels = [month.level for month in line.months]
    high, low = max(1, *levels), min(0, *levels, *(int(month.expected // 1) for month in line.months))
    unit = min(18.0, _ROOM / (high - low))
    zero = _UP + unit * high
    bottom = zero - unit * low + 18
    step = _WIDTH / len(levels)
    parts: list[Markup] = []
    for number, month in enumerate(line.months):
        x = step * number
        top = zero - unit * max(month.level, 0)
        short = month.expected < 0
        sign = "!!" if short else ">>" if month.running_out > 0.05 else "=="
        parts.append(_box(x + 3, top, step - 6, unit * abs(month.level), f"strip {'past' if short else 'later'}"))
        at = top - 4 if month.level >= 0 else zero + unit * -month.level + 14
        parts.append(_text(x + step / 2, at, f"{month.level:,}", "strong middle"))
        expected = zero - unit * month.expected
        parts.append(element("path", d=f"M{x + 1:g} {expected:.1f}h{step - 2:g}", class_="expected"))
        parts.append(_text(x + step / 2, bottom + 12, sign, "middle"))
        parts.append(_text(x + step / 2, bottom + 25, month.month[5:], "middle"))
        if number == 0 or month.month.endswith("-01"):
            parts.append(_text(x + 3, bottom + 38, month.month[:4]))
    parts.append(element("path", d=f"M0 {zero:g}H{_WIDTH}", class_="axis"))
    says = f"{line.line}, rig {line.rig}: " + "; ".join(f"{month.month} {month.level:,}" for month in line.months)
    return _picture(_WIDTH, bottom + 42, says, parts)


STYLE = """
.patterns { position: absolute; }
svg { display: block; width: 100%; height: auto; }
svg text { font-family: "Liberation Sans", Arial, sans-serif; font-size: 11px; fill: #111; }
svg .strong { font-weight: bold; }
svg .middle { text-anchor: middle; }
svg rect { stroke: #111; stroke-width: 1; }
svg .body { fill: #fff; stroke: #777; stroke-width: 1.5; }
svg .axis { stroke: #111; stroke-width: 1.5; fill: none; }
svg .expected { stroke: #b3261e; stroke-width: 2.5; fill: none; }
svg .cell { fill: #fff; }
svg .cell.past { fill: #ffdad6; stroke-width: 2; }
svg .cell.varied { fill: #ffe8c7; }
svg .cell.window { fill: #fff3c4; }
svg .cell.unknown { fill: #f1e3f7; stroke-dasharray: 4 3; }
svg .cell.soon { fill: #e3f0fb; }
svg .cell.later { fill: #eef5ee; }
svg .cell.none { stroke-dasharray: 2 3; stroke: #777; }
svg .strip { fill: #fff; }
svg .strip.past { fill: url(#look-past); }
svg .strip.varied { fill: url(#look-varied); }
svg .strip.window { fill: url(#look-window); }
svg .strip.unknown { fill: url(#look-unknown); }
svg .strip.soon { fill: url(#look-soon); }
svg .strip.later { fill: url(#look-later); }
.figures { display: grid; gap: 1rem 1.5rem; grid-template-columns: repeat(auto-fill, minmax(min(16.5rem, 100%), 1fr)); }
.figures.wide { grid-template-columns: repeat(auto-fill, minmax(min(20rem, 100%), 1fr)); }
figure { margin: 0; break-inside: avoid; }
figcaption { margin-bottom: .3rem; }
.single { max-width: 30rem; }
.legend { display: flex; flex-wrap: wrap; gap: .2rem 1.4rem; padding: 0; margin: .4rem 0 .8rem; list-style: none;
  font-size: .9rem; }
.legend li { display: flex; gap: .4rem; align-items: center; }
.legend svg { width: 1.6rem; flex: none; }
@media print {
  svg rect { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
"""


def legend_of(looks: Iterable[str]) -> Markup:
    """What the looks used mean, in their order."""
    used = set(looks)
    items = (
        element(
            "li",
            element("svg", _box(1, 1, 22, 12, f"strip {name}"), aria_hidden="true", viewBox="0 0 24 14"),
            element("span", words),
        )
        for name, words in LOOKS.items()
        if name in used
    )
    return element("ul", *items, class_="legend")
