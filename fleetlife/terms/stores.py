"""What the stores inspector gets: what was received and decided, and what lies in the stores."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.views import About, DifferenceRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """Why a receipt holds a unit. decided: a person must lift it; else it goes when record and unit agree."""

    on: str
    text: str
    decided: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitReceived:
    """The entry, the unit and what holds it after it. told: what was not seen, and what to know beside."""

    entry: int
    ledger_head: str
    name: str
    introduced: bool
    place: str
    hold: str | None
    causes: tuple[Cause, ...]
    told: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    moved: tuple[DifferenceRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionRecorded:
    """The entry, the unit, and what holds it after it. told: what to know beside."""

    entry: int
    ledger_head: str
    name: str
    decision: str
    hold: str | None
    told: tuple[str, ...] = ()
    moved: tuple[DifferenceRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StoresRow:
    """A unit in a store. `side` is what it is rigged for, and for what the part is; `next_*`: the first of its rows or
    of those of what it holds to fall due, as `due` tells it; `left`: the least that is left, in words."""

    store: str | None
    bin: str | None
    part_number: str
    serial_number: str
    manufacturer: str | None
    description: str | None
    side: str
    rig: str | None
    condition: str
    hold: str | None
    suspected: bool
    since: str
    state: str | None
    requirement: str | None
    of_part_number: str | None
    of_serial_number: str | None
    due_date: str | None
    due_if_fitted: str | None
    days_left: int | None
    hours_left: int | None
    cycles_left: int | None
    operations_left: int | None
    estimated: bool
    unknown_rows: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StoresList:
    """Units in the stores, by store, worst first. on_hold: how many of them."""

    about: About
    rows: tuple[StoresRow, ...]
    on_hold: int
    suspected: int
    fitted_on: str | None = None
