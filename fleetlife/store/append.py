"""Appending to the ledger: entry, what it touches, its facts and their typed rows, in batches.

The entries themselves move the head (a guard of the database); what they state is judged before, by the actions.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.dates.partial import parse_partial
from fleetlife.ledger.canonical import canonical
from fleetlife.ledger.canonical import digest as digest_of
from fleetlife.ledger.entry import Draft, Entry, fact_digest, seal
from fleetlife.ledger.facts import Fact, Reading
from fleetlife.model import ledger
from fleetlife.model.airframes import reading_history
from fleetlife.store.bulk import BATCH, change_tuples, insert_tuples
from fleetlife.store.facts import standing_items
from fleetlife.store.typed import TYPED, day_of_text
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.version import VERSION

PROGRAM = f"fleetlife {VERSION}"

_ENTRY = ("number", "previous", "kind", "on_day", "recorded_at", "recorded_by", "request_key", "body", "digest")
_TOUCH = ("unit_id", "number")
_TOUCH_AIRFRAME = ("airframe_id", "number")
_FACT = ("number", "item", "fact_key", "fact_digest", "standing", "retired_by")
_REQUEST = ("request_key", "request_digest", "first_number", "last_number")
_HISTORY = ("airframe", "read_on", "minutes", "cycles", "entry_number", "entry_item", "standing", "retired_by")

_ANSWERED = select(ledger.request).where(ledger.request.c.request_key == bindparam("request_key"))


class _Buffer:
    """Rows waiting to be written, entries first."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.clear()

    def clear(self) -> None:
        self.first: int | None = None
        self.size = 0
        self.entries: list[tuple[Any, ...]] = []
        self.touches: list[tuple[int, int]] = []
        self.touches_airframe: list[tuple[int, int]] = []
        self.facts: list[tuple[Any, ...]] = []
        self.typed: dict[str, list[tuple[Any, ...]]] = {}

    def add(self, entry: Entry, draft: Draft) -> None:
        number = entry.number
        if self.first is None:
            self.first = number
        self.entries.append(
            (
                number,
                entry.previous,
                entry.kind,
                _on_day(entry.on),
                entry.recorded_at,
                entry.recorded_by,
                entry.request_key,
                entry.text,
                entry.digest,
            )
        )
        subject = entry.body["subject"]
        units, airframes = subject["units"], subject["airframes"]
        self.touches.extend((unit, number) for unit in units)
        self.touches_airframe.extend((airframe, number) for airframe in airframes)
        for item, fact in enumerate(draft.items):
            kind = fact.KIND
            if kind != Reading.KIND:
                self.facts.append((number, item, fact.key(), fact_digest(fact), "stands", None))
            self.typed.setdefault(kind, []).append(TYPED[kind].row_of(fact, number, item))
        self.size += 1 + len(units) + len(airframes) + 2 * len(draft.items)
        if self.size >= BATCH:
            self.flush()

    def flush(self) -> None:
        connection = self.connection
        insert_tuples(connection, ledger.entry, _ENTRY, self.entries)
        insert_tuples(connection, ledger.entry_touch, _TOUCH, self.touches)
        insert_tuples(connection, ledger.entry_touch_airframe, _TOUCH_AIRFRAME, self.touches_airframe)
        insert_tuples(connection, ledger.fact, _FACT, self.facts)
        for kind, rows in self.typed.items():
            insert_tuples(connection, TYPED[kind].table, TYPED[kind].names, rows)
        self.clear()


def append_drafts(
    connection: Connection,
    drafts: Iterable[Draft],
    *,
    number: int,
    digest: str,
    recorded_at: str,
    recorded_by: str,
    request_key: str | None = None,
    request_digest: str | None = None,
    together: bool = False,
) -> tuple[list[int], Entry | None]:
    """Record the drafts after entry `number` of digest `digest`; their numbers and the last entry come back.

    The drafts are read as a stream. With a `request_key` asked before, nothing is recorded and the numbers of then come
    back; `request_digest` says what was asked (else the facts of the drafts do, which are then held in memory).
    An entry named in `replaces` that holds many facts is replaced in those whose key a new fact has. `together`:
    everything that the drafts retire is cleared before the first of them is written.

    Refusals: `request-key-reused`, `entry-not-known`, `entry-already-retired`, `correction-names-no-item`.
    """
    if request_key is not None:
        if request_digest is None:
            drafts = list(drafts)
            request_digest = _digest_of_request(drafts)
        if (answered := request_answered(connection, request_key, request_digest)) is not None:
            return answered, None
    buffer = _Buffer(connection)
    first, entry = number + 1, None
    if together:
        drafts = [_retire(buffer, draft, number + place) for place, draft in enumerate(drafts, 1)]
    for draft in drafts:
        number += 1
        if not together and (draft.replaces or draft.withdraws):
            draft = _retire(buffer, draft, number)
        entry = seal(
            draft,
            number=number,
            previous=digest,
            recorded_at=recorded_at,
            recorded_by=recorded_by,
            program=PROGRAM,
            request_key=request_key,
        )
        digest = entry.digest
        buffer.add(entry, draft)
    buffer.flush()
    if request_key is not None and request_digest is not None and entry is not None:
        keep_request(connection, request_key, request_digest, first, number)
    return list(range(first, number + 1)), entry


