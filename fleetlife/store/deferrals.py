"""Deferrals and their closings, as they stand or as they stood after an entry."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from sqlalchemy import Select, and_, bindparam, exists, select
from sqlalchemy.engine import Connection

from fleetlife.ledger.canonical import read_back
from fleetlife.ledger.entry import facts_of
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.swaps import Deferral, DeferralClosed
from fleetlife.model.ledger import entry, fact
from fleetlife.store import quick
from fleetlife.store.facts import LATEST
from fleetlife.store.sets import DIALECTS, among, set_value
from fleetlife.store.typed import TYPED

_OPENED, _CLOSED = TYPED[Deferral.KIND], TYPED[DeferralClosed.KIND]
_o, _c = _OPENED.table.c, _CLOSED.table.c
_SAME = and_(_c.airframe == _o.airframe, _c.position == _o.position, _c.opened_on == _o.opened_on)
_OVER = exists().where(_SAME, _c.closed_on <= bindparam("day")).correlate(_OPENED.table)


def _standing(dialect: str, *, over: bool, of_airframes: bool) -> tuple[Select[Any], Select[Any]]:
    """Those opened by the day, without `over` only those not closed by then; and the closings."""
    opened = select(*(_o[name] for name in _OPENED.fields), _o.entry_number).where(_o.opened_on <= bindparam("day"))
    closed = select(*(_c[name] for name in _CLOSED.fields), _c.entry_number).where(_c.closed_on <= bindparam("day"))
    if not over:
        opened = opened.where(~_OVER)
    if of_airframes:
        opened = opened.where(among(_o.airframe, "airframes", dialect))
        closed = closed.where(among(_c.airframe, "airframes", dialect))
    return opened, closed


_STANDING = {
    (dialect, over, of_airframes): _standing(dialect, over=over, of_airframes=of_airframes)
    for dialect in DIALECTS
    for over in (False, True)
    for of_airframes in (False, True)
}
_KINDS = (Deferral.KIND, DeferralClosed.KIND)
_ENTRIES = (
    select(entry.c.number, entry.c.body)
    .where(entry.c.number <= bindparam("known"), entry.c.kind.in_((*_KINDS, "correction")))
    .order_by(entry.c.number)
)
_RETIRED = select(fact.c.number, fact.c.item).where(
    fact.c.fact_key.like("deferral%"), fact.c.retired_by <= bindparam("known")
)


def deferral_facts(
    connection: Connection,
    *,
    day: int,
    known: int = LATEST,
    airframes: Collection[int] | None = None,
    over_too: bool = False,
) -> Iterator[tuple[int, Fact]]:
    """(entry number, fact) of the deferrals opened by the day and not closed by then, with `over_too` of all and of the
    closings; of the airframes named, or of every one. What stood after entry `known`."""
    if known != LATEST:
        yield from _known(connection, known, airframes)
        return
    opened, closed = _STANDING[connection.dialect.name, over_too, airframes is not None]
    values: dict[str, Any] = {"day": day}
    if airframes is not None:
        values["airframes"] = set_value(connection, sorted(airframes))
    for row in quick.rows(connection, opened, values):
        yield row[-1], _OPENED.fact_of(row[:-1])
    if over_too:
        for row in quick.rows(connection, closed, values):
            yield row[-1], _CLOSED.fact_of(row[:-1])


def _known(connection: Connection, known: int, airframes: Collection[int] | None) -> Iterator[tuple[int, Fact]]:
    retired = {(row[0], row[1]) for row in connection.execute(_RETIRED, {"known": known})}
    for number, body in connection.execute(_ENTRIES, {"known": known}).all():
        for item, stated in enumerate(facts_of(read_back(body))):
            if isinstance(stated, (Deferral, DeferralClosed)) and (number, item) not in retired:
                if airframes is None or stated.airframe in airframes:
                    yield number, stated
