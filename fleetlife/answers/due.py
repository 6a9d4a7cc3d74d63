"""`due`: what expires, where, by which measure, and what cannot be told."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleetlife.clocks.bridging import bridged_units, remarks_of
from fleetlife.clocks.deferrals import deferrals_in
from fleetlife.clocks.due_rows import (
    LISTED,
    Desk,
    candidates_of,
    coverage_of,
    is_scrapped,
    narrowed,
    side_of,
    sort_key,
    stale_findings,
)
from fleetlife.clocks.fitting import check_fitting_day
from fleetlife.clocks.held_spares import takes_it_off
from fleetlife.clocks.supposed import Suppose
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_text
from fleetlife.store.due_query import DueCandidate
from fleetlife.store.engine import Store
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueList, DueRow


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedInList:
    """A row of the list with what it was judged from, and whether the unit at the position must come off for it."""

    candidate: DueCandidate
    row: DueRow
    comes_off: bool


def due(
    store: Store,
    *,
    as_of: date,
    window_from: date | None = None,
    window_until: date | None = None,
    everything: bool = False,
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
    fitted_on: date | None = None,
) -> DueList:
    """The due list: rows overdue or in a special state first, then due in the window, then unknown by cause.

    With `everything` every row, dated or not. The collections narrow the list, all that are given together; none given
    means the fleet. Stations, types and operators are those of airframes; `sources` of words.SOURCES; `sides` are the
    sides of the positions, in stores the side that a unit is rigged for or its part is made for.
    `suppose`: what is supposed beside the records (`actions.suppose`); nothing of it is written. `fitted_on`: the day
    for which the date if fitted is told, `as_of` when left out.
    Refusals: `fitting-in-the-past`, `registration-*`, `part-unknown`, `requirement-unknown`, `station-unknown`,
    `type-unknown`, `operator-unknown`, those of `world.open_world`.
    """
    check_fitting_day(fitted_on, as_of=as_of)
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept, suppose=suppose)
        told = {"station": stations, "type": types, "operator": operators}
        answer, _ = judged_in(
            world,
            window_from=window_from,
            window_until=window_until,
            everything=everything,
            airframes=airframes_narrowed(
                world, registrations, told, part_numbers=part_numbers, requirements=requirements
            ),
            part_numbers=part_numbers,
            requirements=requirements,
            sources=sources,
            sides=sides,
            fitted_on=fitted_on,
        )
        return answer


def airframes_asked(
    world: World, registrations: Collection[str], told: Mapping[str, Collection[str]]
) -> Collection[int] | None:
    """The airframes that are asked for by their registrations and by what is stated of them; None: all, and stores.

    Refusals: `registration-*`, `station-unknown`, `type-unknown`, `operator-unknown`, with the nearest.
    """
    if not registrations and not any(told.values()):
        return None
    frames = world.reference.airframes
    found = {world.reference.airframe_on(name, world.as_of) for name in registrations} or set(frames)
    for what, names in told.items():
        known = {fold(value): value for frame in frames.values() if (value := getattr(frame, what)) is not None}
        for name in names:
            if fold(name) not in known:
                raise Refusal(
                    f"{what}-unknown",
                    f"No airframe in the records has {what} {name}." + did_you_mean(name, known.values()),
                    remedy=f"Correct the name; known are {', '.join(sorted(known.values())) or 'none'}.",
                )
        if names:
            wanted = {fold(name) for name in names}
            found = {airframe for airframe in found if fold(getattr(frames[airframe], what)) in wanted}
    return sorted(found)


def airframes_narrowed(
    world: World,
    registrations: Collection[str],
    told: Mapping[str, Collection[str]],
    *,
    part_numbers: Collection[str],
    requirements: Collection[str],
) -> Collection[int] | None:
    """The same where parts and requirements are named too: they must be in the records. Refusals: `part-unknown`,
    `requirement-unknown`, with the nearest, and those of `airframes_asked`."""
    world.check_parts(part_numbers)
    _check_requirements(world, requirements)
    return airframes_asked(world, registrations, told)


def _check_requirements(world: World, names: Collection[str]) -> None:
    known = {rule.requirement for rule in world.reference.book().by_key.values()}
    for name in names:
        if name not in known:
            raise Refusal(
                "requirement-unknown",
                f"No requirement {name} is in the records." + did_you_mean(name, known),
                remedy="Correct the name, or state it first (requirements file).",
            )


def judged_in(
    world: World,
    *,
    window_from: date | None = None,
    window_until: date | None = None,
    everything: bool = False,
    airframes: Collection[int] | None = None,
    part_numbers: Collection[str] = (),
    requirements: Collection[str] = (),
    sources: Collection[str] = (),
    sides: Collection[str] = (),
    fitted_on: date | None = None,
) -> tuple[DueList, list[JudgedInList]]:
    """The due list in an open world, and its rows with what each was judged from; see `due`."""
    outlooks = world.outlooks()
    until = window_until.toordinal() if window_until else world.as_of
    begin = window_from.toordinal() if window_from else None
    wanted = candidates_of(
        world, outlooks, until_day=max(until, world.as_of), everything=everything, airframes=airframes
    )
    covered = narrowed([c for c in wanted if not is_scrapped(c)], part_numbers, ())
    wanted = [
        c
        for c in narrowed(covered, (), requirements)
        if (not sources or c.source in sources) and (not sides or side_of(world, c) in sides)
    ]
    judge_desk = Desk(world, outlooks, fitted_on=None if fitted_on is None else fitted_on.toordinal())
    judge_desk.prepare(wanted)
    judge_desk.remarks = remarks_of(bridged_units(world, {c.point.unit_id for c in wanted}))
    found: list[tuple[tuple[Any, ...], JudgedInList]] = []
    before = 0
    for candidate in wanted:
        judged, row = judge_desk.row(candidate, begin, until if not everything or window_until else None)
        if judged.state in LISTED or everything:
            off = takes_it_off(judge_desk, candidate)
            found.append((sort_key(row), JudgedInList(candidate=candidate, row=row, comes_off=off)))
        elif begin is not None and judged.due_earliest is not None and world.as_of <= judged.due_earliest < begin:
            before += 1
    found.sort(key=lambda item: item[0])
    rows = [each for _, each in found]
    about = world.about("due", airframes=airframes)
    answer = DueList(
        about=replace(about, notes=(*about.notes, *_deferred(world, airframes))),
        window_from=day_text(begin),
        window_until=day_text(window_until.toordinal()) if window_until else None,
        rows=tuple(each.row for each in rows),
        coverage=coverage_of(world, covered, airframes=airframes, part_numbers=part_numbers, requirements=requirements),
        findings=stale_findings(world, outlooks, airframes),
        before_window=before,
        fitted_on=None if fitted_on is None else fitted_on.isoformat(),
    )
    return answer, rows


def _deferred(world: World, airframes: Collection[int] | None) -> list[str]:
    """What is carried under a deferral, as entered, for the head of the list: nothing of it moves a due date."""
    return [
        f"Deferred, as entered: {world.registration(airframe)} {position}, {each.told(world.as_of)}."
        for (airframe, position), rows in deferrals_in(world, airframes).items()
        for each in rows
    ]
