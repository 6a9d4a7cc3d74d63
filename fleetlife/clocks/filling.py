"""The question before a cylinder is filled, in a world: gathers what `checks.filling` judges."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.checks.filling import FillRow, before_the_records, is_filling, judge_filling, judges_gas
from fleetlife.clocks.due_rows import judged_rows
from fleetlife.clocks.world import World
from fleetlife.dates.partial import day_text
from fleetlife.follows.derive import Derived, derive
from fleetlife.follows.place import Recorded
from fleetlife.ledger.facts import Operation
from fleetlife.life.values import Requirement
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import Reason


def check_operation(world: World, operation: Operation) -> tuple[Reason, ...]:
    """The stops of the operation on the world's day, which is its own; judged as if it had been recorded.

    A count of none stops nothing. Refusal: `not-the-cylinder`, for a filling of what holds one.
    """
    unit = operation.unit
    if operation.count == 0:
        return ()
    if unit not in world.states([unit]):
        if not is_filling(operation.operation):
            return ()
        opening = world.openings([unit])[unit]
        name = f"{opening.part_number} {opening.serial_number}"
        return (before_the_records(name=name, begin=opening.as_of, on=day_text(world.as_of) or ""),)
    tests = world.expansion_tests([unit]).get(unit, ())
    then = _with(world, operation)
    own: list[FillRow] = []
    held: list[FillRow] = []
    for candidate, rule, judged, row in judged_rows(then, then.tree_of(unit)):
        mine = candidate.point.unit_id == unit
        (own if mine else held).append(FillRow(name=f"{row.part_number} {row.serial_number}", rule=rule, judged=judged))
    if is_filling(operation.operation):
        _is_the_cylinder(own, held)
    return judge_filling(own, operation=operation.operation, tests=tests)


def _is_the_cylinder(own: list[FillRow], held: list[FillRow]) -> None:
    """A filling counts on the cylinder and nowhere else: recorded on the pack, it would be counted on neither."""
    cylinders = sorted({row.name for row in held if row.rule is not None and _has_gas(row.rule)})
    if cylinders and not any(judges_gas(row.rule) for row in own):
        raise Refusal(
            "not-the-cylinder",
            f"A filling is recorded on the cylinder itself; this unit holds {' and '.join(cylinders)}.",
            remedy=f"Name it: fleetlife operation record {cylinders[0]} --operation filling.",
        )


def _has_gas(rule: Requirement) -> bool:
    return rule.kind == "requalification" or (rule.operation is not None and is_filling(rule.operation))


def _with(world: World, operation: Operation) -> World:
    """The world with the operation counted, derived in memory."""
    facts = world.facts([operation.unit])
    facts[operation.unit] = [*facts[operation.unit], Recorded(world.head_number + 1, operation)]
    changed = Derived()
    changed.take(world.changed)
    changed.take(derive(facts, book=world.reference.book(), totals=world.totals(), counters=world.counters()))
    return replace(
        world,
        changed=changed,
        changed_units=world.changed_units | facts.keys(),
        derived_anew=world.derived_anew | facts.keys(),
    )
