"""Random fleets with every feature in combination: what really happened, day by day, and the facts written down of it.

A fleet is two airframes that fly the same every day, packs that are fitted, swapped and overhauled, bottles and
batteries that are fitted into the packs, each part under several requirements, some in two editions. Every day is
lived through by the walk of `day_by_day.py`, one for each unit and requirement; what happened is written down as the
facts that a clerk would record, and those alone are given to the program.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date

from day_by_day import Allowed, Rule, Walk

from fleetlife.ledger.facts import (
    Accomplishment,
    Band,
    Certificate,
    Fact,
    Opening,
    Requirement,
    UnitCounter,
)

AIRFRAMES, POSITIONS = (1, 2), ("L1", "R1")
PACKS, BOTTLES, BATTERIES = (1, 2, 3), (4, 5), (6, 7)
# Counters beyond what is flown, and the axis of the walk in whose place a rule may count them.
COUNTERS = {"landings": "cycles", "APU hours": "minutes"}
PARTS = {"pack": ("QX-1", "QX-2"), "bottle": ("QR-7",), "battery": ("QB-3",)}


def text(day: int) -> str:
    return date.fromordinal(day).isoformat()


def month_of(day: int) -> str:
    return text(day)[:7]


def first_of_month(day: int) -> int:
    return date.fromordinal(day).replace(day=1).toordinal()


@dataclass
class Stated:
    """A requirement as stated: the walk's rule, and the names the program knows it by."""

    name: str
    part: str
    rule: Rule
    source: str = "manufacturer"
    edition: str = "1"
    effective_from: int | None = None
    resets: tuple[str, ...] = ()
    modification: str | None = None
    counter: str | None = None

    def counted(self, flown: tuple[int, int], counted: int) -> tuple[int, int]:
        """Minutes and cycles as this requirement sees them: the counter's figure in place of the one it counts."""
        minutes, cycles = flown
        axis = COUNTERS.get(self.counter or "")
        return (counted if axis == "minutes" else minutes, counted if axis == "cycles" else cycles)


@dataclass
class Unit:
    """What is known of a unit, where it is, and one walk for each requirement of its (last) part number."""

    number: int
    kind: str
    part: str  # as opened
    last_part: str
    used: bool
    made: int | None
    released: int
    opened: int
    place: tuple[str, int, str] = ("store", 0, "")  # store, shop, position (airframe, door), slot (parent)
    walks: list[tuple[Stated, Walk]] = field(default_factory=list)
    modifications: set[str] = field(default_factory=set)
    marks: set[str] = field(default_factory=set)


@dataclass
class Fleet:
    seed: int
    first: int
    last: int
    daily: dict[int, tuple[int, int]]
    totals: dict[int, list[int]]
    rules: list[Stated] = field(default_factory=list)
    units: dict[int, Unit] = field(default_factory=dict)
    facts: list[Fact] = field(default_factory=list)
    readings: dict[int, dict[int, tuple[int, int]]] = field(default_factory=lambda: {a: {} for a in AIRFRAMES})
    counter_daily: dict[tuple[int, str], int] = field(default_factory=dict)
    counter_totals: dict[tuple[int, str], int] = field(default_factory=dict)
    counter_readings: dict[tuple[int, str], dict[int, int]] = field(default_factory=dict)

    def growth(self, one: Stated, airframe: int | None) -> tuple[int, int]:
        """What the airframe runs in a day, in the measures of the requirement; nothing in stores."""
        if airframe is None:
            return 0, 0
        return one.counted(self.daily[airframe], self.counter_daily.get((airframe, one.counter or ""), 0))

    def total(self, one: Stated, airframe: int) -> tuple[int, int]:
        """The airframe's totals in the measures of the requirement."""
        minutes, cycles = self.totals[airframe]
        return one.counted((minutes, cycles), self.counter_totals.get((airframe, one.counter or ""), 0))

    def airframe_of(self, unit: Unit) -> int | None:
        """The airframe that carries it, itself or in its parent."""
        kind, owner, _ = unit.place
        if kind == "slot":
            return self.airframe_of(self.units[owner])
        return owner if kind == "position" else None

    def children(self, unit: Unit) -> list[Unit]:
        return [u for u in self.units.values() if u.place[:2] == ("slot", unit.number)]

    def at(self, airframe: int, position: str) -> Unit | None:
        return next((u for u in self.units.values() if u.place == ("position", airframe, position)), None)


