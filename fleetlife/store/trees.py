"""Facts by unit, with every unit they must be derived with; and reference facts as they stood after an entry."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.follows.derive import JOINING, connected, needed_beside
from fleetlife.follows.place import Recorded
from fleetlife.ledger.entry import facts_of
from fleetlife.ledger.facts import Fact, Utilisation
from fleetlife.model.ledger import entry, fact
from fleetlife.store.facts import LATEST, facts_touching
from fleetlife.store.reference import REFERENCE_KINDS


def trees_of(
    connection: Connection, unit_ids: Iterable[int], *, known: int = LATEST, held_too: bool = True
) -> dict[int, list[Recorded]]:
    """The units and all they must be derived with, each with the facts that stand and touch it.

    With `known`, what stood after that entry. Without `held_too`, only who is needed to derive the units themselves,
    and not what they hold.
    """
    by_unit: dict[int, list[Recorded]] = {}
    wanted = list(dict.fromkeys(unit_ids))
    while wanted:
        for unit_id in wanted:
            by_unit.setdefault(unit_id, [])
        new = set(wanted)
        linked: dict[int, None] = {}
        for number, _, stated in facts_touching(connection, wanted, known=known):
            recorded = Recorded(number, stated)
            touched = stated.unit_ids()
            for unit_id in touched if len(touched) < 2 else dict.fromkeys(touched):
                if unit_id in new:
                    by_unit[unit_id].append(recorded)
            if not isinstance(stated, JOINING):
                continue
            if held_too:
                for pair in connected([recorded]):
                    linked.update(dict.fromkeys(pair))
            elif beside := needed_beside(stated, new):
                linked.update(dict.fromkeys(beside))
        wanted = [unit_id for unit_id in linked if unit_id not in by_unit]
    return by_unit


_KINDS = tuple(kind.KIND for kind in REFERENCE_KINDS)
_MENDING = ("correction", "withdrawal")
_RECORDED_SINCE = (
    select(entry.c.number, entry.c.body)
    .where(entry.c.number > bindparam("known"), entry.c.kind.in_((*_KINDS, *_MENDING)))
    .order_by(entry.c.number)
)
_RETIRED_SINCE = (
    select(fact.c.number, fact.c.item, entry.c.body)
    .join(entry, entry.c.number == fact.c.number)
    # in no order: with one, SQLite walks all facts in it and not the few retired since
    .where(fact.c.retired_by > bindparam("known"), entry.c.kind.in_((*_KINDS, *_MENDING)))
)
_REFERENCE_ENTRIES = (
    select(entry.c.number, entry.c.body)
    .where(entry.c.number <= bindparam("known"), entry.c.kind.in_((*_KINDS, "correction")))
    .order_by(entry.c.number)
)
_PLANS = (
    select(entry.c.number, entry.c.body)
    .where(entry.c.number <= bindparam("known"), entry.c.kind.in_((Utilisation.KIND, "correction")))
    .order_by(entry.c.number)
)
_RETIRED = select(fact.c.number, fact.c.item).where(fact.c.retired_by <= bindparam("known"))


def reference_facts_since(connection: Connection, known: int) -> list[tuple[int, Fact]]:
    """(entry number, fact) of the types, airframes, parts and programmes stated, replaced or withdrawn after an entry.

    What was replaced or withdrawn comes with the number of the entry that stated it.
    """
    found: list[tuple[int, Fact]] = []
    for number, body in connection.execute(_RECORDED_SINCE, {"known": known}):
        found.extend((number, stated) for stated in facts_of(json.loads(body)) if stated.KIND in _KINDS)
    for number, item, body in sorted(map(tuple, connection.execute(_RETIRED_SINCE, {"known": known}))):
        stated = facts_of(json.loads(body))[item]
        if stated.KIND in _KINDS:
            found.append((number, stated))
    return found


def plans_known(connection: Connection, known: int) -> dict[int, list[Utilisation]]:
    """The planned utilisation by airframe, as it stood after entry `known`."""
    retired = {(row[0], row[1]) for row in connection.execute(_RETIRED, {"known": known})}
    plans: dict[int, list[Utilisation]] = {}
    for number, body in connection.execute(_PLANS, {"known": known}):
        for item, stated in enumerate(facts_of(json.loads(body))):
            if isinstance(stated, Utilisation) and (number, item) not in retired:
                plans.setdefault(stated.airframe, []).append(stated)
    return plans


def reference_facts_known(connection: Connection, known: int) -> Iterator[tuple[int, Fact]]:
    """(entry number, fact) of the reference facts that stood after entry `known`."""
    retired = {(row[0], row[1]) for row in connection.execute(_RETIRED, {"known": known})}
    for number, body in connection.execute(_REFERENCE_ENTRIES, {"known": known}):
        for item, stated in enumerate(facts_of(json.loads(body))):
            if stated.KIND in _KINDS and (number, item) not in retired:
                yield number, stated
