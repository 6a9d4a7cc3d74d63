"""How long the spares in stores will do by the calendar alone, read together for all of them.

What is told here is never shorter than what the fitting question finds of a spare, so that a choice may rest on it
before anything is asked.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from fleetlife.clocks.gathered import by_unit
from fleetlife.clocks.world import World
from fleetlife.dates.partial import PartialDate
from fleetlife.follows.derive import point_of_row
from fleetlife.follows.rows import DuePointRow, UnitStateRow
from fleetlife.life.fitting import due_if_fitted
from fleetlife.life.values import Requirement

# By programme (None: of none) the last day that the calendar leaves; a programme that limits nothing is left out.
LastDays = Mapping[str | None, int]


def last_days_of(
    world: World,
    spares: Collection[UnitStateRow],
    *,
    programmes: Collection[str | None],
    until_day: int,
    least_days: int,
) -> dict[int, LastDays]:
    """By spare, the last day on which it and what it holds could be fitted by the calendar, fitted by `until_day`.

    A fitting leaves `least_days` at the least, storage none. Only what is in force on every day from the world's to
    `until_day` counts.
    """
    below = _trees(world, spares)
    tree = [unit for held in below.values() for unit in held]
    points = by_unit(world.due_points(tree))
    rules = world.reference.book().by_key
    banded = [unit for unit in tree if any(_needs_age(rules, row) for row in points.get(unit, ()))]
    made = world.made(banded)[0] if banded else {}
    found: dict[int, LastDays] = {}
    for spare in spares:
        days: dict[str | None, int] = {}
        for programme in programmes:
            last = [
                day
                for unit in below[spare.unit_id]
                for day in _last_days(points.get(unit, ()), rules, programme, world.as_of, until_day, least_days, made)
            ]
            if last:
                days[programme] = min(last)
        found[spare.unit_id] = days
    return found


def _trees(world: World, spares: Collection[UnitStateRow]) -> dict[int, list[int]]:
    """By spare, itself and what it holds."""
    below: dict[int, list[int]] = {spare.unit_id: [] for spare in spares}
    top = {unit: unit for unit in below}
    for unit, state in world.trees_of(list(below)).items():
        root = top.setdefault(unit, top.get(state.parent_id or 0, unit))
        if root in below:
            below[root].append(unit)
    return below


def _needs_age(rules: Mapping[int, Requirement], row: DuePointRow) -> bool:
    rule = rules.get(row.requirement_key)
    return rule is not None and bool(rule.bands) and (row.if_fitted_months, row.if_fitted_days) != (None, None)


def _last_days(
    rows: Collection[DuePointRow],
    rules: Mapping[int, Requirement],
    programme: str | None,
    first: int,
    last: int,
    least_days: int,
    made: Mapping[int, PartialDate | None],
) -> list[int]:
    known = [(rules[row.requirement_key], row) for row in rows if row.requirement_key in rules]
    special = {rule.requirement for rule, _ in known if programme and rule.programme == programme}
    found = []
    for rule, row in known:
        mine = rule.programme == programme if rule.programme else rule.requirement not in special
        always = row.in_force_from <= first and last < row.in_force_until
        if not mine or not always or rule.kind == "soft_life" or row.standing == "complete":
            continue
        point = point_of_row(row, rule)
        fitted = due_if_fitted(rule, point, on=last, manufactured=made.get(row.unit_id))
        due = point.calendar_due if fitted is None else fitted
        if due is not None:
            found.append(due - (0 if rule.kind == "storage" else least_days))
    return found