# --- the programme ---


def some_limits(rng: random.Random, *, calendar: bool = True, counts: bool = True, operations: bool = False) -> Allowed:
    while True:
        found = Allowed(
            months=rng.choice([None, rng.randint(1, 40)]) if calendar else None,
            days=rng.choice([None, None, rng.randint(20, 1_200)]) if calendar else None,
            minutes=rng.choice([None, rng.randint(2_000, 400_000)]) if counts else None,
            cycles=rng.choice([None, rng.randint(20, 4_000)]) if counts else None,
            operations=rng.choice([None, rng.randint(1, 6)]) if operations else None,
        )
        if found.any():
            return found


def starts_for(used: bool) -> list[str]:
    """Of a unit that was in use before its opening nobody knows the fittings, but the first."""
    known = ["manufacture", "cure", "release", "first_installation", "each_installation"]
    return known if used else [*known, "installation"]


def some_bands(rng: random.Random, rule: Rule) -> None:
    """Repeats that change with age; a band may leave out a measure, which then keeps the requirement's own."""
    rule.band_basis = rng.random() < 0.4
    for age in sorted(rng.sample(range(1, 60), rng.randint(1, 2))):
        while True:
            limits = Allowed(
                months=rng.choice([None, rng.randint(1, 24)]) if rule.repeat.months else None,
                minutes=rng.choice([None, rng.randint(1_000, 250_000)]) if rule.repeat.minutes else None,
                cycles=rng.choice([None, rng.randint(10, 2_500)]) if rule.repeat.cycles else None,
            )
            if limits.any() or not (rule.repeat.months or rule.repeat.minutes or rule.repeat.cycles):
                break
        if limits.any():
            rule.bands.append((age, limits))


def shop_rule(rng: random.Random, kind: str, *, used: bool, operations: bool = False) -> Rule:
    rule = Rule(kind=kind, start=rng.choice(starts_for(used)), whichever=rng.choice(["first", "first", "last"]))
    rule.operation = "activation" if operations else None
    rule.first = rng.choice([Allowed(), Allowed(), some_limits(rng, operations=operations)])
    rule.repeat = some_limits(rng, operations=operations)
    if rule.first.any() and rng.random() < 0.15:
        rule.repeat = Allowed()  # to be done once
    elif rng.random() < 0.35:
        some_bands(rng, rule)
    rule.month_last = rng.random() < 0.3 and bool(rule.first.months or rule.repeat.months)
    if rule.start in ("installation", "first_installation") and (rule.first.calendar() or rule.repeat.calendar()):
        rule.allowance = rng.choice([None, rng.randint(1, 9)])
    rule.variation_allowed = rng.random() < 0.6
    return rule


def aircraft_rule(rng: random.Random, kind: str, *, used: bool) -> Rule:
    rule = shop_rule(rng, kind, used=used)
    rule.on_aircraft = True
    if rng.random() < 0.7 and rule.repeat.any():
        # Short enough to be done several times.
        rule.repeat = Allowed(
            months=None if rule.repeat.months is None else rng.randint(1, 7),
            days=None if rule.repeat.days is None else rng.randint(20, 200),
            minutes=None if rule.repeat.minutes is None else rng.randint(3_000, 60_000),
            cycles=None if rule.repeat.cycles is None else rng.randint(20, 500),
        )
    rule.anchor_due = rng.random() < 0.6 and rule.repeat.any()
    if rule.anchor_due:
        side = rng.choice(["both", "early", "late"])
        for window, use in ((rule.early, side != "late"), (rule.late, side != "early")):
            window.days = rng.randint(3, 60) if use and rule.repeat.calendar() and rng.random() < 0.8 else None
            window.minutes = rng.randint(300, 9_000) if use and rule.repeat.minutes and rng.random() < 0.8 else None
            window.cycles = rng.randint(3, 90) if use and rule.repeat.cycles and rng.random() < 0.8 else None
        rule.anchor_due = rule.early.any() or rule.late.any()
    return rule


