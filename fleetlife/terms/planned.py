"""What the planner's page tells: the window with its spares, the doors, the removals to come, and the stock."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.spares import DueWithSpares, SparesOutlook


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorLeft:
    """A position, and what is left until something falls due on the unit there or on what it holds; soft lives apart.

    `state`: the worst of its rows, None where nothing hangs there; `due_on`: the earliest date of all, None where none
    is told; `unknown`: something of it cannot be told, whatever else is known. `in_window`: it falls due by the end of
    the window.
    """

    position: str
    side: str
    pair: str | None
    required: bool
    part_number: str | None = None
    serial_number: str | None = None
    state: str | None = None
    requirement: str | None = None
    due_on: str | None = None
    days_left: int | None = None
    in_window: bool = False
    unknown: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AirframeDoors:
    """An airframe with its positions, the foremost pair first. `status`: what it is doing, None where nobody said."""

    registration: str
    type: str
    station: str | None
    status: str | None
    doors: tuple[DoorLeft, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """A position from which a unit must come off, and the first requirement for which; `due_on` at the earliest."""

    registration: str
    position: str
    part_number: str
    serial_number: str
    requirement: str
    due_on: str
    overdue: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovalMonth:
    """A month and the positions from which a unit must come off in it; what is overdue stands in the first."""

    month: str
    removals: tuple[Removal, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """The planner's page. Doors and removals are of the airframes asked for, the stock of the whole fleet.

    `empty`: required positions where nothing hangs; `unknown`: positions where it cannot be told whether a unit must
    come off. Neither is in a month.
    """

    listed: DueWithSpares
    airframes: tuple[AirframeDoors, ...]
    months: tuple[RemovalMonth, ...]
    empty: int
    unknown: int
    outlook: SparesOutlook
