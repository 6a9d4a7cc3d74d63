"""What a derivation anew need not look up again, and the readings it will ask for, so that they come together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from fleetlife.dates.moment import FAR_DAY, end_of_day, moment_of
from fleetlife.dates.partial import day_number, parse_partial
from fleetlife.follows.book import Book
from fleetlife.follows.carry import Boundary, BoundaryKey
from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import CarriageRow
from fleetlife.ledger.facts import Accomplishment, Fact, Movement, Opening, UnitModification, Variation

FAR = end_of_day(FAR_DAY)
SETTLED = ("stated", "bounded", "opening")


def settled_boundaries(
    carriages: Iterable[CarriageRow], *, unsettled_airframes: Iterable[int] = ()
) -> dict[BoundaryKey, Boundary]:
    """Boundaries that later readings do not move, so that they need not be looked up again."""
    open_again = set(unsettled_airframes)
    known: dict[BoundaryKey, Boundary] = {}
    for row in carriages:
        if row.airframe_id in open_again:
            continue
        if row.from_basis in SETTLED and row.from_minutes is not None:
            known[row.root_id, row.airframe_id, row.from_moment, "from"] = (
                row.from_minutes,
                row.from_cycles,
                row.from_basis,
            )
        if row.until_moment is not None and row.until_basis in SETTLED and row.until_minutes is not None:
            key = (row.root_id, row.airframe_id, row.until_moment, "until")
            known[key] = (row.until_minutes, row.until_cycles, row.until_basis)
    return known


def readings_wanted(
    facts: Mapping[int, Sequence[Recorded]],
    known: Mapping[BoundaryKey, Boundary],
    carriages: Sequence[CarriageRow],
    *,
    bounded: bool,
) -> Iterator[tuple[int, int, str]]:
    """The readings that the derivation will ask for, as far as they can be told, to be looked up together.

    `bounded`: counts are bounded both ways, so that the readings on either side are asked for, of settled boundaries
    too.
    """
    settled = {(airframe, moment) for _, airframe, moment, _ in known}
    carried: dict[int, list[CarriageRow]] = {}
    for row in carriages:
        carried.setdefault(row.unit_id, []).append(row)
    for unit_id, held in facts.items():
        for recorded in held:
            fact = recorded.fact
            if isinstance(fact, Movement):
                day = day_number(fact.moved_on)
                if bounded or (fact.airframe, moment_of(day, fact.sequence)) not in settled:
                    yield fact.airframe, day - 1, "before"
                    yield fact.airframe, day, "after"
            elif isinstance(fact, Accomplishment) and fact.unit == unit_id:
                day = parse_partial(fact.done_on).first_day.toordinal()  # as `follows.history` counts a mark's month
                moment = moment_of(day)
                for row in carried.get(unit_id, ()):
                    if row.from_moment <= moment and (row.until_moment is None or row.until_moment > moment):
                        yield row.airframe_id, day - 1, "before"
                        if bounded:
                            yield row.airframe_id, day, "after"
            elif isinstance(fact, Variation) and fact.unit == unit_id and fact.approved_on:
                day = day_number(fact.approved_on)
                for row in carried.get(unit_id, ()):
                    if row.from_moment <= end_of_day(day) and (row.until_moment or FAR) > end_of_day(day):
                        yield row.airframe_id, day, "after"
                        yield row.airframe_id, day - 1, "before"
            elif isinstance(fact, Opening) and fact.airframe is not None:
                day = day_number(fact.as_of)
                if (fact.airframe, end_of_day(day)) not in settled:
                    yield fact.airframe, day, "before"
                if bounded:
                    yield fact.airframe, day, "after"


def counters_wanted(
    facts: Mapping[int, Sequence[Recorded]], carriages: Sequence[CarriageRow], book: Book
) -> Iterator[tuple[int, str, int, str]]:
    """The readings of counters that the derivation will ask for, as far as they can be told; nothing where no
    requirement on the units names a counter."""
    if not book.counters:
        return
    carried: dict[int, list[CarriageRow]] = {}
    for row in carriages:
        carried.setdefault(row.unit_id, []).append(row)
    for unit_id, own in facts.items():
        parts = {number for recorded in own for number in _numbers(recorded.fact, unit_id)}
        counters = {rule.counter for part in parts for rule in book.on_part(part) if rule.counter is not None}
        if not counters:
            continue
        held = {unit_id: own, **{parent: facts[parent] for parent in _above(unit_id, facts)}}
        rows = carried.get(unit_id, [])
        wanted = list(readings_wanted(held, {}, rows, bounded=True))
        openings = [r.fact for each in held.values() for r in each if isinstance(r.fact, Opening)]
        airframes = {row.airframe_id for row in rows} | {o.airframe for o in openings if o.airframe is not None}
        opened = {day_number(opening.as_of) for opening in openings if opening.unit == unit_id}
        wanted += [(airframe, day, "before") for airframe in sorted(airframes) for day in opened]
        for counter in sorted(counters):
            for airframe, day, which in wanted:
                yield airframe, counter, day, which


def _above(unit_id: int, facts: Mapping[int, Sequence[Recorded]]) -> Iterator[int]:
    """The units it was ever in, and those they were in."""
    seen, waiting = {unit_id}, [unit_id]
    while waiting:
        for recorded in facts[waiting.pop()]:
            parent = getattr(recorded.fact, "parent", None)
            if parent is not None and parent not in seen and parent in facts:
                seen.add(parent)
                waiting.append(parent)
                yield parent


def _numbers(fact: Fact, unit_id: int) -> Iterator[str]:
    """The part numbers that the fact gives the unit."""
    if isinstance(fact, Opening) and fact.unit == unit_id:
        yield fact.part_number
    elif isinstance(fact, UnitModification) and fact.unit == unit_id and fact.new_part_number:
        yield fact.new_part_number
