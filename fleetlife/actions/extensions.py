"""Variations just recorded are judged: one that extends nothing, or more than the operator's table allows, is refused.

Not into an empty ledger: there a whole history comes in at once, with approvals that were in order when given and that
later facts, since corrected, overtook. Such a one counts for nothing, and the due list shows it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fleetlife.clocks.gathered import gather
from fleetlife.dates.partial import day_number
from fleetlife.follows.derive import Derived, derive, with_resets
from fleetlife.follows.reference import Reference
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Variation
from fleetlife.life.extensions import Allowance, Unfit, unfit
from fleetlife.life.values import Requirement, Varied
from fleetlife.store.counters import StoredCounters
from fleetlife.store.totals import StoredTotals


def unfit_variations(
    connection: Any,
    drafts: Sequence[Draft],
    *,
    first_number: int,
    reference: Reference,
    limits: Sequence[Allowance] = (),
) -> list[tuple[int, Unfit]]:
    """(entry, why) of the variations in the drafts, appended as entries `first_number` and up, that are none; in order.

    Where several requirements of the name apply to the unit, a variation is none only if it is none for each.
    """
    stated = {
        first_number + offset: fact
        for offset, draft in enumerate(drafts)
        for fact in draft.items
        if isinstance(fact, Variation)
    }
    if not stated:
        return []
    book = reference.book()
    held = gather(connection, dict.fromkeys(fact.unit for fact in stated.values()))
    derived = derive(held.facts, book=book, totals=StoredTotals(connection), counters=StoredCounters(connection))
    found = []
    for number, fact in stated.items():
        rules = _rules(derived, book.by_key, fact)
        everything = [book.by_key[p.requirement_key] for p in derived.due_points[fact.unit] if p.requirement_key]
        history = with_resets(derived.histories[fact.unit], everything)
        verdicts = [
            next((each for each in unfit(rule, history, limits) if each.varied.entry == number), None) for rule in rules
        ]
        if not rules:
            found.append((number, _no_rule(fact, number)))
        elif all(verdict is not None for verdict in verdicts):
            first = verdicts[0]
            assert first is not None
            found.append((number, first))
    return found


def _rules(derived: Derived, rules: Mapping[int, Requirement], fact: Variation) -> list[Requirement]:
    """The requirements of that name that apply to the unit: those in force when it was approved, else all."""
    named = [
        rules[point.requirement_key]
        for point in derived.due_points[fact.unit]
        if point.requirement_key in rules and rules[point.requirement_key].requirement == fact.requirement
    ]
    day = day_number(fact.approved_on) if fact.approved_on else 0
    return [rule for rule in named if rule.in_force_from <= day < rule.in_force_until] or named


def _no_rule(fact: Variation, number: int) -> Unfit:
    return Unfit(
        varied=Varied(requirement=fact.requirement, approved_on=0, entry=number),
        code="variation-not-allowed",
        message=f"no requirement {fact.requirement} applies to this unit",
        remedy="See whether the part and the requirement are the right ones.",
    )
