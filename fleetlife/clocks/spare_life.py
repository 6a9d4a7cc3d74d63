"""How long the spares in stores will do by the calendar alone, read together for all of them.

What is told here is never shorter than what the fitting question finds of a spare, so that a choice may rest on it
before anything is asked.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from fleetlife.clocks.world import World
from fleetlife.dates.partial import PartialDate
from fleetlife.follows.derive import point_of_row
from fleetlife.follows.rows import DuePointRow, UnitStateRow
from fleetlife.life.fitting import due_if_fitted
from fleetlife.life.values import Requirement
from fleetlife.store.due_query import ending_off_airframes

# By programme (None: of none) the last day that the calendar leaves; one that limits nothing so early is left out.
LastDays = Mapping[str | None, int]


def short_lives_of(
    world: World,
    spares: Collection[UnitStateRow],
    *,
    programmes: Collection[str | None],
    until_day: int,
    least_days: int,
) -> Mapping[int, LastDays]:
    """By spare that will not do until then, the last day on which it and what it holds could be fitted.

    A fitting leaves `least_days` at the least, storage none. Only dates that stand already count, of what is in force
    on every day from the world's to `until_day`.
    """
    rows = _rows(world, until_day + least_days)
    spare_of = _spares_of(world, {row.unit_id for row in rows}, {spare.unit_id for spare in spares})
    rules = world.reference.book().by_key
    made = _made(world, rules, [row for row in rows if row.unit_id in spare_of])
    own = {(rule.requirement, rule.programme) for rule in rules.values() if rule.programme}
    found: dict[int, dict[str | None, int]] = {}
    for row in rows:
        spare, rule = spare_of.get(row.unit_id), rules.get(row.requirement_key)
        always = row.in_force_from <= world.as_of and until_day < row.in_force_until
        if spare is None or rule is None or not always or rule.kind == "soft_life":
            continue
        point = point_of_row(row, rule)
        fitted = due_if_fitted(rule, point, on=until_day, manufactured=made.get(row.unit_id))
        due = point.calendar_due if fitted is None else fitted
        last = None if due is None else due - (0 if rule.kind == "storage" else least_days)
        if last is None or last >= until_day:
            continue
        days = found.setdefault(spare, {})
        for programme in programmes:
            # a general one gives way to the programme's own of the same name, which may be kinder
            if rule.programme == programme or not (rule.programme or (rule.requirement, programme) in own):
                days[programme] = min(last, days.get(programme, last))
    return found


def _rows(world: World, before: int) -> list[DuePointRow]:
    """Due points of units that no airframe carries whose date lies before a day."""
    anew = world.derived_anew
    stored = [row for row in ending_off_airframes(world.connection, before=before) if row.unit_id not in anew]
    then: Iterable[DuePointRow] = (row for unit in anew for row in world.changed.rows_of("due_point", unit))
    return [*stored, *(row for row in then if row.airframe_id is None and _ends(row, before))]


def _ends(row: DuePointRow, before: int) -> bool:
    dated = row.standing == "known" and row.gate in ("any", "calendar")
    return dated and row.calendar_due is not None and row.calendar_due < before


def _spares_of(world: World, units: Collection[int], spares: Collection[int]) -> dict[int, int]:
    """By unit the spare that it is, or that holds it; others are left out."""
    above = {unit: unit for unit in units}
    found: dict[int, int] = {}
    while above:
        found.update((unit, at) for unit, at in above.items() if at in spares)
        left = {unit: at for unit, at in above.items() if at not in spares}
        states = world.states(set(left.values()))
        above = {
            unit: parent
            for unit, at in left.items()
            if (state := states.get(at)) is not None and (parent := state.parent_id) is not None
        }
    return found


def _made(
    world: World, rules: Mapping[int, Requirement], rows: Iterable[DuePointRow]
) -> Mapping[int, PartialDate | None]:
    """When the units were made whose dates if fitted go by their age."""
    banded = {
        row.unit_id
        for row in rows
        if (rule := rules.get(row.requirement_key)) is not None
        and rule.bands
        and (row.if_fitted_months, row.if_fitted_days) != (None, None)
    }
    return world.made(banded)[0] if banded else {}
