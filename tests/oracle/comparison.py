"""What the program says of a random fleet, held against what the walk says, unit by unit and day by day."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from day_by_day import Walk
from fleet_days import Told, lived
from fleets import Fleet, Stated, Unit, as_facts, text

from fleetlife.follows.book import Book, requirement_values
from fleetlife.follows.derive import Derived, derive, point_of_row
from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import DuePointRow
from fleetlife.follows.totals import MemoryCounters, MemoryTotals, Point
from fleetlife.life.points import check_requirements
from fleetlife.life.projection import outlook
from fleetlife.life.state import judge
from fleetlife.life.values import Judged, Outlook, Requirement

HORIZON_DAYS = 420
BAD = ("overdue", "no refill")


@dataclass
class Difference:
    """Where the two do not agree: the fleet's seed, the unit, the requirement, the day, and both answers."""

    seed: int
    unit: int
    requirement: str
    day: str
    what: str
    walked: object
    told: object
    judged: Judged
    rule: object

    def __str__(self) -> str:
        where = f"fleet {self.seed}, unit {self.unit}, {self.requirement}, {self.day}"
        return f"{where}: {self.what}: walked {self.walked}, told {self.told} ({self.judged.state_reason})"


@dataclass
class Tally:
    fleets: int = 0
    rows: int = 0  # due points
    questions: int = 0  # due points judged on a day
    one_sided: int = 0  # of them, those where the program may be earlier
    counted: int = 0  # of these, in a counter
    differences: list[Difference] = field(default_factory=list)
    states: Counter[str] = field(default_factory=Counter)

    def add(self, other: Tally) -> None:
        self.fleets += other.fleets
        self.rows += other.rows
        self.questions += other.questions
        self.one_sided += other.one_sided
        self.counted += other.counted
        self.differences += other.differences
        self.states += other.states


def derived_from(fleet: Fleet) -> tuple[Derived, Book]:
    """The facts of the fleet, and nothing else, given to the program."""
    facts: dict[int, list[Recorded]] = {}
    for number, fact in enumerate(fleet.facts, 1):
        for unit in dict.fromkeys(fact.unit_ids()):
            facts.setdefault(unit, []).append(Recorded(number, fact))
    stated = [as_facts(one) for one in fleet.rules]
    book = Book(
        requirements=requirement_values(
            [(number, fact) for number, (fact, _) in enumerate(stated)],
            [band for _, bands in stated for band in bands],
            {"landings": "count", "APU hours": "hours"},
        )
    )
    for rules in book.requirements.values():
        problems = check_requirements(rules)
        assert problems == [], problems
    totals = MemoryTotals({a: [Point(day, *t) for day, t in held.items()] for a, held in fleet.readings.items()})
    counters = MemoryCounters({series: list(held.items()) for series, held in fleet.counter_readings.items()})
    derived = derive(facts, book=book, totals=totals, counters=counters)
    assert derived.problems == (), derived.problems
    return derived, book


def outlook_on(fleet: Fleet, airframe: int, as_of: int) -> Outlook:
    """The airframe as the program sees it: from the readings at or before the day."""
    return _outlook(fleet.readings[airframe], airframe, as_of)


def counter_outlook_on(fleet: Fleet, airframe: int, counter: str, as_of: int) -> Outlook:
    """The same of a counter, both figures the counter's."""
    readings = fleet.counter_readings[airframe, counter]
    return _outlook({day: (total, total) for day, total in readings.items()}, airframe, as_of)


def _outlook(readings: dict[int, tuple[int, int]], airframe: int, as_of: int) -> Outlook:
    held = {day: total for day, total in readings.items() if day <= as_of}
    base = max(held)
    earlier = []
    for window in (30, 90, 365):
        days = [day for day in held if day <= base - window]
        if days:
            earlier.append((window, max(days), *held[max(days)]))
    oldest = min(held)
    return outlook(
        airframe, as_of=as_of, base=(base, *held[base]), earlier=earlier, oldest=(oldest, *held[oldest]), plan=()
    )


@dataclass
class Ahead:
    """The walk after the last day: the state of every evening asked for, and the last good ones."""

    states: dict[int, str]
    zero: dict[int, bool]
    left: dict[int, dict[str, int | None]]
    last_good: int | None  # last evening before the first on which it may not stay
    last_unpassed: int | None


def walk_ahead(fleet: Fleet, unit: Unit, one: Stated, walk: Walk, days: set[int]) -> Ahead:
    """Fly on as always, and ask every evening until it may stay no longer."""
    ahead = walk.copy()
    minutes, cycles = fleet.growth(one, fleet.airframe_of(unit))
    found = Ahead({}, {}, {}, None, None)
    bad = passed = False
    for day in range(fleet.last, fleet.last + HORIZON_DAYS + 1):
        if day > fleet.last:
            ahead.begin(day)
            ahead.fly(minutes, cycles)
        if bad and day not in days:
            continue
        state = ahead.state()
        if not passed and state in (*BAD, "in variation"):
            passed, found.last_unpassed = True, day - 1
        if not bad and state in BAD:
            bad, found.last_good = True, day - 1
        if day in days:
            found.states[day], found.zero[day] = state, ahead.nothing_left()
            found.left[day] = {m: ahead.left(m) for m in ("minutes", "cycles", "operations")}
        if bad and day >= max(days):
            break
    return found


