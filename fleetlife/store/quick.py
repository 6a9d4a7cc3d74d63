"""Small reads and writes at the driver's own price: a statement's text is made once, rows come as plain tuples.

For statements that run many times in one recording. They are written as Core statements all the same; only the result
machinery, which costs more than the read itself when few rows come back, is passed by. Listeners for
`before_cursor_execute` hear them like any other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import ClauseElement
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError

_texts: dict[tuple[int, str], tuple[ClauseElement, str, tuple[str, ...] | None, dict[str, Any]]] = {}


def rows(connection: Connection, statement: ClauseElement, parameters: Mapping[str, Any] | None = None) -> list[Any]:
    """Every row as a tuple. The statement is a module's own."""
    text, values = _said(connection, statement, parameters)
    cursor = _asked(connection, text, values, many=False)
    try:
        return list(cursor.fetchall())
    except connection.dialect.loaded_dbapi.Error as error:
        raise _wrapped(connection, text, values, error) from error
    finally:
        cursor.close()


def stream(
    connection: Connection, statement: ClauseElement, parameters: Mapping[str, Any], at_once: int
) -> Iterator[Any]:
    """The rows as tuples, so many at a time taken from the driver. The statement is a module's own."""
    text, values = _said(connection, statement, parameters)
    cursor = _asked(connection, text, values, many=False)
    try:
        while found := cursor.fetchmany(at_once):
            yield from found
    except connection.dialect.loaded_dbapi.Error as error:
        raise _wrapped(connection, text, values, error) from error
    finally:
        cursor.close()


def run(connection: Connection, text: str, values: Any, *, many: bool) -> None:
    """Run a statement in the driver's own words, once or for each of many rows of values."""
    _asked(connection, text, values, many=many).close()


def _said(connection: Connection, statement: ClauseElement, parameters: Mapping[str, Any] | None) -> tuple[str, Any]:
    """The statement in the driver's own words, and the values in its order."""
    dialect = connection.dialect
    key = (id(statement), dialect.name)
    held = _texts.get(key)
    if held is None:
        compiled: Any = statement.compile(dialect=dialect, compile_kwargs={"render_postcompile": True})
        order = tuple(compiled.positiontup) if compiled.positional else None
        held = _texts[key] = (statement, compiled.string, order, dict(compiled.params))
    _, text, order, constants = held
    given = {**constants, **parameters} if parameters else constants
    return text, tuple([given[name] for name in order]) if order is not None else given


def _asked(connection: Connection, text: str, values: Any, *, many: bool) -> Any:
    """The driver's cursor after the statement; the caller closes it."""
    cursor = connection.connection.cursor()
    try:
        for hear in connection.dispatch.before_cursor_execute:
            hear(connection, cursor, text, values, None, many)
        (cursor.executemany if many else cursor.execute)(text, values)
    except BaseException as error:
        cursor.close()
        if isinstance(error, connection.dialect.loaded_dbapi.Error):
            raise _wrapped(connection, text, values, error) from error
        raise
    return cursor


def _wrapped(connection: Connection, text: str, values: Any, error: Any) -> Exception:
    """The driver's error as Core would raise it."""
    dialect = connection.dialect
    wrapped: Exception = DBAPIError.instance(text, values, error, dialect.loaded_dbapi.Error, dialect=dialect)
    return wrapped
