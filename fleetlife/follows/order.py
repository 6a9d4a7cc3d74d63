"""The order of a day: movements without a stated sequence are put in the only order that is possible.

Where two orders are possible and give different results, the answer is ambiguous and the caller refuses the rows
and asks for `sequence`. Where none is possible the order given is kept, and the derivation names the contradiction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from fleetlife.follows.rows import place_key
from fleetlife.ledger.facts import Movement, Opening, Transfer

Event = Movement | Transfer
Place = tuple[str, int, str]  # kind, owner (airframe or parent), label; ("", 0, "") for anywhere else
ELSEWHERE: Place = ("elsewhere", 0, "")
STEP = 10
MOST_PERMUTED = 6


@dataclass(frozen=True, slots=True)
class Ordered:
    """Events with their sequence set, and groups for which the order of the day cannot be told."""

    events: tuple[tuple[int, Event], ...]  # (index as given, event)
    ambiguous: tuple[tuple[int, ...], ...]


def place_of_opening(fact: Opening) -> Place:
    if fact.place == "position" and fact.airframe is not None and fact.position is not None:
        return ("position", fact.airframe, fact.position)
    if fact.place == "slot" and fact.parent is not None and fact.slot is not None:
        return ("slot", fact.parent, fact.slot)
    return ELSEWHERE


def order_events(
    events: Sequence[tuple[int, Event, bool]],
    *,
    start: Mapping[int, Place],
    taken: Mapping[tuple[str, int], int] | None = None,
) -> Ordered:
    """Give every event of (index, event, sequence stated) its sequence.

    `start` tells where each unit is before the first of the events; `taken`, for late additions to a day, the highest
    sequence already recorded by (day, unit) and by (day, `place_key` of a position).
    """
    where = dict(start)
    at = {place: unit for unit, place in where.items() if place != ELSEWHERE}
    ordered: list[tuple[int, Event]] = []
    ambiguous: list[tuple[int, ...]] = []
    by_day: dict[str, list[tuple[int, Event, bool]]] = {}
    for item in events:
        by_day.setdefault(item[1].moved_on, []).append(item)
    for day in sorted(by_day):
        for group in _components(by_day[day]):
            chosen, unclear = _order_group(group, _nearby(group, where, at))
            if unclear:
                ambiguous.append(tuple(item[0] for item in group))
            floor = max((_taken(taken, item[1], day) for item in group), default=0)
            for rank, (index, event, stated) in enumerate(chosen, 1):
                placed = event if stated else replace(event, sequence=floor + rank * STEP)
                placed = _with_displaced(placed, at)
                ordered.append((index, placed))
                left = [where.get(unit, ELSEWHERE) for unit in _units(placed)]
                _apply(placed, where)
                for place in left:
                    at.pop(place, None)
                for unit in _units(placed):
                    if where[unit] != ELSEWHERE:
                        at[where[unit]] = unit
    return Ordered(tuple(ordered), tuple(ambiguous))


def _with_displaced(event: Event, at: Mapping[Place, int]) -> Event:
    """What was found at a position puts out the unit the records believed there."""
    if not isinstance(event, Movement) or not event.found or event.displaced is not None:
        return event
    found = event.removed if event.removed is not None else event.installed
    believed = at.get(("position", event.airframe, event.position))
    return event if believed is None or believed == found else replace(event, displaced=believed)


def _nearby(
    group: Sequence[tuple[int, Event, bool]], where: Mapping[int, Place], at: Mapping[Place, int]
) -> dict[int, Place]:
    """Where the units of the group are, and who occupies the places of the group."""
    units: set[int] = set()
    for _, event, _ in group:
        units.update(_units(event))
        units.update(at[place] for place in _places(event) if place in at)
    return {unit: where.get(unit, ELSEWHERE) for unit in units}


def _taken(taken: Mapping[tuple[str, int], int] | None, event: Event, day: str) -> int:
    if not taken:
        return 0
    keys = list(_units(event))
    if isinstance(event, Movement):
        keys.append(place_key(event.airframe, event.position, slot=False))
    return max((taken.get((day, key), 0) for key in keys), default=0)


def _units(event: Event) -> tuple[int, ...]:
    if isinstance(event, Transfer):
        return (event.unit,)
    return tuple(u for u in (event.removed, event.installed, event.displaced) if u is not None)


def _places(event: Event) -> tuple[Place, ...]:
    if isinstance(event, Movement):
        return (("position", event.airframe, event.position),)
    if event.target == "parent" and event.parent is not None:
        return (("slot", event.parent, event.slot or ""),)
    return ()


def _components(items: Sequence[tuple[int, Event, bool]]) -> Iterable[list[tuple[int, Event, bool]]]:
    """Events of one day that share a unit or a place, directly or through others, in the order given."""
    if len(items) == 1:
        return [list(items)]
    owner: dict[object, int] = {}
    parent = list(range(len(items)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, (_, event, _) in enumerate(items):
        keys: list[object] = [("unit", u) for u in _units(event)]
        keys.extend(_places(event))
        for key in keys:
            if key in owner:
                parent[root(i)] = root(owner[key])
            else:
                owner[key] = i
    groups: dict[int, list[tuple[int, Event, bool]]] = {}
    for i, item in enumerate(items):
        groups.setdefault(root(i), []).append(item)
    return groups.values()


def _order_group(
    group: list[tuple[int, Event, bool]], where: Mapping[int, Place]
) -> tuple[list[tuple[int, Event, bool]], bool]:
    if len(group) == 1:
        return group, False
    stated = [item for item in group if item[2]]
    if len(stated) == len(group):
        return sorted(group, key=lambda item: item[1].sequence), False
    if stated or len(group) > MOST_PERMUTED:
        return group, True
    found: dict[tuple[object, ...], list[tuple[int, Event, bool]]] = {}
    for order in permutations(group):
        trial = dict(where)
        if all(_possible(event, trial) and _apply(event, trial) for _, event, _ in order):
            found.setdefault(_signature(order), list(order))
    if not found:
        return group, False
    return next(iter(found.values())), len(found) > 1


def _signature(order: Sequence[tuple[int, Event, bool]]) -> tuple[object, ...]:
    """Which of the group's events each unit and each place sees, in order: what the result depends on."""
    seen: dict[object, list[int]] = {}
    for index, event, _ in order:
        for unit in _units(event):
            seen.setdefault(("unit", unit), []).append(index)
        for place in _places(event):
            seen.setdefault(place, []).append(index)
    return tuple(sorted((str(key), tuple(indexes)) for key, indexes in seen.items()))


def _possible(event: Event, where: Mapping[int, Place]) -> bool:
    if isinstance(event, Transfer):
        return where.get(event.unit, ELSEWHERE)[0] != "position"
    here: Place = ("position", event.airframe, event.position)
    if event.removed is not None and not event.found and where.get(event.removed, ELSEWHERE) != here:
        return False
    if event.installed is not None:
        if where.get(event.installed, ELSEWHERE) != ELSEWHERE and not (event.found and event.removed is None):
            return event.installed == event.removed
        occupied = [unit for unit, place in where.items() if place == here]
        if any(unit not in (event.removed, event.displaced, event.installed) for unit in occupied):
            return False
    return True


def _apply(event: Event, where: dict[int, Place]) -> bool:
    if isinstance(event, Transfer):
        if event.target == "parent" and event.parent is not None:
            where[event.unit] = ("slot", event.parent, event.slot or "")
        else:
            where[event.unit] = ELSEWHERE
        return True
    if event.removed is not None:
        where[event.removed] = ELSEWHERE
    if event.displaced is not None:
        where[event.displaced] = ELSEWHERE
    if event.installed is not None:
        where[event.installed] = ("position", event.airframe, event.position)
    return True