def pairs(fleet: Fleet, derived: Derived, book: Book) -> Iterator[tuple[Unit, Stated, Walk, DuePointRow, Requirement]]:
    """Every due point with its walk; both sides must know the same ones."""
    for unit in fleet.units.values():
        rows = {}
        for row in derived.due_points[unit.number]:
            if row.standing == "no_programme":
                continue
            rule = book.by_key[row.requirement_key]
            rows[rule.requirement, rule.edition] = (row, rule)
        assert set(rows) == {(one.name, one.edition) for one, _ in unit.walks}, (fleet.seed, unit.number)
        for one, walk in unit.walks:
            yield unit, one, walk, *rows[one.name, one.edition]


def compared(seed: int, told: Told | None = None) -> Tally:
    """One fleet. With everything written down the two must agree; else the program may only be earlier."""
    fleet = lived(seed, told)
    exact = told is None
    derived, book = derived_from(fleet)
    tally = Tally(fleets=1)
    rng = random.Random(seed + 2)
    for unit, one, walk, row, rule in pairs(fleet, derived, book):
        tally.rows += 1
        days = {fleet.last, *(fleet.last + rng.randint(0, HORIZON_DAYS - 1) for _ in range(3))}
        ahead = walk_ahead(fleet, unit, one, walk, days)
        edge = {d for d in (ahead.last_good, ahead.last_unpassed) if d is not None}
        days |= {d + more for d in edge for more in (0, 1) if fleet.last <= d + more < fleet.last + HORIZON_DAYS}
        ahead = walk_ahead(fleet, unit, one, walk, days)
        for day in sorted(days):
            if not row.in_force_from <= day < row.in_force_until:
                continue
            tally.questions += 1
            begin = day + rng.randint(0, 60)
            window = (begin, begin + rng.randint(0, 120)) if rng.random() < 0.5 else (None, None)
            judged = judge(
                rule,
                point_of_row(row, rule),
                None if row.airframe_id is None else outlook_on(fleet, row.airframe_id, day),
                as_of=day,
                window_from=window[0],
                window_until=window[1],
                stored=unit.place[0] == "store",
                manufactured=derived.histories[unit.number].manufactured,
                counter_outlook=None
                if row.airframe_id is None or rule.counter is None
                else counter_outlook_on(fleet, row.airframe_id, rule.counter, day),
            )
            tally.counted += rule.counter is not None
            tally.states[judged.state] += 1
            # A row has one date. Beside a stated expiry, whichever last is told as whichever first, and nothing stays
            # until emptied: earlier perhaps, never later.
            capped = walk.expires is not None and (one.rule.whichever == "last" or one.rule.no_refill)
            earlier = capped or walk.told_earlier
            # Nobody states a counter with a movement: what is removed is charged the whole day, and a window in a
            # counter that the work does not state is not shown.
            ended = any(leg.until_moment is not None for leg in derived.carriages[unit.number])
            earlier = earlier or (rule.counter is not None and (ended or one.rule.anchor_due))
            check = _exactly if exact and not earlier else _never_later
            tally.one_sided += check is _never_later
            for what, walked, said in check(ahead, judged, day, window, far=fleet.last + HORIZON_DAYS, one=one):
                tally.differences.append(
                    Difference(seed, unit.number, one.name, text(day), what, walked, said, judged, one)
                )
    return tally


def _exactly(
    ahead: Ahead, judged: Judged, day: int, window: tuple[int | None, int | None], *, far: int, one: Stated
) -> Iterator[tuple[str, object, object]]:
    """State, due date, date before the variation, window and what is left: all as walked."""
    expected = ahead.states[day]
    dates = [d for d in (ahead.last_good, ahead.last_unpassed) if d is not None]
    if expected == "flies":
        beyond = judged.due_earliest is not None and judged.due_earliest >= far
        if beyond and not dates and judged.state in ("in date", "due"):
            return  # falls due beyond what was walked: a window out there cannot be judged
        inside = window[0] is not None and any(window[0] <= d <= (window[1] or d) for d in dates)
        expected = "due" if ahead.zero[day] or inside else "in date"
    elif expected == "waiting" and ahead.zero[day] and one.rule.whichever == "first":
        expected = "due"
    if judged.state != expected:
        yield "state", expected, judged.state
        return
    if expected in ("in date", "due", "in variation"):
        beyond = judged.due_date is not None and judged.due_date >= far and ahead.last_good is None
        if judged.due_date != ahead.last_good and not beyond:
            yield "due date", _text(ahead.last_good), _text(judged.due_date)
        if judged.original_due is not None and judged.original_due != ahead.last_unpassed:
            if expected != "in variation" and ahead.last_unpassed is not None:
                yield "date first due", _text(ahead.last_unpassed), _text(judged.original_due)
    said = {"minutes": judged.minutes_left, "cycles": judged.cycles_left, "operations": judged.operations_left}
    for measure, left in ahead.left[day].items():
        if left is not None and said[measure] is not None and judged.original_due is None and said[measure] != left:
            if not one.rule.variation_allowed and not one.rule.bands:
                yield f"{measure} left", left, said[measure]


def _never_later(
    ahead: Ahead, judged: Judged, day: int, window: tuple[int | None, int | None], *, far: int, one: Stated
) -> Iterator[tuple[str, object, object]]:
    """An estimate never flatters: never in date where the truth is overdue, never a later date."""
    truth = ahead.states[day]
    worse = ("overdue", "no refill", "unknown", *(["in variation"] if truth == "in variation" else []))
    if truth in (*BAD, "in variation") and judged.state not in worse:
        yield "state", truth, judged.state
    elif judged.state in ("in date", "due", "in variation") and ahead.last_good is not None:
        if judged.due_date is None or judged.due_date > ahead.last_good:
            yield "due date", _text(ahead.last_good), _text(judged.due_date)


def _text(day: int | None) -> str | None:
    return None if day is None else text(day)
