"""`due --spares`: what expires, where, and what is to be put there."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import date

from fleetlife.answers.due import airframes_narrowed, judged_in
from fleetlife.answers.spares_choose import check_horizon, chosen_in
from fleetlife.clocks.supposed import Suppose
from fleetlife.clocks.world import World, open_world
from fleetlife.store.engine import Store
from fleetlife.terms import spares as words
from fleetlife.terms.spares import DueWithSpares, PutThere, SpareChoice
from fleetlife.terms.views import DueRow


def due_with_spares(
    store: Store,
    *,
    as_of: date,
    window_until: date,
    window_from: date | None = None,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    part_numbers: Collection[str] = (),
    requirements: Collection[str] = (),
    stations: Collection[str] = (),
    types: Collection[str] = (),
    operators: Collection[str] = (),
    sources: Collection[str] = (),
    sides: Collection[str] = (),
    suppose: Suppose | None = None,
    least_days: int = 0,
    tell: Callable[[str, int], None] = lambda what, count: None,
) -> DueWithSpares:
    """The due list of a window with what is to be put where a unit must come off; nothing is written or reserved.

    The spares are chosen as `spares choose` does for every position of the airframes asked for that wants one by the
    end of the window, so one spare is named for one position. Refusals: those of `answers.due.due`, and
    `horizon-in-the-past` for a window that ends before the day asked about.
    """
    check_horizon(window_until, as_of=as_of)
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept, suppose=suppose)
        told = {"station": stations, "type": types, "operator": operators}
        airframes = airframes_narrowed(world, registrations, told, part_numbers=part_numbers, requirements=requirements)
        return due_with_spares_in(
            world,
            window_from=window_from,
            window_until=window_until,
            airframes=airframes,
            part_numbers=part_numbers,
            requirements=requirements,
            sources=sources,
            sides=sides,
            least_days=least_days,
            tell=tell,
        )


def due_with_spares_in(
    world: World,
    *,
    window_from: date | None,
    window_until: date,
    airframes: Collection[int] | None = None,
    part_numbers: Collection[str] = (),
    requirements: Collection[str] = (),
    sources: Collection[str] = (),
    sides: Collection[str] = (),
    least_days: int = 0,
    tell: Callable[[str, int], None] = lambda what, count: None,
) -> DueWithSpares:
    """The same in an open world."""
    due, listed = judged_in(
        world,
        window_from=window_from,
        window_until=window_until,
        airframes=airframes,
        part_numbers=part_numbers,
        requirements=requirements,
        sources=sources,
        sides=sides,
    )
    chosen = chosen_in(world, until=window_until, airframes=airframes, least_days=least_days, beside=False, tell=tell)
    choices = {(row.registration, row.position): row for row in chosen.rows}
    put = tuple(
        _put(each.row, each.comes_off, choices.get((each.row.registration or "", each.row.position or "")))
        for each in listed
    )
    told = {
        (row.registration, row.position)
        for row, there in zip(due.rows, put, strict=True)
        if there.put in (words.SPARE, words.NO_SPARE)
    }
    also = tuple(choice for place, choice in choices.items() if place not in told)
    return DueWithSpares(due=due, put=put, chosen=chosen, also=also)


def _put(row: DueRow, comes_off: bool, choice: SpareChoice | None) -> PutThere:
    """What is to be put there; a position that has a choice is told of at those rows for which the unit comes off."""
    if row.registration is None:
        return PutThere(put=words.NOT_FITTED)
    if row.state == "unknown":
        return PutThere(put=words.CANNOT_TELL)
    if not comes_off:
        return PutThere(put=words.SOFT if row.kind == "soft_life" else words.ON_THE_AIRCRAFT)
    if row.state == "no refill":
        return PutThere(put=words.STAYS)
    if choice is None:
        return PutThere(put=words.LATER)
    if choice.spare_serial_number is None:
        return PutThere(put=words.NO_SPARE, stops=choice.stops)
    return PutThere(
        put=words.SPARE,
        spare_part_number=choice.spare_part_number,
        spare_serial_number=choice.spare_serial_number,
        spare_manufacturer=choice.spare_manufacturer,
        spare_store=choice.store,
        spare_bin=choice.bin,
        fit_on=choice.fit_on,
        outcome=choice.outcome,
        rerig=choice.rerig,
        days_of_life=choice.days_of_life,
        conditions=choice.conditions,
    )
