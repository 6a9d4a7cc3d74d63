"""An airframe's totals from the stored readings, as the derivation asks for them."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy.engine import Connection

from fleetlife.follows.totals import MemoryTotals, Point
from fleetlife.store.facts import LATEST
from fleetlife.store.readings import bounds, readings_of


class StoredTotals:
    """Readings from the database, asked when needed and remembered; with `known`, as of that entry."""

    def __init__(self, connection: Connection, *, known: int = LATEST) -> None:
        self._connection = connection
        self._past = known
        self._series: dict[int, MemoryTotals] = {}
        self._known: dict[tuple[int, int, str], Point | None] = {}

    def before(self, airframe_id: int, day: int) -> Point | None:
        return self._one((airframe_id, day, "before"))

    def after(self, airframe_id: int, day: int) -> Point | None:
        return self._one((airframe_id, day, "after"))

    def prefetch(self, wanted: Iterable[tuple[int, int, str]]) -> None:
        missing = [key for key in dict.fromkeys(wanted) if key not in self._known]
        if not missing:
            return
        found = bounds(self._connection, missing)
        for key in missing:
            point = found.get(key)
            self._known[key] = None if point is None else Point(*point)

    def _one(self, key: tuple[int, int, str]) -> Point | None:
        if self._past != LATEST:
            return self._then(key)
        if key not in self._known:
            self.prefetch([key])
        return self._known[key]

    def _then(self, key: tuple[int, int, str]) -> Point | None:
        """From the airframe's whole series as it was known then."""
        airframe, day, which = key
        if airframe not in self._series:
            held = readings_of(self._connection, airframe, known=self._past)
            self._series[airframe] = MemoryTotals({airframe: [Point(d, *values) for d, values in held.items()]})
        series = self._series[airframe]
        return series.before(airframe, day) if which == "before" else series.after(airframe, day)
