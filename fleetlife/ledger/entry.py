"""An entry: one canonical JSON object in the chain."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.facts import Fact, fact_from_body, facts_from_bodies

SCHEMA = 1
GENESIS = "0" * 64
# What came in with a unit: its receipt and, of kinds of their own, what else was stated with it.
RECEIVED = "received"
# A robbery: off the donor, what was found of the unit, on the receiver.
ROBBED = "robbery"
# Entries of several kinds of facts; each item then says of which kind it is.
MIXED = ("correction", RECEIVED, ROBBED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What a writer asks to be recorded; the store adds number, previous, recorded_at and recorded_by.

    `kind` is a fact kind (then `items` are facts of it), `received` (a receipt and what was stated with it),
    `robbery` (off one position and on another),
    `correction` (items are the new facts, `replaces` names the entries they replace) or `withdrawal` (`withdraws` names
    entries). `items_of` names the items meant of an entry in either list; without it the whole entry is. `into`: the
    unit of which a withdrawn opening statement speaks, where two records were of one unit.
    """

    kind: str
    on: str | None
    items: tuple[Fact, ...]
    sequence: int | None = None
    replaces: tuple[int, ...] = ()
    withdraws: tuple[int, ...] = ()
    items_of: tuple[tuple[int, tuple[int, ...]], ...] = ()
    reason: str | None = None
    authorised_by: str | None = None
    acknowledged: tuple[dict[str, str], ...] = ()
    group: str | None = None
    source: dict[str, Any] | None = None
    into: int | None = None
    also_units: tuple[int, ...] = ()
    also_airframes: tuple[int, ...] = ()

    def units(self) -> tuple[int, ...]:
        seen: dict[int, None] = dict.fromkeys(self.also_units)
        for item in self.items:
            for unit in item.unit_ids():
                seen[unit] = None
        return tuple(seen)

    def airframes(self) -> tuple[int, ...]:
        seen: dict[int, None] = dict.fromkeys(self.also_airframes)
        for item in self.items:
            for airframe in item.airframe_ids():
                seen[airframe] = None
        return tuple(seen)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    number: int
    previous: str
    kind: str
    on: str | None
    recorded_at: str
    recorded_by: str
    text: str
    digest: str
    request_key: str | None = None
    body: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)


def seal(
    draft: Draft,
    *,
    number: int,
    previous: str,
    recorded_at: str,
    recorded_by: str,
    program: str,
    request_key: str | None = None,
) -> Entry:
    """The draft as an entry in its place in the chain."""
    body: dict[str, Any] = {
        "schema": SCHEMA,
        "number": number,
        "previous": previous,
        "kind": draft.kind,
        "recorded_at": recorded_at,
        "recorded_by": recorded_by,
        "program": program,
        "items": [
            {"fact": item.KIND, "value": item.body()} if draft.kind in MIXED else item.body() for item in draft.items
        ],
        "subject": {"units": list(draft.units()), "airframes": list(draft.airframes())},
    }
    optional = {
        "on": draft.on,
        "sequence": draft.sequence,
        "replaces": _named(draft.replaces, draft.items_of),
        "withdraws": _named(draft.withdraws, draft.items_of),
        "reason": draft.reason,
        "authorised_by": draft.authorised_by,
        "acknowledged": list(draft.acknowledged) or None,
        "group": draft.group,
        "source": draft.source,
        "into": draft.into,
        "request_key": request_key,
    }
    body.update({name: value for name, value in optional.items() if value is not None})
    text = canonical(body)
    return Entry(
        number=number,
        previous=previous,
        kind=draft.kind,
        on=draft.on,
        recorded_at=recorded_at,
        recorded_by=recorded_by,
        text=text,
        digest=digest(text),
        request_key=request_key,
        body=body,
    )


def _named(numbers: tuple[int, ...], items_of: tuple[tuple[int, tuple[int, ...]], ...]) -> list[dict[str, Any]] | None:
    """The entries as JSON, with the items meant where that is not the whole entry."""
    items = dict(items_of)
    return [{"number": n, "items": list(items[n])} if n in items else {"number": n} for n in numbers] or None


def facts_of(body: dict[str, Any]) -> list[Fact]:
    """The facts an entry's body states. A requirement's own `kind` is kept apart from the fact's kind."""
    kind = body["kind"]
    if kind == "withdrawal":
        return []
    if kind in MIXED:
        return [fact_from_body(item["fact"], item["value"]) for item in body["items"]]
    return facts_from_bodies(kind, body["items"])


def fact_digest(fact: Fact) -> str:
    """Digest of what the fact says, without number, recorder, time and source line."""
    return digest(canonical(fact.body()))
