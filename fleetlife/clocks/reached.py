"""Which units facts reach that name none: programmes and alternates by part, airframes and readings by carriage."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from fleetlife.follows.book import stand_ins_of
from fleetlife.follows.reference import Reference
from fleetlife.ledger.facts import Airframe, Alternate, Band, Fact, Requirement
from fleetlife.store import reach as stored_reach
from fleetlife.store import readings as stored_readings
from fleetlife.store.counters import counter_bounds
from fleetlife.terms.number import fold


def reached_by_reference(
    connection: Any, facts: Iterable[Fact], reference: Reference, *, airframes_too: bool
) -> set[int]:
    """The units of which types, airframes, parts and programmes may say something else when `facts` change.

    `airframes_too`: an airframe stated otherwise may follow another programme; a new one carries nothing yet.
    """
    parts: set[str] = set()
    alternates: list[Alternate] = []
    airframes: set[int] = set()
    for fact in facts:
        if isinstance(fact, (Requirement, Band)):
            parts.add(fold(fact.part_number))
        elif isinstance(fact, Alternate):
            alternates.append(fact)
        elif isinstance(fact, Airframe) and airframes_too:
            airframes.add(fact.airframe)
    units = set(stored_reach.units_of_parts(connection, parts))
    units.update(stored_reach.units_ever_of_parts(connection, _parts_reached(alternates, reference)))
    units.update(stored_reach.units_carried_by(connection, airframes))
    return units


def reached_by_readings(connection: Any, first_day: Mapping[int, int]) -> set[int]:
    """The units for which readings of the airframes, none before the first ordinal day given, say something else."""
    found = stored_readings.bounds(connection, [(airframe, day - 1, "before") for airframe, day in first_day.items()])
    units: set[int] = set()
    for airframe, day in first_day.items():
        before = found.get((airframe, day - 1, "before"))
        since = before[0] if before else 0
        units.update(stored_reach.units_resting_on_readings(connection, airframe, since=since))
    return units


def reached_by_counters(connection: Any, first_day: Mapping[tuple[int, str], int]) -> set[int]:
    """The units for which readings of counters, by airframe and counter from the day given on, say something else."""
    wanted = [(airframe, counter, day - 1, "before") for (airframe, counter), day in first_day.items()]
    found = counter_bounds(connection, wanted) if wanted else {}
    units: set[int] = set()
    for airframe, counter, day, which in wanted:
        before = found.get((airframe, counter, day, which))
        since = before[0] if before else 0
        units.update(stored_reach.units_resting_on_counter(connection, airframe, counter, since=since))
    return units


def _parts_reached(alternates: Sequence[Alternate], reference: Reference) -> set[str]:
    """The folded part numbers for which the alternates say something: their own, and all along the chains they join."""
    if not alternates:
        return set()
    named = {fold(number) for fact in alternates for number in (fact.part_number, fact.alternate)}
    chains = stand_ins_of([*reference.alternates, *alternates])
    return named.union(part for part, others in chains.items() if named & {fold(other) for other in others})
