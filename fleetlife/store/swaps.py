"""Swaps by their number, and the facts of the work at doors by the airframe they were done on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.follows.place import Recorded
from fleetlife.ledger.canonical import read_back
from fleetlife.ledger.entry import MIXED, facts_of
from fleetlife.ledger.facts import Fact, Movement
from fleetlife.ledger.swaps import (
    Deferral,
    DeferralClosed,
    GaugeReading,
    PositionWork,
    SwapPlan,
    SwapSignature,
    SwapStep,
)
from fleetlife.model import ledger
from fleetlife.store.bulk import batches
from fleetlife.store.facts import LATEST
from fleetlife.store.sets import DIALECTS, among, set_value
from fleetlife.store.typed import TYPED
from fleetlife.terms.number import fold

CHUNK = 500
# What is done at doors; a movement is what carries a swap out.
DOOR_KINDS: tuple[type[Fact], ...] = (
    *(SwapPlan, SwapStep, PositionWork, GaugeReading, SwapSignature),
    *(Deferral, DeferralClosed, Movement),
)
_PLAN = TYPED[SwapPlan.KIND]
_PLANNED = select(*(_PLAN.table.c[name] for name in _PLAN.fields)).where(_PLAN.table.c.swap_fold == bindparam("swap"))
_entry, _fact, _touch = ledger.entry, ledger.fact, ledger.entry_touch_airframe


def planned_swap(connection: Connection, number: str) -> SwapPlan | None:
    """The plan of the swap of this number, case and white space apart; None when there is none."""
    row = connection.execute(_PLANNED, {"swap": fold(number)}).first()
    found = None if row is None else _PLAN.fact_of(row)
    assert found is None or isinstance(found, SwapPlan)
    return found


def _at_doors(dialect: str) -> Any:
    kinds = (*(kind.KIND for kind in DOOR_KINDS), *MIXED)
    touching = select(_touch.c.number).where(
        among(_touch.c.airframe_id, "airframes", dialect), _touch.c.number <= bindparam("known")
    )
    return (
        select(_entry.c.number, _entry.c.body)
        .where(_entry.c.number.in_(touching), _entry.c.kind.in_(kinds))
        .order_by(_entry.c.number)
    )


_AT_DOORS = {dialect: _at_doors(dialect) for dialect in DIALECTS}
_RETIRED = {
    dialect: select(_fact.c.number, _fact.c.item).where(
        among(_fact.c.number, "numbers", dialect), _fact.c.retired_by <= bindparam("known")
    )
    for dialect in DIALECTS
}


def door_facts(connection: Connection, airframes: Iterable[int], *, known: int = LATEST) -> dict[int, list[Recorded]]:
    """What is recorded of the work at the doors of each airframe, its movements among it, in the order of entries: what
    stood after entry `known`. Two statements for up to 500 airframes."""
    dialect = connection.dialect.name
    wanted = sorted(set(airframes))
    found: dict[int, list[Recorded]] = {airframe: [] for airframe in wanted}
    for chunk in batches(wanted, CHUNK):
        values = {"airframes": set_value(connection, chunk), "known": known}
        entries = connection.execute(_AT_DOORS[dialect], values).all()
        numbers = set_value(connection, [number for number, _ in entries])
        retired = {
            (row[0], row[1]) for row in connection.execute(_RETIRED[dialect], {"numbers": numbers, "known": known})
        }
        for number, stated in _stated(entries, retired):
            for airframe in stated.airframe_ids():
                if airframe in found:
                    found[airframe].append(Recorded(number, stated))
    return found


def _stated(entries: Iterable[Any], retired: set[tuple[int, int]]) -> Iterator[tuple[int, Fact]]:
    for number, body in entries:
        for item, stated in enumerate(facts_of(read_back(body))):
            if isinstance(stated, DOOR_KINDS) and (number, item) not in retired:
                yield number, stated


_AIRFRAMES = select(_PLAN.table.c.airframe).distinct().order_by(_PLAN.table.c.airframe)


def airframes_with_swaps(connection: Connection) -> list[int]:
    """The airframes of which a swap is planned, or was."""
    return [row[0] for row in connection.execute(_AIRFRAMES)]
