"""Reading facts and entries back: what is known of a key, what touches a unit, the chain as a stream."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import BindParameter, ColumnElement, Select, bindparam, case, func, literal_column, select, text
from sqlalchemy import Text as TextType
from sqlalchemy.engine import Connection

from fleetlife.ledger.canonical import read_back
from fleetlife.ledger.entry import Entry, fact_digest, facts_of
from fleetlife.ledger.facts import Fact, Reading
from fleetlife.model import ledger
from fleetlife.model.airframes import reading_history
from fleetlife.store import quick
from fleetlife.store.bulk import batches
from fleetlife.store.sets import DIALECTS, among, pair_values, set_value
from fleetlife.store.typed import day_of_text, text_of_day
from fleetlife.terms.refusal import Refusal

CHUNK = 2_000
STREAM = 500  # entries a stream holds at a time
LATEST = 9_223_372_036_854_775_807  # known at: everything recorded

_entry, _fact, _touch = ledger.entry, ledger.fact, ledger.entry_touch
_READING_PREFIX = f"{Reading.KIND}|"


class Known(NamedTuple):
    """A fact ever stated, and whether it stands, was replaced or was withdrawn."""

    digest: str
    number: int
    item: int
    standing: str


# --- what is known of a key ---------------------------------------------------------------------------------------


def _known_statement(dialect: str) -> Select[Any] | Any:
    columns = (_fact.c.fact_key, _fact.c.fact_digest, _fact.c.number, _fact.c.item, _fact.c.standing)
    stands: ColumnElement[str] = literal_column("'stands'")
    # Two arms, because what stands has another index than what does not.
    return (
        select(*columns)
        .where(_fact.c.standing == stands, among(_fact.c.fact_key, "keys", dialect))
        .union_all(select(*columns).where(_fact.c.standing != stands, among(_fact.c.fact_key, "keys", dialect)))
    )


_KNOWN = {dialect: _known_statement(dialect) for dialect in DIALECTS}
_PAIRS = {
    "sqlite": "(SELECT json_extract(value, '$[0]') AS a, json_extract(value, '$[1]') AS d FROM json_each(:pairs))",
    "postgresql": "unnest(CAST(:firsts AS bigint[]), CAST(:seconds AS bigint[]))",
}
_KNOWN_READINGS = {
    dialect: text(
        f"""
        SELECT r.airframe, r.read_on, r.minutes, r.cycles, r.entry_number, r.entry_item, 'stands' AS standing
        FROM {pairs} AS p {"" if dialect == "sqlite" else "(a, d)"}
        CROSS JOIN reading AS r WHERE r.airframe = p.a AND r.read_on = p.d
        UNION ALL
        SELECT r.airframe, r.read_on, r.minutes, r.cycles, r.entry_number, r.entry_item, r.standing
        FROM {pairs} AS p {"" if dialect == "sqlite" else "(a, d)"}
        CROSS JOIN reading_history AS r WHERE r.airframe = p.a AND r.read_on = p.d
        """
    )
    for dialect, pairs in _PAIRS.items()
}


def facts_ever(connection: Connection, keys: Iterable[str]) -> dict[str, list[Known]]:
    """Every fact ever stated for each key, in the order of their entries; keys never stated are left out."""
    found: dict[str, list[Known]] = {}
    plain: list[str] = []
    readings: list[str] = []
    for key in dict.fromkeys(keys):
        (readings if key.startswith(_READING_PREFIX) else plain).append(key)
    statement = _KNOWN[connection.dialect.name]
    for chunk in batches(plain, CHUNK):
        for row in connection.execute(statement, {"keys": set_value(connection, chunk)}):
            found.setdefault(row[0], []).append(Known(row[1], row[2], row[3], row[4]))
    _known_readings(connection, readings, found)
    for known in found.values():
        known.sort(key=lambda one: (one.number, one.item))
    return found


def _known_readings(connection: Connection, keys: Sequence[str], found: dict[str, list[Known]]) -> None:
    statement = _KNOWN_READINGS[connection.dialect.name]
    for chunk in batches(keys, CHUNK):
        pairs = [(int(airframe), day_of_text(day)) for _, airframe, day in (key.split("|") for key in chunk)]
        for row in connection.execute(statement, pair_values(connection, pairs)):
            fact = Reading(airframe=row[0], read_on=text_of_day(row[1]), minutes=row[2], cycles=row[3])
            found.setdefault(fact.key(), []).append(Known(fact_digest(fact), row[4], row[5], row[6]))


def known_facts(connection: Connection, keys: Iterable[str]) -> dict[str, Known]:
    """For each key ever stated the fact that stands, else the last that stood."""
    return {
        key: next((one for one in known if one.standing == "stands"), known[-1])
        for key, known in facts_ever(connection, keys).items()
    }


_WAS_STATED = (
    select(_fact.c.number)
    .where(
        _fact.c.fact_key == bindparam("key"),
        _fact.c.standing != literal_column("'stands'"),
        _fact.c.fact_digest == bindparam("digest"),
    )
    .limit(1)
)


def was_stated(connection: Connection, key: str, digest: str) -> bool:
    """True when exactly this was stated for the key once and has since been replaced or withdrawn."""
    if key.startswith(_READING_PREFIX):
        return any(
            one.digest == digest and one.standing != "stands" for one in facts_ever(connection, [key]).get(key, ())
        )
    return connection.execute(_WAS_STATED, {"key": key, "digest": digest}).first() is not None


# --- what touches a unit ------------------------------------------------------------------------------------------


MANY = 100


def _touching_statement(dialect: str, many: bool) -> Select[Any]:
    """`many`: what was retired is looked for once, and not for each entry; of few units that would cost what was ever
    retired in the whole ledger."""
    retired = _fact.alias("retired")
    joined = (
        func.group_concat(retired.c.item, ",")
        if dialect == "sqlite"
        else func.string_agg(retired.c.item.cast(TextType), ",")
    )
    known: BindParameter[int] = bindparam("known")
    gone: ColumnElement[Any] = (
        select(joined)
        .where(retired.c.number == _entry.c.number, retired.c.retired_by <= known)
        .correlate(_entry)
        .scalar_subquery()
    )
    if many:
        any_gone = _fact.alias("any_gone")
        numbers = select(any_gone.c.number).where(any_gone.c.retired_by.is_not(None), any_gone.c.retired_by <= known)
        gone = case((_entry.c.number.in_(numbers), gone))
    touching = select(_touch.c.number).where(among(_touch.c.unit_id, "units", dialect), _touch.c.number <= known)
    return select(_entry.c.number, _entry.c.body, gone).where(_entry.c.number.in_(touching)).order_by(_entry.c.number)


_TOUCHING = {(dialect, many): _touching_statement(dialect, many) for dialect in DIALECTS for many in (False, True)}


def facts_touching(
    connection: Connection, unit_ids: Iterable[int], *, known: int = LATEST
) -> Iterator[tuple[int, int, Fact]]:
    """(entry number, item, fact) of every standing fact that touches one of the units, in the order of entries.

    With `known`, what stood after entry `known`. One statement for up to 2,000 units; with more, the order holds within
    each 2,000, and a fact that touches units of two of them comes once.
    """
    seen: set[int] | None = None
    for chunk in batches(dict.fromkeys(unit_ids), CHUNK):
        statement = _TOUCHING[connection.dialect.name, len(chunk) > MANY]
        rows = quick.rows(connection, statement, {"units": set_value(connection, chunk), "known": known})
        for number, body, gone in rows:
            if seen is not None:
                if number in seen:
                    continue
            stated: Iterable[tuple[int, Fact]] = enumerate(facts_of(read_back(body)))
            if gone:
                retired = frozenset(gone.split(","))
                stated = ((item, fact) for item, fact in stated if str(item) not in retired)
            for item, fact in stated:
                yield number, item, fact
        if len(chunk) == CHUNK:
            seen = (seen or set()) | _numbers_touching(connection, chunk)


def _numbers_touching(connection: Connection, unit_ids: Sequence[int]) -> set[int]:
    statement = _NUMBERS_TOUCHING[connection.dialect.name]
    return set(connection.execute(statement, {"units": set_value(connection, unit_ids)}).scalars())


_NUMBERS_TOUCHING = {
    dialect: select(_touch.c.number).where(among(_touch.c.unit_id, "units", dialect)) for dialect in DIALECTS
}
# Each as often as it is touched: asked for distinct ones, SQLite walks the whole table in the order of units.
_TOUCHED_AFTER = (
    select(_touch.c.unit_id, _entry.c.kind)
    .join(_entry, _entry.c.number == _touch.c.number)
    .where(_touch.c.number > bindparam("number"))
    .order_by(_touch.c.number)
)


def units_touched_after(connection: Connection, number: int) -> dict[int, set[str]]:
    """The units that an entry after `number` touches, each with the kinds of those entries."""
    found: dict[int, set[str]] = {}
    for unit, kind in quick.rows(connection, _TOUCHED_AFTER, {"number": number}):
        found.setdefault(unit, set()).add(kind)
    return found


# Entries first, by the index over their days: usually none is later. CROSS JOIN holds SQLite to that order.
_TOUCHED_LATER = {
    "sqlite": text(
        "SELECT DISTINCT t.unit_id FROM entry AS e CROSS JOIN entry_touch AS t ON t.number = e.number"
        " WHERE e.on_day > :day"
    ),
    "postgresql": text(
        "SELECT DISTINCT t.unit_id FROM entry AS e JOIN entry_touch AS t ON t.number = e.number WHERE e.on_day > :day"
    ),
}


def units_touched_by_facts_after(connection: Connection, day: int) -> list[int]:
    """The units touched by facts dated after the ordinal `day`, in order."""
    return sorted(row[0] for row in quick.rows(connection, _TOUCHED_LATER[connection.dialect.name], {"day": day}))


# --- entries ------------------------------------------------------------------------------------------------------

_ENTRY_COLUMNS = (
    _entry.c.number,
    _entry.c.previous,
    _entry.c.kind,
    _entry.c.recorded_at,
    _entry.c.recorded_by,
    _entry.c.request_key,
    _entry.c.body,
    _entry.c.digest,
)
_ONE_ENTRY = select(*_ENTRY_COLUMNS).where(_entry.c.number == bindparam("number"))
_NEXT_ENTRIES = (
    select(*_ENTRY_COLUMNS)
    .where(_entry.c.number >= bindparam("start"), _entry.c.number <= bindparam("until"))
    .order_by(_entry.c.number)
    .limit(STREAM)
)
_NUMBER_KNOWN_AT = select(func.coalesce(func.max(_entry.c.number), 0)).where(
    _entry.c.recorded_at
    == select(func.max(_entry.c.recorded_at)).where(_entry.c.recorded_at <= bindparam("moment")).scalar_subquery()
)


def _entry_of(row: Any) -> Entry:
    body = read_back(row.body)
    return Entry(
        number=row.number,
        previous=row.previous,
        kind=row.kind,
        on=body.get("on"),
        recorded_at=row.recorded_at,
        recorded_by=row.recorded_by,
        text=row.body,
        digest=row.digest,
        request_key=row.request_key,
        body=body,
    )


def entry(connection: Connection, number: int) -> Entry:
    """The entry. Refusal: `entry-not-known`."""
    row = connection.execute(_ONE_ENTRY, {"number": number}).one_or_none()
    if row is None:
        raise Refusal(
            "entry-not-known",
            f"There is no entry {number} in the ledger.",
            remedy="Entries are numbered from 1; `fleetlife ledger head` names the last.",
        )
    return _entry_of(row)


def all_entries(connection: Connection, start: int = 1, *, until: int = LATEST) -> Iterator[Entry]:
    """The entries in order from number `start`, as a stream."""
    while True:
        rows = connection.execute(_NEXT_ENTRIES, {"start": start, "until": until}).all()
        for row in rows:
            yield _entry_of(row)
        if len(rows) < STREAM:
            return
        start = rows[-1].number + 1


def number_known_at(connection: Connection, recorded_at: str) -> int:
    """The last entry recorded at or before the moment (`...ffffffZ`); 0 when there was none."""
    number: int = connection.execute(_NUMBER_KNOWN_AT, {"moment": recorded_at}).scalar_one()
    return number


_GONE = select(_fact.c.item).where(
    _fact.c.number == bindparam("number"), _fact.c.standing != literal_column("'stands'")
)
_GONE_READINGS = select(reading_history.c.entry_item).where(reading_history.c.entry_number == bindparam("number"))


def standing_items(connection: Connection, number: int) -> tuple[int, dict[int, Fact]]:
    """How many facts the entry stated, and those that stand, by item. Refusal: `entry-not-known`."""
    facts = facts_of(entry(connection, number).body)
    gone = set(connection.execute(_GONE, {"number": number}).scalars())
    if any(isinstance(one, Reading) for one in facts):
        gone.update(connection.execute(_GONE_READINGS, {"number": number}).scalars())
    return len(facts), {item: one for item, one in enumerate(facts) if item not in gone}


# --- ids ----------------------------------------------------------------------------------------------------------

_LAST_UNIT = select(func.coalesce(func.max(_touch.c.unit_id), 0))
_LAST_AIRFRAME = select(func.coalesce(func.max(ledger.entry_touch_airframe.c.airframe_id), 0))


def next_unit_id(connection: Connection) -> int:
    """The first id that no entry ever gave to a unit. Ask under the lock."""
    last: int = connection.execute(_LAST_UNIT).scalar_one()
    return last + 1


def next_airframe_id(connection: Connection) -> int:
    """The first id that no entry ever gave to an airframe. Ask under the lock."""
    last: int = connection.execute(_LAST_AIRFRAME).scalar_one()
    return last + 1
