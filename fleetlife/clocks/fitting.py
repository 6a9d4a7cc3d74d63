"""The fitting question in a world: gathers what `checks.fitting` judges."""

from __future__ import annotations

from fleetlife.checks.fitting import CAUTIONS, NOT_CHECKED, Fitting, judge_fitting, outcome_of
from fleetlife.clocks.gathered import by_unit
from fleetlife.clocks.world import STALE_DAYS, World, unit_not_then
from fleetlife.dates.partial import day_text
from fleetlife.terms.views import SwapAnswer


def check_fitting(world: World, *, airframe: int, position: str, unit_id: int) -> SwapAnswer:
    """May the unit go on the position on the world's day. Refusals: `position-unknown`, `unit-not-then`."""
    place = world.reference.position_of(airframe, position)
    tree = world.tree_of(unit_id)
    unit = tree.get(unit_id)
    if unit is None:
        raise unit_not_then()
    manufactured, modifications = world.made(tree)
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
        on=world.as_of,
        unit=unit,
        tree=tree,
        placements=by_unit(world.placements(tree)),
        due_points=by_unit(world.due_points(tree)),
        modifications=modifications.get(unit_id, ()),
        manufactured=manufactured,
        lines=by_unit(world.certificate_lines(tree)),
        occupant=occupant,
        mates=mates,
        views=views,
        counter_views=world.counter_outlooks({airframe, *carriers}),
        reading_age=age,
        stale_after=STALE_DAYS,
    )
    reasons, life = judge_fitting(fitting, world.reference)
    frame = world.reference.airframes[airframe]
    aged = () if age is None else (f"anything flown since the last reading, of {day_text(world.as_of - age)}",)
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
        not_checked=(*NOT_CHECKED, *aged),
        cautions=CAUTIONS,
    )
