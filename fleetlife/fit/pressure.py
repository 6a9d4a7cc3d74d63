"""Is what a gauge shows right for the temperature at which it was read.

The part's own data states the least and the most at some temperatures. On one of them that point holds; between two
neighbours both bounds lie on a straight line; outside the table nothing is known. Nothing is extrapolated, nothing is
converted from one unit of pressure into another, and no law of gases is used: at these pressures the ideal one calls a
full reservoir low when it is cold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from fleetlife.ledger.swaps import PressureBand
from fleetlife.terms.measure import thousandths_text

PressureOutcome = Literal["within", "below", "above", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """The least and the most at a temperature, both included, in whole thousandths of `pressure_unit`.

    Rounded against the unit: the least up, the most down. `points` are those they are from, the colder one first: one
    where the table states that temperature, else two neighbours.
    """

    minimum: int
    maximum: int
    pressure_unit: str
    points: tuple[PressureBand, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureAnswer:
    """`reason` is one complete sentence with the figures. `bounds` are those applied, None where nothing is known.

    `sources` are the references with their revisions that the bounds rest on, each once; empty where none is stated.
    """

    outcome: PressureOutcome
    reason: str
    bounds: Bounds | None = None
    sources: tuple[str, ...] = ()


def bounds_at(points: Sequence[PressureBand], millicelsius: int) -> Bounds | None:
    """The bounds at a temperature (thousandths of a degree Celsius) from the points of one part, in any order.

    None where there are none: no table, one that contradicts itself, a temperature outside it.
    """
    if _no_table(points) or _outside(points, millicelsius):
        return None
    colder = max((point for point in points if point.millicelsius <= millicelsius), key=_temperature)
    warmer = min((point for point in points if point.millicelsius >= millicelsius), key=_temperature)
    return _straight(colder, warmer, millicelsius)


def judge_pressure(
    *, part_number: str, points: Sequence[PressureBand], millicelsius: int, pressure: int, pressure_unit: str
) -> PressureAnswer:
    """What a gauge of the part showed, `pressure` in thousandths of `pressure_unit`, at a temperature.

    `millicelsius` are thousandths of a degree Celsius. Unknown: no table, one that states a temperature twice or is
    not in one unit, a reading in another unit than the table's, a temperature outside it.
    """
    read = f"{part_number} shows {thousandths_text(pressure)} {pressure_unit} at {_degrees(millicelsius)}"
    why = _no_table(points) or _other_unit(points, pressure_unit) or _outside(points, millicelsius)
    bounds = None if why else bounds_at(points, millicelsius)
    if bounds is None:
        return PressureAnswer(outcome="unknown", reason=f"{read}, and whether that is right is not known: {why}.")
    sources = tuple(dict.fromkeys(source for point in bounds.points if (source := _source(point))))
    outcome: PressureOutcome
    if pressure < bounds.minimum:
        outcome, told = "below", f"below the least of {thousandths_text(bounds.minimum)}"
    elif pressure > bounds.maximum:
        outcome, told = "above", f"above the most of {thousandths_text(bounds.maximum)}"
    else:
        outcome, told = "within", f"within {_range(bounds.minimum, bounds.maximum)}"
    return PressureAnswer(
        outcome=outcome, reason=f"{read}, {told} {pressure_unit}: {_how(bounds)}.", bounds=bounds, sources=sources
    )


def _temperature(point: PressureBand) -> int:
    return point.millicelsius


def _straight(colder: PressureBand, warmer: PressureBand, millicelsius: int) -> Bounds:
    """Both bounds on the line between two points, in whole numbers throughout."""
    unit = colder.pressure_unit
    if colder.millicelsius == warmer.millicelsius:
        return Bounds(minimum=colder.minimum, maximum=colder.maximum, pressure_unit=unit, points=(colder,))
    along, whole = millicelsius - colder.millicelsius, warmer.millicelsius - colder.millicelsius
    least = colder.minimum - (colder.minimum - warmer.minimum) * along // whole  # rounded up
    most = colder.maximum + (warmer.maximum - colder.maximum) * along // whole  # rounded down
    return Bounds(minimum=least, maximum=most, pressure_unit=unit, points=(colder, warmer))


def _no_table(points: Sequence[PressureBand]) -> str | None:
    """Why the points are no table that a reading could be held against."""
    if not points:
        return "no pressures are stated for this part"
    units = list(dict.fromkeys(point.pressure_unit for point in points))
    if len(units) > 1:
        return f"its table is in {' and '.join(units)}, and nothing is converted"
    stated: dict[int, tuple[int, int]] = {}
    for point in points:
        band = (point.minimum, point.maximum)
        if stated.setdefault(point.millicelsius, band) != band:
            return f"its table states {_degrees(point.millicelsius)} twice, with different pressures"
    return None


def _other_unit(points: Sequence[PressureBand], pressure_unit: str) -> str | None:
    unit = points[0].pressure_unit
    return None if unit == pressure_unit else f"its table is in {unit}, and nothing is converted"


def _outside(points: Sequence[PressureBand], millicelsius: int) -> str | None:
    """Why the temperature is none of the table's."""
    coldest, warmest = min(p.millicelsius for p in points), max(p.millicelsius for p in points)
    if coldest <= millicelsius <= warmest:
        return None
    if coldest == warmest:
        return f"its table states {_degrees(coldest)} alone"
    return f"its table runs from {_degrees(coldest)} to {_degrees(warmest)}, and beyond it nothing is extrapolated"


def _how(bounds: Bounds) -> str:
    """From which points of the table, and whose table that is."""
    told = [f"{_degrees(p.millicelsius)} ({_range(p.minimum, p.maximum)})" for p in bounds.points]
    how = f"stated for {told[0]}" if len(told) == 1 else f"on the line between {told[0]} and {told[1]}"
    first, last = _source(bounds.points[0]), _source(bounds.points[-1])
    if first == last:
        return f"{how}, by {first}" if first else f"{how}, without a reference"
    return f"{how}, the first by {first or 'no stated reference'} and the second by {last or 'no stated reference'}"


def _source(point: PressureBand) -> str:
    revision = f"revision {point.revision}" if point.revision else ""
    return " ".join(part for part in (point.reference, revision) if part)


def _range(minimum: int, maximum: int) -> str:
    return f"{thousandths_text(minimum)} to {thousandths_text(maximum)}"


def _degrees(millicelsius: int) -> str:
    return f"{thousandths_text(millicelsius)} °C"
