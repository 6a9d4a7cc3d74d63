"""What units were recorded as before a correction: the opening statements that no longer stand."""

from __future__ import annotations

import json
from typing import NamedTuple

from sqlalchemy import literal_column, select
from sqlalchemy.engine import Connection

from fleetlife.ledger.entry import facts_of
from fleetlife.ledger.facts import Opening
from fleetlife.model.ledger import entry, fact


class FormerOpening(NamedTuple):
    """An opening statement that stood from entry `number` until entry `until`, which replaced or withdrew it.

    into: the unit that the withdrawing entry names as the one it is; None for any other.
    """

    opening: Opening
    number: int
    until: int
    into: int | None


# '}' is the character after the bar: every key of the kind lies between, and no other kind's. What does not stand has
# an index of its own, which is as long as what was corrected.
_by = entry.alias("by")
_RETIRED = (
    select(fact.c.number, fact.c.item, fact.c.retired_by, fact.c.standing, entry.c.body, _by.c.body.label("by"))
    .join(entry, entry.c.number == fact.c.number)
    .join(_by, _by.c.number == fact.c.retired_by)
    .where(
        fact.c.standing != literal_column("'stands'"),
        fact.c.fact_key >= f"{Opening.KIND}|",
        fact.c.fact_key < f"{Opening.KIND}}}",
    )
    .order_by(fact.c.number, fact.c.item)
)


def former_openings(connection: Connection) -> list[FormerOpening]:
    """Every opening statement that was replaced or withdrawn, in the order stated. One statement."""
    found = []
    for number, item, until, standing, body, by in connection.execute(_RETIRED):
        stated = facts_of(json.loads(body))[item]
        assert isinstance(stated, Opening)
        into = json.loads(by).get("into") if standing == "withdrawn" else None
        found.append(FormerOpening(stated, number, until, into))
    return found
