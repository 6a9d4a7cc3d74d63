"""What the spares outlook rests on: the stays of units of the parts that hang at positions. One statement."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import text
from sqlalchemy.engine import Connection

from fleetlife.store import quick
from fleetlife.terms.spares import Stay

# Stays in slots say nothing of spares. The opening statement bounds what the records can know of removals.
_STAYS = text(
    "SELECT p.unit_id, p.kind, p.from_moment, p.until_moment, p.removal_kind, p.expected_back,"
    " s.part_number, s.manufacturer, o.as_of"
    " FROM placement AS p JOIN unit_state AS s ON s.unit_id = p.unit_id JOIN unit AS o ON o.unit = p.unit_id"
    " WHERE p.kind <> 'slot' ORDER BY p.unit_id, p.from_moment"
)


def stays(connection: Connection) -> Iterator[Stay]:
    """Every stay outside slots, by unit and moment, each with the day of the unit's opening statement."""
    for row in quick.stream(connection, _STAYS, {}, 5_000):
        yield Stay(*row)
