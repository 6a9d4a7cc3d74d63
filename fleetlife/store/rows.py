"""Derived rows in and out: typed reads, bulk inserts, and the difference between what stood and what follows now."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from operator import attrgetter
from typing import Any, TypeVar

from sqlalchemy import Select, Table, select
from sqlalchemy.engine import Connection

from fleetlife.follows.rows import CarriageRow, CertificateLineRow, DuePointRow, PlacementRow, UnitStateRow
from fleetlife.model import metadata
from fleetlife.store import quick
from fleetlife.store.bulk import batches, change_tuples, insert_tuples
from fleetlife.store.sets import DIALECTS, among, set_value
from fleetlife.terms.filling import quick_maker
from fleetlife.terms.number import fold

Row = TypeVar("Row")
CHUNK = 2_000
STREAM = 10_000


@dataclass(frozen=True, slots=True)
class Kept:
    """How the rows of one class are kept. `ends`: the columns that say how a stay ends, which may change while the row
    stays the same one; () where no row of the table stands in the way of another, so that any column may."""

    row_class: type[Any]
    table: Table
    names: tuple[str, ...]
    columns: tuple[str, ...]
    key: Callable[[Any], tuple[Any, ...]]
    key_names: tuple[str, ...]
    tuple_of: Callable[[Any], tuple[Any, ...]]
    read: Callable[[Any], tuple[Any, ...]]
    claims: frozenset[str]
    folds: tuple[tuple[str, str], ...]
    ends: tuple[str, ...]
    all_rows: Select[Any]
    of_units: dict[str, Select[Any]]


def _kept(row_class: type[Any], name: str, ends: tuple[str, ...] = ()) -> Kept:
    table = metadata.tables[name]
    names = tuple(field.name for field in fields(row_class))
    flags = frozenset(c.name for c in table.c if c.info.get("flag"))
    folds = tuple((c.name, c.info["fold"]) for c in table.c if "fold" in c.info)
    key_names = tuple(c.name for c in table.primary_key)
    read = attrgetter(*names)
    kept_flags = tuple(i for i, n in enumerate(names) if n in flags and _is_claim(row_class, n))

    def tuple_of(row: Any) -> tuple[Any, ...]:
        values = list(read(row))
        for index in kept_flags:
            values[index] = int(values[index])
        values.extend(fold(getattr(row, of)) for _, of in folds)
        return tuple(values)

    key_one = attrgetter(*key_names)
    statement = select(*(table.c[n] for n in names)).order_by(*table.primary_key)
    return Kept(
        row_class=row_class,
        table=table,
        names=names,
        columns=(*names, *(n for n, _ in folds)),
        key=key_one if len(key_names) > 1 else lambda row: (key_one(row),),
        key_names=key_names,
        tuple_of=tuple_of,
        read=read,
        claims=frozenset(names[index] for index in kept_flags),
        folds=folds,
        ends=ends,
        all_rows=statement,
        of_units={d: statement.where(among(table.c.unit_id, "units", d)) for d in DIALECTS},
    )


def _is_claim(row_class: type[Any], name: str) -> bool:
    return row_class.__annotations__[name] in ("bool", bool)


KEPT: dict[str, Kept] = {
    kept.table.name: kept
    for kept in (
        _kept(PlacementRow, "placement", ("until_moment", "until_known", "until_entry")),
        _kept(CarriageRow, "carriage", ("until_moment", "until_minutes", "until_cycles", "until_basis")),
        _kept(DuePointRow, "due_point"),
        _kept(UnitStateRow, "unit_state"),
        _kept(CertificateLineRow, "certificate_line"),
    )
}
_BY_CLASS = {kept.row_class: kept for kept in KEPT.values()}


def _make(kept: Kept) -> Callable[[Sequence[Any]], Any]:
    claims = tuple(i for i, n in enumerate(kept.names) if _is_claim(kept.row_class, n))
    quick = quick_maker(kept.row_class)
    if not claims:
        return quick

    def make(row: Sequence[Any]) -> Any:
        values = list(row)
        for index in claims:
            values[index] = bool(values[index])
        return quick(values)

    return make


_MAKERS = {name: _make(kept) for name, kept in KEPT.items()}


def maker_of(row_class: type[Row]) -> Callable[[Sequence[Any]], Row]:
    """What makes a row of the class from its columns in order."""
    make: Callable[[Sequence[Any]], Row] = _MAKERS[_BY_CLASS[row_class].table.name]
    return make


def read_rows(connection: Connection, row_class: type[Row], unit_ids: Iterable[int] | None = None) -> list[Row]:
    """The stored rows of the class in key order, of the units named or of all.

    Certificate lines filed against no unit come only with all.
    """
    if unit_ids is None:
        return list(stream_rows(connection, row_class))
    kept = _BY_CLASS[row_class]
    make, statement = _MAKERS[kept.table.name], kept.of_units[connection.dialect.name]
    found: list[Row] = []
    for chunk in batches(sorted(set(unit_ids)), CHUNK):
        found.extend(make(row) for row in quick.rows(connection, statement, {"units": set_value(connection, chunk)}))
    return found


def stream_rows(connection: Connection, row_class: type[Row]) -> Iterator[Row]:
    """All stored rows of the class in key order, as a stream."""
    kept = _BY_CLASS[row_class]
    make = _MAKERS[kept.table.name]
    # Given with the statement: set on the connection, it would make server-side cursors of all that follow.
    for row in connection.execute(kept.all_rows, execution_options={"yield_per": STREAM}):
        yield make(row)


def insert_rows(connection: Connection, table_name: str, rows: Iterable[Any]) -> int:
    """Insert rows where none of their keys stand, as into an empty database; how many there were comes back."""
    kept = KEPT[table_name]
    total = 0
    for batch in batches(rows):
        insert_tuples(connection, kept.table, kept.columns, [kept.tuple_of(row) for row in batch])
        total += len(batch)
    return total


def write_difference(
    connection: Connection, table_name: str, old_rows: Iterable[Any], new_rows: Iterable[Any]
) -> tuple[int, int]:
    """Make the stored `old_rows` the `new_rows`; how many were deleted and how many inserted comes back.

    Deletes come first, then stays that end earlier, then stays that end later, then inserts in key order: so every
    state on the way is a part of the old or the new one, and the immediate constraints of both databases hold.
    A row that changes only in how it ends is updated and counts in neither number. Rows that stand in nobody's way are
    updated in the columns that differ, which leaves the indexes over all others alone, and count in both.
    """
    kept = KEPT[table_name]
    old = {kept.key(row): row for row in old_rows}
    new = {kept.key(row): row for row in new_rows}
    deleted: list[tuple[Any, ...]] = []
    closed: list[tuple[Any, ...]] = []
    opened: list[tuple[Any, ...]] = []
    inserted: list[Any] = []
    updated: dict[tuple[str, ...], list[tuple[Any, ...]]] = {}
    for key, row in old.items():
        after = new.get(key)
        if after is None:
            deleted.append(key)
        elif after != row:
            if not kept.ends:
                names, anew = _differing(kept, row, after)
                updated.setdefault(names, []).append((*anew, *key))
            elif _only_ends(kept, row, after):
                values = (*_ends(kept, after), *key)
                (closed if _ends_earlier(row.until_moment, after.until_moment) else opened).append(values)
            else:
                deleted.append(key)
                inserted.append(after)
    inserted.extend(row for key, row in new.items() if key not in old)
    inserted.sort(key=kept.key)
    change_tuples(connection, ("delete", *kept.key_names), kept.table, deleted)
    update = ("update", *kept.ends, "where", *kept.key_names)
    change_tuples(connection, update, kept.table, closed)
    change_tuples(connection, update, kept.table, opened)
    for names, rows in updated.items():
        change_tuples(connection, ("update", *names, "where", *kept.key_names), kept.table, rows)
    insert_rows(connection, table_name, inserted)
    changed = sum(map(len, updated.values()))
    return len(deleted) + changed, len(inserted) + changed


def _differing(kept: Kept, before: Any, after: Any) -> tuple[tuple[str, ...], list[Any]]:
    """The columns that differ, and what stands in them after."""
    names: list[str] = []
    values: list[Any] = []
    for name, stood, value in zip(kept.names, kept.read(before), kept.read(after), strict=True):
        if value != stood:
            names.append(name)
            values.append(int(value) if name in kept.claims else value)
    for name, of in kept.folds:
        if of in names:
            names.append(name)
            values.append(fold(getattr(after, of)))
    return tuple(names), values


def _only_ends(kept: Kept, before: Any, after: Any) -> bool:
    return all(getattr(before, n) == getattr(after, n) for n in kept.names if n not in kept.ends)


def _ends(kept: Kept, row: Any) -> tuple[Any, ...]:
    return tuple(int(v) if isinstance(v := getattr(row, n), bool) else v for n in kept.ends)


def _ends_earlier(before: int | None, after: int | None) -> bool:
    return after is not None and (before is None or after < before)
