"""A record made, or only shown: the same work in the same transaction, which for a preview leaves nothing behind."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from fleetlife.actions.follow import Impossible, impossible
from fleetlife.store.engine import Store
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.many import made_in_bulk
from fleetlife.terms.refusal import Refusal

Recorded = TypeVar("Recorded")


def refuse_to_come(on: date, *, as_of: date, said: str) -> None:
    """What is recorded has happened by the day asked about. Refusal: `in-the-future`, with `said` as its reason."""
    if on > as_of:
        raise Refusal(
            "in-the-future",
            f"{on.isoformat()} is after {as_of.isoformat()}: {said}.",
            remedy="Correct the date.",
        )


class _Shown(Exception):
    """Leaves the transaction with nothing written."""


def recorded_or_shown(store: Store, work: Callable[[Writer], Recorded], *, recorded_by: str, preview: bool) -> Recorded:
    """What the work gives; with `preview` what it would have been, and nothing is written.

    Refusals: those of the work, and the contradictions of the derivation.
    """
    before = 0
    try:
        # what a record makes refers to itself nowhere, and nobody else writes while circles are looked for in it
        with made_in_bulk(), store.writing(recorded_by=recorded_by) as writer:
            before = writer.head.number
            recorded = work(writer)
            if preview:
                raise _Shown
    except _Shown:
        pass
    except Impossible as problem:
        raise impossible(problem.problems, recorded=before) from problem
    return recorded
