"""Everything that was ever stated of a unit, with what has become of each statement."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.ledger.entry import facts_of
from fleetlife.ledger.facts import Fact
from fleetlife.model.ledger import entry, entry_touch, fact
from fleetlife.store.facts import LATEST
from fleetlife.store.sets import DIALECTS, among, set_value


class Stated(NamedTuple):
    """A fact as it was stated. standing: `stands`, `replaced` or `withdrawn`; by: the entry that did so, and why.

    corrects: the entries that the entry itself replaces.
    """

    number: int
    item: int
    fact: Fact
    recorded_at: str
    recorded_by: str
    standing: str = "stands"
    by: int | None = None
    reason: str | None = None
    authorised_by: str | None = None
    corrects: tuple[int, ...] = ()


_TOUCHING = (
    select(entry.c.number, entry.c.recorded_at, entry.c.recorded_by, entry.c.body)
    .join(entry_touch, entry_touch.c.number == entry.c.number)
    .where(entry_touch.c.unit_id == bindparam("unit"), entry.c.number <= bindparam("known"))
    .order_by(entry.c.number)
)
_RETIRED = (
    select(fact.c.number, fact.c.item, fact.c.standing, fact.c.retired_by)
    .join(entry_touch, entry_touch.c.number == fact.c.number)
    .where(entry_touch.c.unit_id == bindparam("unit"), fact.c.retired_by <= bindparam("known"))
)


def _bodies(dialect: str) -> Select[Any]:
    return select(entry.c.number, entry.c.body).where(among(entry.c.number, "numbers", dialect))


_BODIES = {dialect: _bodies(dialect) for dialect in DIALECTS}


def stated_of(connection: Connection, unit_id: int, *, known: int = LATEST) -> list[Stated]:
    """Every fact that touches the unit, in the order of entries, standing or not, as it was after entry `known`.

    Three statements whatever was stated.
    """
    values = {"unit": unit_id, "known": known}
    retired = {(row[0], row[1]): (row[2], row[3]) for row in connection.execute(_RETIRED, values)}
    menders = sorted({by for _, by in retired.values()})
    why: dict[int, dict[str, Any]] = {}
    if menders:
        statement = _BODIES[connection.dialect.name]
        for number, body in connection.execute(statement, {"numbers": set_value(connection, menders)}):
            why[number] = json.loads(body)
    found: list[Stated] = []
    for number, recorded_at, recorded_by, body in connection.execute(_TOUCHING, values):
        read = json.loads(body)
        corrects = tuple(each["number"] for each in read.get("replaces", ()))
        for item, stated in enumerate(facts_of(read)):
            if unit_id not in stated.unit_ids():
                continue
            told = Stated(number, item, stated, recorded_at, recorded_by, corrects=corrects)
            if (number, item) in retired:
                standing, by = retired[number, item]
                told = told._replace(
                    standing=standing,
                    by=by,
                    reason=why[by].get("reason"),
                    authorised_by=why[by].get("authorised_by"),
                )
            found.append(told)
    return found
