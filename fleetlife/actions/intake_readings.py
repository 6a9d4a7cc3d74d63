"""Readings on the way in: by airframe, in order of day, never falling; recorded in blocks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from fleetlife.actions.intake_desk import Desk
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.totals import MemoryTotals, Point
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Fact, Movement, Reading
from fleetlife.store import readings as stored_readings
from fleetlife.terms.measure import hours_text
from fleetlife.transfer.reading import Row

BLOCK = 400


class ReadingIntake:
    """Collects readings; `sift` leaves only the new ones, checked against their neighbours."""

    def __init__(self, desk: Desk, connection: Any, *, replacing: bool) -> None:
        self.desk = desk
        self.connection = connection
        self.replacing = replacing
        self.again: set[tuple[int, int]] = set()  # airframe and day of what takes the place of a standing reading
        self.rows: dict[int, dict[int, tuple[int, int, int]]] = {}  # airframe: day: minutes, cycles, line
        self.replaced_entries: set[int] = set()  # movements that other rows of the intake put right
        self.file = "readings.csv"
        self._days: dict[str, int] = {}
        self._airframes: dict[str, list[tuple[int, int, int]]] = {}
        self._stated: dict[int, list[stored_readings.StatedTotals]] = {}

    def any(self) -> bool:
        return any(self.rows.values())

    def add(self, row: Row) -> None:
        v: dict[str, Any] = row.values
        self.file = row.file
        text = v["date"]
        day = self._days.get(text)
        if day is None:
            day = self._days[text] = day_number(text)
        airframe = self._airframe(row, v["registration"], day)
        if airframe is None:
            return
        reading = (v["hours_total"], v["cycles_total"], row.line)
        held = self.rows.setdefault(airframe, {})
        earlier = held.get(day)
        if earlier is None:
            held[day] = reading
        elif earlier[:2] != reading[:2]:
            self.desk.refuse(
                row,
                "date",
                text,
                f"Line {earlier[2]} gives other totals for the same airframe and day.",
                "Keep the row that is right.",
            )

    def _airframe(self, row: Row, registration: str, day: int) -> int | None:
        """The airframe, remembered while its registration's period lasts."""
        for begin, stop, airframe in self._airframes.get(registration, ()):
            if begin <= day < stop:
                return airframe
        found = self.desk.airframe(row, "registration", registration, day_text(day))
        if found is not None:
            from fleetlife.terms.number import fold

            periods = self.desk.reference.by_registration.get(fold(registration), [])
            if len(periods) == 1:
                self._airframes[registration] = list(periods)
        return found

    def sift(self, unchanged: dict[str, int]) -> None:
        """Leave out readings known already, refuse those that differ or fall."""
        for airframe, held in self.rows.items():
            stored = stored_readings.readings_of(self.connection, airframe)
            for day in [day for day in held if day in stored]:
                minutes, cycles, line = held[day]
                if stored[day] == (minutes, cycles):
                    del held[day]
                    unchanged[self.file] = unchanged.get(self.file, 0) + 1
                elif self.replacing:
                    self.again.add((airframe, day))
                else:
                    known = stored[day]
                    self._refuse(
                        line,
                        "date",
                        day_text(day) or "",
                        f"The records hold {hours_text(known[0])} and {known[1]} for this day.",
                        "If the recorded readings are wrong, correct them: take the file in with --replace, or "
                        "fleetlife ledger correct.",
                    )
            if held:
                self._check_rising(airframe, held, stored)
                self._check_standing(airframe, held, stored)

    def _check_standing(
        self, airframe: int, held: dict[int, tuple[int, int, int]], stored: dict[int, tuple[int, int]]
    ) -> None:
        """What comes in, against the totals that standing movements state."""
        movements = self._standing_totals(airframe)
        if not movements:
            return
        series = MemoryTotals(
            {airframe: [Point(d, *v[:2]) for d, v in ({d: (*v, 0) for d, v in stored.items()} | held).items()]}
        )
        for stated in movements:
            day = stated.moved_on
            before, after = series.before(airframe, day - 1), series.after(airframe, day)
            for point, wrong in ((before, "below"), (after, "above")):
                if point is None or point.day not in held:
                    continue
                for name, said, read, show in (
                    ("hours_total", stated.minutes_total, point.minutes, hours_text),
                    ("cycles_total", stated.cycles_total, point.cycles, str),
                ):
                    if said is None or (said >= read if wrong == "below" else said <= read):
                        continue
                    self._refuse(
                        held[point.day][2],
                        name,
                        show(read),
                        f"Entry {stated.entry_number}, a movement of {day_text(day)}, states {show(said)}, which would "
                        f"be {wrong} this reading.",
                        "Put the movement with its right totals into the same folder: both are put right together."
                        if self.replacing
                        else "Keep the one that is right: correct this row, or put the movement right "
                        f"(fleetlife ledger correct {stated.entry_number}).",
                    )

    def _standing_totals(self, airframe: int) -> list[stored_readings.StatedTotals]:
        """What recorded movements of the airframe state, without those that other rows of this intake put right:
        they are left to the database."""
        if airframe not in self._stated:
            self._stated[airframe] = [
                stated
                for stated in stored_readings.stated_totals(self.connection, airframe)
                if stated.entry_number not in self.replaced_entries
            ]
        return self._stated[airframe]

    def _check_rising(
        self, airframe: int, held: dict[int, tuple[int, int, int]], stored: dict[int, tuple[int, int]]
    ) -> None:
        series = [(day, *values) for day, values in held.items()]
        series.extend((day, *values, 0) for day, values in stored.items() if day not in held)
        series.sort()
        before = series[0]
        for now in series[1:]:
            for index, name, show in ((1, "hours_total", hours_text), (2, "cycles_total", str)):
                if now[index] < before[index]:
                    line = now[3] or before[3]
                    self._refuse(
                        line,
                        name,
                        show(now[index]),
                        f"The total falls: {show(before[index])} on {day_text(before[0])}, "
                        f"{show(now[index])} on {day_text(now[0])}.",
                        "Totals never fall: correct the row that is wrong.",
                    )
            before = now

    def check_stated(self, movements: list[tuple[Movement, str, int]]) -> None:
        """Totals stated with movements against the readings around them, each other and recorded movements.

        `movements` are (fact, file, line); those without totals are passed over.
        """
        stated = [m for m in movements if m[0].minutes_total is not None or m[0].cycles_total is not None]
        wanted = []
        for fact, _, _ in stated:
            day = day_number(fact.moved_on)
            wanted += [(fact.airframe, day - 1, "before"), (fact.airframe, day, "after")]
        stored = stored_readings.bounds(self.connection, wanted)
        fresh = MemoryTotals(self.points())
        last: dict[int, Movement] = {}
        for fact, file, line in sorted(stated, key=lambda m: (m[0].moved_on, m[0].sequence)):
            day = day_number(fact.moved_on)
            before = _latest(stored.get((fact.airframe, day - 1, "before")), fresh.before(fact.airframe, day - 1))
            after = _earliest(stored.get((fact.airframe, day, "after")), fresh.after(fact.airframe, day))
            row = Row(file=file, line=line, values={})
            self._between(row, "hours_total", fact.minutes_total, before, after, 1, hours_text)
            self._between(row, "cycles_total", fact.cycles_total, before, after, 2, str)
            self._beside(row, fact, day)
            earlier = last.get(fact.airframe)
            if earlier is not None and _falls(earlier, fact):
                self.desk.refuse(
                    row,
                    "hours_total",
                    hours_text(fact.minutes_total),
                    f"It is below what an earlier movement of the airframe states ({earlier.moved_on}).",
                    "Correct the one that is wrong.",
                )
            last[fact.airframe] = fact

    def _beside(self, row: Row, fact: Movement, day: int) -> None:
        """Refuse what is below a recorded movement before it, or above one after it."""
        for name, value, show in (
            ("hours_total", fact.minutes_total, hours_text),
            ("cycles_total", fact.cycles_total, str),
        ):
            if value is None:
                continue
            for stated in self._standing_totals(fact.airframe):
                said = stated.minutes_total if name == "hours_total" else stated.cycles_total
                earlier = (stated.moved_on, stated.sequence) < (day, fact.sequence)
                if said is None or (value >= said if earlier else value <= said):
                    continue
                self.desk.refuse(
                    row,
                    name,
                    show(value),
                    f"It is {'below' if earlier else 'above'} what entry {stated.entry_number} states with a movement "
                    f"of {day_text(stated.moved_on)}, {show(said)}.",
                    "Totals never fall: keep the one that is right; a recorded movement is put right by fleetlife "
                    f"ledger correct {stated.entry_number}.",
                )
                break

    def _between(
        self,
        row: Row,
        column: str,
        value: int | None,
        before: tuple[int, ...] | None,
        after: tuple[int, ...] | None,
        index: int,
        show: Callable[[int], str],
    ) -> None:
        if value is None:
            return
        if before is not None and value < before[index]:
            reason = f"It is below the reading of {day_text(before[0])}, {show(before[index])}."
        elif after is not None and value > after[index]:
            reason = f"It is above the reading of {day_text(after[0])}, {show(after[index])}."
        else:
            return
        self.desk.refuse(row, column, show(value), reason, "Totals never fall: correct the one that is wrong.")

    def _refuse(self, line: int, column: str, value: str, reason: str, remedy: str) -> None:
        self.desk.refuse(Row(file=self.file, line=line, values={}), column, value, reason, remedy)

    def drafts(self, file_digests: dict[str, str]) -> Iterator[Draft]:
        """Blocks of readings of one airframe in order of day."""
        for airframe in sorted(self.rows):
            held = self.rows[airframe]
            days = sorted(day for day in held if (airframe, day) not in self.again)
            for start in range(0, len(days), BLOCK):
                block = days[start : start + BLOCK]
                facts = [
                    Reading(airframe=airframe, read_on=day_text(day) or "", minutes=held[day][0], cycles=held[day][1])
                    for day in block
                ]
                yield block_of(facts, [held[day][2] for day in block], self.file, file_digests)

    def restated(self) -> Iterator[tuple[Reading, int]]:
        """What takes the place of standing readings, with its line."""
        for airframe, day in sorted(self.again):
            minutes, cycles, line = self.rows[airframe][day]
            yield Reading(airframe=airframe, read_on=day_text(day) or "", minutes=minutes, cycles=cycles), line

    def count(self, new: dict[str, int]) -> None:
        total = sum(len(held) for held in self.rows.values()) - len(self.again)
        if total:
            new[self.file] = new.get(self.file, 0) + total

    def points(self) -> dict[int, list[Point]]:
        """The readings for deriving from memory."""
        return {
            airframe: [Point(day, values[0], values[1]) for day, values in held.items()]
            for airframe, held in self.rows.items()
        }


def block_of(facts: Sequence[Fact], lines: Sequence[int], file: str, file_digests: dict[str, str]) -> Draft:
    """Readings that come together, in order of day, as one entry on the day of the last."""
    return Draft(
        kind=facts[0].KIND,
        on=facts[-1].dated(),
        items=tuple(facts),
        source={"file": file, "digest": file_digests.get(file, ""), "lines": [min(lines), max(lines)]},
    )


# Of a day that both hold the fresh one counts: it takes the place of what is stored.
def _latest(first: tuple[int, ...] | None, second: tuple[int, ...] | None) -> tuple[int, ...] | None:
    if first is None or second is None:
        return first or second
    return second if first[0] == second[0] else max(first, second)


def _earliest(first: tuple[int, ...] | None, second: tuple[int, ...] | None) -> tuple[int, ...] | None:
    if first is None or second is None:
        return first or second
    return second if first[0] == second[0] else min(first, second)


def _falls(earlier: Movement, later: Movement) -> bool:
    pairs = ((earlier.minutes_total, later.minutes_total), (earlier.cycles_total, later.cycles_total))
    return any(a is not None and b is not None and b < a for a, b in pairs)
