"""What differs between two states of knowledge: of one day, as known after one entry and after a later one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from fleetlife.clocks.moves import moves_of_units
from fleetlife.clocks.places import place_text
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import CertificateLineRow, UnitStateRow
from fleetlife.store.heads import units_touched_between
from fleetlife.terms.measure import counted_text, hours_text
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DIFFERENCES, MOVES, ChangeRow, DifferenceRow

SIDES = ("before", "after")
_STATED = {
    "condition": "condition",
    "hold": "hold",
    "harness": "harness",
    "part number": "part_number",
    "serial number": "serial_number",
    "manufacturer": "manufacturer",
}


def refuse_reversed(before: World, after: World) -> None:
    """Refusal: `moments-reversed`, where what is asked since comes after what is asked."""
    if before.head_number > after.head_number or before.as_of > after.as_of:
        raise Refusal(
            "moments-reversed",
            f"What is asked since (entry {before.head_number}, {day_text(before.as_of)}) lies after what is asked "
            f"(entry {after.head_number}).",
            remedy="Give the earlier moment, and the earlier day, after --since.",
            status=2,
        )


def differences(before: World, after: World, touched: Mapping[int, Sequence[int]]) -> list[DifferenceRow]:
    """Every difference in what is believed of the units, in order of airframe, position, store and number.

    `touched`: the units to be compared, and the entries between that name each. Of a unit that none names a due point
    is not told that only a newer projection moves.
    """
    units = sorted(touched)
    was, becomes = before.states(units), after.states(units)
    parents = _parents(before, was), _parents(after, becomes)
    places = _places(before, was, parents[0]), _places(after, becomes, parents[1])
    papers = _papers(before, units), _papers(after, units)
    moves = moves_of_units(before, after, units)
    found: list[tuple[tuple[object, ...], DifferenceRow]] = []
    for unit in units:
        state = becomes.get(unit) or was.get(unit)
        if state is None:
            continue
        now = unit in becomes
        parent = None if state.parent_id is None else parents[now].get(state.parent_id)
        shown = _shown(after if now else before, state, parent, touched[unit]) | {"place": places[now].get(unit)}
        rows = [
            *_of_unit(shown, was.get(unit), becomes.get(unit), places[0].get(unit), places[1].get(unit)),
            *_of_papers(shown, papers[0].get(unit, {}), papers[1].get(unit, {})),
            *(
                row
                for move in moves.get(unit, ())
                if (touched[unit] or _moved_its_point(move)) and (row := _of_due_point(shown, move)).before != row.after
            ),
        ]
        found.extend((_order(row, unit), row) for row in rows)
    found.sort(key=lambda pair: pair[0])
    return [row for _, row in found]


def compared(connection: Any, before: World, after: World) -> dict[int, list[int]]:
    """The units of which something else may be believed, each with the entries between that name it."""
    if before.head_number == after.head_number:
        return {}
    found = units_touched_between(connection, before.head_number, after.head_number)
    # Programmes, airframes and readings recorded between may say something else of a unit that no entry names.
    for unit in before.changed_units | after.changed_units:
        found.setdefault(unit, [])
    return found


def moved_since(connection: Any, entry: int, *, as_of: date) -> tuple[DifferenceRow, ...]:
    """What is believed on a day otherwise than it was after entry `entry`; nothing where that was the first state."""
    if entry == 0:
        return ()
    kept: dict[str, Any] = {}
    before = open_world(connection, as_of=as_of, known_at=str(entry), kept=kept)
    after = open_world(connection, as_of=as_of, kept=kept)
    return tuple(differences(before, after, compared(connection, before, after)))


def _parents(world: World, states: Mapping[int, UnitStateRow]) -> dict[int, UnitStateRow]:
    return world.states({row.parent_id for row in states.values() if row.parent_id is not None})


def _places(world: World, states: Mapping[int, UnitStateRow], parents: Mapping[int, UnitStateRow]) -> dict[int, str]:
    return {unit: place_text(world, row, parents) for unit, row in states.items()}


def _papers(world: World, units: Sequence[int]) -> dict[int, dict[tuple[str, str, str], CertificateLineRow]]:
    found: dict[int, dict[tuple[str, str, str], CertificateLineRow]] = {}
    for line in world.certificate_lines(units):
        if line.unit_id is not None:
            key = (line.organisation, line.tracking_number, line.item)
            found.setdefault(line.unit_id, {})[key] = line
    return found


def _shown(
    world: World, state: UnitStateRow, parent: UnitStateRow | None, entries: Sequence[int]
) -> dict[str, str | None]:
    """What every row of the unit says of it."""
    at = state if parent is None else parent
    return {
        "registration": None if at.airframe_id is None else world.registration(at.airframe_id),
        "position": at.position,
        "store": at.place_name if at.kind == "store" else None,
        "part_number": state.part_number,
        "serial_number": state.serial_number,
        "manufacturer": state.manufacturer,
        "parent_part_number": None if parent is None else parent.part_number,
        "parent_serial_number": None if parent is None else parent.serial_number,
        "entries": "; ".join(str(number) for number in entries) or None,
    }


def _of_unit(
    shown: Mapping[str, str | None],
    was: UnitStateRow | None,
    becomes: UnitStateRow | None,
    place_was: str | None,
    place_becomes: str | None,
) -> Iterator[DifferenceRow]:
    if was is None or becomes is None:
        move = "stated" if was is None else "withdrawn"
        before, after = (None, place_becomes) if was is None else (place_was, None)
        yield _row(shown, what="unit", move=move, before=before, after=after)
        return
    if place_was != place_becomes:
        yield _row(shown, what="place", move="differs", before=place_was, after=place_becomes)
    for what, name in _STATED.items():
        old, new = getattr(was, name), getattr(becomes, name)
        if old != new:
            yield _row(shown, what=what, move="differs", before=old or "none", after=new or "none")


def _of_papers(
    shown: Mapping[str, str | None],
    was: Mapping[tuple[str, str, str], CertificateLineRow],
    becomes: Mapping[tuple[str, str, str], CertificateLineRow],
) -> Iterator[DifferenceRow]:
    for key in sorted({*was, *becomes}):
        old, new = was.get(key), becomes.get(key)
        before, after = (None if line is None else _line_words(line) for line in (old, new))
        if before != after:
            move = "differs" if old and new else "stated" if new else "withdrawn"
            yield _row(shown, what="certificate", move=move, before=before, after=after)


def _line_words(line: CertificateLineRow) -> str:
    printed = f"{line.part_number} {line.serial_number}"
    return (
        f"{line.tracking_number} of {line.organisation}, {line.status}, {day_text(line.dated_on)}, {printed}: "
        f"{line.verdict.replace('-', ' ')}"
    )


def _of_due_point(shown: Mapping[str, str | None], move: ChangeRow) -> DifferenceRow:
    was_of, is_of = (move.programme_before, move.edition_before), (move.programme_after, move.edition_after)
    return _row(
        shown,
        what="due point",
        move=move.move,
        requirement=move.requirement or "no programme",
        kind=move.kind,
        before=_due_words(move, "before"),
        after=_due_words(move, "after"),
        state_before=move.state_before,
        state_after=move.state_after,
        due_before=move.due_before,
        due_after=move.due_after,
        days=move.days,
        why=move.why if was_of != is_of else None,
    )


def _moved_its_point(move: ChangeRow) -> bool:
    """Whether more moved than the total projected for the day."""
    totals = ("airframe_hours_due", "airframe_cycles_due", "counter_due")
    names = ["calendar_due", *totals, "counter", "operations_left", "unknown", "edition"]
    if not any(_side(move, name, side) is not None for name in totals for side in SIDES):
        names += ["hours_left", "cycles_left", "counter_left"]
    return any(_side(move, name, "before") != _side(move, name, "after") for name in names)


def _side(move: ChangeRow, name: str, side: str) -> Any:
    """What the row of the change list says under `name` of one of the two sides."""
    return getattr(move, f"{name}_{side}")


def _due_words(move: ChangeRow, side: str) -> str | None:
    """The state and its date; where both are as they were, the figures that are not."""
    state, due = _side(move, "state", side), _side(move, "due", side)
    if state is None:
        return None
    words = [f"{state}, {due}" if due else state]
    if state == "waiting" and _side(move, "due_if_fitted", side):
        words.append(f"if fitted {_side(move, 'due_if_fitted', side)}")
    if state == "unknown" and _side(move, "unknown", side):
        words.append(f"not known: {_side(move, 'unknown', side)}")
    if (move.state_before, move.due_before) == (move.state_after, move.due_after):
        for name, label in _FIGURES.items():
            value = _side(move, name, side)
            if value is not None and _side(move, name, "before") != _side(move, name, "after"):
                words.append(_figure(name, label, value, _side(move, "counter", side)))
    return ", ".join(words)


_FIGURES = {
    "due_earliest": "at the earliest",
    "calendar_due": "by the calendar",
    "airframe_hours_due": "at airframe FH",
    "airframe_cycles_due": "at airframe FC",
    "hours_left": "FH left",
    "cycles_left": "FC left",
    "operations_left": "operations left",
    "counter_due": "at airframe",
    "counter_left": "left",
}


def _figure(name: str, label: str, value: Any, counter: str | None) -> str:
    """`at airframe FH 41210:15`; of a counter `at airframe landings 5600`, `landings left 35`."""
    if name == "counter_due":
        return f"{label} {counter} {counted_text(value)}"
    if name == "counter_left":
        return f"{counter} {label} {counted_text(value)}"
    return f"{label} {hours_text(value) if 'hours' in name and isinstance(value, int) else value}"


def _row(shown: Mapping[str, str | None], *, what: str, move: str, **fields: object) -> DifferenceRow:
    return DifferenceRow(what=what, move=move, **shown, **fields)  # type: ignore[arg-type]


def _order(row: DifferenceRow, unit: int) -> tuple[object, ...]:
    return (
        row.registration or "~",
        row.position or "",
        row.store or "",
        row.parent_part_number or row.part_number,
        row.parent_serial_number or row.serial_number,
        row.parent_serial_number is not None,
        unit,
        DIFFERENCES.index(row.what),
        MOVES.index(row.move) if row.move in MOVES else 0,
        row.requirement or "",
    )
