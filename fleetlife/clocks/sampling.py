"""Units drawn from an audit's scope by a stated rule (terms.audited.SAMPLE_RULE)."""

from __future__ import annotations

from collections.abc import Collection

from fleetlife.clocks.evidence import Bench
from fleetlife.store.audit_query import ask
from fleetlife.terms.audited import sample_rank
from fleetlife.terms.number import fold


def population(bench: Bench, part_numbers: Collection[str] = ()) -> dict[int, tuple[str, str, str]]:
    """Every unit of the scope but scrapped ones, of these parts where any are named: manufacturer, part and serial
    number, folded, by unit. One statement."""
    parts = {fold(number) for number in part_numbers}
    units = bench.scope.units
    stored = ask(bench.world.connection, "population", bench.scope) if units is None or units else iter(())
    found = {row[0]: row[1:] for row in stored if bench.stands(row[0])}
    for placed in bench.changed():
        state = placed.state
        if state.kind != "scrap":
            found[state.unit_id] = (state.manufacturer, state.part_number, state.serial_number)
    named = {unit: (fold(maker), fold(part), fold(serial)) for unit, (maker, part, serial) in found.items()}
    return {unit: identity for unit, identity in named.items() if not parts or identity[1] in parts}


def drawn(named: dict[int, tuple[str, str, str]], *, seed: str, count: int) -> list[int]:
    """The first `count` units in the order of the seed; all of them where there are no more."""
    return sorted(named, key=lambda unit: (sample_rank(seed, named[unit]), unit))[:count]
