"""Stores: what is promised."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import PromisedRow
from fleetlife.dates.partial import day_text
from fleetlife.terms.finding import Finding
from fleetlife.terms.number import fold


@check("SPR101", "spare-promised-twice", "rectify")
def spare_promised_twice(rows: Iterable[PromisedRow]) -> Iterator[Finding]:
    """A unit lies in stores, and since it came there its transfers name two different orders.

    Why it matters: one of the two aeroplanes waits for a spare that will not come.

    Triggers: a pack received on order A-17 and set aside on order B-20 while it still lies there.

    Does not: one order named twice; a unit that left the store between the two; a unit with no order at all.

    What to do: find out which order stands, and correct the other transfer with `fleetlife ledger correct`;
    `fleetlife unit PART SERIAL` shows where it lies.

    What it cannot see: an order given up without a word in these records, and promises made elsewhere.
    """
    for row in rows:
        if row.unit.state.kind != "store":
            continue
        orders: dict[str, tuple[str, int, int]] = {}
        for order, day, entry in row.orders:
            if fold(order):
                orders.setdefault(fold(order), (order, day, entry))
        if len(orders) < 2:
            continue
        named = list(orders.values())
        where = f"{row.unit.state.place_name or 'stores'}{' ' + row.unit.state.bin if row.unit.state.bin else ''}"
        yield finding(
            "SPR101",
            regards=regards(day_text(row.unit.since)),
            message=f"It lies at {where} since {day_text(row.unit.since)} and is promised to orders "
            f"{' and '.join(order for order, _, _ in named)}.",
            hint=f"Keep the order that stands; {row.unit.command}",
            expected="one order",
            found=" and ".join(order for order, _, _ in named),
            evidence=tuple(
                Evidence(source=f"transfer of {day_text(day)}", says=f"order {order}", entry=entry)
                for order, day, entry in named
            ),
            **row.unit.address(),
        )
