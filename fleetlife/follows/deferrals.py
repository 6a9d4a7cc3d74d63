"""Deferrals as they stand: what was opened, what of it was closed, and whether its expiry as entered has passed.

Neither the limit nor the expiry is computed here: both are what authorised people entered.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fleetlife.dates.partial import day_number
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.swaps import Deferral, DeferralClosed

OPEN, EXPIRED, CLOSED = "open", "expired", "closed"
# Said wherever a deferral is opened or shown at length.
NOT_AN_ITEM = (
    "A passed maintenance date is not an inoperative item, and cannot be deferred this way. Neither the limit nor the "
    "expiry is computed here: both are as authorised people entered them."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A deferral and, where it is over, its closing; with the entries that state them."""

    fact: Deferral
    entry: int
    closed: DeferralClosed | None = None

    def standing(self, on: int) -> str:
        """open, expired or closed on the day. The day of the expiry itself is the last on which it is open."""
        if self.closed is not None and day_number(self.closed.closed_on) <= on:
            return CLOSED
        if self.fact.expires_on is not None and day_number(self.fact.expires_on) < on:
            return EXPIRED
        return OPEN

    def told(self, on: int) -> str:
        """The deferral in a sentence, as entered."""
        fact = self.fact
        standing = self.standing(on)
        until = f"expires {fact.expires_on} as entered" if fact.expires_on else "no expiry entered"
        if standing == EXPIRED:
            until = f"EXPIRED {fact.expires_on} as entered"
        if standing == CLOSED and self.closed is not None:
            until = f"closed {self.closed.closed_on} by {self.closed.closed_by}"
        told = [f"{fact.item}: deferred {fact.opened_on} by {fact.authorised_by}", until]
        told += [f"log page {fact.log_page}"] if fact.log_page else []
        told += [f"conditions: {fact.conditions}"] if fact.conditions else []
        return ", ".join(told)


def deferrals_of(facts: Iterable[tuple[int, Fact]], *, on: int) -> list[Carried]:
    """The deferrals opened by the day, each with its closing where it was closed by then; by airframe and position, the
    oldest first."""
    opened: dict[tuple[int, str, str], tuple[int, Deferral]] = {}
    closed: dict[tuple[int, str, str], tuple[int, DeferralClosed]] = {}
    for number, fact in facts:
        if isinstance(fact, Deferral) and day_number(fact.opened_on) <= on:
            opened[fact.airframe, fact.position, fact.opened_on] = number, fact
        elif isinstance(fact, DeferralClosed) and day_number(fact.closed_on) <= on:
            closed[fact.airframe, fact.position, fact.opened_on] = number, fact
    found = []
    for key in sorted(opened):
        number, fact = opened[key]
        over = closed.get(key)
        found.append(
            Carried(
                fact=fact,
                entry=number,
                closed=None if over is None else over[1],
            )
        )
    return found
