"""The ledger's head, and which airframes later entries touch."""

from __future__ import annotations

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.model.airframes import reading_history
from fleetlife.model.ledger import entry_touch_airframe, fact, ledger_head
from fleetlife.store import quick

_HEAD = select(ledger_head.c.number, ledger_head.c.digest)
_AIRFRAMES = (
    select(entry_touch_airframe.c.airframe_id).distinct().where(entry_touch_airframe.c.number > bindparam("number"))
)


def head_of(connection: Connection) -> tuple[int, str]:
    """Number and digest of the last entry; 0 and zeros before the first."""
    row = quick.rows(connection, _HEAD)[0]
    return row[0], row[1]


def airframes_touched_after(connection: Connection, number: int) -> list[int]:
    """The airframes that an entry after `number` touches, in order."""
    return sorted(connection.execute(_AIRFRAMES, {"number": number}).scalars())


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
