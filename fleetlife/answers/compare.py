"""`compare`: what changed between two states of knowledge, and by which entries."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from fleetlife.clocks.between import compared, differences
from fleetlife.clocks.world import open_world
from fleetlife.store.engine import Store
from fleetlife.store.heads import entries_between, readings_between
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import Comparison, EntryLine


def compare(
    store: Store, *, as_of: date, earlier: str, later: str | None = None, registrations: Sequence[str] = ()
) -> Comparison:
    """What was believed of the fleet on a day at the moment `earlier`, beside what was believed at `later` (None: now).

    A moment is written as for `--known-at`: an instant, a day or an entry number. With `registrations` only what was,
    or is, on those airframes is listed. Refusals: `moment-not-read`, `entry-not-known`, `nothing-known-then`,
    `moments-reversed`, those of naming an airframe.
    """
    with store.reading() as connection:
        before = open_world(connection, as_of=as_of, known_at=earlier, kept=store.kept)
        after = open_world(connection, as_of=as_of, known_at=later, kept=store.kept)
        if before.head_number > after.head_number:
            raise Refusal(
                "moments-reversed",
                f"Entry {before.head_number} was recorded after entry {after.head_number}.",
                remedy="Give the earlier moment first.",
                status=2,
            )
        names = {after.reference.airframe_on(name, after.as_of) for name in registrations}
        units = compared(connection, before, after)
        if names:
            states = [*before.states(units).values(), *after.states(units).values()]
            there = {state.unit_id for state in states if state.carried_airframe_id in names}
            units = {unit: entries for unit, entries in units.items() if unit in there}
        recorded, airframes = readings_between(connection, before.head_number, after.head_number)
        return Comparison(
            about=after.about("compare", airframes=names or None),
            earlier_entry=before.head_number,
            earlier_head=before.head_digest,
            earlier_moment=earlier,
            rows=tuple(differences(before, after, units)),
            entries=tuple(_line(row) for row in entries_between(connection, before.head_number, after.head_number)),
            reading_entries=recorded,
            reading_airframes=airframes,
            units=len(units),
        )


def _line(row: Any) -> EntryLine:
    body = json.loads(row.body)
    mended = [*body.get("replaces", ()), *body.get("withdraws", ())]
    return EntryLine(
        number=row.number,
        kind=row.kind,
        on=body.get("on"),
        recorded_at=row.recorded_at,
        recorded_by=row.recorded_by,
        mends="; ".join(_mended(each) for each in mended) or None,
        reason=body.get("reason"),
        authorised_by=body.get("authorised_by"),
    )


def _mended(named: dict[str, Any]) -> str:
    items = named.get("items")
    return str(named["number"]) if items is None else f"{named['number']} item {', '.join(str(item) for item in items)}"