def life_rule(rng: random.Random, *, used: bool, operation: str | None = None) -> Rule:
    start = rng.choice([s for s in starts_for(used) if s != "each_installation"])
    rule = Rule(kind="life_limit", life_limit=True, start=start, operation=operation)
    rule.first = some_limits(rng, operations=operation is not None)
    rule.whichever = rng.choice(["first", "first", "first", "last"])
    rule.first.months = None if rule.first.months is None else rule.first.months + rng.randint(4, 40)
    return rule


def test_rule(rng: random.Random) -> Rule:
    """A requalification: months from the mark, to the month's end, perhaps to stay until emptied."""
    rule = Rule(kind="requalification", start=rng.choice(["manufacture", "release"]), month_last=rng.random() < 0.7)
    rule.repeat = Allowed(months=rng.randint(2, 30))
    rule.first = rng.choice([Allowed(), Allowed(months=rng.randint(2, 24))])
    rule.operation = "filling"
    if rng.random() < 0.4:
        rule.repeat.operations = rng.randint(1, 5)
    rule.no_refill = rng.random() < 0.6
    rule.variation_allowed = rng.random() < 0.2
    return rule


def stated(rng: random.Random, used: dict[str, bool]) -> list[Stated]:
    """The programme of one fleet: several requirements a part, each perhaps in two editions."""
    found: list[Stated] = []
    for part in PARTS["pack"]:
        own = used["pack"]
        resets = rng.choice([(), ("INS",), ("INS", "STO")])
        found.append(Stated("OVH", part, shop_rule(rng, "overhaul", used=own, operations=rng.random() < 0.3)))
        found[-1].resets = resets
        found.append(Stated("INS", part, aircraft_rule(rng, rng.choice(["inspection", "functional_test"]), used=own)))
        found.append(Stated("STO", part, shop_rule(rng, rng.choice(["storage", "soft_life"]), used=own)))
        if rng.random() < 0.5:
            found.append(Stated("LIFE", part, life_rule(rng, used=own)))
        if rng.random() < 0.4:
            found.append(Stated("MOD", part, aircraft_rule(rng, "inspection", used=own), modification="M1"))
    for part in PARTS["bottle"]:
        found.append(Stated("HST", part, test_rule(rng), source="dangerous_goods"))
        found.append(Stated("LIFE", part, life_rule(rng, used=used["bottle"], operation="filling")))
        found.append(Stated("OVH", part, shop_rule(rng, "overhaul", used=used["bottle"]), resets=("HST",)))
    for part in PARTS["battery"]:
        found.append(Stated("REP", part, shop_rule(rng, "replacement", used=used["battery"])))
        found.append(Stated("TST", part, aircraft_rule(rng, "functional_test", used=used["battery"])))
    return found


def with_editions(
    rng: random.Random, rules: list[Stated], used: dict[str, bool], first: int, last: int
) -> list[Stated]:
    """Some requirements get a second edition with other limits of the same sort."""
    found = []
    for one in rules:
        found.append(one)
        if rng.random() >= 0.25:
            continue
        kind = next(kind for kind, parts in PARTS.items() if one.part in parts)
        if one.rule.kind == "requalification":
            rule = test_rule(rng)
        elif one.rule.life_limit:
            rule = life_rule(rng, used=used[kind], operation=one.rule.operation)
        elif one.rule.on_aircraft:
            rule = aircraft_rule(rng, one.rule.kind, used=used[kind])
        else:
            rule = shop_rule(rng, one.rule.kind, used=used[kind])
        since = rng.randint(first, last + 200)
        found.append(
            Stated(one.name, one.part, rule, one.source, "2", since, resets=one.resets, modification=one.modification)
        )
    return found


