"""An airframe's totals from the stored readings, as the derivation asks for them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy.engine import Connection

from fleetlife.dates.moment import FAR_DAY
from fleetlife.follows.totals import MemoryTotals, Point
from fleetlife.store.facts import LATEST
from fleetlife.store.readings import bounds, readings_of


class StoredTotals:
    """Readings from the database, asked when needed and remembered; with `known`, as of that entry.

    `read_since`: by airframe the first ordinal day of which a reading was recorded or retired after that entry. What
    lies before it stands as it stood then.
    """

    def __init__(
        self, connection: Connection, *, known: int = LATEST, read_since: Mapping[int, int] | None = None
    ) -> None:
        self._connection = connection
        self._past = known
        self._read_since = read_since
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
        if self._past == LATEST:
            return self._now(key)
        airframe, day, which = key
        since = 0 if self._read_since is None else self._read_since.get(airframe, FAR_DAY)
        if which == "before" and day < since:
            return self._now(key)
        if which == "after" and day < since:
            point = self._now(key)
            if since == FAR_DAY or (point is not None and point.day < since):
                return point
        return self._then(key)

    def _now(self, key: tuple[int, int, str]) -> Point | None:
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
