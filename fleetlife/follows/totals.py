"""Where an airframe's totals come from: a protocol, and an in-memory source for imports, checks and tests."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from typing import NamedTuple, Protocol

MEAN_SPAN_DAYS = 365
SHORTEST_SPAN_DAYS = 28


class Point(NamedTuple):
    """Totals at the end of a day: ordinal day number, minutes, cycles."""

    day: int
    minutes: int
    cycles: int


class Totals(Protocol):
    """Readings of airframes. Every answer is about ends of days."""

    def before(self, airframe_id: int, day: int) -> Point | None:
        """The last reading at or before `day`."""
        ...

    def after(self, airframe_id: int, day: int) -> Point | None:
        """The first reading at or after `day`."""
        ...


class Counters(Protocol):
    """Readings of counters, as totals whose one figure stands in both places: minutes and cycles."""

    def of(self, counter: str) -> Totals:
        """The readings of one counter."""
        ...


def projected(totals: Totals, airframe_id: int, day: int, *, known: Point | None = None) -> Point | None:
    """Totals at the end of `day` from the last reading before it and the mean growth before that, rounded up.

    `known`: totals somebody stated since that reading; what grows from them is the projection where that is higher.
    None when there is no reading at all. With too short a history to form a rate nothing grows.
    """
    base = totals.before(airframe_id, day)
    if base is None or base.day >= day:
        return base
    earlier = totals.before(airframe_id, base.day - MEAN_SPAN_DAYS)
    if earlier is None:
        earlier = totals.after(airframe_id, base.day - MEAN_SPAN_DAYS)
    span, minutes, cycles = 1, 0, 0
    if earlier is not None and base.day - earlier.day >= SHORTEST_SPAN_DAYS:
        span, minutes, cycles = base.day - earlier.day, base.minutes - earlier.minutes, base.cycles - earlier.cycles
    starts = [base] if known is None or known.day <= base.day else [base, known]
    return Point(
        day,
        max(start.minutes - -((day - start.day) * minutes) // span for start in starts),
        max(start.cycles - -((day - start.day) * cycles) // span for start in starts),
    )


class MemoryTotals:
    """Readings held in memory, by airframe, in order of day."""

    def __init__(self, readings: Mapping[int, Iterable[Point]]) -> None:
        self._points: dict[int, list[Point]] = {}
        self._days: dict[int, list[int]] = {}
        for airframe_id, points in readings.items():
            ordered = sorted(points)
            self._points[airframe_id] = ordered
            self._days[airframe_id] = [point.day for point in ordered]

    def before(self, airframe_id: int, day: int) -> Point | None:
        days = self._days.get(airframe_id)
        if not days:
            return None
        index = bisect_right(days, day)
        return self._points[airframe_id][index - 1] if index else None

    def after(self, airframe_id: int, day: int) -> Point | None:
        days = self._days.get(airframe_id)
        if not days:
            return None
        index = bisect_left(days, day)
        return self._points[airframe_id][index] if index < len(days) else None


class MemoryCounters:
    """Readings of counters held in memory: (day, total) by airframe and counter."""

    def __init__(self, readings: Mapping[tuple[int, str], Iterable[tuple[int, int]]]) -> None:
        series: dict[str, dict[int, list[Point]]] = {}
        for (airframe_id, counter), points in readings.items():
            series.setdefault(counter, {})[airframe_id] = [Point(day, total, total) for day, total in points]
        self._series = {counter: MemoryTotals(held) for counter, held in series.items()}

    def of(self, counter: str) -> Totals:
        return self._series.get(counter) or MemoryTotals({})