def request_answered(connection: Connection, request_key: str, request_digest: str) -> list[int] | None:
    """The entry numbers recorded under the key, None when it is new. Refusal: `request-key-reused`."""
    row = connection.execute(_ANSWERED, {"request_key": request_key}).one_or_none()
    if row is None:
        return None
    if row.request_digest != request_digest:
        raise Refusal(
            "request-key-reused",
            f"The request key {request_key!r} was used for something else (entries {row.first_number} to"
            f" {row.last_number}).",
            remedy="Use a new key for a new request.",
        )
    return list(range(row.first_number, row.last_number + 1))


def keep_request(connection: Connection, request_key: str, request_digest: str, first: int, last: int) -> None:
    """What was asked under a key, and the entries that answer it."""
    insert_tuples(connection, ledger.request, _REQUEST, [(request_key, request_digest, first, last)])


def _digest_of_request(drafts: Iterable[Draft]) -> str:
    return digest_of(canonical([[draft.kind, draft.on, [item.body() for item in draft.items]] for draft in drafts]))


def _on_day(on: str | None) -> int | None:
    if on is None:
        return None
    try:
        return day_of_text(on)
    except ValueError:
        return parse_partial(on).first_day.toordinal()


def _retire(buffer: _Buffer, draft: Draft, by: int) -> Draft:
    """Mark what the draft replaces or withdraws and take its typed rows away.

    New facts are written after, at the next flush: a run of corrections first clears all its places. The draft comes
    back with the items it retires named, where that is not the whole entry.
    """
    keys = {item.key() for item in draft.items}
    named = dict(draft.items_of)
    for standing, targets in (("replaced", draft.replaces), ("withdrawn", draft.withdraws)):
        for target in targets:
            if buffer.first is not None and target >= buffer.first:
                buffer.flush()
            total, items = standing_items(buffer.connection, target)
            chosen = _chosen(target, items, named.get(target), keys if standing == "replaced" else None)
            _take_away(buffer.connection, target, chosen, standing, by)
            if len(chosen) < total:
                named[target] = tuple(sorted(chosen))
    return replace(draft, items_of=tuple(sorted(named.items())))


def _chosen(
    target: int, items: dict[int, Fact], named: tuple[int, ...] | None, keys: set[str] | None
) -> dict[int, Fact]:
    if not items:
        raise Refusal(
            "entry-already-retired",
            f"Nothing of entry {target} stands any more: it was replaced or withdrawn.",
            remedy=f"Look at it with `fleetlife explain {target}` and name the entry that stands.",
        )
    if named is not None:
        if missing := [item for item in named if item not in items]:
            raise Refusal(
                "entry-already-retired",
                f"Item {missing[0]} of entry {target} does not stand.",
                remedy=f"Look at it with `fleetlife explain {target}` and name an item that stands.",
            )
        return {item: items[item] for item in named}
    if keys is None or len(items) == 1:
        return items
    chosen = {item: fact for item, fact in items.items() if fact.key() in keys}
    if not chosen:
        raise Refusal(
            "correction-names-no-item",
            f"Entry {target} states {len(items)} facts, and the new one has the key of none of them.",
            remedy="Name the item that is wrong.",
        )
    return chosen


def _take_away(connection: Connection, target: int, items: dict[int, Fact], standing: str, by: int) -> None:
    facts: list[tuple[Any, ...]] = []
    history: list[tuple[Any, ...]] = []
    typed: dict[str, list[tuple[Any, ...]]] = {}
    for item, fact in items.items():
        typed.setdefault(fact.KIND, []).append(TYPED[fact.KIND].key_of(fact, target, item))
        if isinstance(fact, Reading):
            history.append(
                (fact.airframe, day_of_text(fact.read_on), fact.minutes, fact.cycles, target, item, standing, by)
            )
        else:
            facts.append((standing, by, target, item))
    change_tuples(connection, ("update", "standing", "retired_by", "where", "number", "item"), ledger.fact, facts)
    insert_tuples(connection, reading_history, _HISTORY, history)
    for kind, keys in typed.items():
        change_tuples(connection, ("delete", *TYPED[kind].key_names), TYPED[kind].table, keys)
