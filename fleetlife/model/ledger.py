"""The ledger: entries, the head, what an entry touches, facts ever stated, requests answered."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, PrimaryKeyConstraint, UniqueConstraint, text

from fleetlife.model.columns import Whole, table, whole, words

STANDINGS = ("stands", "replaced", "withdrawn")

entry = table(
    "entry",
    whole("number", comment="place in the chain, from 1 without gaps"),
    words("previous", comment="digest of the entry before"),
    words("kind"),
    whole("on_day", null=True, comment="ordinal day of the fact; the first it may mean"),
    words("recorded_at", comment="UTC, microseconds, never falling"),
    words("recorded_by"),
    words("request_key", null=True),
    words("body", comment="the canonical text"),
    words("digest", comment="SHA-256 of the canonical text"),
    PrimaryKeyConstraint("number"),
    UniqueConstraint("digest"),
    CheckConstraint("number > 0", name="number"),
    CheckConstraint("length(digest) = 64", name="digest"),
    CheckConstraint("length(recorded_at) = 27", name="recorded_at"),
    comment="The record. Appended to, never changed.",
)
Index("ix_entry_recorded_at", entry.c.recorded_at, entry.c.number)
Index("ix_entry_on_day", entry.c.on_day)
Index("ix_entry_kind", entry.c.kind, entry.c.number)

ledger_head = table(
    "ledger_head",
    whole("one", comment="always 1: there is one head"),
    whole("number"),
    words("digest"),
    words("recorded_at"),
    PrimaryKeyConstraint("one"),
    CheckConstraint("one = 1", name="one"),
    CheckConstraint("number >= 0", name="number"),
    comment="The last entry; the writers' lock. Moved by the entries themselves.",
)


def _entry_number(name: str = "number") -> Column[int]:
    return Column(name, Whole, ForeignKey("entry.number"), nullable=False, autoincrement=False)


entry_touch = table(
    "entry_touch",
    whole("unit_id"),
    _entry_number(),
    PrimaryKeyConstraint("unit_id", "number"),
    comment="Which units an entry touches.",
    with_rowid=False,
)
Index("ix_entry_touch_number", entry_touch.c.number, entry_touch.c.unit_id)

entry_touch_airframe = table(
    "entry_touch_airframe",
    whole("airframe_id"),
    _entry_number(),
    PrimaryKeyConstraint("airframe_id", "number"),
    comment="Which airframes an entry touches.",
    with_rowid=False,
)
Index("ix_entry_touch_airframe_number", entry_touch_airframe.c.number, entry_touch_airframe.c.airframe_id)

fact = table(
    "fact",
    _entry_number(),
    whole("item"),
    words("fact_key", comment="kind and natural key"),
    words("fact_digest", comment="digest of what it says"),
    words("standing"),
    whole("retired_by", null=True, comment="the entry that replaced or withdrew it"),
    PrimaryKeyConstraint("number", "item"),
    CheckConstraint("standing in ('stands', 'replaced', 'withdrawn')", name="standing"),
    CheckConstraint("(standing = 'stands') = (retired_by is null)", name="retired_by"),
    comment="Every fact ever stated but readings, which have their own table and history.",
)
_stands = text("standing = 'stands'")
_retired = text("standing <> 'stands'")
Index("ix_fact_one_stands", fact.c.fact_key, unique=True, sqlite_where=_stands, postgresql_where=_stands)
Index("ix_fact_retired", fact.c.fact_key, sqlite_where=_retired, postgresql_where=_retired)
_by = text("retired_by is not null")
Index("ix_fact_retired_by", fact.c.retired_by, sqlite_where=_by, postgresql_where=_by)

request = table(
    "request",
    words("request_key"),
    words("request_digest", comment="digest of what was asked"),
    whole("first_number"),
    whole("last_number"),
    PrimaryKeyConstraint("request_key"),
    CheckConstraint("first_number <= last_number", name="numbers"),
    comment="Requests answered, so that asking again gives the same answer.",
)
