"""The fitting question in a world: gathers what `checks.fitting` judges."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from fleetlife.checks.fitting import CAUTIONS, NOT_CHECKED, Fitting, judge_fitting, outcome_of
from fleetlife.checks.publications import findings_of_rows
from fleetlife.clocks.bridging import kept_of, points_under
from fleetlife.clocks.deferrals import deferrals_told
from fleetlife.clocks.gathered import by_unit
from fleetlife.clocks.papers import findings_of_papers
from fleetlife.clocks.publications import publication_rows
from fleetlife.clocks.removals import removals_of
from fleetlife.clocks.world import STALE_DAYS, World, unit_not_then
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_number, day_text
from fleetlife.fit.eligibility import depends_on_unit
from fleetlife.follows.publications import in_force
from fleetlife.follows.rows import DuePointRow, UnitStateRow
from fleetlife.ledger.facts import Operation, Position
from fleetlife.terms.finding import Finding
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import SwapAnswer


def check_fitting_day(fitted_on: date | None, *, as_of: date) -> None:
    """A fitting is asked about for the day asked or a later one. Refusal: `fitting-in-the-past`."""
    if fitted_on is not None and fitted_on < as_of:
        raise Refusal(
            "fitting-in-the-past",
            f"A fitting on {fitted_on.isoformat()} lies before {as_of.isoformat()}, the day asked about: what was "
            "recorded between the two is in these answers, and was not known at the fitting.",
            remedy="Name that day or a later one; or ask as of the earlier day (--as-of).",
            status=2,
        )


def check_fitting(
    world: World, *, airframe: int, position: str, unit_id: int, fitted_on: date | None = None
) -> SwapAnswer:
    """May the unit go on the position on the world's day, or on a later one, as things stand on the world's day.

    Refusals: `fitting-in-the-past`, `position-unknown`, `unit-not-then`.
    """
    check_fitting_day(fitted_on, as_of=date.fromordinal(world.as_of))
    place = world.reference.position_of(airframe, position)
    tree = world.tree_of(unit_id)
    unit = tree.get(unit_id)
    if unit is None:
        raise unit_not_then()
    manufactured, modifications = world.made(tree)
    programmes = world.reference.book().programmes
    carriages = by_unit(world.carriages(tree)) if len(set(programmes.values())) > 1 else {}
    installed = world.installed_on(airframe)
    occupant = next((row for row in installed if row.position == place.position), None)
    mates = [
        (row.position or "", row)
        for row in installed
        if place.pair
        and row.position != place.position
        and world.reference.position_of(airframe, row.position or "").pair == place.pair
    ]
    carriers = {row.carried_airframe_id for row in tree.values() if row.carried_airframe_id is not None}
    views = world.outlooks({airframe, *carriers})
    view = views.get(airframe)
    age = None if view is None or view.base_day is None else world.as_of - view.base_day
    fitting = Fitting(
        airframe=airframe,
        registration=world.registration(airframe),
        position=place,
        on=world.as_of if fitted_on is None else fitted_on.toordinal(),
        unit=unit,
        tree=tree,
        due_points=_due_points(world, tree, airframe),
        kept={unit: kept_of(rows, programmes) for unit, rows in carriages.items()},
        modifications=modifications.get(unit_id, ()),
        without=_without(world, airframe, place, unit_id),
        manufactured=manufactured,
        lines=by_unit(world.certificate_lines(tree)),
        tests=world.expansion_tests(tree),
        occupant=occupant,
        mates=mates,
        views=views,
        counter_views=world.counter_outlooks({airframe, *carriers}),
        reading_age=age,
        stale_after=STALE_DAYS,
        papers=findings_of_papers(world, tree),
        publications=_publications(world, tree, fitted_on),
        deployed=_deployed(world, tree),
        deferrals=deferrals_told(world, airframe, place.position),
        removals=removals_of(world, tree, released=_released(tree), fitting=(airframe, place.position)),
    )
    reasons, life = judge_fitting(fitting, world.reference)
    frame = world.reference.airframes[airframe]
    aged = () if age is None else (f"anything flown since the last reading, of {day_text(world.as_of - age)}",)
    signed = () if world.reference.approvals else ("whether who signed its release was approved then",)
    asked = () if world.reference.publications else ("what directives and bulletins ask for: none are taken in",)
    until = () if fitted_on is None else (f"anything done or moved between {day_text(world.as_of)} and that day",)
    return SwapAnswer(
        about=world.about("swap check", airframes={airframe}),
        outcome=outcome_of(reasons),
        registration=fitting.registration,
        constructor_serial=frame.constructor_serial,
        type=frame.type,
        position=place.position,
        side=place.side,
        part_number=unit.part_number,
        serial_number=unit.serial_number,
        manufacturer=unit.manufacturer,
        outgoing=None if occupant is None else f"{occupant.part_number} {occupant.serial_number}",
        reasons=reasons,
        life=life,
        not_checked=(*NOT_CHECKED, *signed, *asked, *aged, *until),
        cautions=CAUTIONS,
        fitted_on=None if fitted_on is None else fitted_on.isoformat(),
    )


def _without(world: World, airframe: int, place: Position, unit_id: int) -> tuple[str, ...]:
    """The modifications that the unit was found without; looked up where a row of the position depends on one."""
    of_type = world.reference.airframes[airframe].type
    if not depends_on_unit(world.reference.eligibility.get((fold(of_type), place.position), ())):
        return ()
    return world.found_without([unit_id]).get(unit_id, ())


def _released(tree: Mapping[int, UnitStateRow]) -> dict[int, int | None]:
    """By unit the day of its last release, its own or that of the unit it was put into before."""
    found: dict[int, int | None] = {}
    for unit_id, state in tree.items():
        above = found.get(state.parent_id or 0)
        with_it = above if above is not None and day_of(state.since_moment) <= above else None
        found[unit_id] = max((day for day in (state.released_on, with_it) if day is not None), default=None)
    return found


def _deployed(world: World, tree: Mapping[int, UnitStateRow]) -> dict[int, int]:
    """By unit the last day on which it deployed, by the world's day."""
    found: dict[int, int] = {}
    for fact in world.stated_of(list(tree), Operation):
        if isinstance(fact, Operation) and fold(fact.operation) == fold("deployment") and fact.count:
            on = day_number(fact.operated_on)
            if fact.unit in tree and on <= world.as_of:
                found[fact.unit] = max(on, found.get(fact.unit, on))
    return found


