"""What moves between two worlds, the records as they are and with a revised programme supposed: which due point, from
when to when, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from fleetlife.clocks.due_rows import Desk, candidate_in, is_scrapped
from fleetlife.clocks.world import World
from fleetlife.dates.moment import FAR_DAY
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.rows import DuePointRow
from fleetlife.life.differences import stated_words, what_differs
from fleetlife.life.values import Requirement
from fleetlife.terms.views import MOVES, ChangeRow, DueRow

# The figures of a due row in the order in which they decide whether it comes earlier or later.
FIGURES = (
    "due_date",
    "due_earliest",
    "due_if_fitted",
    "calendar_due",
    "airframe_hours_due",
    "airframe_cycles_due",
    "hours_left",
    "cycles_left",
    "operations_left",
    "counter_due",
    "counter_left",
)
# Figures that are in one measure on both sides only where both count in the same counter.
_COUNTED = FIGURES[4:8] + FIGURES[9:]
_SHOWN = (
    "registration",
    "position",
    "store",
    "part_number",
    "serial_number",
    "manufacturer",
    "parent_part_number",
    "parent_serial_number",
    "requirement",
    "kind",
)
_PASSABLE = ("in date", "due", "waiting")


@dataclass(frozen=True, slots=True)
class _Side:
    """A due point as one of the two worlds has it; `rule` None: no programme."""

    point: DuePointRow
    rule: Requirement | None
    row: DueRow

    @property
    def key(self) -> tuple[int, int]:
        return self.point.requirement_key, self.point.in_force_from


def moves_between(before: World, after: World) -> tuple[tuple[ChangeRow, ...], int]:
    """Every due point that moves, the worst first, and how many stay where they are under another edition.

    Both worlds are of one day and one connection; `after` supposes a programme. An edition that takes effect later is
    judged from that day on, on what is known now.
    """
    units = sorted(after.changed_units)
    old, new = _sides(before, after, units), _sides(after, after, units)
    rows, restated = [], 0
    for unit in units:
        moved, elsewhere = _moved(old.get(unit, ()), new.get(unit, ()), _days(after), before, after)
        rows += moved
        restated += elsewhere
    return tuple(sorted(rows, key=_worst_first)), restated


def moves_of_units(before: World, after: World, units: Sequence[int]) -> dict[int, list[ChangeRow]]:
    """Every due point of the units that is another one in `after`, by unit: from when to when.

    Both worlds are of one day, as known at two moments; `why` says only what differs in the requirement.
    """
    old, new = _sides(before, before, units), _sides(after, after, units)
    found = {}
    for unit in units:
        rows, _ = _moved(old.get(unit, ()), new.get(unit, ()), [after.as_of], before, after)
        if rows:
            found[unit] = sorted(rows, key=_worst_first)
    return found


def _moved(
    old: Sequence[_Side], new: Sequence[_Side], days: Sequence[int], before: World, after: World
) -> tuple[list[ChangeRow], int]:
    """The rows of one unit's change list, and how many stay where they are under another edition."""
    found: list[ChangeRow] = []
    restated = 0
    seen: set[tuple[tuple[int, int] | None, tuple[int, int] | None]] = set()
    for day in days:
        for was, becomes in _pairs(_on(old, day), _on(new, day)):
            both = (None if was is None else was.key, None if becomes is None else becomes.key)
            if both in seen:
                continue
            seen.add(both)
            row = _change(was, becomes, day, before, after)
            if row is not None:
                found.append(row)
            elif both[0] != both[1]:
                restated += 1
    return found, restated


def _days(after: World) -> list[int]:
    """The day asked, and every later day on which what is supposed begins or ends."""
    assert after.supposed is not None
    keys = after.supposed.rule_keys
    turns = {
        day
        for key, rule in after.reference.book().by_key.items()
        if key in keys
        for day in (rule.in_force_from, rule.in_force_until)
    }
    return [after.as_of, *sorted(day for day in turns if after.as_of < day < FAR_DAY)]


def _sides(world: World, holder: World, units: Sequence[int]) -> dict[int, list[_Side]]:
    """Every due point of the units in the world. `holder` has the units in memory, the same in both worlds."""
    rules = world.reference.book().by_key
    states = holder.states(units)
    candidates = [
        candidate_in(holder, states[point.unit_id], point, rules.get(point.requirement_key))
        for point in world.due_points(units)
        if point.unit_id in states
    ]
    desk = Desk(world, world.outlooks({c.point.airframe_id for c in candidates if c.point.airframe_id is not None}))
    desk.prepare(candidates)
    found: dict[int, list[_Side]] = {}
    for candidate in candidates:
        rule = rules.get(candidate.point.requirement_key)
        if is_scrapped(candidate):
            continue
        row = desk.row(candidate, None, None)[1]
        found.setdefault(candidate.point.unit_id, []).append(_Side(candidate.point, rule, row))
    return found


def _on(sides: Iterable[_Side], day: int) -> list[_Side]:
    return [side for side in sides if side.point.in_force_from <= day < side.point.in_force_until]


def _pairs(old: Sequence[_Side], new: Sequence[_Side]) -> Iterator[tuple[_Side | None, _Side | None]]:
    """What was beside what becomes of it: by requirement and programme, then by requirement where only one is left.

    Without a programme on one side every point of the other is beside that.
    """
    for one, other, turned in ((old, new, False), (new, old, True)):
        if one and one[0].rule is None:
            beside: list[_Side | None] = [*other] or [None]
            for side in beside:
                yield (side, one[0]) if turned else (one[0], side)
            return
    left, right = list(old), list(new)
    for programme_too in (True, False):
        for side in list(left):
            same = [each for each in right if _name(each, programme_too) == _name(side, programme_too)]
            if len(same) == 1 and sum(_name(s, programme_too) == _name(side, programme_too) for s in left) == 1:
                left.remove(side)
                right.remove(same[0])
                yield side, same[0]
    yield from ((side, None) for side in left)
    yield from ((None, side) for side in right)


