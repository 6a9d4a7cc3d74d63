"""The days of a random fleet: work, fittings, operations, flying, approvals; and the facts written down of them."""

from __future__ import annotations

import random
from dataclasses import dataclass

from day_by_day import Approval
from fleets import (
    AIRFRAMES,
    BATTERIES,
    BOTTLES,
    PACKS,
    POSITIONS,
    Fleet,
    Unit,
    first_of_month,
    month_of,
    opened,
    paper,
    stated,
    text,
    with_counters,
    with_editions,
)

from fleetlife.ledger.facts import Accomplishment, Movement, Operation, Transfer, UnitModification, Variation


@dataclass
class Told:
    """How much is written down: how often a movement states its totals, and how often an evening is read."""

    totals: float = 1.0
    evenings: float = 1.0


def lived(seed: int, told: Told | None = None) -> Fleet:
    """A fleet from its opening statement to its last day. The same seed gives the same fleet."""
    told = told or Told()
    rng, desk = random.Random(seed), random.Random(seed + 1)
    first = 737_000 + rng.randint(0, 1_500)
    fleet = Fleet(
        seed=seed,
        first=first,
        last=first + rng.randint(150, 800),
        daily={
            a: (rng.choice([0, *[rng.randint(50, 800)] * 5]), rng.choice([0, *[rng.randint(1, 8)] * 5]))
            for a in AIRFRAMES
        },
        totals={a: [rng.randint(0, 900_000), rng.randint(0, 9_000)] for a in AIRFRAMES},
    )
    used = {kind: rng.random() < 0.5 for kind in ("pack", "bottle", "battery")}
    fleet.rules = with_editions(rng, stated(rng, used), used, fleet.first, fleet.last)
    counting = random.Random(seed + 3)
    with_counters(counting, fleet)
    for kind, numbers in (("pack", PACKS), ("bottle", BOTTLES), ("battery", BATTERIES)):
        for number in numbers:
            opened(fleet, rng, number, kind, used=used[kind])
    for unit in fleet.units.values():
        reidentified(fleet, rng, unit)
    read(fleet, fleet.first)
    read_counters(fleet, fleet.first)
    for day in range(fleet.first + 1, fleet.last + 1):
        _day(fleet, rng, desk, day, told)
        if day == fleet.last or desk.random() < told.evenings:
            read(fleet, day)
        if day == fleet.last or counting.random() < told.evenings:
            read_counters(fleet, day)
    return fleet


def read(fleet: Fleet, day: int) -> None:
    for airframe, (minutes, cycles) in fleet.totals.items():
        fleet.readings[airframe][day] = (minutes, cycles)


def read_counters(fleet: Fleet, day: int) -> None:
    for series, total in fleet.counter_totals.items():
        fleet.counter_readings[series][day] = total


def reidentified(fleet: Fleet, rng: random.Random, unit: Unit) -> None:
    """The modification and the new part number, on one day or two; the requirements are those of the new number."""
    new = unit.last_part if unit.last_part != unit.part else None
    for name, part in (("M1", None), ("P2", new)):
        if (name == "M1" and name not in unit.modifications) or (name == "P2" and part is None):
            continue
        on = rng.randint(fleet.first + 1, fleet.last)
        fleet.facts.append(
            UnitModification(unit=unit.number, modification=name, embodied_on=text(on), new_part_number=part)
        )


def _day(fleet: Fleet, rng: random.Random, desk: random.Random, day: int, told: Told) -> None:
    busy: set[int] = set()
    wanted: dict[int, str] = {}  # approvals asked for today
    for unit in fleet.units.values():
        for _, walk in unit.walks:
            walk.begin(day)
    for unit in fleet.units.values():
        what, name = _near(rng, unit) if rng.random() < 0.3 else ("", None)
        if what == "approve" and name is not None:
            wanted[unit.number] = name
        elif rng.random() < 0.008 or what == "work":
            _work(fleet, rng, unit, day, name)
            busy.add(unit.number)
    sequence = 20
    for _ in range(rng.choice([0] * 50 + [1, 1, 2])):
        if _move(fleet, rng, day, sequence, busy, stated=desk.random() < told.totals):
            sequence += 10
    for number in BOTTLES + PACKS:
        if rng.random() < 0.008:
            _operate(fleet, rng, fleet.units[number], day)
    for airframe in AIRFRAMES:
        for place, grown in enumerate(fleet.daily[airframe]):
            fleet.totals[airframe][place] += grown
    for series, grown in fleet.counter_daily.items():
        fleet.counter_totals[series] += grown
    for unit in fleet.units.values():
        airframe = fleet.airframe_of(unit)
        for one, walk in unit.walks:
            walk.fly(*fleet.growth(one, airframe))
    for unit in fleet.units.values():
        asked = rng.random() < 0.008 or unit.number in wanted
        if asked and unit.number not in busy:
            _approve(fleet, rng, unit, day, wanted.get(unit.number))


