"""In which ground times the swaps that fall due are done."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.views import About


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedSwap:
    """A position that wants a swap, and the latest ground time that begins in time for it; without one its fields are
    None, and `why` says so.

    `due_on`: at the earliest. `place_on`: the day on which the work can begin; `days_given_away`: from it until the
    position falls due. `next_from`: the first day of the ground time that begins after it falls due. `swap`: the number
    of the swap that is planned there, with the day by which it is to be done.
    """

    registration: str
    constructor_serial: str
    position: str
    part_number: str | None
    serial_number: str | None
    state: str
    due_on: str
    requirement: str | None
    of_part_number: str | None
    of_serial_number: str | None
    place_on: str | None = None
    station: str | None = None
    ground_from: str | None = None
    ground_until: str | None = None
    ground_reference: str | None = None
    ground_entry: int | None = None
    days_given_away: int | None = None
    next_from: str | None = None
    next_station: str | None = None
    swap: str | None = None
    target: str | None = None
    why: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapsPlaced:
    """`unknown`: at how many more positions it cannot be told whether something falls due."""

    about: About
    until: str
    rows: tuple[PlacedSwap, ...]
    unknown: int

    @property
    def without(self) -> int:
        """How many have no ground time before they fall due."""
        return sum(row.place_on is None for row in self.rows)
