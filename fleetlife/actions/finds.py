"""Whom a find displaced is whoever the records hold there until then: late paper may make it another unit.

A find states that unit. Where what is recorded later says that somebody else hung there by the records, the find is
restated in the same transaction, so that late paper ends as it would have in order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

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
    airframes: set[int] = set()
    found: set[int] = set()
    days: list[int] = []
    for fact in facts:
        if isinstance(fact, Movement):
            airframes.add(fact.airframe)
            days.append(day_number(fact.moved_on))
            if fact.found:
                found.update(fact.unit_ids())
        elif isinstance(fact, Opening) and fact.place == "position" and fact.airframe is not None:
            airframes.add(fact.airframe)
            days.append(day_number(fact.placed_on or fact.as_of))
    if not airframes:
        return []
    if found:
        # a unit found elsewhere is no longer where the records held it
        airframes.update(row.airframe_id for row in placements_of(writer.connection, found) if row.airframe_id)
    return [
        _restated(number, find, held, writer=writer, because=because)
        for number, find in finds_since(writer.connection, airframes, min(days))
        if (held := _displaced(find, held_before(writer.connection, find))) != find.displaced
    ]


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
