"""Between facts and the rows of their typed tables: one table a kind, its name the kind.

Days become ordinal numbers, claims 0 or 1; partial dates stay text. Columns that are no field of the fact (folded
texts, the requirement's key, provenance) are filled here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from operator import attrgetter
from typing import Any

from sqlalchemy import Table

from fleetlife.follows.rows import requirement_key
from fleetlife.ledger.facts import FACTS, Fact, Reading, field_names
from fleetlife.model import metadata
from fleetlife.terms.number import fold

PROVENANCE = ("entry_number", "entry_item")


@lru_cache(maxsize=65_536)
def day_of_text(text: str) -> int:
    """An ISO day as its ordinal number."""
    return date.fromisoformat(text).toordinal()


@lru_cache(maxsize=65_536)
def text_of_day(number: int) -> str:
    return date.fromordinal(number).isoformat()


@dataclass(frozen=True, slots=True)
class Typed:
    """How the facts of one kind are kept. `names` are the columns in the order of `row_of`."""

    fact: type[Fact]
    table: Table
    names: tuple[str, ...]
    row_of: Callable[[Fact, int, int], tuple[Any, ...]]
    key_names: tuple[str, ...]
    key_of: Callable[[Fact, int, int], tuple[Any, ...]]
    fact_of: Callable[[Sequence[Any]], Fact]
    """The fact of a row whose first columns are `fields`."""
    fields: tuple[str, ...]


def _to_value(info: dict[str, Any]) -> Callable[[Any], Any] | None:
    if info.get("day"):
        return lambda value: None if value is None else day_of_text(value)
    if info.get("flag"):
        return int
    return None


def _to_field(info: dict[str, Any]) -> Callable[[Any], Any] | None:
    if info.get("day"):
        return lambda value: None if value is None else text_of_day(value)
    if info.get("flag"):
        return bool
    return None


def _column_getter(table: Table, name: str, names: tuple[str, ...]) -> Callable[[Fact], Any]:
    info = table.c[name].info
    if of := info.get("fold"):
        get_folded = attrgetter(of)
        return lambda fact: fold(get_folded(fact))
    if info.get("requirement_key"):
        return lambda fact: requirement_key(
            fact.requirement,  # type: ignore[attr-defined]
            fact.part_number,  # type: ignore[attr-defined]
            fact.programme,  # type: ignore[attr-defined]
            fact.edition,  # type: ignore[attr-defined]
        )
    assert name in names, f"{table.name}.{name} is no field and nothing fills it"
    get, convert = attrgetter(name), _to_value(info)
    return get if convert is None else lambda fact: convert(get(fact))


def _typed(kind: type[Fact]) -> Typed:
    table, names = metadata.tables[kind.KIND], field_names(kind)
    own = tuple(c.name for c in table.c if c.name not in PROVENANCE)
    getters = tuple(_column_getter(table, name, names) for name in own)
    key_names = tuple(c.name for c in table.primary_key)
    by_provenance = key_names == PROVENANCE
    key_getters = () if by_provenance else tuple(_column_getter(table, name, names) for name in key_names)

    def row_of(fact: Fact, number: int, item: int) -> tuple[Any, ...]:
        return (*[get(fact) for get in getters], number, item)

    def key_of(fact: Fact, number: int, item: int) -> tuple[Any, ...]:
        return (number, item) if by_provenance else tuple([get(fact) for get in key_getters])

    converters = tuple(_to_field(table.c[name].info) for name in names)
    plain = tuple((name, convert) for name, convert in zip(names, converters, strict=True))

    def fact_of(row: Sequence[Any]) -> Fact:
        return kind(
            **{
                name: value if convert is None else convert(value)
                for (name, convert), value in zip(plain, row, strict=False)
            }
        )

    return Typed(
        fact=kind,
        table=table,
        names=(*own, *PROVENANCE),
        row_of=_reading_row if kind is Reading else row_of,  # type: ignore[arg-type]
        key_names=key_names,
        key_of=key_of,
        fact_of=fact_of,
        fields=names,
    )


def _reading_row(fact: Reading, number: int, item: int) -> tuple[Any, ...]:
    """The same as the general way, for the kind that comes by the million."""
    return (fact.airframe, day_of_text(fact.read_on), fact.minutes, fact.cycles, number, item)


TYPED: dict[str, Typed] = {name: _typed(kind) for name, kind in FACTS.items()}
