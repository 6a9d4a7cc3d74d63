"""One airframe: a plan of its doors as seen from above, what hangs where, what falls due next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.deferrals import deferred_block
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Pairs,
    Paragraph,
    Report,
    Rule,
    Space,
    heading,
    title,
)
from fleetlife.reports.signs import signed, state_in_words, state_legend
from fleetlife.terms.number import position_label, serial_runs
from fleetlife.terms.views import AirframeCard, Door

# The body between the two columns of doors, walls included, and the gap on each side of it.
BODY = 11
GAP = 2
EMPTY_REQUIRED, EMPTY = "!!", "--"


def airframe_card(card: AirframeCard) -> RenderableType:
    """The card of an airframe: facts, the plan, the same doors in a table, findings."""
    blocks: list[Block] = [
        title(
            "AIRFRAME",
            whole(card.registration, STRONG),
            Text.assemble("constructor's serial ", whole(card.constructor_serial)),
            said(f"type {card.type}"),
        ),
        about_block(card.about),
        Rule(),
        Pairs(_facts(card)),
        heading("DOORS, SEEN FROM ABOVE", len(card.doors)),
    ]
    if card.doors:
        blocks += [_Plan(card.doors), Blank(), _table(card.doors)]
    else:
        blocks.append(Paragraph(Text("This type has no positions in these records.")))
    blocks += deferred_block(card.deferrals)
    blocks.append(heading("FINDINGS", len(card.findings)))
    blocks.append(finding_block(card.findings) if card.findings else Paragraph(Text("None open in these records.")))
    blocks += [Blank(), Rule(), state_legend({door.state for door in card.doors if door.state}, *_more(card.doors))]
    return Report(blocks)


def _more(doors: Sequence[Door]) -> list[str]:
    found = []
    if any(door.serial_number is None and door.required for door in doors):
        found.append(f"{EMPTY_REQUIRED} empty: a unit is required here")
    if any(door.serial_number is None and not door.required for door in doors):
        found.append(f"{EMPTY} empty: none is required here")
    if any(_rig_is_wrong(door) for door in doors):
        found.append("!! rigged: not for the side this door asks for")
    return found


def _facts(card: AirframeCard) -> list[tuple[str, Text]]:
    unknown = Text("not recorded", style=QUIET)
    read = f" read {card.read_on}" if card.read_on else ""
    return [
        ("operator", said(card.operator) if card.operator else unknown),
        ("station", said(card.station)),
        ("programme", said(card.programme) if card.programme else unknown),
        ("status", said((card.status or "").replace("_", " "))),
        ("flight hours", said(f"{card.hours_total}{read}") if card.hours_total else Text("no reading", style=STRONG)),
        (
            "flight cycles",
            said(f"{card.cycles_total}{read}") if card.cycles_total else Text("no reading", style=STRONG),
        ),
        ("flies", said(card.daily) if card.daily else unknown),
        *((name, said(read) if read else Text("no reading", style=STRONG)) for name, read in card.counters),
        ("registrations", said("; ".join(card.registrations))),
    ]


def _rig_is_wrong(door: Door) -> bool:
    """Rigged for a known side that is not the one the door asks for."""
    return bool(
        door.harness_side
        and door.serial_number
        and door.harness in ("left", "right")
        and door.harness != door.harness_side
    )


# --- the plan ------------------------------------------------------------------------------------------------------


class _Plan(Block):
    """The body with its nose at the top, left doors left of it, right doors right of it, pair under pair."""

    def __init__(self, doors: Sequence[Door]) -> None:
        self.doors = doors

    def lines(self, space: Space) -> Iterator[Text]:
        side = (space.width - BODY - 2 * GAP) // 2
        side = min(side, max((line.cell_len for door in self.doors for line in _door_lines(door)), default=10) + 2)
        fits = all(line.cell_len <= side for door in self.doors for line in _door_lines(door))
        lead = " " * (side + GAP)
        yield Text(f"{lead}{'nose':^{BODY}}", style=QUIET)
        for text in _NOSE:
            yield Text(f"{lead}{text}")
        for pair in pairs_of(self.doors):
            yield from _pair(pair, side, fits)
            yield Text(f"{lead}{_WALLS}")
        for text in _TAIL:
            yield Text(f"{lead}{text}")
        if not fits:
            yield Text("Numbers too long for the plan stand in the table below.", style=QUIET)


_WALLS = "|         |"
_NOSE = ("   .---.   ", "  /     \\  ", " /       \\ ", _WALLS)
_TAIL = (" \\       / ", "  \\     /  ", "   \\   /   ", "    '-'    ")


def pairs_of(doors: Sequence[Door]) -> list[list[Door]]:
    """Doors by pair, the foremost pair first; a door without a pair goes by the number of its position."""
    found: dict[tuple[object, ...], list[Door]] = {}
    for door in doors:
        found.setdefault(_order(door), []).append(door)
    return [found[key] for key in sorted(found)]


def _order(door: Door) -> tuple[object, ...]:
    label = door.pair or "".join(c for c in position_label(door.position) if c.isdigit()) or door.position
    return serial_runs(label)


def _pair(doors: Sequence[Door], side: int, fits: bool) -> Iterator[Text]:
    """One pair: the lines of its left doors, the body, the lines of its right doors; centre ones inside."""
    left = [line for door in doors if door.side == "left" for line in _door_lines(door, short=not fits)]
    right = [line for door in doors if door.side == "right" for line in _door_lines(door, short=not fits)]
    centre = [door for door in doors if door.side not in ("left", "right")]
    for number, (one, other) in enumerate(zip_longest(left, right)):
        wall_left = "[" if number == 0 and one is not None else "|"
        wall_right = "]" if number == 0 and other is not None else "|"
        yield _plan_line(one, f"{wall_left}         {wall_right}", other, side)
    for door in centre:
        for number, line in enumerate(_door_lines(door, short=not fits)):
            inside = f"|{door.position[:9] if number == 0 else '':^9}|"
            yield _plan_line(None, inside, line, side)


def _plan_line(left: Text | None, body: str, right: Text | None, side: int) -> Text:
    """Left doors end at the body, right doors begin at it."""
    line = Text("")
    if left is not None:
        line.append(" " * (side - left.cell_len))
        line.append_text(left)
    else:
        line.append(" " * side)
    line.append(" " * GAP + body + " " * GAP)
    if right is not None:
        line.append_text(right)
    return line


def _door_lines(door: Door, *, short: bool = False) -> list[Text]:
    """A door in the plan: position, sign and state; the unit; its rig; what is due next."""
    if door.serial_number is None:
        sign = EMPTY_REQUIRED if door.required else EMPTY
        return [Text.assemble(whole(door.position, STRONG), " ", signed(sign), " empty")]
    state = state_in_words(door.state) if door.state else Text("?? no programme")
    lines = [Text.assemble(whole(door.position, STRONG), " ", state)]
    if short:
        return lines
    lines.append(tied(door.part_number, door.serial_number))
    rig = _rig(door)
    if rig.plain:
        lines.append(rig)
    if door.next_due or door.next_requirement:
        lines.append(tied(door.next_requirement, door.next_due or "no date"))
    return lines


def _rig(door: Door) -> Text:
    if door.harness_side is None and door.harness in (None, "none"):
        return Text("")
    if door.harness in ("left", "right"):
        text = f"rigged {door.harness}"
        return tied("!!", text) if _rig_is_wrong(door) else whole(text)
    return whole("rig not known")


# --- the table -----------------------------------------------------------------------------------------------------


def _table(doors: Sequence[Door]) -> Columns:
    rows = []
    for pair in pairs_of(doors):
        for door in sorted(
            pair, key=lambda each: ("left", "right").index(each.side) if each.side in ("left", "right") else 2
        ):
            details = [
                Text.assemble(("stays with the aircraft: ", QUIET), said(door.retained)) if door.retained else Text(""),
                *(said(sign) for sign in door.signs),
            ]
            rows.append(Row(_cells(door), details))
    return Columns(
        [
            Column("door", whole=True, under=""),
            Column("state", whole=True, under=""),
            Column("part number", whole=True),
            Column("serial number", whole=True),
            Column("next due", rank=1, whole=True, under="next due"),
            Column("for", rank=1, floor=6, under="for"),
            Column("rig", rank=2, whole=True, under=""),
            Column("asks for", rank=3, floor=6, under="door asks for"),
            Column("since", rank=4, whole=True, under="since"),
        ],
        [Section("", rows)],
        indent=3,
    )


def _cells(door: Door) -> list[Text]:
    if door.serial_number is None:
        state = signed(EMPTY_REQUIRED if door.required else EMPTY, "empty")
        return [whole(door.position), state, *(Text("") for _ in range(5)), said(door.harness_side), Text("")]
    return [
        whole(door.position),
        state_in_words(door.state) if door.state else signed("??", "no programme"),
        whole(door.part_number),
        whole(door.serial_number),
        whole(door.next_due or "no date"),
        said(door.next_requirement),
        _rig(door),
        said(door.harness_side),
        whole(door.since),
    ]
