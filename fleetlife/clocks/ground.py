"""Ground times in a world, and how long a unit lasts from a fitting on."""

from __future__ import annotations

from fleetlife.clocks.world import World
from fleetlife.dates.partial import day_number
from fleetlife.life.projection import all_rates
from fleetlife.planning.ground import Least, Period
from fleetlife.terms.views import SwapAnswer


def ground_times(world: World, airframe: int) -> list[Period]:
    """The ground times of the airframe, the first in front."""
    return sorted(
        Period(
            first=day_number(fact.ground_from),
            last=day_number(fact.ground_to),
            station=fact.station,
            reference=fact.reference,
            entry=number,
        )
        for number, fact in world.reference.ground_times.get(airframe, {}).values()
    )


def least_lives(world: World) -> list[Least]:
    """The rules of the least life to fit."""
    return [
        Least(
            days=fact.days,
            effective_from=day_number(fact.effective_from),
            reference=fact.reference,
            operator=fact.operator,
            part_number=fact.part_number,
            entry=number,
        )
        for number, fact in world.reference.least_lives.values()
    ]


def days_of_life(world: World, airframe: int, answer: SwapAnswer, day: int) -> int | None:
    """Days from a fitting on the day until the first requirement falls due, at the airframe's highest rates; soft lives
    stop nothing, storage ends with the fitting, and operations and counters are not reckoned in days. `answer`: of the
    fitting question for that day. None: nothing is limited in days."""
    view = world.outlooks({airframe}).get(airframe)
    rates = [rate for rate in all_rates(view) if rate is not None] if view is not None else []
    found = []
    for left in answer.life:
        if left.kind in ("soft_life", "storage"):
            continue
        if left.due_if_fitted is not None:
            found.append(day_number(left.due_if_fitted) - day)
        for rate in rates:
            if left.hours_left is not None and rate.minutes:
                found.append(max(left.hours_left, 0) * rate.span // rate.minutes)
            if left.cycles_left is not None and rate.cycles:
                found.append(max(left.cycles_left, 0) * rate.span // rate.cycles)
    return min(found, default=None)
