"""The coverage report at the end of an intake: what has a programme, what is unknown, which paper would clear it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fleetlife.clocks.due_rows import candidates_of, coverage_of
from fleetlife.clocks.findings import former_due_count
from fleetlife.clocks.world import open_world
from fleetlife.store.engine import Store
from fleetlife.terms.views import IntakeReport


def after_intake(store: Store, report: IntakeReport, *, as_of: date) -> IntakeReport:
    """The intake's report with the coverage of the whole database after it."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, kept=store.kept)
        outlooks = world.outlooks()
        rows = candidates_of(world, outlooks, until_day=world.as_of)
        return replace(report, coverage=coverage_of(world, rows), former_due_differ=former_due_count(world))
