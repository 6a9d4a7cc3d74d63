"""`export`: the standing facts as the files that import takes, one row a fact."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from fleetlife.dates.partial import day_number
from fleetlife.follows.reference import Reference
from fleetlife.ledger import facts as f
from fleetlife.ledger.planning import GroundTime, LeastLife
from fleetlife.ledger.publications import Applicability, Compliance, NotEmbodied, Publication
from fleetlife.ledger.swaps import (
    AirframeState,
    Authorisation,
    Deferral,
    DeferralClosed,
    GaugeReading,
    PositionWork,
    PressureBand,
    ReleaseItem,
    SwapPlan,
    SwapSignature,
    SwapStep,
)
from fleetlife.store.engine import Store
from fleetlife.store.reference import facts_of_kind, load_reference, unit_facts
from fleetlife.store.unit_ids import unit_ids
from fleetlife.terms.measure import hours_text
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.columns import FILES
from fleetlife.transfer.writing import write_csv, write_xlsx

Values = dict[str, Any]

# Which fact a file holds, and the columns that are called otherwise there.
KINDS: dict[str, tuple[type[f.Fact], dict[str, str]]] = {
    "types": (f.AirframeType, {}),
    "positions": (f.Position, {}),
    "airframes": (f.Airframe, {"registered_from": "from", "registered_until": "until"}),
    "registrations": (f.Registration, {"registered_from": "from", "registered_until": "until"}),
    "modifications": (f.AirframeModification, {"embodied_on": "date"}),
    "parts": (f.Part, {"mass_grams": "mass_kg"}),
    "slots": (f.Slot, {}),
    "eligibility": (f.Eligibility, {}),
    "alternates": (f.Alternate, {}),
    "intermix": (f.Intermix, {}),
    "counters": (f.Counter, {"measure": "unit"}),
    "requirements": (
        f.Requirement,
        {
            "first_minutes": "first_hours",
            "repeat_minutes": "repeat_hours",
            "window_early_minutes": "window_early_hours",
            "window_late_minutes": "window_late_hours",
        },
    ),
    "bands": (f.Band, {"repeat_minutes": "repeat_hours"}),
    "publications": (Publication, {}),
    "applicability": (Applicability, {"excepted": "except", "unit_group": "group"}),
    "compliance": (
        Compliance,
        {
            "unit_group": "group",
            "minutes_after": "hours_after",
            "minutes_since_new": "hours_since_new",
            "repeat_minutes": "repeat_hours",
        },
    ),
    "units": (f.Opening, {"minutes_since_new": "hours_since_new", "placed_on": "installed"}),
    "unit_counters": (f.UnitCounter, {}),
    "unit_modifications": (f.UnitModification, {"embodied_on": "date"}),
    "not_embodied": (NotEmbodied, {"read_on": "date"}),
    "accomplishments": (
        f.Accomplishment,
        {"done_on": "date", "minutes_since_new": "hours_since_new", "minutes_since": "hours_since"},
    ),
    "operations": (f.Operation, {"operated_on": "date"}),
    "certificates": (f.Certificate, {"dated_on": "date", "minutes_since_new": "hours_since_new"}),
    "readings": (f.Reading, {"read_on": "date", "minutes": "hours_total", "cycles": "cycles_total"}),
    "counter_readings": (f.CounterReading, {"read_on": "date"}),
    "movements": (f.Movement, {"moved_on": "date", "minutes_total": "hours_total"}),
    "transfers": (f.Transfer, {"moved_on": "date", "target": "to"}),
    "utilisation": (
        f.Utilisation,
        {
            "planned_from": "from",
            "planned_to": "to",
            "minutes_per_day": "hours_per_day",
            "millicycles_per_day": "cycles_per_day",
        },
    ),
    "variations": (
        f.Variation,
        {"until_on": "until", "until_minutes": "until_hours"},
    ),
    "receipts": (f.Receipt, {"received_on": "date"}),
    "hold_decisions": (f.HoldDecision, {"decided_on": "date"}),
    "airframe_states": (AirframeState, {"since_on": "from"}),
    "release_items": (ReleaseItem, {}),
    "pressures": (PressureBand, {"millicelsius": "celsius", "pressure_unit": "unit"}),
    "authorisations": (Authorisation, {"valid_from": "from", "valid_to": "until"}),
    "ground_times": (GroundTime, {"ground_from": "from", "ground_to": "until"}),
    "least_lives": (LeastLife, {"effective_from": "from"}),
    "swap_plans": (SwapPlan, {"planned_on": "date", "target_on": "target"}),
    "swap_steps": (SwapStep, {"stepped_on": "date"}),
    "position_work": (PositionWork, {"worked_on": "date"}),
    "gauge_readings": (GaugeReading, {"read_on": "date", "pressure_unit": "unit", "millicelsius": "celsius"}),
    "swap_signatures": (SwapSignature, {"signed_on": "date"}),
    "deferrals": (Deferral, {"opened_on": "opened", "expires_on": "expires"}),
    "organisations": (f.Organisation, {}),
    "approvals": (f.Approval, {"valid_from": "from", "valid_to": "until"}),
    "plate_readings": (
        f.PlateReading,
        {"read_on": "date", "part_number": "plate_part_number", "serial_number": "plate_serial_number"},
    ),
}
# Fields that name a unit, and the beginning of the columns that name it in the file.
UNIT_PREFIXES = {
    "removed": "removed_",
    "installed": "installed_",
    "parent": "parent_",
    "incoming": "incoming_",
    "outgoing": "outgoing_",
}
# Figures of the counter that the fact names.
_COUNTED = frozenset(("total", "since_new", "counter_since_new", "counter_since"))
_DAYS = (
    *("moved_on", "read_on", "embodied_on", "planned_from", "as_of"),
    *("planned_on", "worked_on", "opened_on", "since_on", "ground_from"),
)


def export(store: Store, folder: Path, *, workbook: bool = False) -> Iterator[tuple[str, int]]:
    """Write every file that has rows; (file name, rows) as each is done. Refusal: `folder-not-empty`."""
    folder.mkdir(parents=True, exist_ok=True)
    suffix = ".xlsx" if workbook else ".csv"
    there = [name for name in KINDS for s in (".csv", ".xlsx") if (folder / f"{name}{s}").exists()]
    if there:
        raise Refusal(
            "folder-not-empty",
            f"{folder} already holds {', '.join(sorted(set(there)))}.",
            remedy="Name an empty folder: files of two exports must not be mixed.",
        )
    write = write_xlsx if workbook else write_csv
    with store.reading() as connection:
        reference = load_reference(connection)
        openings = unit_facts(connection, unit_ids(connection))
        for file in FILES:
            if file.name not in KINDS:
                continue
            kind, renamed = KINDS[file.name]
            row = _row_of(reference, openings, renamed, frozenset(file.column_names))
            if kind is Deferral:
                row = _with_closings(row, facts_of_kind(connection, DeferralClosed))
            facts = (fact for _, fact in facts_of_kind(connection, kind))
            first = next(facts, None)
            if first is None:
                continue
            name = f"{file.name}{suffix}"
            yield name, write(folder / name, file.name, (row(fact) for fact in _chained(first, facts)))


def _chained(first: f.Fact, rest: Iterable[f.Fact]) -> Iterator[f.Fact]:
    yield first
    yield from rest


def _row_of(
    reference: Reference, openings: dict[int, f.Opening], renamed: dict[str, str], columns: frozenset[str]
) -> Callable[[f.Fact], Values]:
    """Makes a fact a row of its file. A figure of a counter is written as the counter counts."""
    measures = reference.counter_measures

    def row(fact: f.Fact) -> Values:
        values: Values = {}
        counter = getattr(fact, "counter", None)
        for name, value in fact.body().items():
            column = renamed.get(name, name)
            if name == "airframe":
                values.update(_airframe(reference, fact, value, columns))
            elif name in UNIT_PREFIXES:
                values.update(_unit(openings[value], UNIT_PREFIXES[name], columns))
            elif name == "unit":
                if not isinstance(fact, f.Opening):
                    prefix = "filed_" if isinstance(fact, f.Certificate) else ""
                    values.update(_unit(openings[value], prefix, columns))
            elif name in _COUNTED and column in columns:
                values[column] = hours_text(value) if measures[counter or ""] == "hours" else str(value)
            elif column in columns:
                values[column] = value
        if isinstance(fact, f.Opening) and fact.place == "store":
            values["store"] = fact.place_name
        return values

    return row


def _with_closings(
    row: Callable[[f.Fact], Values], closings: Iterable[tuple[int, f.Fact]]
) -> Callable[[f.Fact], Values]:
    """The rows of deferrals, each with its closing where it is closed."""
    closed = {
        (fact.airframe, fact.position, fact.opened_on): fact for _, fact in closings if isinstance(fact, DeferralClosed)
    }

    def with_closing(fact: f.Fact) -> Values:
        assert isinstance(fact, Deferral)
        values, closing = row(fact), closed.get((fact.airframe, fact.position, fact.opened_on))
        if closing is not None:
            values |= {"closed": closing.closed_on, "closed_by": closing.closed_by}
        return values

    return with_closing


def _airframe(reference: Reference, fact: f.Fact, airframe: int, columns: frozenset[str]) -> Values:
    """The airframe by its registration on the row's own day, or by its constructor's serial."""
    if isinstance(fact, (f.Airframe, f.Registration)):
        return {"constructor_serial": reference.airframes[airframe].constructor_serial}
    day = next((getattr(fact, name) for name in _DAYS if getattr(fact, name, None)), None)
    if day is None or "registration" not in columns:
        return {}
    return {"registration": reference.registration_on(airframe, day_number(day))}


def _unit(opening: f.Opening, prefix: str, columns: frozenset[str]) -> Values:
    """The unit by the numbers of its opening statement."""
    named = {
        f"{prefix}part_number": opening.part_number,
        f"{prefix}serial_number": opening.serial_number,
        f"{prefix}manufacturer": opening.manufacturer,
    }
    return {name: value for name, value in named.items() if name in columns}
