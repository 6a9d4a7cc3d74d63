"""Many rows at once: `executemany` in batches, COPY on PostgreSQL for large ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import Table
from sqlalchemy.engine import Connection, Dialect
from sqlalchemy.exc import DBAPIError

from fleetlife.store import quick

BATCH = 10_000
COPY_FROM = 64  # rows from which COPY is faster than a prepared INSERT

T = TypeVar("T")


def batches(items: Iterable[T], size: int = BATCH) -> Iterator[list[T]]:
    """The items in lists of at most `size`."""
    iterator = iter(items)
    while batch := list(islice(iterator, size)):
        yield batch


def insert_tuples(
    connection: Connection, table: Table, names: tuple[str, ...], rows: Sequence[tuple[Any, ...]]
) -> None:
    """Insert the rows, values in the order of `names`."""
    if not rows:
        return
    dialect = connection.dialect
    if dialect.name == "postgresql" and len(rows) >= COPY_FROM:
        _copy(connection, _copy_text(dialect, table, names), rows)
        return
    statement = _insert_text(dialect, table, names)
    for start in range(0, len(rows), BATCH):
        batch = rows[start : start + BATCH]
        one = len(batch) == 1
        quick.run(connection, statement, batch[0] if one else list(batch), many=not one)


def change_tuples(
    connection: Connection, statement: tuple[str, ...], table: Table, rows: Sequence[tuple[Any, ...]]
) -> None:
    """Run one UPDATE or DELETE for each row.

    `statement` is ("delete", key columns ...) or ("update", set columns ..., "where", key columns ...); the values of a
    row come in that order.
    """
    if not rows:
        return
    text = _change_text(connection.dialect, table, statement)
    for start in range(0, len(rows), BATCH):
        batch = rows[start : start + BATCH]
        one = len(batch) == 1
        quick.run(connection, text, batch[0] if one else list(batch), many=not one)


def _mark(dialect: Dialect) -> str:
    return "?" if dialect.name == "sqlite" else "%s"


@lru_cache(maxsize=256)
def _insert_text(dialect: Dialect, table: Table, names: tuple[str, ...]) -> str:
    quote = dialect.identifier_preparer.quote
    columns = ", ".join(quote(name) for name in names)
    return f"INSERT INTO {quote(table.name)} ({columns}) VALUES ({', '.join([_mark(dialect)] * len(names))})"


@lru_cache(maxsize=256)
def _copy_text(dialect: Dialect, table: Table, names: tuple[str, ...]) -> str:
    quote = dialect.identifier_preparer.quote
    return f"COPY {quote(table.name)} ({', '.join(quote(name) for name in names)}) FROM STDIN"


@lru_cache(maxsize=256)
def _change_text(dialect: Dialect, table: Table, statement: tuple[str, ...]) -> str:
    quote, mark = dialect.identifier_preparer.quote, _mark(dialect)
    verb, *names = statement
    if verb == "delete":
        return f"DELETE FROM {quote(table.name)} WHERE {' AND '.join(f'{quote(n)} = {mark}' for n in names)}"
    cut = names.index("where")
    changes = ", ".join(f"{quote(n)} = {mark}" for n in names[:cut])
    where = " AND ".join(f"{quote(n)} = {mark}" for n in names[cut + 1 :])
    return f"UPDATE {quote(table.name)} SET {changes} WHERE {where}"


def _copy(connection: Connection, statement: str, rows: Sequence[tuple[Any, ...]]) -> None:
    driver = connection.dialect.loaded_dbapi
    cursor = connection.connection.cursor()
    try:
        with cursor.copy(statement) as copy:
            write = copy.write_row
            for row in rows:
                write(row)
    except driver.Error as error:
        raise DBAPIError.instance(statement, None, error, driver.Error, dialect=connection.dialect) from error
    finally:
        cursor.close()
