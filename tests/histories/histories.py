"""Random histories: the paper of two months, recorded late, out of order, wrong and put right.

The truth is what `tests/actions/test_random_fleets.months` makes. Here it reaches the records in random pieces: any of
the oldest few papers next, if the records can take it; some of them wrong at first; readings in blocks; work claimed
that never was. In the end everything that was wrong has been put right, singly or in groups.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from fleetlife.actions.mend import Mend, mend
from fleetlife.actions.take_in import RowsRefused
from fleetlife.answers.due import due
from fleetlife.answers.verify import verify
from fleetlife.clocks.world import open_world
from fleetlife.follows.rows import DERIVED_TABLES
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.store.rows import read_rows
from fleetlife.terms.refusal import Refusal
from tests.actions.fleet import BOTTLE, SLIDE, Files, Intake, Row, everything, head
from tests.actions.test_random_fleets import FIRST, months

AS_OF = date(2024, 4, 15)
AHEAD = 4  # how many of the oldest papers may come next
BY: dict[str, Any] = {"reason": "as the paper says", "authorised_by": "Q2", "recorded_by": "clerk"}
PROVENANCE = ("entry", "until_entry")
OF_UNITS = ("unit_id", "root_id", "parent_id", "covered_by")
_METHODS = {
    "placement": "placements",
    "carriage": "carriages",
    "due_point": "due_points",
    "certificate_line": "certificate_lines",
}


@dataclass
class Outcome:
    """What one history showed. `differences` should stay empty."""

    histories: int = 0
    steps: int = 0
    late: int = 0
    wrong: int = 0
    refused: int = 0
    asked: int = 0
    undone: int = 0
    differences: list[str] = field(default_factory=list)

    def add(self, other: Outcome) -> None:
        for name in ("histories", "steps", "late", "wrong", "refused", "asked", "undone"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.differences += other.differences


@dataclass(frozen=True)
class Paper:
    """A row of a file with the day it speaks of."""

    file: str
    row: Row

    @property
    def day(self) -> str:
        return str(self.row["date"])


def papers(seed: int) -> list[Paper]:
    """Movements, transfers, work and marks of two months in order of time, and the readings in blocks after them."""
    moves, sent, read = months(seed)
    rng = random.Random(seed + 77)
    found = [Paper("movements", row) for row in moves] + [Paper("transfers", row) for row in sent]
    for _ in range(rng.randint(1, 4)):
        on = (FIRST + timedelta(days=rng.randrange(60))).isoformat()
        work = {"part_number": SLIDE, "serial_number": f"010{rng.randint(1, 4)}", "requirement": "OVH", "date": on}
        found.append(Paper("accomplishments", work))
    mark = {"part_number": BOTTLE, "serial_number": f"R{rng.randint(1, 4)}", "requirement": "HST", "date": "2024-02"}
    found.append(Paper("accomplishments", mark | {"date_basis": "mark"}))
    unique = {(p.file, str(sorted(p.row.items(), key=str))): p for p in found}
    found = [p for p in unique.values() if not (p.file == "accomplishments" and _again(p, unique.values()))]
    found += [Paper("readings", row) for row in read]
    return sorted(found, key=lambda p: (p.day, p.file == "readings"))


def _again(paper: Paper, others: Any) -> bool:
    """The same unit and day twice: one is enough."""
    key = ("serial_number", "requirement", "date")
    same = [o for o in others if o.file == paper.file and all(o.row[k] == paper.row[k] for k in key)]
    return same[0] is not paper


def shorn(store: Store) -> dict[str, list[Any]]:
    """Every derived row as a dict without the entries that say it."""
    return {
        table: [{n: getattr(r, n) for n in r.__slots__ if n not in PROVENANCE} for r in rows]
        for table, rows in everything(store).items()
        if table != "head"
    }


def derived(store: Store) -> dict[str, list[Any]]:
    return {table: sorted(rows, key=repr) for table, rows in everything(store).items() if table in DERIVED_TABLES}


def by_numbers(store: Store) -> dict[str, list[Any]]:
    """Every derived row without the entries that say it, units by their numbers and not by their ids."""
    found: dict[str, list[Any]] = {}
    with store.reading() as connection:
        units = {row.unit_id: (row.part_number, row.serial_number) for row in _rows(connection, "unit_state")}
        for table in DERIVED_TABLES:
            found[table] = []
            for row in _rows(connection, table):
                values = {name: getattr(row, name) for name in row.__slots__ if name not in PROVENANCE}
                values |= {name: units.get(values[name]) for name in OF_UNITS if name in values}
                if values.get("kind") == "slot":
                    values.pop("place_key", None)  # made of the parent's id
                found[table].append(values)
            found[table].sort(key=repr)
    return found


def _rows(connection: Any, table: str) -> list[Any]:
    return read_rows(connection, DERIVED_TABLES[table])


def differences(store: Store, truth: Store) -> list[str]:
    """Rows that only one of the two holds."""
    mine, right = by_numbers(store), by_numbers(truth)
    found = []
    for table, rows in right.items():
        if rows != mine[table]:
            found += [f"{table}, not in the truth: {row}" for row in mine[table] if row not in rows]
            found += [f"{table}, missing: {row}" for row in rows if row not in mine[table]]
            found += [f"{table}: {len(mine[table])} rows, {len(rows)} in the truth"]
    return found


def known_then(store: Store, entry: int, units: Iterable[int] | None = None) -> dict[str, list[Any]]:
    """Every derived row as known after an entry, by the question about the past; of the units there are now, unless
    told of which."""
    units = list(units or [row.unit_id for row in everything(store)["unit_state"]])
    with store.reading() as connection:
        world = open_world(connection, as_of=AS_OF, known_at=str(entry))
        found: dict[str, list[Any]] = {"unit_state": sorted(world.states(units).values(), key=repr)}
        for table, method in _METHODS.items():
            found[table] = sorted(getattr(world, method)(units), key=repr)
    return found


def listed(store: Store, known_at: str | None = None) -> tuple[Any, ...]:
    return due(store, as_of=AS_OF, everything=True, known_at=known_at).rows


@dataclass
class History:
    """One history on one database: `fleet` has the small fleet taken in, `truth` has taken in every paper at once."""

    fleet: Intake
    truth: Intake
    seed: int

    def __post_init__(self) -> None:
        self.rng = random.Random(self.seed)
        self.store = self.fleet.store
        self.outcome = Outcome()
        self.asked: list[tuple[int, dict[str, list[Any]], tuple[Any, ...]]] = []
        self.to_mend: list[Mend] = []
        self.true: set[str] = set()

    def told(self) -> Outcome:
        """The history lived through and compared."""
        all_papers = papers(self.seed)
        self.true = {str(sorted(paper.row.items(), key=str)) for paper in all_papers}
        files: Files = {}
        for paper in all_papers:
            files.setdefault(paper.file, []).append(paper.row)
        try:
            self.truth.take(files)
        except RowsRefused:
            return self.outcome  # what may not be: no truth to compare with
        self.outcome.histories = 1
        waiting = all_papers
        while waiting:
            waiting = self._step(waiting)
            if self.to_mend and self.rng.random() < 0.15:
                self._mend()
            if self.rng.random() < 0.15:
                self.asked.append((head(self.store), derived(self.store), listed(self.store)))
        self._mend()
        self._compare()
        return self.outcome

    def _step(self, waiting: list[Paper]) -> list[Paper]:
        """One paper, or the readings among the next ones together; what the records cannot take yet stays."""
        rng = self.rng
        self.outcome.steps += 1
        if rng.random() < 0.05:
            self._claim(waiting[0].day)
        first = rng.sample(range(min(AHEAD, len(waiting))), k=min(AHEAD, len(waiting)))
        for place in first:
            paper = waiting[place]
            if paper.file == "readings":
                span = range(place, min(place + rng.randint(1, 30), len(waiting)))
                chosen = [i for i in span if waiting[i].file == "readings"]
            else:
                chosen = [place]
            if self._taken([waiting[i] for i in chosen]):
                self.outcome.late += bool(place)
                return [p for i, p in enumerate(waiting) if i not in chosen]
        # None of them alone: the oldest with all that is held back beside it, once nothing wrong stands in the way.
        self._mend()
        held = waiting[:AHEAD]
        files: Files = {}
        for paper in held:
            files.setdefault(paper.file, []).append(paper.row)
        self.fleet.take(files)
        return waiting[len(held) :]

    def _claim(self, day: str) -> None:
        """Work written up that never was; withdrawn later."""
        last = head(self.store)
        work = {"part_number": SLIDE, "serial_number": f"010{self.rng.randint(1, 4)}", "requirement": "OVH"}
        on = (date.fromisoformat(f"{day[:7]}-01") - timedelta(days=self.rng.randint(100, 200))).isoformat()
        try:
            self.fleet.take({"accomplishments": [work | {"date": on}]})
        except RowsRefused:
            return
        if head(self.store) > last:
            self.outcome.wrong += 1
            self.to_mend.append(Mend(entry=head(self.store)))

    def _taken(self, chosen: list[Paper]) -> bool:
        before = head(self.store)
        rows = [dict(paper.row) for paper in chosen]
        right = self._spoiled(chosen[0].file, rows)
        try:
            self.fleet.take({chosen[0].file: rows})
        except RowsRefused:
            self.outcome.refused += 1
            if right is None:
                return False
            try:
                self.fleet.take({chosen[0].file: [paper.row for paper in chosen]})
            except RowsRefused:
                return False
            return True
        if right is not None and head(self.store) > before:
            self.outcome.wrong += 1
            self.to_mend.append(right(head(self.store)))
        return True

    def _spoiled(self, file: str, rows: list[Row]) -> Callable[[int], Mend] | None:
        """Perhaps makes one row wrong; what puts the entry right that will state it."""
        rng = self.rng
        if rng.random() > 0.3:
            return None
        if file == "movements":
            (row,) = rows
            if row.get("hours_total") and rng.random() < 0.5:
                minutes, cycles = _minutes(row["hours_total"]), row["cycles_total"]
                row["hours_total"], row["cycles_total"] = None, None
                return lambda number: Mend(entry=number, changes={"minutes_total": minutes, "cycles_total": cycles})
            side = row["harness"]
            row["harness"] = "left" if side == "right" else "right"
            return lambda number: Mend(entry=number, changes={"harness": side})
        if file == "readings":
            place = rng.randrange(len(rows))
            minutes = _minutes(rows[place]["hours_total"])
            lower = minutes - rng.randint(1, 30)
            rows[place]["hours_total"] = f"{lower // 60}:{lower % 60:02d}"
            if len({row["registration"] for row in rows}) > 1:
                return _no_entry(rows, place, minutes)
            return lambda number: Mend(entry=number, item=place, changes={"minutes": minutes})
        if file == "accomplishments" and rows[0]["requirement"] == "OVH":
            day = rows[0]["date"]
            wrong = {**rows[0], "date": (date.fromisoformat(day) - timedelta(days=rng.randint(1, 20))).isoformat()}
            if str(sorted(wrong.items(), key=str)) in self.true:
                return None  # it would say what another paper says: that one is known already, and this one is lost
            rows[0].update(wrong)
            return lambda number: Mend(entry=number, changes={"done_on": day})
        return None

    def _mend(self) -> None:
        """Put right what is known to be wrong: one by one, or all in one group."""
        wrong, self.to_mend = self.to_mend, []
        if self.rng.random() < 0.5:
            for each in wrong:
                self._try([each])
        elif wrong:
            self._try(wrong)

    def _try(self, wrong: list[Mend]) -> None:
        try:
            mend(self.store, wrong, **BY)
        except Refusal:
            self.outcome.refused += 1
            self.to_mend += wrong

    def _compare(self) -> None:
        here = f"history {self.seed}"
        for _ in range(3):
            self._mend()
        if self.to_mend:
            self.outcome.differences.append(f"{here}: cannot be put right: {self.to_mend}")
        mine, truth = shorn(self.store), shorn(self.truth.store)
        for table in truth:
            if mine[table] != truth[table]:
                odd = [row for row in mine[table] if row not in truth[table]]
                self.outcome.differences.append(f"{here}: {table} ends otherwise: {odd[:2]}")
        for entry, rows, rows_due in self.asked:
            self.outcome.asked += 1
            then = known_then(self.store, entry)
            for table, kept in rows.items():
                if then[table] != kept:
                    odd = [row for row in then[table] if row not in kept]
                    self.outcome.differences.append(f"{here}: known at {entry}, {table}: {odd[:2]}")
            if listed(self.store, known_at=str(entry)) != rows_due:
                self.outcome.differences.append(f"{here}: known at {entry}: another due list")
        self._undone()
        if findings := verify(self.store).findings:
            self.outcome.differences.append(f"{here}: {findings[0].message}")

    def _undone(self) -> None:
        """A correction and its reversal restore every row."""
        with self.store.reading() as connection:
            moves = [entry for entry in all_entries(connection) if entry.kind == "movement"]
        before = shorn(self.store)
        for entry in self.rng.sample(moves, k=min(4, len(moves))):
            was = entry.body["items"][0].get("harness")
            try:
                done = mend(self.store, [Mend(entry=entry.number, changes={"harness": "unknown"})], **BY)
            except Refusal:
                continue  # another entry speaks for it by now
            mend(self.store, [Mend(entry=done.entry, changes={"harness": was})], **BY)
            self.outcome.undone += 1
        if shorn(self.store) != before:
            self.outcome.differences.append(f"history {self.seed}: correcting and back is not what it was")


def _minutes(text: str) -> int:
    hours, rest = str(text).split(":")
    return int(hours) * 60 + int(rest)


def _no_entry(rows: list[Row], place: int, minutes: int) -> None:
    """Rows of two airframes make two entries: left right, so that the entry is known."""
    rows[place]["hours_total"] = f"{minutes // 60}:{minutes % 60:02d}"
