"""The sheet of a swap: one page that goes to the door and comes back filled."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.swaps import SwapCard
from fleetlife.terms.views import LifeLeft, Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetUnit:
    """A unit as the sheet shows it. `rig_in_hand`: the side it is recorded as rigged for; `mass_grams` of its part.

    `release`: the last release filed against it, in words; None where there is none.
    """

    part_number: str
    serial_number: str
    manufacturer: str | None
    description: str | None
    rig: str | None
    rig_in_hand: str | None
    mass_grams: int | None
    release: str | None
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetTable:
    """What a gauge may show: (thousandths of a degree, least, most) in thousandths of `pressure_unit`."""

    unit: str
    pressure_unit: str
    rows: tuple[tuple[int, int, int], ...]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapSheet:
    """`fitted_on`: the day for which the answer and what is left are told; `outcome` None: no unit is chosen."""

    card: SwapCard
    incoming: SheetUnit | None
    outgoing: SheetUnit | None
    fitted_on: str
    outcome: str | None
    reasons: tuple[Reason, ...]
    life: tuple[LifeLeft, ...]
    not_checked: tuple[str, ...]
    tables: tuple[SheetTable, ...]
    symbol: str
