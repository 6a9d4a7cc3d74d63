"""Reference facts and look-ups of airframes and units by their numbers."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from sqlalchemy import bindparam, select, text
from sqlalchemy.engine import Connection

from fleetlife.follows.reference import Reference
from fleetlife.ledger.facts import (
    Airframe,
    AirframeModification,
    AirframeType,
    Alternate,
    Approval,
    Band,
    Counter,
    Eligibility,
    Fact,
    Intermix,
    Opening,
    Organisation,
    Part,
    Position,
    Registration,
    Requirement,
    Slot,
    Utilisation,
)
from fleetlife.ledger.planning import GroundTime, LeastLife
from fleetlife.ledger.publications import Applicability, Compliance, Publication
from fleetlife.ledger.swaps import AirframeState, Authorisation, PressureBand, ReleaseItem
from fleetlife.model.units import unit, unit_modification
from fleetlife.store import quick
from fleetlife.store.bulk import batches
from fleetlife.store.facts import next_airframe_id, next_unit_id
from fleetlife.store.sets import DIALECTS, among, set_value
from fleetlife.store.typed import TYPED, Typed
from fleetlife.terms.number import fold

REFERENCE_KINDS: tuple[type[Fact], ...] = (
    AirframeType,
    Position,
    Airframe,
    Registration,
    AirframeModification,
    Part,
    Slot,
    Eligibility,
    Alternate,
    Intermix,
    Counter,
    Requirement,
    Band,
    Organisation,
    Approval,
    Publication,
    Applicability,
    Compliance,
    ReleaseItem,
    PressureBand,
    Authorisation,
    AirframeState,
    GroundTime,
    LeastLife,
)
CHUNK = 2_000
STREAM = 10_000


def _select_facts(typed: Typed) -> Any:
    columns = typed.table.c
    return select(*(columns[name] for name in typed.fields), columns.entry_number, columns.entry_item)


_ALL = {
    name: _select_facts(typed).order_by(typed.table.c.entry_number, typed.table.c.entry_item)
    for name, typed in TYPED.items()
}
_OF_UNITS = {
    (name, dialect): _select_facts(typed)
    .where(among(typed.table.c.unit, "units", dialect))
    .order_by(typed.table.c.unit, typed.table.c.entry_number, typed.table.c.entry_item)
    for name, typed in TYPED.items()
    if "unit" in typed.fields
    for dialect in DIALECTS
}


def facts_of_kind(connection: Connection, kind: type[Fact]) -> Iterator[tuple[int, Fact]]:
    """(entry number, fact) of every standing fact of the kind, in the order recorded. One statement."""
    typed = TYPED[kind.KIND]
    for row in quick.stream(connection, _ALL[kind.KIND], {}, STREAM):
        yield row[-2], typed.fact_of(row[:-2])


def reference_facts(
    connection: Connection, kinds: Iterable[type[Fact]] = REFERENCE_KINDS
) -> Iterator[tuple[int, Fact]]:
    """(entry number, fact) of all standing reference facts, one statement a kind."""
    for kind in kinds:
        yield from facts_of_kind(connection, kind)


def load_reference(connection: Connection) -> Reference:
    """Everything stated of types, airframes and parts."""
    return Reference(reference_facts(connection))


_KINDS = (*(kind.KIND for kind in REFERENCE_KINDS), "correction", "withdrawal")
# By the index over kinds, which both planners leave if let: PostgreSQL, asked for the highest number itself and not for
# one plus nothing, walks the entries backwards until one is of such a kind, past everything recorded since.
_IN_KINDS = ", ".join(f"'{kind}'" for kind in _KINDS)
MARK = {
    "sqlite": text(f"SELECT coalesce(max(number), 0) FROM entry INDEXED BY ix_entry_kind WHERE kind IN ({_IN_KINDS})"),
    "postgresql": text(f"SELECT coalesce(max(number + 0), 0) FROM entry WHERE kind IN ({_IN_KINDS})"),
}


def current_reference(connection: Connection, kept: dict[str, Any]) -> Reference:
    """The same, kept in `kept` (a store's own) until an entry may have changed it. Not to be added to."""
    mark = quick.rows(connection, MARK[connection.dialect.name])[0][0]
    held = kept.get("reference")
    if held is None or held[0] != mark:
        held = kept["reference"] = (mark, load_reference(connection))
    reference: Reference = held[1]
    return reference


def facts_of_units(connection: Connection, kind: type[Fact], unit_ids: Iterable[int]) -> list[tuple[int, Fact]]:
    """(entry number, fact) of the standing facts of the kind (one with a field `unit`) on the units, by unit."""
    typed, statement = TYPED[kind.KIND], _OF_UNITS[kind.KIND, connection.dialect.name]
    found: list[tuple[int, Fact]] = []
    for chunk in batches(sorted(set(unit_ids)), CHUNK):
        for row in quick.rows(connection, statement, {"units": set_value(connection, chunk)}):
            found.append((row[-2], typed.fact_of(row[:-2])))
    return found


def unit_facts(connection: Connection, unit_ids: Iterable[int]) -> dict[int, Opening]:
    """The opening statement of each unit."""
    return {fact.unit: fact for _, fact in facts_of_units(connection, Opening, unit_ids) if isinstance(fact, Opening)}


_PLANS = TYPED[Utilisation.KIND]
_PLANS_OF = {
    dialect: _select_facts(_PLANS)
    .where(among(_PLANS.table.c.airframe, "airframes", dialect))
    .order_by(_PLANS.table.c.entry_number, _PLANS.table.c.entry_item)
    for dialect in DIALECTS
}


def utilisation_plans(
    connection: Connection, airframe_ids: Collection[int] | None = None
) -> dict[int, list[Utilisation]]:
    """The planned utilisation by airframe, of all or of those named."""
    if airframe_ids is None:
        rows = quick.rows(connection, _ALL[Utilisation.KIND])
    else:
        named = {"airframes": set_value(connection, sorted(airframe_ids))}
        rows = quick.rows(connection, _PLANS_OF[connection.dialect.name], named)
    plans: dict[int, list[Utilisation]] = {}
    for row in rows:
        fact = _PLANS.fact_of(row[:-2])
        assert isinstance(fact, Utilisation)
        plans.setdefault(fact.airframe, []).append(fact)
    return plans


# --- by number ----------------------------------------------------------------------------------------------------

_IDENTITY = (unit.c.unit, unit.c.part_number, unit.c.serial_number, unit.c.manufacturer)
_BORNE = (unit_modification.c.unit, unit_modification.c.new_part_number, unit.c.serial_number, unit.c.manufacturer)
_RENAMED = unit_modification.join(unit, unit.c.unit == unit_modification.c.unit)
_BY_SERIAL = select(*_IDENTITY).where(unit.c.serial_fold == bindparam("serial"))
_BY_SERIAL_RENAMED = (
    select(*_BORNE)
    .select_from(_RENAMED)
    .where(unit.c.serial_fold == bindparam("serial"), unit_modification.c.new_part_fold != "")
)
_BY_NUMBER = {
    True: _BY_SERIAL.where(unit.c.part_fold == bindparam("part")).union_all(
        _BY_SERIAL_RENAMED.where(unit_modification.c.new_part_fold == bindparam("part"))
    ),
    False: _BY_SERIAL.union_all(_BY_SERIAL_RENAMED),
}


def units_by_number(
    connection: Connection, *, serial_number: str, part_number: str | None = None
) -> list[tuple[int, str, str, str | None]]:
    """(unit, part number it bore, serial number, manufacturer) for every unit of the serial number.

    With a part number only those that bear or have borne it. Case and white space do not count. A unit that has
    borne several part numbers comes once for each that fits. One statement.
    """
    parameters = {"serial": fold(serial_number)}
    if part_number is not None:
        parameters["part"] = fold(part_number)
    rows = quick.rows(connection, _BY_NUMBER[part_number is not None], parameters)
    return sorted((row[0], row[1], row[2], row[3]) for row in rows)


_NUMBERS = select(*_IDENTITY).union_all(
    select(*_BORNE).select_from(_RENAMED).where(unit_modification.c.new_part_fold != "")
)
_IDENTITIES = select(unit.c.part_fold, unit.c.serial_fold, unit.c.manufacturer_fold, unit.c.unit)


def unit_numbers(connection: Connection) -> Iterator[tuple[int, str, str, str | None]]:
    """(unit, part number, serial number, manufacturer) of every unit, once for each part number it has borne."""
    for row in connection.execute(_NUMBERS):
        yield row[0], row[1], row[2], row[3]


def unit_identities(connection: Connection) -> Iterator[tuple[tuple[str, str, str], int]]:
    """((part, serial, manufacturer), unit) of every unit, the three folded, as at manufacture."""
    for row in connection.execute(_IDENTITIES):
        yield (row[0], row[1], row[2]), row[3]


_MADE = select(unit.c.unit, unit.c.manufactured).where(unit.c.manufactured.is_not(None))


def manufacture_dates(connection: Connection) -> dict[int, str]:
    """When each unit was made, canonical text, of those of which it is known. One statement."""
    return {row[0]: row[1] for row in connection.execute(_MADE)}


def next_ids(connection: Connection) -> tuple[int, int]:
    """The first airframe id and the first unit id that no entry ever gave. Ask under the lock."""
    return next_airframe_id(connection), next_unit_id(connection)
