"""What every fact can say of itself: its JSON, its key, its day, and whom it touches."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any, ClassVar

from fleetlife.terms.number import fold


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    KIND: ClassVar[str] = ""
    KEY: ClassVar[tuple[str, ...]] = ()

    def body(self) -> dict[str, Any]:
        """The JSON object: fields in order, None left out."""
        return {name: value for name in field_names(type(self)) if (value := getattr(self, name)) is not None}

    def key(self) -> str:
        """Kind and natural key as one text. Two spellings of a number, folded alike, are one key; a bar inside a field
        is marked, so that no two keys read alike."""
        return "|".join([self.KIND, *["" if (v := getattr(self, n)) is None else _marked(str(v)) for n in self.KEY]])

    def dated(self) -> str | None:
        """The day of the fact as text, partial for marks; None for what holds without one."""
        for name in _own(self, _DATED_OF, DATED):
            value = getattr(self, name)
            if value is not None:
                return str(value)
        return None

    def unit_ids(self) -> tuple[int, ...]:
        """The units the fact touches."""
        names = _own(self, _UNITS_OF, UNIT_FIELDS)
        return tuple([v for n in names if (v := getattr(self, n)) is not None]) if names else ()

    def airframe_ids(self) -> tuple[int, ...]:
        """The airframes the fact touches."""
        value = getattr(self, "airframe", None)
        return () if value is None else (value,)


@lru_cache(maxsize=1 << 14)
def _marked(text: str) -> str:
    text = fold(text)
    return text.replace("\\", "\\\\").replace("|", "\\|") if "|" in text or "\\" in text else text


DATED = (
    *("moved_on", "done_on", "dated_on", "operated_on", "embodied_on", "approved_on", "as_of", "read_on"),
    *("received_on", "decided_on"),
    *("planned_on", "stepped_on", "worked_on", "signed_on", "closed_on", "opened_on", "since_on"),
)
UNIT_FIELDS = ("unit", "removed", "installed", "displaced", "parent", "incoming", "outgoing")


_NAMES: dict[str, tuple[str, ...]] = {}
_UNITS_OF: dict[str, tuple[str, ...]] = {}
_DATED_OF: dict[str, tuple[str, ...]] = {}


def _own(fact: Fact, held: dict[str, tuple[str, ...]], names: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the names that are fields of the fact's class, found once for each class."""
    kind = fact.KIND
    if kind not in held:
        fields_of = field_names(type(fact))
        held[kind] = tuple(name for name in names if name in fields_of)
    return held[kind]


def field_names(kind: type[Fact]) -> tuple[str, ...]:
    """The field names of a fact class, in order."""
    names = _NAMES.get(kind.KIND)
    if names is None:
        names = _NAMES[kind.KIND] = tuple(f.name for f in fields(kind))
    return names
