"""Readings of counters on the way in: by airframe and counter, in order of day, never falling; recorded in blocks."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from fleetlife.actions.intake_desk import Desk
from fleetlife.actions.intake_readings import BLOCK, block_of
from fleetlife.dates.partial import day_number, day_text
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Counter, CounterReading
from fleetlife.store.counters import Series, counter_readings_of
from fleetlife.terms.measure import hours_text
from fleetlife.transfer.reading import Row


class CounterIntake:
    """Collects readings of counters; `sift` leaves only the new ones, checked against their neighbours."""

    def __init__(self, desk: Desk, connection: Any, *, replacing: bool) -> None:
        self.desk = desk
        self.connection = connection
        self.replacing = replacing
        self.again: set[tuple[Series, int]] = set()  # series and day of what takes the place of a standing reading
        self.rows: dict[Series, dict[int, tuple[int, int]]] = {}  # airframe and counter: day: total, line
        self.file = "counter_readings"
        self._counters: dict[str, Counter] = {}

    def any(self) -> bool:
        return any(self.rows.values())

    def add(self, row: Row) -> None:
        v: dict[str, Any] = row.values
        self.file = row.file
        airframe = self.desk.airframe(row, "registration", v["registration"], v["date"])
        counter = self.desk.counter(row, "counter", v["counter"])
        if airframe is None or counter is None:
            return
        total = self.desk.counter_total(row, "total", counter, v["total"])
        if total is None:
            return
        self._counters[counter.counter] = counter
        held, day = self.rows.setdefault((airframe, counter.counter), {}), day_number(v["date"])
        earlier = held.setdefault(day, (total, row.line))
        if earlier[0] != total:
            self.desk.refuse(
                row,
                "date",
                v["date"],
                f"Line {earlier[1]} gives another total of the same counter, airframe and day.",
                "Keep the row that is right.",
            )

    def sift(self, unchanged: dict[str, int]) -> None:
        """Leave out readings known already, refuse those that differ or fall."""
        for series, held in self.rows.items():
            stored = counter_readings_of(self.connection, *series)
            for day in [day for day in held if day in stored]:
                total, line = held[day]
                if stored[day] == total:
                    del held[day]
                    unchanged[self.file] = unchanged.get(self.file, 0) + 1
                elif self.replacing:
                    self.again.add((series, day))
                else:
                    self._refuse(
                        line,
                        "date",
                        day_text(day) or "",
                        f"The records hold {self._shown(series, stored[day])} for this day.",
                        "If the recorded readings are wrong, correct them: take the file in with --replace.",
                    )
            if held:
                self._check_rising(series, held, stored)

    def _check_rising(self, series: Series, held: dict[int, tuple[int, int]], stored: dict[int, int]) -> None:
        points = [(day, *values) for day, values in held.items()]
        points.extend((day, total, 0) for day, total in stored.items() if day not in held)
        points.sort()
        for before, now in pairwise(points):
            if now[1] < before[1]:
                self._refuse(
                    now[2] or before[2],
                    "total",
                    self._shown(series, now[1]),
                    f"The total of {series[1]} falls: {self._shown(series, before[1])} on {day_text(before[0])}, "
                    f"{self._shown(series, now[1])} on {day_text(now[0])}.",
                    "A counter never falls: correct the row that is wrong.",
                )

    def _shown(self, series: Series, total: int) -> str:
        return hours_text(total) if self._counters[series[1]].measure == "hours" else str(total)

    def _refuse(self, line: int, column: str, value: str, reason: str, remedy: str) -> None:
        self.desk.refuse(Row(file=self.file, line=line, values={}), column, value, reason, remedy)

    def drafts(self, file_digests: dict[str, str]) -> Iterator[Draft]:
        """Blocks of readings of one airframe's counter in order of day."""
        for airframe, counter in sorted(self.rows):
            held = self.rows[airframe, counter]
            days = sorted(day for day in held if ((airframe, counter), day) not in self.again)
            for start in range(0, len(days), BLOCK):
                block = days[start : start + BLOCK]
                facts = [
                    CounterReading(airframe=airframe, counter=counter, read_on=day_text(day) or "", total=held[day][0])
                    for day in block
                ]
                yield block_of(facts, [held[day][1] for day in block], self.file, file_digests)

    def restated(self) -> Iterator[tuple[CounterReading, int]]:
        """What takes the place of standing readings, with its line."""
        for (airframe, counter), day in sorted(self.again):
            total, line = self.rows[airframe, counter][day]
            yield CounterReading(airframe=airframe, counter=counter, read_on=day_text(day) or "", total=total), line

    def count(self, new: dict[str, int]) -> None:
        total = sum(len(held) for held in self.rows.values()) - len(self.again)
        if total:
            new[self.file] = new.get(self.file, 0) + total

    def points(self) -> dict[Series, list[tuple[int, int]]]:
        """The readings for deriving from memory."""
        return {series: [(day, total) for day, (total, _) in held.items()] for series, held in self.rows.items()}
