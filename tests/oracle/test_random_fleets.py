"""Random fleets with every feature in combination against the day-by-day walk: a seeded smaller run of `run.py`."""

from __future__ import annotations

import random
import subprocess
import sys
from collections import Counter
from dataclasses import fields, replace
from functools import cache
from pathlib import Path

import comparison
import pytest
from comparison import Tally, compared, derived_from
from fleet_days import Told, lived
from hypothesis import given, settings
from hypothesis import strategies as st

PARTLY = Told(totals=0.4, evenings=0.3)
BATCHES, FLEETS = range(5), 6


@cache
def batch(number: int) -> Tally:
    total = Tally()
    for seed in range(FLEETS):
        total.add(compared(90_000 + FLEETS * number + seed))
    return total


class TestEverythingWrittenDown:
    @pytest.mark.parametrize("number", BATCHES)
    def test_every_due_point_comes_out_as_walked(self, number: int) -> None:
        assert [str(difference) for difference in batch(number).differences] == []

    @settings(max_examples=12, deadline=None)
    @given(st.integers(0, 2**31))
    def test_whatever_the_seed(self, seed: int) -> None:
        assert [str(difference) for difference in compared(seed).differences] == []

    def test_many_of_them_are_in_a_counter(self) -> None:
        assert sum(batch(number).counted for number in BATCHES) > 300

    def test_every_state_is_among_them(self) -> None:
        told = sum((batch(number).states for number in BATCHES), start=Counter())
        assert set(told) == {"overdue", "no refill", "in variation", "due", "in date", "waiting", "unknown"}

    def test_every_feature_is_among_them(self) -> None:
        """So that a change of the generator cannot quietly leave one out."""
        fleets = [lived(seed) for seed in range(90_000, 90_025)]
        rules = [(one, one.rule) for fleet in fleets for one in fleet.rules]
        kinds = {fact.KIND for fleet in fleets for fact in fleet.facts}
        recorded = {"unit", "movement", "transfer", "accomplishment", "operation", "variation", "unit_modification"}
        assert {rule.start for _, rule in rules} == {
            "manufacture",
            "cure",
            "release",
            "first_installation",
            "installation",
            "each_installation",
        }
        assert kinds >= recorded
        assert {rule.whichever for _, rule in rules} == {"first", "last"}
        assert {rule.band_basis for _, rule in rules if rule.bands} == {True, False}
        for feature in (
            any(rule.allowance for _, rule in rules),
            any(rule.month_last for _, rule in rules),
            any(rule.anchor_due and rule.early.any() and rule.late.any() for _, rule in rules),
            any(rule.no_refill for _, rule in rules),
            any(rule.repeat.operations for _, rule in rules),
            any(rule.life_limit and rule.first.operations for _, rule in rules),
            any(one.edition == "2" for one, _ in rules),
            any(one.resets for one, _ in rules),
            any(one.modification for one, _ in rules),
            any(one.counter == "landings" for one, _ in rules),
            any(one.counter == "APU hours" for one, _ in rules),
            any(one.counter and rule.bands for one, rule in rules),
            any(one.counter and rule.whichever == "last" for one, rule in rules),
            any(one.counter and rule.anchor_due for one, rule in rules),
            any(unit.place[0] == "slot" for fleet in fleets for unit in fleet.units.values()),
            any(unit.last_part != unit.part for fleet in fleets for unit in fleet.units.values()),
            any(unit.made is None for fleet in fleets for unit in fleet.units.values()),
        ):
            assert feature


class TestOnlySomeOfIt:
    @pytest.mark.parametrize("number", range(3))
    def test_an_estimate_is_never_later_than_the_truth(self, number: int) -> None:
        for seed in range(80_000 + 6 * number, 80_006 + 6 * number):
            assert [str(difference) for difference in compared(seed, PARTLY).differences] == []


def _told(row: object) -> dict[str, object]:
    """A derived row without the numbers of the entries behind it."""
    names = [field.name for field in fields(row)]  # type: ignore[arg-type]
    return {name: getattr(row, name) for name in names if name not in ("entry", "until_entry")}


class TestTheOrderOfRecording:
    @pytest.mark.parametrize("seed", range(70_000, 70_008))
    def test_facts_recorded_in_any_order_derive_alike(self, seed: int) -> None:
        """Only the entry numbers, which say where it was written down, may differ."""
        fleet = lived(seed, PARTLY)
        straight, _ = derived_from(fleet)
        random.Random(seed).shuffle(fleet.facts)
        shuffled, _ = derived_from(fleet)
        for table in ("placements", "carriages", "due_points"):
            for unit in fleet.units:
                one, two = getattr(straight, table)[unit], getattr(shuffled, table)[unit]
                assert [_told(row) for row in one] == [_told(row) for row in two], (table, unit)


class TestTheComparisonCanFail:
    """A day, a minute or a state that is wrong in the program is seen."""

    def test_a_due_date_a_day_late_is_a_difference(self, monkeypatch: pytest.MonkeyPatch) -> None:
        sound = comparison.point_of_row

        def a_day_late(row, rule):
            point = sound(row, rule)
            return point if point.calendar_due is None else replace(point, calendar_due=point.calendar_due + 1)

        monkeypatch.setattr(comparison, "point_of_row", a_day_late)
        assert any(difference.what == "due date" for difference in compared(90_001).differences)
        assert any(compared(seed, PARTLY).differences for seed in range(90_001, 90_006))

    def test_and_so_is_a_minute_too_many(self, monkeypatch: pytest.MonkeyPatch) -> None:
        sound = comparison.point_of_row

        def a_minute_more(row, rule):
            point = sound(row, rule)
            return point if point.left_minutes is None else replace(point, left_minutes=point.left_minutes + 1)

        monkeypatch.setattr(comparison, "point_of_row", a_minute_more)
        found = [difference.what for seed in range(90_000, 90_010) for difference in compared(seed).differences]
        assert "minutes left" in found

    def test_and_so_is_what_was_flown_in_place_of_a_counter(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """The mistake that must never be made: a limit in landings judged on cycles."""

        def flown(fleet, airframe, counter, as_of):
            return comparison.outlook_on(fleet, airframe, as_of)

        monkeypatch.setattr(comparison, "counter_outlook_on", flown)
        assert any(compared(seed).differences for seed in range(90_000, 90_010))


class TestTheCommand:
    def test_it_counts_what_it_compared_and_exits_clean(self) -> None:
        run = subprocess.run(
            [sys.executable, str(Path(__file__).parent / "run.py"), "--fleets", "3", "--seed", "5"],
            capture_output=True,
            text=True,
            check=False,
        )
        assert run.returncode == 0, run.stdout + run.stderr
        last = run.stdout.splitlines()[-1]
        assert last.startswith("3 fleets from seed 5, ")
        assert ": 0 differences." in last
