"""The ledger's head, and which airframes later entries touch."""

from __future__ import annotations

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.model.ledger import entry_touch_airframe, ledger_head

_HEAD = select(ledger_head.c.number, ledger_head.c.digest)
_AIRFRAMES = (
    select(entry_touch_airframe.c.airframe_id).distinct().where(entry_touch_airframe.c.number > bindparam("number"))
)


def head_of(connection: Connection) -> tuple[int, str]:
    """Number and digest of the last entry; 0 and zeros before the first."""
    row = connection.execute(_HEAD).one()
    return row.number, row.digest


def airframes_touched_after(connection: Connection, number: int) -> list[int]:
    """The airframes that an entry after `number` touches, in order."""
    return sorted(connection.execute(_AIRFRAMES, {"number": number}).scalars())
