"""Small reads and writes at the driver's own price: a statement's text is made once, rows come as plain tuples.

For statements that run many times in one recording. They are written as Core statements all the same; only the result
machinery, which costs more than the read itself when few rows come back, is passed by. Listeners for
`before_cursor_execute` hear them like any other.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import ClauseElement
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError

_texts: dict[tuple[int, str], tuple[ClauseElement, str, tuple[str, ...] | None, dict[str, Any]]] = {}


def rows(connection: Connection, statement: ClauseElement, parameters: Mapping[str, Any] | None = None) -> list[Any]:
    """Every row as a tuple. The statement is a module's own."""
    dialect = connection.dialect
    key = (id(statement), dialect.name)
    held = _texts.get(key)
    if held is None:
        compiled: Any = statement.compile(dialect=dialect, compile_kwargs={"render_postcompile": True})
        order = tuple(compiled.positiontup) if compiled.positional else None
        held = _texts[key] = (statement, compiled.string, order, dict(compiled.params))
    _, text, order, constants = held
    given = {**constants, **parameters} if parameters else constants
    values: Any = tuple([given[name] for name in order]) if order is not None else given
    return _asked(connection, text, values, many=False, fetch=True)


def run(connection: Connection, text: str, values: Any, *, many: bool) -> None:
    """Run a statement in the driver's own words, once or for each of many rows of values."""
    _asked(connection, text, values, many=many, fetch=False)


def _asked(connection: Connection, text: str, values: Any, *, many: bool, fetch: bool) -> list[Any]:
    """What the driver answers; its errors come wrapped as Core's do."""
    dialect = connection.dialect
    cursor = connection.connection.cursor()
    try:
        for hear in connection.dispatch.before_cursor_execute:
            hear(connection, cursor, text, values, None, many)
        (cursor.executemany if many else cursor.execute)(text, values)
        return list(cursor.fetchall()) if fetch else []
    except dialect.loaded_dbapi.Error as error:
        raise DBAPIError.instance(text, values, error, dialect.loaded_dbapi.Error, dialect=dialect) from error
    finally:
        cursor.close()