def with_counters(rng: random.Random, fleet: Fleet) -> None:
    """In some fleets requirements are in a counter, the same in every edition, wherever they limit its axis at all."""
    if rng.random() < 0.4:
        return
    chosen: dict[tuple[str, str], str | None] = {}
    for one in fleet.rules:
        sets = (one.rule.first, one.rule.repeat, *(limits for _, limits in one.rule.bands))
        possible = [c for c, axis in COUNTERS.items() if any(getattr(limits, axis) is not None for limits in sets)]
        if possible and (one.name, one.part) not in chosen:
            chosen[one.name, one.part] = rng.choice([None, *possible])
    for one in fleet.rules:
        one.counter = chosen.get((one.name, one.part))
    for airframe in AIRFRAMES:
        for counter in COUNTERS:
            most = 8 if counter == "landings" else 600
            fleet.counter_daily[airframe, counter] = rng.choice([0, *[rng.randint(1, most)] * 5])
            fleet.counter_totals[airframe, counter] = rng.randint(0, 50_000)
            fleet.counter_readings[airframe, counter] = {}


def as_facts(one: Stated) -> tuple[Requirement, list[Band]]:
    """The requirement as the clerk states it."""
    rule = one.rule
    common = {"requirement": one.name, "part_number": one.part, "edition": one.edition}
    limits = {
        f"{which}_{measure}": getattr(allowed, measure)
        for which, allowed in (("first", rule.first), ("repeat", rule.repeat))
        for measure in ("months", "days", "minutes", "cycles", "operations")
    }
    windows = {
        f"window_{which}_{measure}": getattr(allowed, measure)
        for which, allowed in (("early", rule.early), ("late", rule.late))
        for measure in ("days", "minutes", "cycles")
    }
    fact = Requirement(
        **common,
        kind=rule.kind,
        source=one.source,
        effective_from=None if one.effective_from is None else text(one.effective_from),
        start=rule.start,
        operation=rule.operation,
        whichever=rule.whichever,
        month_rule="last" if rule.month_last else None,
        shelf_allowance_months=rule.allowance,
        done_at="aircraft" if rule.on_aircraft else "shop",
        anchor="due" if rule.anchor_due else "done",
        variation_allowed=rule.variation_allowed,
        at_due="no-refill" if rule.no_refill else None,
        resets="; ".join(one.resets) or None,
        requires_unit_modification=one.modification,
        reference="Card",
        counter=one.counter,
        **limits,
        **windows,
    )
    bands = [
        Band(
            **common,
            from_age_months=age,
            repeat_months=allowed.months,
            repeat_minutes=allowed.minutes,
            repeat_cycles=allowed.cycles,
            band_rule="basis" if rule.band_basis else "cap",
        )
        for age, allowed in rule.bands
    ]
    return fact, bands


# --- the units as opened ---