def _name(side: _Side, programme_too: bool) -> tuple[str, str]:
    assert side.rule is not None
    return side.rule.requirement, (side.rule.programme or "") if programme_too else ""


def _change(was: _Side | None, becomes: _Side | None, day: int, before: World, after: World) -> ChangeRow | None:
    """The row of the change list; None when the due point stays where it is."""
    old, new = None if was is None else was.row, None if becomes is None else becomes.row
    if old is not None and new is not None and _figures(old) == _figures(new):
        return None
    states = (None if old is None else _state(old, day), None if new is None else _state(new, day))
    shown = new if new is not None and new.requirement is not None else old or new
    assert shown is not None
    values: dict[str, Any] = {name: getattr(shown, name) for name in _SHOWN}
    rules = (None if was is None else was.rule, None if becomes is None else becomes.rule)
    for side, row, rule in (("before", old, rules[0]), ("after", new, rules[1])):
        values |= {f"{name}_{side}": _of(row, name) for name in (*FIGURES[1:], "driver", "counter")}
        values[f"estimated_{side}"] = row is not None and row.estimated
        values |= {f"due_{side}": _of(row, "due_date"), f"unknown_{side}": _of(row, "unknown_measures")}
        values |= {f"{name}_{side}": _of(rule, name) for name in ("programme", "edition", "reference")}
    return ChangeRow(
        move=_move(old, new, states),
        applies_from=day_text(day) or "",
        state_before=states[0],
        state_after=states[1],
        days=_days_moved(old, new),
        why=_why(rules[0], rules[1], before, after),
        **values,
    )


def _of(value: object, name: str) -> Any:
    return None if value is None else getattr(value, name)


def _figures(row: DueRow) -> tuple[object, ...]:
    return (
        row.requirement is None,
        row.state,
        row.unknown_measures,
        row.counter,
        *(getattr(row, name) for name in FIGURES),
    )


def _state(row: DueRow, day: int) -> str:
    """The state on the day an edition applies from: a date that has passed by then is overdue, if nothing is done."""
    if row.state in _PASSABLE and row.due_date is not None and day_number(row.due_date) < day:
        return "overdue"
    return row.state


def _days_moved(old: DueRow | None, new: DueRow | None) -> int | None:
    """From the due date to the due date; for what waits in stores, from the date if fitted, or else from the latest."""
    if old is None or new is None:
        return None
    for name in ("due_date", "due_if_fitted", "calendar_due"):
        was, becomes = getattr(old, name), getattr(new, name)
        if was is not None and becomes is not None:
            return day_number(becomes) - day_number(was)
    return None


def _move(old: DueRow | None, new: DueRow | None, states: tuple[str | None, str | None]) -> str:
    if states[1] == "overdue" and states[0] != "overdue":
        return "becomes overdue"
    if new is None:
        return "no longer required"
    if (new.state == "unknown" and states[0] != "unknown") or _less_known(old, new):
        return "becomes unknown"
    if old is None:
        return "new"
    if states[0] == "unknown" and new.state != "unknown":
        return "becomes known"
    return _direction(old, new)


def _less_known(old: DueRow | None, new: DueRow) -> bool:
    """Whether a measure cannot be told that could be told, or was not asked for, before."""
    if new.unknown_measures is None:
        return False
    known_before = set() if old is None or old.unknown_measures is None else set(old.unknown_measures.split("; "))
    return not set(new.unknown_measures.split("; ")) <= known_before


def _direction(old: DueRow, new: DueRow) -> str:
    """By the first figure that differs; a limit that was not there is one that comes earlier."""
    for name in FIGURES:
        was, becomes = getattr(old, name), getattr(new, name)
        if was == becomes:
            continue
        if name in _COUNTED and old.counter != new.counter:
            return "differs"
        if was is None or becomes is None:
            return "earlier" if was is None else "later"
        return "earlier" if becomes < was else "later"
    return "differs"


def _why(old: Requirement | None, new: Requirement | None, before: World, after: World) -> str:
    """The edition, then what differs in it, in one sentence."""
    if new is None:
        return f"{old.edition_named} is no longer in force and nothing takes its place." if old else ""
    if old is None or old.requirement != new.requirement:
        return f"New requirement in {new.edition_named}: {stated_words(new)}."
    differs = list(what_differs(old, new))
    if not differs and _resets(before, new) != _resets(after, new):
        differs = ["other work resets it, or no longer does"]
    named = new.edition_named
    if old.edition_named != named:
        named = f"{old.edition_named}, now {named}"
    return f"{named}: {'; '.join(differs)}." if differs else f"{named}."


def _resets(world: World, rule: Requirement) -> set[tuple[str, ...]]:
    return {each.resets for each in world.reference.book().on_part(rule.part_number)}


def _worst_first(row: ChangeRow) -> tuple[object, ...]:
    return (
        MOVES.index(row.move),
        row.days if row.days is not None else 0,
        row.due_after or "9999",
        row.registration or "~",
        row.position or "",
        row.store or "",
        row.part_number,
        row.serial_number,
        row.requirement or "",
        row.programme_after or "",
        row.applies_from,
    )