def _near(rng: random.Random, unit: Unit) -> tuple[str, str | None]:
    """What a planner would do today about one requirement: work in its window or under its approval, or ask for one."""
    one, walk = rng.choice(unit.walks)
    rule = walk.rule
    limits = rule.first if walk.never_done() and rule.first.any() else rule.repeat
    ends = [end - walk.today for end in walk._ends(limits) if end is not None]
    left = {"days": min(ends, default=None), "minutes": walk.left("minutes"), "cycles": walk.left("cycles")}
    if walk.approval is not None and walk.approval.alive:
        return ("work", one.name) if walk.passed() else ("", None)
    usual = {"days": (30, 5), "minutes": (8_000, 500), "cycles": (80, 5)}
    windows = {m: (getattr(rule.early, m), getattr(rule.late, m)) for m in usual} if rule.anchor_due else usual
    for measure, (early, late) in windows.items():
        near = left[measure]
        if near is None or (early is None and late is None):
            continue
        if -(late or 0) <= near <= (early or 0):
            asks = rule.variation_allowed and rng.random() < 0.5
            return ("approve" if asks else "work"), one.name
    return "", None


def _work(fleet: Fleet, rng: random.Random, unit: Unit, day: int, name: str | None) -> None:
    """One requirement done, and what that resets; or a paper that claims it and does not show it."""
    name = name or rng.choice([one.name for one, _ in unit.walks])
    one = next(one for one, _ in unit.walks if one.name == name)
    rule = one.rule
    installed, carried = unit.place[0] in ("position", "slot"), fleet.airframe_of(unit) is not None
    mark = rule.kind == "requalification"
    if mark:
        marked_month = month_of(day)
        if marked_month in unit.marks:
            return
        unit.marks.add(marked_month)
    elif rule.on_aircraft != carried or (not carried and installed):
        return
    basis = "mark" if mark else "log" if carried else "release"
    # A mark says the month; where that begins before the opening statement the day is told.
    to_month = mark and first_of_month(day) > fleet.first
    certificate, proven = None, True
    if basis == "release" and rule.kind in ("overhaul", "replacement", "soft_life") and rng.random() < 0.3:
        term = rng.choice(["inspected/tested", "repaired", "new" if rule.kind == "replacement" else "overhauled"])
        certificate, proven = paper(fleet, unit, term, day) if term != "new" else None, term in ("overhauled", "new")
    fleet.facts.append(
        Accomplishment(
            unit=unit.number,
            requirement=name,
            done_on=month_of(day) if to_month else text(day),
            date_basis=basis,
            certificate=certificate,
            sequence=10 if basis == "log" else None,
        )
    )
    if not proven:
        return
    for other, walk in unit.walks:
        if other.name == name or (other.name in _resets(unit, name) and (other.rule.kind != "requalification" or mark)):
            walk.work(first_of_month(day) if to_month else None)


def _resets(unit: Unit, name: str) -> set[str]:
    return {target for one, _ in unit.walks if one.name == name for target in one.resets}


