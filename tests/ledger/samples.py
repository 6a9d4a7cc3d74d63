"""One fact of every kind, and hypothesis strategies for them."""

from __future__ import annotations

from dataclasses import MISSING, fields
from datetime import date
from typing import Any

from hypothesis import strategies as st

from fleetlife.ledger.facts import FACTS, Fact

DAYS = st.dates(min_value=date(1950, 1, 1), max_value=date(2099, 12, 31)).map(date.isoformat)
TEXT = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), max_size=30)
IDS = st.integers(1, 2**40)
WHOLE = st.integers(0, 2**40)


def strategy_of(annotation: str, name: str) -> st.SearchStrategy[Any]:
    """Values for a field by its annotation; days where the name says so."""
    base: st.SearchStrategy[Any]
    if annotation.startswith("bool"):
        base = st.booleans()
    elif annotation.startswith("int"):
        base = IDS
    elif name.endswith(("_on", "as_of", "_from", "_to")) and name not in ("serial_from", "serial_to", "removed_to"):
        base = DAYS
    else:
        base = TEXT
    return st.none() | base if "None" in annotation else base


def facts_of_kind(kind: type[Fact]) -> st.SearchStrategy[Fact]:
    return st.builds(kind, **{f.name: strategy_of(str(f.type), f.name) for f in fields(kind)})


ANY_FACT = st.sampled_from(list(FACTS.values())).flatmap(facts_of_kind)


def bare(kind: type[Fact]) -> Fact:
    """The least that a fact of the kind states."""
    given: dict[str, Any] = {}
    for field in fields(kind):
        if field.default is not MISSING:
            continue
        annotation = str(field.type)
        if annotation.startswith(("int", "bool")):
            given[field.name] = 1 if annotation.startswith("int") else True
        else:
            days = ("_on", "as_of", "_from", "_to")
            given[field.name] = "2024-03-01" if field.name.endswith(days) else "X"
    return kind(**given)
