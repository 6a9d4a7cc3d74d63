"""Guards of the database that an honest writer can run into, told as refusals.

Two people may record the same thing between one's reading and writing; what the database then says is an
anticipated no. A guard that only a fault of ours can trip stays an error and crashes.
"""

from __future__ import annotations

import re

from sqlalchemy.exc import DBAPIError

from fleetlife.ledger.facts import FACTS
from fleetlife.terms.refusal import Refusal

_GUARD = re.compile(r"guard ([a-z_]+): (.*)")

_FOREIGN_KEY = "foreign_key"

_RACES: dict[str, tuple[str, str, str]] = {
    "ix_fact_one_stands": (
        "fact-conflict",
        "Another entry states a fact of the same key already.",
        "Look at what stands now; to change it, record a correction.",
    ),
    "uq_unit_identity": (
        "unit-exists",
        "A unit of this part number, serial number and manufacturer exists already.",
        "Look it up with `fleetlife unit`; to change its opening statement, record a correction.",
    ),
    "uq_airframe_constructor_serial": (
        "airframe-exists",
        "An airframe of this constructor's serial exists already.",
        "Look it up with `fleetlife airframe`.",
    ),
    "reading_never_falls": (
        "totals-fall",
        "The totals would fall: a reading before is higher, or one after is lower.",
        "Check the figures; if the standing reading is the wrong one, record a correction of it first.",
    ),
    "counter_reading_never_falls": (
        "totals-fall",
        "The counter would fall: a reading before is higher, or one after is lower.",
        "Check the figures; if the standing reading is the wrong one, record a correction of it first.",
    ),
    "movement_never_falls": (
        "totals-fall",
        "The totals stated with the movement do not fit the readings around it.",
        "Check the figures; if a reading is the wrong one, record a correction of it first.",
    ),
    "placement_unit_overlap": (
        "unit-in-two-places",
        "The unit would be in two places at once.",
        "Look at its stays with `fleetlife unit`, then record the missing removal or transfer first.",
    ),
    "placement_place_overlap": (
        "place-holds-two-units",
        "The place would hold two units at once.",
        "Look at the place with `fleetlife airframe`, then record the missing removal first, or say `found`.",
    ),
    _FOREIGN_KEY: (
        "still-referred-to",
        "Other entries speak of what would be taken away.",
        "Withdraw or correct those first; to change what it says, correct the entry instead.",
    ),
    "carriage_unit_overlap": (
        "unit-carried-twice",
        "The unit would be carried by two airframes at once.",
        "Look at its stays with `fleetlife unit`, then record the missing removal or transfer first.",
    ),
}
# How each database names the same constraints: SQLite tells columns of unique indexes.
_SQLITE_UNIQUE = {
    "fact.fact_key": "ix_fact_one_stands",
    "unit.serial_fold, unit.part_fold, unit.manufacturer_fold": "uq_unit_identity",
    "airframe.constructor_serial": "uq_airframe_constructor_serial",
    "placement.place_key": "placement_place_overlap",
    "placement.place_key, placement.from_moment": "placement_place_overlap",
    "placement.unit_id": "placement_unit_overlap",
    "placement.unit_id, placement.from_moment": "placement_unit_overlap",
    "carriage.unit_id": "carriage_unit_overlap",
    "carriage.unit_id, carriage.from_moment": "carriage_unit_overlap",
}
_ALIASES = {
    "ix_placement_one_open_a_unit": "placement_unit_overlap",
    "pk_placement": "placement_unit_overlap",
    "ix_placement_one_open_a_place": "placement_place_overlap",
    "ix_placement_place": "placement_place_overlap",
    "ix_carriage_one_open_a_unit": "carriage_unit_overlap",
    "pk_carriage": "carriage_unit_overlap",
}


# SQLite's own words where the file itself is at fault, not what was asked of it.
_FILE_AT_FAULT = ("disk I/O error", "malformed", "not a database", "unable to open", "readonly database", "is full")


def database_lost(error: DBAPIError) -> Refusal | None:
    """The refusal when the database went away or cannot be read or written any more; None for any other error."""
    if not error.connection_invalidated and not any(words in str(error.orig) for words in _FILE_AT_FAULT):
        state = str(getattr(error.orig, "sqlstate", None) or "")
        if not state.startswith(("08", "57P", "53")):
            return None
    cause = str(error.orig).strip().splitlines()
    return Refusal(
        "database-lost",
        f"The database does not answer any more: {cause[0] if cause else 'the connection is gone'}.",
        remedy="Check the server or the disk. Before recording again look at `fleetlife ledger head`: the answer may "
        "have been lost after the work was done.",
        status=4,
    )


def guard_name(error: DBAPIError) -> str | None:
    """The name of the guard or constraint that refused; None when the database does not say."""
    text = str(error.orig)
    if match := _GUARD.search(text):
        return match[1]
    diagnosis = getattr(error.orig, "diag", None)
    if "FOREIGN KEY constraint failed" in text or getattr(error.orig, "sqlstate", None) == "23503":
        return _FOREIGN_KEY
    if diagnosis is not None:
        name: str | None = diagnosis.constraint_name
        return name
    if "UNIQUE constraint failed: " in text:
        columns = text.partition("UNIQUE constraint failed: ")[2].strip()
        return _SQLITE_UNIQUE.get(columns, columns)
    if "CHECK constraint failed: " in text:
        return text.partition("CHECK constraint failed: ")[2].strip()
    return None


def refused_by_guard(error: DBAPIError) -> Refusal | None:
    """The refusal for a guard that an honest writer can meet; None for a fault of ours."""
    name = guard_name(error)
    if name is None:
        return None
    found = _RACES.get(_ALIASES.get(name, name)) or _not_possible(name)
    if found is None:
        return None
    code, message, remedy = found
    return Refusal(code, message, remedy=remedy)


def _not_possible(constraint: str) -> tuple[str, str, str] | None:
    """What no fact can hold, however it is stated: a correction is free text until it is written. None for a check of
    a table that is no table of facts, which only a fault of ours can fail."""
    kind = max((kind for kind in FACTS if constraint.startswith(f"ck_{kind}_")), key=len, default=None)
    if kind is None:
        return None
    name = constraint.removeprefix(f"ck_{kind}_").replace("_", " ")
    return (
        "value-impossible",
        f"Stated like that it cannot be, of kind {kind.replace('_', ' ')}: {name}.",
        "Correct what is stated; docs/files.md tells what the columns take.",
    )
