"""Facts of planning: when airframes are on the ground long enough for work, and the least life a unit must have left to
be fitted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fleetlife.ledger.fact import Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundTime(Fact):
    """A period on the ground long enough for work, both days included."""

    KIND: ClassVar[str] = "ground_time"
    KEY: ClassVar[tuple[str, ...]] = ("airframe", "ground_from")
    airframe: int
    ground_from: str
    ground_to: str
    station: str
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastLife(Fact):
    """The days of life that a unit must have left when it is fitted, by the operator's own rule from a day on.
    `operator` None: on airframes of every operator; `part_number` None: units of every part."""

    KIND: ClassVar[str] = "least_life"
    KEY: ClassVar[tuple[str, ...]] = ("operator", "part_number", "effective_from")
    operator: str | None = None
    part_number: str | None = None
    effective_from: str
    days: int
    reference: str


PLANNING_FACTS = (GroundTime, LeastLife)