def _move(fleet: Fleet, rng: random.Random, day: int, sequence: int, busy: set[int], *, stated: bool) -> bool:
    """A swap, a removal or a fitting of a pack, or a child that changes its place. False: nothing was possible."""
    if rng.random() < 0.3:
        return _move_child(fleet, rng, day, sequence, busy)
    airframe, position = rng.choice(AIRFRAMES), rng.choice(POSITIONS)
    there = fleet.at(airframe, position)
    spares = [fleet.units[n] for n in PACKS if fleet.units[n].place[0] not in ("position",)]
    fit = rng.choice(spares) if spares and (there is None or rng.random() < 0.6) else None
    if there is None and fit is None:
        return False
    minutes, cycles = fleet.totals[airframe]
    to = rng.choice(["store", "store", "shop"])
    fleet.facts.append(
        Movement(
            airframe=airframe,
            position=position,
            moved_on=text(day),
            sequence=sequence,
            removed=None if there is None else there.number,
            removed_to=None if there is None else to,
            installed=None if fit is None else fit.number,
            minutes_total=minutes if stated else None,
            cycles_total=cycles if stated else None,
        )
    )
    if there is not None:
        there.place = (to, 0, "")
        busy.add(there.number)
        for _, walk in there.walks:
            walk.put_down()
            walk.take_out(to_store=to == "store")
        for child in fleet.children(there):
            busy.add(child.number)
            for _, walk in child.walks:
                walk.put_down()
    if fit is not None:
        fit.place = ("position", airframe, position)
        busy.add(fit.number)
        for one, walk in fit.walks:
            walk.install()
            walk.carry(airframe, *fleet.total(one, airframe))
        for child in fleet.children(fit):
            busy.add(child.number)
            for one, walk in child.walks:
                walk.carry(airframe, *fleet.total(one, airframe))
    return True


def _move_child(fleet: Fleet, rng: random.Random, day: int, sequence: int, busy: set[int]) -> bool:
    """Out of its parent, or into one; the parent may hang on an airframe or lie in stores."""
    unit = fleet.units[rng.choice(BOTTLES + BATTERIES)]
    busy.add(unit.number)
    if unit.place[0] == "slot":
        carried = fleet.airframe_of(unit)
        if carried is not None:
            return False  # taken out in the shop: between two readings nothing states the total of that moment
        to = rng.choice(["store", "shop"])
        unit.place = (to, 0, "")
        fleet.facts.append(Transfer(unit=unit.number, moved_on=text(day), sequence=sequence, target=to, store="Main"))
        for _, walk in unit.walks:
            walk.put_down()
            walk.take_out(to_store=to == "store")
        return True
    parent = fleet.units[rng.choice(PACKS)]
    if any(child.kind == unit.kind for child in fleet.children(parent)) or fleet.airframe_of(parent) is not None:
        return False
    unit.place = ("slot", parent.number, unit.kind)
    fleet.facts.append(
        Transfer(
            unit=unit.number,
            moved_on=text(day),
            sequence=sequence,
            target="parent",
            parent=parent.number,
            slot=unit.kind,
        )
    )
    for _, walk in unit.walks:
        walk.install()
    return True


def _operate(fleet: Fleet, rng: random.Random, unit: Unit, day: int) -> None:
    kind = "activation" if unit.kind == "pack" else rng.choice(["filling", "filling", "activation"])
    count = rng.randint(1, 2)
    fleet.facts.append(Operation(unit=unit.number, operated_on=text(day), operation=kind, count=count, sequence=5_000))
    for _, walk in unit.walks:
        walk.operate(kind, count)


def _approve(fleet: Fleet, rng: random.Random, unit: Unit, day: int, wanted: str | None) -> None:
    airframe = fleet.airframe_of(unit)
    names = [one.name for one, walk in unit.walks if walk.rule.variation_allowed]
    if airframe is None or not names:
        return
    name = wanted if wanted in names else rng.choice(names)
    minutes, cycles = fleet.total(next(one for one, _ in unit.walks if one.name == name), airframe)
    approval = Approval(
        until_day=rng.choice([None, *[day + rng.randint(1, 150)] * 3]),
        until_minutes=rng.choice([None, minutes + rng.randint(1, 60_000)]),
        until_cycles=rng.choice([None, cycles + rng.randint(1, 600)]),
    )
    fleet.facts.append(
        Variation(
            unit=unit.number,
            requirement=name,
            until_on=None if approval.until_day is None else text(approval.until_day),
            until_minutes=approval.until_minutes,
            until_cycles=approval.until_cycles,
            approved_on=text(day),
            approved_by="S. Quill",
            reference=f"PV-{day}",
        )
    )
    for one, walk in unit.walks:
        if one.name == name:
            walk.approve(Approval(approval.until_day, approval.until_minutes, approval.until_cycles))