def opened(fleet: Fleet, rng: random.Random, number: int, kind: str, *, used: bool) -> None:
    """One unit: made, released, perhaps used and worked on before its opening statement."""
    parts = PARTS[kind]
    part = parts[0]
    last_part = rng.choice(parts)
    made = fleet.first - rng.randint(300, 1_200)
    released = made + rng.randint(0, 60)
    unit = Unit(
        number=number,
        kind=kind,
        part=part,
        last_part=last_part,
        used=used,
        made=made if rng.random() < 0.9 else None,
        released=released,
        opened=fleet.first,
    )
    if len(parts) > 1 and rng.random() < 0.5:
        unit.modifications.add("M1")
    fleet.units[number] = unit
    cured = made - rng.randint(0, 100)
    quarter = rng.random() < 0.3
    shown = (cured - 1) if quarter else cured
    if quarter:
        on = date.fromordinal(cured)
        month = 3 * ((on.month - 1) // 3) + 1
        shown_text = f"{on.year:04d}-Q{(month - 1) // 3 + 1}"
        # The last day of the quarter is taken as the cure date.
        following = date(on.year + 1, 1, 1) if month == 10 else date(on.year, month + 3, 1)
        cured = following.toordinal() - 1
    else:
        shown_text = text(shown)
    expires = fleet.first + rng.randint(-100, 900) if rng.random() < 0.15 else None
    minutes: int | None = 0
    cycles: int | None = 0
    operations: int | None = 0
    first_installed: int | None = None
    if used:
        first_installed = rng.randint(released, fleet.first - 100)
        minutes = rng.choice([None, rng.randint(1_000, 200_000), rng.randint(1_000, 200_000)])
        cycles = rng.choice([None, rng.randint(10, 2_000), rng.randint(10, 2_000)])
        operations = rng.choice([None, rng.randint(0, 4)])
    place: dict[str, object] = {"place": "store"}
    placed_on: int | None = None
    if used and kind == "pack" and rng.random() < 0.7:
        airframe, position = rng.choice(AIRFRAMES), rng.choice(POSITIONS)
        if fleet.at(airframe, position) is None:
            placed_on = rng.randint(first_installed or released, fleet.first - 1)
            unit.place = ("position", airframe, position)
            place = {"place": "position", "airframe": airframe, "position": position, "placed_on": text(placed_on)}
    elif used and kind != "pack" and rng.random() < 0.6:
        parent = fleet.units[rng.choice(PACKS)]
        free = all(child.kind != kind for child in fleet.children(parent))
        if free and parent.used:
            placed_on = rng.randint(first_installed or released, fleet.first - 1)
            unit.place = ("slot", parent.number, kind)
            place = {"place": "slot", "parent": parent.number, "slot": kind, "placed_on": text(placed_on)}
    counts = {counter: _since_new(fleet, number, counter, used=used) for counter in COUNTERS}
    fleet.facts.append(
        Opening(
            unit=number,
            part_number=part,
            serial_number=str(number),
            manufactured=None if unit.made is None else text(unit.made),
            cured=shown_text,
            expires=None if expires is None else text(expires),
            first_installed=None if first_installed is None else text(first_installed),
            minutes_since_new=minutes,
            cycles_since_new=cycles,
            operations_since_new=operations,
            as_of=text(fleet.first),
            **place,  # type: ignore[arg-type]
        )
    )
    paper(fleet, unit, "new", released)
    since = rng.randint(max(first_installed or released, released + 1), fleet.first - 1) if used else None
    earlier = {"minutes": minutes, "cycles": cycles, "operations": operations, **counts}
    for one in fleet.rules:
        if one.part != last_part or (one.modification and one.modification not in unit.modifications):
            continue
        rule = one.rule
        walk = Walk(rule, made=unit.made, released=released, cured=cured, expires=None if expires is None else expires)
        unit.walks.append((one, walk))
        for day in range(released, fleet.first + 1):
            walk.begin(day)
            if used and day == first_installed and rule.start == "first_installation":
                walk.install()
            if walk.waits_from is not None:
                walk.fly(0, 0)
        walk.installed = unit.place[0] != "store"
        walk.ever_installed = used
        walk.stored = unit.place[0] == "store"
        own_minutes, own_cycles = minutes, cycles
        if one.counter == "APU hours":
            own_minutes = counts[one.counter]
        elif one.counter is not None:
            own_cycles = counts[one.counter]
        walk.minutes, walk.cycles = own_minutes or 0, own_cycles or 0
        walk.minutes_from = None if own_minutes is None else 0
        walk.cycles_from = None if own_cycles is None else 0
        walk.operations_before = operations
        if used and rule.start == "each_installation" and walk.installed:
            # Fitted on a known day; what it had run by then nobody recorded.
            walk.calendar_from, walk.minutes_from, walk.cycles_from = placed_on, None, None
        elif used and rule.start == "each_installation":
            walk.minutes_from, walk.cycles_from = walk.minutes, walk.cycles  # they run from the fitting to come
        airframe = fleet.airframe_of(unit)
        if airframe is not None:
            walk.carry(airframe, *fleet.total(one, airframe))
    if since is not None:
        worked_before(fleet, rng, unit, since, earlier, placed_on)


def _since_new(fleet: Fleet, number: int, counter: str, *, used: bool) -> int | None:
    """What the unit had run in a counter at its opening, stated or not; nothing of one that was not in use."""
    if not fleet.counter_daily:
        return None
    rng = random.Random(f"{fleet.seed} {number} {counter}")
    since_new = rng.choice([None, rng.randint(10, 2_000)]) if used else 0
    if since_new is not None:
        fleet.facts.append(UnitCounter(unit=number, counter=counter, since_new=since_new))
    return since_new


def worked_before(
    fleet: Fleet, rng: random.Random, unit: Unit, since: int, opening: dict[str, int | None], placed_on: int | None
) -> None:
    """Work before the opening statement, all on one day; what was run since then stated or not."""
    done: dict[str, dict[str, int | None]] = {}
    for name in dict.fromkeys(one.name for one, _ in unit.walks):
        rules = [one.rule for one, _ in unit.walks if one.name == name]
        if rng.random() < 0.4 or any(r.life_limit or r.anchor_due for r in rules):
            continue
        run: dict[str, int | None] = {}
        counter = next(one.counter for one, _ in unit.walks if one.name == name)
        if counter is not None:
            own, total = random.Random(f"{fleet.seed} {unit.number} {name}"), opening[counter]
            run[counter] = None if own.random() < 0.25 else own.randint(0, 400 if total is None else min(total, 400))
        for measure in ("minutes", "cycles", "operations"):
            total = opening[measure]
            most = {"minutes": 40_000, "cycles": 500, "operations": 4}[measure]
            run[measure] = None if rng.random() < 0.25 else rng.randint(0, most if total is None else min(total, most))
        mark = rules[0].kind == "requalification"
        fleet.facts.append(
            Accomplishment(
                unit=unit.number,
                requirement=name,
                done_on=month_of(since) if mark else text(since),
                date_basis="mark" if mark else "log" if rules[0].on_aircraft else "release",
                minutes_since=run["minutes"],
                cycles_since=run["cycles"],
                operations_since=run["operations"],
                counter=counter,
                counter_since=None if counter is None else run[counter],
            )
        )
        unit.marks.add(month_of(since))
        done[name] = run
    own = set(done)
    for one, walk in unit.walks:
        resetting = [n for n in own if any(other.name == n and one.name in other.resets for other, _ in unit.walks)]
        name = one.name if one.name in own else next(iter(resetting), None)
        if name is None or one.rule.life_limit or (one.name not in own and one.rule.kind == "requalification"):
            continue
        day = first_of_month(since) if walk.rule.kind == "requalification" else since
        run = dict(done[name])
        if one.counter is not None:
            run[COUNTERS[one.counter]] = run.get(one.counter)  # of another counter the paper says nothing
        _had_work(walk, day, run, placed_on)


def _had_work(walk: Walk, day: int, run: dict[str, int | None], placed_on: int | None) -> None:
    walk.work_day = day
    walk.operations_from, walk.operations_before = day, run["operations"]
    if walk.rule.start == "each_installation" and (placed_on is None or placed_on > day):
        return  # the fitting that followed, or the one to come, begins anew
    walk.calendar_from, walk.waits_from = day, None
    walk.minutes_from = None if run["minutes"] is None else walk.minutes - run["minutes"]
    walk.cycles_from = None if run["cycles"] is None else walk.cycles - run["cycles"]


def paper(fleet: Fleet, unit: Unit, status: str, day: int) -> str:
    """A release certificate filed against the unit; its number."""
    number = f"C{len(fleet.facts)}"
    fleet.facts.append(
        Certificate(
            tracking_number=number,
            organisation="Auk Works",
            part_number=unit.part,
            serial_number=str(unit.number),
            status=status,
            dated_on=text(day),
            unit=unit.number,
        )
    )
    return number
