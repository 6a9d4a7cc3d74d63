"""Small fleets flown day by day, with swaps in between: what the units ran, told from the facts, never flatters.

The walk knows what really happened: it flies every airframe every day and adds what was flown to whatever hangs on it.
The derivation knows only the facts: openings, movements with or without totals, readings on some evenings.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field

import pytest

from fleetlife.dates.moment import moment_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.book import Book, requirement_values
from fleetlife.follows.derive import Derived, derive
from fleetlife.follows.place import Recorded
from fleetlife.follows.totals import MemoryTotals, Point
from fleetlife.ledger.facts import Fact, Movement, Opening, Requirement, Transfer

FIRST, DAYS = 738_000, 70
AIRFRAMES, POSITIONS = (1, 2), ("L1", "R1")
PACKS, BOTTLES = (1, 2, 3, 4), (5, 6)
LIMIT = 100_000


@dataclass
class Truth:
    """What really happened, and the facts somebody wrote down of it."""

    totals: dict[int, list[int]] = field(default_factory=lambda: {a: [50_000 * a, 500 * a] for a in AIRFRAMES})
    ran: dict[int, list[int]] = field(default_factory=lambda: {u: [0, 0] for u in (*PACKS, *BOTTLES)})
    hangs: dict[int, tuple[int, str]] = field(default_factory=dict)
    inside: dict[int, int] = field(default_factory=dict)
    facts: list[Fact] = field(default_factory=list)
    readings: dict[int, dict[int, tuple[int, int]]] = field(default_factory=lambda: {a: {} for a in AIRFRAMES})

    def fly(self, airframe: int, minutes: int, cycles: int) -> None:
        self.totals[airframe][0] += minutes
        self.totals[airframe][1] += cycles
        for unit in self.ran:
            top = self.inside.get(unit, unit)
            if self.hangs.get(top, (0, ""))[0] == airframe:
                self.ran[unit][0] += minutes
                self.ran[unit][1] += cycles


def opened(truth: Truth) -> None:
    """Two packs on the first airframe, two in stores; one bottle in each of the first two packs."""
    as_of = day_text(FIRST)
    common = {"as_of": as_of, "minutes_since_new": 0, "cycles_since_new": 0}
    for unit in PACKS:
        place: dict[str, object] = {"place": "store"}
        if unit <= 2:
            truth.hangs[unit] = (1, POSITIONS[unit - 1])
            place = {"place": "position", "airframe": 1, "position": POSITIONS[unit - 1]}
        truth.facts.append(Opening(unit=unit, part_number="QX-1", serial_number=str(unit), **common, **place))  # type: ignore[arg-type]
    for unit, parent in zip(BOTTLES, PACKS, strict=False):
        truth.inside[unit] = parent
        truth.facts.append(
            Opening(
                unit=unit, part_number="QR-7", serial_number=str(unit), place="slot", parent=parent, slot="b", **common  # type: ignore[arg-type]
            )
        )  # fmt: skip


def change(truth: Truth, rng: random.Random, day: int, sequence: int, *, stated: bool) -> None:
    """One thing that may happen: a swap, a removal, a fitting, or a bottle that changes its pack."""
    on = day_text(day) or ""
    if rng.random() < 0.2:
        bottle = rng.choice(BOTTLES)
        free = [p for p in PACKS if p not in truth.inside.values()]
        if bottle in truth.inside:
            del truth.inside[bottle]
            truth.facts.append(Transfer(unit=bottle, moved_on=on, sequence=sequence, target="store"))
        else:
            parent = rng.choice(free)
            truth.inside[bottle] = parent
            truth.facts.append(
                Transfer(unit=bottle, moved_on=on, sequence=sequence, target="parent", parent=parent, slot="b")
            )
        return
    airframe, position = rng.choice(AIRFRAMES), rng.choice(POSITIONS)
    there = next((unit for unit, place in truth.hangs.items() if place == (airframe, position)), None)
    spares = [unit for unit in PACKS if unit not in truth.hangs]
    fit = rng.choice(spares) if spares and (there is None or rng.random() < 0.7) else None
    if there is None and fit is None:
        return
    if there is not None:
        del truth.hangs[there]
    if fit is not None:
        truth.hangs[fit] = (airframe, position)
    minutes, cycles = truth.totals[airframe]
    truth.facts.append(
        Movement(
            airframe=airframe,
            position=position,
            moved_on=on,
            sequence=sequence,
            removed=there,
            installed=fit,
            minutes_total=minutes if stated else None,
            cycles_total=cycles if stated else None,
        )
    )


def lived(seed: int, *, stated: float, read: float) -> Truth:
    """A fleet of `DAYS` days; `stated` and `read`: how often a movement states its totals, an evening is read."""
    rng = random.Random(seed)
    truth = Truth()
    opened(truth)
    for day in range(FIRST, FIRST + DAYS):
        if day > FIRST:
            for leg in range(rng.randrange(0, 3)):
                for airframe in AIRFRAMES:
                    truth.fly(airframe, rng.randrange(0, 300), rng.randrange(0, 4))
                if rng.random() < 0.25:
                    change(truth, rng, day, 10 * (leg + 1), stated=rng.random() < stated)
            for airframe in AIRFRAMES:
                truth.fly(airframe, rng.randrange(0, 300), rng.randrange(0, 4))
        for airframe in AIRFRAMES:
            if day in (FIRST, FIRST + DAYS - 1) or rng.random() < read:
                truth.readings[airframe][day] = (truth.totals[airframe][0], truth.totals[airframe][1])
    return truth


def told(truth: Truth) -> Derived:
    facts: dict[int, list[Recorded]] = {}
    for number, fact in enumerate(truth.facts, 1):
        for unit in dict.fromkeys(fact.unit_ids()):
            facts.setdefault(unit, []).append(Recorded(number, fact))
    rules = [
        (0, Requirement(requirement="LIFE", part_number=part, kind="life_limit", first_minutes=LIMIT))
        for part in ("QX-1", "QR-7")
    ]
    totals = MemoryTotals(
        {a: [Point(day, *total) for day, total in held.items()] for a, held in truth.readings.items()}
    )
    derived = derive(facts, book=Book(requirements=requirement_values(rules, [])), totals=totals)
    assert derived.problems == ()
    return derived


def count_now(truth: Truth, derived: Derived, unit: int) -> tuple[int, int]:
    """What the rows say the unit has run by the last evening, on which every airframe was read."""
    minutes = cycles = 0
    for row in derived.carriages[unit]:
        end_minutes, end_cycles = row.until_minutes, row.until_cycles
        if row.until_moment is None:
            end_minutes, end_cycles = truth.readings[row.airframe_id][FIRST + DAYS - 1]
        assert end_minutes is not None
        assert end_cycles is not None
        assert row.from_minutes is not None
        assert row.from_cycles is not None
        minutes += end_minutes - row.from_minutes
        cycles += end_cycles - row.from_cycles
    return minutes, cycles


class TestEverythingWrittenDown:
    @pytest.mark.parametrize("seed", range(60))
    def test_what_the_units_ran_comes_out_to_the_minute(self, seed: int) -> None:
        truth = lived(seed, stated=1.0, read=1.0)
        derived = told(truth)
        for unit in PACKS:
            assert list(count_now(truth, derived, unit)) == truth.ran[unit], unit

    @pytest.mark.parametrize("seed", range(60))
    def test_and_so_does_the_total_at_which_the_life_ends(self, seed: int) -> None:
        truth = lived(seed, stated=1.0, read=1.0)
        derived = told(truth)
        for unit in PACKS:
            (row,) = derived.due_points[unit]
            left = LIMIT - truth.ran[unit][0]
            if unit in truth.hangs:
                assert row.due_minutes == truth.totals[truth.hangs[unit][0]][0] + left
            else:
                assert row.left_minutes == left
            assert row.estimated == 0


class TestOnlySomeOfIt:
    @pytest.mark.parametrize("seed", range(80))
    def test_no_unit_is_told_to_have_run_less_than_it_did(self, seed: int) -> None:
        truth = lived(seed, stated=0.4, read=0.3)
        derived = told(truth)
        for unit in (*PACKS, *BOTTLES):
            minutes, cycles = count_now(truth, derived, unit)
            assert minutes >= truth.ran[unit][0], unit
            assert cycles >= truth.ran[unit][1], unit

    @pytest.mark.parametrize("seed", range(80))
    def test_nor_to_fall_due_later_than_it_does(self, seed: int) -> None:
        truth = lived(seed, stated=0.4, read=0.3)
        derived = told(truth)
        for unit in (*PACKS, *BOTTLES):
            (row,) = derived.due_points[unit]
            left = LIMIT - truth.ran[unit][0]
            top = truth.inside.get(unit, unit)
            if top in truth.hangs:
                assert row.due_minutes is not None
                assert row.due_minutes <= truth.totals[truth.hangs[top][0]][0] + left, unit
            else:
                assert row.left_minutes is not None
                assert row.left_minutes <= left, unit

    @pytest.mark.parametrize("seed", range(40))
    def test_and_what_is_charged_too_much_lies_between_two_readings(self, seed: int) -> None:
        """Each boundary by looking for its reading day by day, up or down."""
        truth = lived(seed, stated=0.0, read=0.3)
        derived = told(truth)
        for unit in (*PACKS, *BOTTLES):
            for row in derived.carriages[unit]:
                held = truth.readings[row.airframe_id]
                day = row.from_moment // 10_000
                if row.from_moment != moment_of(FIRST, 9999):
                    day -= 1
                while day not in held:
                    day -= 1
                assert (row.from_minutes, row.from_cycles) == held[day]
                if row.until_moment is not None:
                    day = row.until_moment // 10_000
                    while day not in held:
                        day += 1
                    assert (row.until_minutes, row.until_cycles) == held[day]


class TestTheFleetsThemselves:
    def test_they_are_worth_flying(self) -> None:
        """Swaps, bottles that change their pack, movements of one day, both airframes."""
        seen: list[Sequence[Fact]] = [lived(seed, stated=0.5, read=0.3).facts for seed in range(20)]
        moves = [fact for facts in seen for fact in facts if isinstance(fact, Movement)]
        assert len(moves) > 200
        assert {move.airframe for move in moves} == {1, 2}
        assert any(move.removed and move.installed for move in moves)
        assert any(isinstance(fact, Transfer) and fact.parent for facts in seen for fact in facts)
        days = [(fact.moved_on, facts is seen[0]) for facts in seen for fact in facts if isinstance(fact, Movement)]
        assert len(set(days)) < len(days)
