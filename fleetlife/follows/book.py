"""The reference data a derivation needs, gathered into one value.

`requirements` maps a folded part number to every edition of every requirement on it; `programmes` maps an
airframe to the programme it flies under; `stand_ins` maps a folded part number to the parts that may stand in
for it or supersede it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from fleetlife.dates.moment import FAR_DAY, FIRST_DAY
from fleetlife.dates.partial import day_number
from fleetlife.follows.rows import requirement_key
from fleetlife.ledger.facts import Alternate, Band
from fleetlife.ledger.facts import Requirement as RequirementFact
from fleetlife.life.values import AgeBand, Limits, Requirement
from fleetlife.terms.number import fold


@dataclass(frozen=True, kw_only=True)
class Book:
    requirements: Mapping[str, tuple[Requirement, ...]] = field(default_factory=dict)
    programmes: Mapping[int, str | None] = field(default_factory=dict)
    stand_ins: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def on_part(self, part_number: str) -> tuple[Requirement, ...]:
        return self.requirements.get(fold(part_number), ())

    @cached_property
    def by_key(self) -> Mapping[int, Requirement]:
        """Every edition of every requirement by its key, gathered once."""
        return {rule.key: rule for rules in self.requirements.values() for rule in rules}

    @cached_property
    def counters(self) -> frozenset[str]:
        """The counters that requirements name: what no requirement names need not be read."""
        return frozenset(rule.counter for rule in self.by_key.values() if rule.counter is not None)

    @cached_property
    def compares(self) -> bool:
        """Whether work is compared with its due point under any requirement, so that counts are bounded both ways."""
        return any(compares(rule) for rule in self.by_key.values())


def compares(rule: Requirement) -> bool:
    """Whether work is compared with its due point, to tell from which of the two the next interval runs."""
    return rule.done_at == "aircraft" and (rule.anchor == "due" or rule.variation_allowed)


def requirement_values(
    facts: Iterable[tuple[int, RequirementFact]],
    bands: Iterable[Band],
    counters: Mapping[str, str] | None = None,
) -> dict[str, tuple[Requirement, ...]]:
    """Requirement facts (with their entry numbers) and bands as life values, by folded part number.

    `counters`: what each counter counts, by its name (count or hours).

    An edition is in force from its effective_from until the day before the next edition of the same requirement,
    part and programme takes effect, or through its effective_to, whichever comes first.
    """
    ages: dict[int, list[Band]] = {}
    for band in bands:
        key = requirement_key(band.requirement, fold(band.part_number), band.programme, band.edition)
        ages.setdefault(key, []).append(band)
    series: dict[tuple[str, str, str], list[tuple[int, int, RequirementFact]]] = {}
    for number, fact in facts:
        start = day_number(fact.effective_from) if fact.effective_from else FIRST_DAY
        series.setdefault((fold(fact.part_number), fact.requirement, fact.programme or ""), []).append(
            (start, number, fact)
        )
    result: dict[str, list[Requirement]] = {}
    for (part, _, _), editions in sorted(series.items()):
        editions.sort(key=lambda item: (item[0], item[2].edition or ""))
        for index, (start, number, fact) in enumerate(editions):
            until = day_number(fact.effective_to) + 1 if fact.effective_to else FAR_DAY
            if index + 1 < len(editions):
                until = min(until, editions[index + 1][0])
            if until <= start:
                continue
            key = requirement_key(fact.requirement, part, fact.programme, fact.edition)
            value = _value(fact, key, number, start, until, ages.get(key, []))
            if fact.counter is not None:
                value = replace(value, counter=fact.counter, counter_axis=_axis(fact.counter, counters or {}))
            result.setdefault(part, []).append(value)
    return {part: tuple(values) for part, values in result.items()}


def _axis(counter: str, measures: Mapping[str, str]) -> str:
    """The axis whose columns hold the limits in the counter: hours of one in hours, else cycles."""
    assert counter in measures, f"a requirement names the counter {counter}, which is not in the register"
    return "hours" if measures[counter] == "hours" else "cycles"


def _value(fact: RequirementFact, key: int, number: int, start: int, until: int, ages: list[Band]) -> Requirement:
    ages = sorted(ages, key=lambda band: band.from_age_months)
    shop_kinds = ("overhaul", "requalification", "replacement", "life_limit")
    return Requirement(
        key=key,
        requirement=fact.requirement,
        part_number=fact.part_number,
        kind=fact.kind,
        source=fact.source,
        programme=fact.programme,
        edition=fact.edition,
        reference=fact.reference,
        in_force_from=start,
        in_force_until=until,
        start=fact.start or ("manufacture" if fact.kind == "life_limit" else "release"),
        first=Limits(
            months=fact.first_months,
            days=fact.first_days,
            minutes=fact.first_minutes,
            cycles=fact.first_cycles,
            operations=fact.first_operations,
        ),
        repeat=Limits(
            months=fact.repeat_months,
            days=fact.repeat_days,
            minutes=fact.repeat_minutes,
            cycles=fact.repeat_cycles,
            operations=fact.repeat_operations,
        ),
        operation=fact.operation,
        whichever=fact.whichever or "first",
        month_rule=fact.month_rule,
        shelf_allowance_months=fact.shelf_allowance_months,
        done_at=fact.done_at or ("shop" if fact.kind in shop_kinds else "aircraft"),
        anchor=fact.anchor or "done",
        window_early=Limits(
            days=fact.window_early_days, minutes=fact.window_early_minutes, cycles=fact.window_early_cycles
        ),
        window_late=Limits(
            days=fact.window_late_days, minutes=fact.window_late_minutes, cycles=fact.window_late_cycles
        ),
        variation_allowed=fact.variation_allowed,
        at_due=fact.at_due or "remove",
        resets=tuple(word.strip() for word in (fact.resets or "").split(";") if word.strip()),
        bands=tuple(
            AgeBand(
                from_age_months=band.from_age_months,
                repeat=Limits(months=band.repeat_months, minutes=band.repeat_minutes, cycles=band.repeat_cycles),
            )
            for band in ages
        ),
        band_rule=next((band.band_rule for band in ages if band.band_rule), "cap"),
        requires_unit_modification=fact.requires_unit_modification,
        entry=number,
    )


def stand_ins_of(alternates: Iterable[Alternate]) -> dict[str, tuple[str, ...]]:
    """For each folded part number, what a paper may bear instead: alternates and the supersession chain."""
    direct: dict[str, list[str]] = {}
    newer: dict[str, list[str]] = {}
    for row in alternates:
        part, other = fold(row.part_number), fold(row.alternate)
        direct.setdefault(part, []).append(row.alternate)
        direct.setdefault(other, []).append(row.part_number)
        if row.direction == "supersedes":
            newer.setdefault(part, []).append(row.alternate)
            newer.setdefault(other, []).append(row.part_number)
    result: dict[str, tuple[str, ...]] = {}
    for part, others in direct.items():
        reached = dict.fromkeys(others)
        queue = list(newer.get(part, ()))
        while queue:
            other = queue.pop()
            if fold(other) == part:
                continue
            reached.setdefault(other, None)
            queue.extend(n for n in newer.get(fold(other), ()) if n not in reached)
        result[part] = tuple(other for other in reached if fold(other) != part)
    return result