def _publications(world: World, tree: Mapping[int, UnitStateRow], fitted_on: date | None) -> list[Finding]:
    """What the publications in force on the day of the fitting ask of the units, and is not met on it."""
    if not world.reference.publications:
        return []
    day = world.as_of if fitted_on is None else fitted_on.toordinal()
    rows = publication_rows(world, in_force(world.reference, day), units=tree, on=day)
    return sorted(findings_of_rows(rows), key=Finding.sort_key)


def _due_points(world: World, tree: Mapping[int, UnitStateRow], airframe: int) -> dict[int, list[DuePointRow]]:
    """The due points of the units by which a fitting is judged.

    Units in stores have those of every programme; of units that an airframe of another programme carries, those of the
    programme asked about are derived beside their own.
    """
    found: dict[int, list[DuePointRow]] = by_unit(world.due_points(tree))
    programmes = world.reference.book().programmes
    programme = programmes.get(airframe) or None
    carried = [
        unit
        for unit, state in tree.items()
        if state.carried_airframe_id is not None and (programmes.get(state.carried_airframe_id) or None) != programme
    ]
    for unit, rows in points_under(world, carried, programme).items() if carried else ():
        held = {(row.requirement_key, row.in_force_from) for row in found.get(unit, ())}
        found.setdefault(unit, []).extend(r for r in rows if (r.requirement_key, r.in_force_from) not in held)
    return found
