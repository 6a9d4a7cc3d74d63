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

    None where there are none: outside the table, or with neighbours that are not in one unit of pressure.
    """
    ordered = sorted(points, key=lambda point: point.millicelsius)
    exact = [point for point in ordered if point.millicelsius == millicelsius]
    if exact:
        return _straight(exact[0], exact[-1], millicelsius)
    colder = [point for point in ordered if point.millicelsius < millicelsius]
    warmer = [point for point in ordered if point.millicelsius > millicelsius]
    return _straight(colder[-1], warmer[0], millicelsius) if colder and warmer else None


def judge_pressure(
    *, part_number: str, points: Sequence[PressureBand], millicelsius: int, pressure: int, pressure_unit: str
) -> PressureAnswer:
    """What a gauge of the part showed, `pressure` in thousandths of `pressure_unit`, at a temperature.

    `millicelsius` are thousandths of a degree Celsius. Unknown: no table, one that states a temperature twice or is
    not in one unit, a reading in another unit than the table's, a temperature outside it.
    """
    read = f"{part_number} shows {thousandths_text(pressure)} {pressure_unit} at {_degrees(millicelsius)}"
    why = _not_comparable(points, pressure_unit) or _outside(points, millicelsius)
    if why:
        return PressureAnswer(outcome="unknown", reason=f"{read}, and whether that is right is not known: {why}.")
    bounds = bounds_at(points, millicelsius)
    assert bounds is not None, "inside a table in one unit there are bounds"
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


def _straight(colder: PressureBand, warmer: PressureBand, millicelsius: int) -> Bounds | None:
    """Both bounds on the line between two points, in whole numbers throughout."""
    if colder.pressure_unit != warmer.pressure_unit:
        return None
    if colder.millicelsius == warmer.millicelsius:
        points = (colder,) if colder == warmer else (colder, warmer)
        least, most = max(colder.minimum, warmer.minimum), min(colder.maximum, warmer.maximum)
        return Bounds(minimum=least, maximum=most, pressure_unit=colder.pressure_unit, points=points)
    along, whole = millicelsius - colder.millicelsius, warmer.millicelsius - colder.millicelsius
    return Bounds(
        minimum=colder.minimum - (colder.minimum - warmer.minimum) * along // whole,
        maximum=colder.maximum + (warmer.maximum - colder.maximum) * along // whole,
        pressure_unit=colder.pressure_unit,
        points=(colder, warmer),
    )


def _not_comparable(points: Sequence[PressureBand], pressure_unit: str) -> str | None:
    """Why the reading cannot be held against the table at all."""
    if not points:
        return "no pressures are stated for this part"
    units = list(dict.fromkeys(point.pressure_unit for point in points))
    if len(units) > 1:
        return f"its table is in {' and '.join(units)}, and nothing is converted"
    if units[0] != pressure_unit:
        return f"its table is in {units[0]}, and nothing is converted"
    stated: dict[int, tuple[int, int]] = {}
    for point in points:
        band = (point.minimum, point.maximum)
        if stated.setdefault(point.millicelsius, band) != band:
            return f"its table states {_degrees(point.millicelsius)} twice, with different pressures"
    return None


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
    first, last = bounds.points[0], bounds.points[-1]
    where = " and ".join(
        f"{_degrees(point.millicelsius)} ({_range(point.minimum, point.maximum)})"
        for point in ((first,) if first.millicelsius == last.millicelsius else (first, last))
    )
    how = f"stated for {where}" if first.millicelsius == last.millicelsius else f"on the line between {where}"
    one, other = _source(first), _source(last)
    if one == other:
        return f"{how}, by {one}" if one else f"{how}, without a reference"
    return f"{how}, the first by {one or 'no stated reference'} and the second by {other or 'no stated reference'}"


def _source(point: PressureBand) -> str:
    revision = f"revision {point.revision}" if point.revision else ""
    return " ".join(part for part in (point.reference, revision) if part)


def _range(minimum: int, maximum: int) -> str:
    return f"{thousandths_text(minimum)} to {thousandths_text(maximum)}"


def _degrees(millicelsius: int) -> str:
    return f"{thousandths_text(millicelsius)} °C"
