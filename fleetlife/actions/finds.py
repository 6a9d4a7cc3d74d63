"""Whom a find displaced is whoever the records hold there until then: late paper may make it another unit.

A find states that unit. Where what is recorded later says that somebody else hung there by the records, the find is
restated in the same transaction, so that late paper ends as it would have in order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from fleetlife.dates.moment import FAR_DAY
from fleetlife.dates.partial import day_number
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Fact, Movement, Opening
from fleetlife.store.finds import finds_since, held_before
from fleetlife.store.places import placements_of
from fleetlife.store.unit_of_work import Writer


def finds_restated(writer: Writer, facts: Iterable[Fact], *, because: int) -> list[Draft]:
    """A correction of every find that displaced another unit than it states, now that `facts` stand or stand no more.

    `because`: the first of the entries that made it so. The drafts are to be appended and settled with those.
    """
    # from which day on at which doors
    doors: dict[tuple[int, str], int] = {}
    found: dict[int, int] = {}
    for fact in facts:
        if isinstance(fact, Movement):
            day = day_number(fact.moved_on)
            _from(doors, (fact.airframe, fact.position), day)
            if fact.found:
                for unit in fact.unit_ids():
                    found[unit] = min(day, found.get(unit, day))
        elif isinstance(fact, Opening) and fact.airframe is not None and fact.position is not None:
            _from(doors, (fact.airframe, fact.position), day_number(fact.placed_on or fact.as_of))
    if not doors:
        return []
    for row in placements_of(writer.connection, found) if found else ():
        # a unit found elsewhere is no longer where the records held it
        if row.airframe_id is not None and row.position is not None:
            _from(doors, (row.airframe_id, row.position), found[row.unit_id])
    finds = finds_since(writer.connection, {airframe for airframe, _ in doors}, min(doors.values()))
    return [
        _restated(number, find, held, writer=writer, because=because)
        for number, find in finds
        if day_number(find.moved_on) >= doors.get((find.airframe, find.position), FAR_DAY)
        and (held := _displaced(find, held_before(writer.connection, find))) != find.displaced
    ]


def _from(doors: dict[tuple[int, str], int], door: tuple[int, str], day: int) -> None:
    doors[door] = min(day, doors.get(door, day))


def _displaced(find: Movement, held: int | None) -> int | None:
    """A unit that hung where the records hold it displaced nobody."""
    return None if held == (find.removed if find.removed is not None else find.installed) else held


def _restated(number: int, find: Movement, held: int | None, *, writer: Writer, because: int) -> Draft:
    units: Sequence[int | None] = (find.displaced,)
    return Draft(
        kind="correction",
        on=find.dated(),
        items=(replace(find, displaced=held),),
        replaces=(number,),
        reason=f"who was recorded there until then, by entry {because}",
        authorised_by=writer.recorded_by,
        also_units=tuple(unit for unit in units if unit is not None),
    )
