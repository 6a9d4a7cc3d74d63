"""`programme changes`: what a revised edition moves, before it is taken in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fleetlife.clocks.moves import moves_between
from fleetlife.clocks.supposed import Suppose
from fleetlife.clocks.world import open_world
from fleetlife.store.engine import Store
from fleetlife.terms.number import fold
from fleetlife.terms.views import ChangeList


def programme_changes(store: Store, *, as_of: date, suppose: Suppose) -> ChangeList:
    """Which due points move when what is supposed is stated: from when to when, and why, the worst first.

    Nothing is written. Refusals: those of `suppose` (`rows-refused`).
    """
    with store.reading() as connection:
        before = open_world(connection, as_of=as_of, kept=store.kept)
        after = open_world(connection, as_of=as_of, kept=store.kept, suppose=suppose)
        supposed = after.supposed
        assert supposed is not None
        concerned = after.changed_units if supposed.rules else frozenset()
        rows, restated = moves_between(before, after) if concerned else ((), 0)
        return ChangeList(
            about=replace(before.about("programme changes"), what_if=supposed.files),
            rows=rows,
            new=len(supposed.rules),
            known=supposed.unchanged,
            units=sum(fold(state.part_number) in supposed.parts for state in after.changed.unit_states.values()),
            restated=restated,
        )
