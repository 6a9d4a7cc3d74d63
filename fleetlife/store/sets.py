"""A set of ids, keys or pairs as a parameter, so that a statement's text does not depend on how many there are."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import ARRAY, BigInteger, ColumnElement, Text, any_, bindparam, column, func, select
from sqlalchemy.engine import Connection

DIALECTS = ("sqlite", "postgresql")


def among(expression: ColumnElement[Any], name: str, dialect: str) -> ColumnElement[bool]:
    """`expression` is in the set bound to `name`; give the set through `set_value`."""
    if dialect == "sqlite":
        given = func.json_each(bindparam(name)).table_valued(column("value"), name=f"{name}_given")
        return expression.in_(select(given.c.value))
    kind = Text() if isinstance(expression.type, Text) else BigInteger()
    return expression == any_(bindparam(name, type_=ARRAY(kind)))


def set_value(connection: Connection, values: Iterable[Any]) -> Any:
    """The set as the parameter that `among` takes."""
    return json.dumps(list(values)) if connection.dialect.name == "sqlite" else list(values)


def pair_values(connection: Connection, pairs: Sequence[tuple[int, int]]) -> dict[str, Any]:
    """Pairs of whole numbers as the parameters of a textual statement: `pairs`, or `firsts` and `seconds`."""
    if connection.dialect.name == "sqlite":
        return {"pairs": json.dumps(pairs)}
    return {"firsts": [first for first, _ in pairs], "seconds": [second for _, second in pairs]}
