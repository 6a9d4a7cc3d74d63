"""The ledger's head, and which airframes later entries touch."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import bindparam, func, select
from sqlalchemy.engine import Connection

from fleetlife.dates.partial import day_number
from fleetlife.ledger.entry import facts_of
from fleetlife.ledger.facts import CounterReading, Fact, Reading
from fleetlife.model.airframes import reading_history
from fleetlife.model.ledger import entry, entry_touch, entry_touch_airframe, fact, ledger_head
from fleetlife.store import quick

_HEAD = select(ledger_head.c.number, ledger_head.c.digest)
_AIRFRAMES = (
    select(entry_touch_airframe.c.airframe_id)
    .where(entry_touch_airframe.c.number > bindparam("number"))
    .order_by(entry_touch_airframe.c.number)
)


def head_of(connection: Connection) -> tuple[int, str]:
    """Number and digest of the last entry; 0 and zeros before the first."""
    row = quick.rows(connection, _HEAD)[0]
    return row[0], row[1]


def airframes_touched_after(connection: Connection, number: int) -> list[int]:
    """The airframes that an entry after `number` touches, in order."""
    return sorted(set(connection.execute(_AIRFRAMES, {"number": number}).scalars()))


_UNITS_BETWEEN = (
    select(entry_touch.c.unit_id, entry_touch.c.number)
    .where(entry_touch.c.number > bindparam("after"), entry_touch.c.number <= bindparam("until"))
    .order_by(entry_touch.c.number)
)
_ENTRIES_BETWEEN = (
    select(entry.c.number, entry.c.kind, entry.c.recorded_at, entry.c.recorded_by, entry.c.body)
    .where(entry.c.number > bindparam("after"), entry.c.number <= bindparam("until"), entry.c.kind != "reading")
    .order_by(entry.c.number)
)
_READINGS_BETWEEN = (
    select(func.count(entry.c.number.distinct()), func.count(entry_touch_airframe.c.airframe_id.distinct()))
    .select_from(entry)
    .join(entry_touch_airframe, entry_touch_airframe.c.number == entry.c.number)
    .where(entry.c.number > bindparam("after"), entry.c.number <= bindparam("until"), entry.c.kind == "reading")
)


_AIRFRAMES_BETWEEN = (
    select(entry_touch_airframe.c.airframe_id, entry_touch_airframe.c.number)
    .where(entry_touch_airframe.c.number > bindparam("after"), entry_touch_airframe.c.number <= bindparam("until"))
    .order_by(entry_touch_airframe.c.number)
)
_RETIRED_BETWEEN = select(fact.c.number, fact.c.retired_by).where(
    fact.c.retired_by > bindparam("after"), fact.c.retired_by <= bindparam("until")
)


def airframes_touched_between(connection: Connection, after: int, until: int) -> dict[int, list[int]]:
    """Entries after `after`, up to and with `until`, by the airframe they touch."""
    found: dict[int, list[int]] = {}
    for airframe, number in connection.execute(_AIRFRAMES_BETWEEN, {"after": after, "until": until}):
        found.setdefault(airframe, []).append(number)
    return found


def retired_between(connection: Connection, after: int, until: int) -> dict[int, list[int]]:
    """The entries between that replaced or withdrew facts, by the entry whose facts they were."""
    found: dict[int, set[int]] = {}
    for number, by in connection.execute(_RETIRED_BETWEEN, {"after": after, "until": until}):
        found.setdefault(number, set()).add(by)
    return {number: sorted(entries) for number, entries in found.items()}


def units_touched_between(connection: Connection, after: int, until: int) -> dict[int, list[int]]:
    """Entries after `after`, up to and with `until`, by the unit they touch."""
    found: dict[int, list[int]] = {}
    for unit, number in connection.execute(_UNITS_BETWEEN, {"after": after, "until": until}):
        found.setdefault(unit, []).append(number)
    return found


def entries_between(connection: Connection, after: int, until: int) -> Sequence[Any]:
    """(number, kind, recorded_at, recorded_by, body) of the entries between but those of readings, in order."""
    return connection.execute(_ENTRIES_BETWEEN, {"after": after, "until": until}).all()


def readings_between(connection: Connection, after: int, until: int) -> tuple[int, int]:
    """How many entries of readings lie between, and of how many airframes."""
    row = connection.execute(_READINGS_BETWEEN, {"after": after, "until": until}).one()
    return row[0], row[1]


_READ_SINCE = (
    select(entry.c.body)
    .where(entry.c.number > bindparam("number"), entry.c.kind.in_((Reading.KIND, CounterReading.KIND, "correction")))
    .order_by(entry.c.number)
)
_UNREAD_SINCE = (
    select(reading_history.c.airframe, func.min(reading_history.c.read_on))
    .where(reading_history.c.retired_by > bindparam("number"))
    .group_by(reading_history.c.airframe)
)
_UNCOUNTED_SINCE = (
    select(entry.c.body, fact.c.item)
    .join(fact, fact.c.number == entry.c.number)
    .where(fact.c.retired_by > bindparam("number"), fact.c.fact_key.like(f"{CounterReading.KIND}|%"))
)


class FirstRead(NamedTuple):
    """The first ordinal days of which a reading was recorded, replaced or withdrawn after an entry: by airframe, and
    by airframe and counter."""

    flown: dict[int, int]
    counted: dict[tuple[int, str], int]


def first_read_since(connection: Connection, number: int) -> FirstRead:
    """Of which days readings were recorded, replaced or withdrawn after an entry."""
    flown: dict[int, int] = {}
    counted: dict[tuple[int, str], int] = {}

    def said(stated: Fact) -> None:
        if isinstance(stated, Reading):
            day = day_number(stated.read_on)
            flown[stated.airframe] = min(day, flown.get(stated.airframe, day))
        elif isinstance(stated, CounterReading):
            series, day = (stated.airframe, stated.counter), day_number(stated.read_on)
            counted[series] = min(day, counted.get(series, day))

    for (body,) in connection.execute(_READ_SINCE, {"number": number}):
        for stated in facts_of(json.loads(body)):
            said(stated)
    for airframe, day in connection.execute(_UNREAD_SINCE, {"number": number}):
        flown[airframe] = min(day, flown.get(airframe, day))
    for body, item in connection.execute(_UNCOUNTED_SINCE, {"number": number}):
        said(facts_of(json.loads(body))[item])
    return FirstRead(flown, counted)


_WHOLE_HEAD = select(ledger_head.c.number, ledger_head.c.digest, ledger_head.c.recorded_at)
_RETIRED = (
    select(fact.c.item, fact.c.standing, fact.c.retired_by)
    .where(fact.c.number == bindparam("number"), fact.c.retired_by.is_not(None))
    .order_by(fact.c.item)
)
_RETIRED_READINGS = (
    select(reading_history.c.entry_item, reading_history.c.standing, reading_history.c.retired_by)
    .where(reading_history.c.entry_number == bindparam("number"))
    .order_by(reading_history.c.entry_item)
)


def whole_head(connection: Connection) -> tuple[int, str, str]:
    """Number, digest and recording time of the last entry."""
    row = connection.execute(_WHOLE_HEAD).one()
    return row.number, row.digest, row.recorded_at


def retirements(connection: Connection, number: int) -> list[tuple[int, str, int]]:
    """(item, replaced or withdrawn, by which entry) of the facts of the entry that no longer stand."""
    values = {"number": number}
    return [
        (row[0], row[1], row[2])
        for statement in (_RETIRED, _RETIRED_READINGS)
        for row in connection.execute(statement, values)
    ]
