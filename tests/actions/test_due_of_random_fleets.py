"""The due list of a window, asked of the database, is what judging every row gives: nothing is lost by narrowing."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest

from fleetlife.answers.due import due
from fleetlife.terms.views import DueRow

from .fleet import Files, Intake, Row, unit

DOORS = [f"{side}{n}" for n in (1, 2, 3, 4, 5) for side in "LR"]
START = date(2023, 1, 1)
LISTED = ("overdue", "no refill", "in variation", "due", "waiting", "unknown")


def many_doors(seed: int, *, counters: bool = False) -> Files:
    """Three airframes of ten doors, half a year of readings, units near the end of every sort of limit.

    With `counters` many of the requirements are in landings or APU hours, read now and then and on one airframe never.
    """
    rng = random.Random(seed)
    frames = ["Q-AAA", "Q-BBB", "Q-CCC"]
    readings: list[Row] = []
    for registration in frames:
        minutes, cycles, daily = rng.randrange(300_000, 900_000), rng.randrange(3_000, 9_000), rng.randrange(60, 700)
        for n in range(rng.choice([20, 200, 400])):
            minutes += rng.randrange(0, 2 * daily)
            cycles += rng.randrange(0, 7)
            if rng.random() < 0.8 or n == 0:
                row = {"hours_total": f"{minutes // 60}:{minutes % 60:02d}", "cycles_total": cycles}
                on = START + timedelta(days=n)
                readings.append({"registration": registration, "date": on.isoformat(), **row})
    common = {"kind": "inspection", "programme": "TERN", "edition": "1", "reference": "Card"}
    rules: list[Row] = []
    for part in range(6):
        for name in ("A", "B"):
            limits: Row = {}
            for column, low, high in (
                ("repeat_months", 3, 18),
                ("repeat_hours", 100, 3_000),
                ("repeat_cycles", 50, 1_500),
            ):
                if rng.random() < 0.6:
                    limits[column] = rng.randrange(low, high)
            limits = limits or {"repeat_months": 9}
            if "repeat_hours" in limits:
                limits["repeat_hours"] = f"{limits['repeat_hours']}:00"
            limits["whichever"] = rng.choice(["first", "first", "last"])
            since = rng.choice(["2015-01-01", "2023-06-15"])
            own = {"requirement": name, "part_number": f"QX{part}", "effective_from": since}
            rules.append({**own, **common, **limits})
    units: list[Row] = []
    done: list[Row] = []
    doors = [(registration, door) for registration in frames for door in DOORS]
    for n in range(36):
        where: Row = {"store": "Main"}
        if n < len(doors):
            where = {"registration": doors[n][0], "position": doors[n][1], "installed": "2022-12-01"}
        part = f"QX{rng.randrange(6)}"
        units.append(unit(part, f"{n:04d}", **where) | {"as_of": START.isoformat()})
        for name in ("A", "B"):
            if rng.random() < 0.9:
                since = {"hours_since": f"{rng.randrange(0, 2_500)}:00", "cycles_since": rng.randrange(0, 1_200)}
                on = START - timedelta(days=rng.randrange(1, 400))
                row = {"part_number": part, "serial_number": f"{n:04d}", "requirement": name, "date": on.isoformat()}
                done.append({**row, **(since if rng.random() < 0.9 else {})})
    plans: list[Row] = [
        {
            "registration": "Q-BBB",
            "from": "2024-01-01",
            "to": "2024-03-31",
            "hours_per_day": f"{rng.randrange(0, 14)}:30",
            "cycles_per_day": f"{rng.randrange(0, 9)}.5",
        }
    ]
    counted = _in_counters(rng, frames, rules, units, done) if counters else {}
    return {
        **counted,
        "types": [{"type": "ISL-90"}],
        "positions": [{"type": "ISL-90", "position": p, "side": "left" if p[0] == "L" else "right"} for p in DOORS],
        "airframes": [
            {"registration": r, "constructor_serial": f"10{n}", "type": "ISL-90", "programme": "TERN"}
            for n, r in enumerate(frames)
        ],
        "parts": [{"part_number": f"QX{n}", "manufacturer": "Auk"} for n in range(6)],
        "requirements": rules,
        "units": units,
        "accomplishments": done,
        "readings": readings,
        "utilisation": plans,
    }


def _in_counters(rng: random.Random, frames: list[str], rules: list[Row], units: list[Row], done: list[Row]) -> Files:
    """Counters, their readings and openings; the rules and the work done are changed in place to be in them."""
    kinds = {"landings": "repeat_cycles", "APU hours": "repeat_hours"}
    for rule in rules:
        counter = next((c for c, column in kinds.items() if column in rule and rng.random() < 0.6), None)
        if counter is not None:
            rule["counter"] = counter
    by_key = {(rule["requirement"], rule["part_number"]): rule.get("counter") for rule in rules}
    for row in done:
        counter = by_key.get((row["requirement"], row["part_number"]))
        if counter is not None and rng.random() < 0.9:
            row["counter_since"] = rng.randrange(0, 1_200) if counter == "landings" else f"{rng.randrange(0, 2_500)}:20"
    readings: list[Row] = []
    for registration in frames[:2]:
        for counter in kinds:
            total, on = rng.randrange(0, 50_000), START - timedelta(days=rng.randrange(0, 200))
            for _ in range(rng.choice([1, 4, 30])):
                shown_total = f"{total}:00" if counter == "APU hours" else total
                readings.append(
                    {"registration": registration, "counter": counter, "date": on.isoformat(), "total": shown_total}
                )
                total, on = total + rng.randrange(0, 90), on + timedelta(days=rng.randrange(1, 25))
    own = ({name: unit[name] for name in ("part_number", "serial_number")} for unit in units if rng.random() < 0.5)
    return {
        "counters": [{"counter": "landings", "unit": "count"}, {"counter": "APU hours", "unit": "hours"}],
        "counter_readings": readings,
        "unit_counters": [{**unit, "counter": "landings", "since_new": rng.randrange(0, 900)} for unit in own],
    }


def shown(rows: tuple[DueRow, ...]) -> list[DueRow]:
    return sorted((row for row in rows if row.state in LISTED), key=repr)


class TestWindow:
    @pytest.mark.parametrize("counters", [False, True])
    @pytest.mark.parametrize("seed", range(5))
    def test_it_lists_what_judging_every_row_lists(self, intake: Intake, seed: int, counters: bool) -> None:
        intake.take(many_doors(seed, counters=counters))
        rng = random.Random(seed)
        states: set[str] = set()
        driven: set[str] = set()
        for _ in range(8):
            as_of = START + timedelta(days=rng.randrange(0, 450))
            until = as_of + timedelta(days=rng.choice([0, 1, 7, 30, 31, 90, 400]))
            begin = rng.choice([None, as_of, until - timedelta(days=5)])
            window = {"as_of": as_of, "window_from": begin, "window_until": until}
            asked = due(intake.store, **window)
            judged = due(intake.store, **window, everything=True)
            assert shown(asked.rows) == shown(judged.rows), window
            states |= {row.state for row in judged.rows}
            driven |= {row.state for row in judged.rows if row.counter is not None and row.driver == row.counter}
        assert not counters or {"overdue", "in date"} <= driven
        assert {"overdue", "due", "in date", "unknown"} <= states

    @pytest.mark.parametrize(("seed", "counters"), [(11, False), (22, True)])
    def test_on_the_day_itself_nothing_is_lost(self, intake: Intake, seed: int, counters: bool) -> None:
        """Every due date in turn as the last day of a window: its row is there, and on the day before it is not."""
        intake.take(many_doors(seed, counters=counters))
        as_of = date(2023, 7, 1)
        rows = [row for row in due(intake.store, as_of=as_of, everything=True).rows if row.state == "in date"]
        dated = [row for row in rows if row.due_earliest is not None]
        assert len(dated) > 10
        assert sum(row.counter is not None and row.driver == row.counter for row in dated) == (6 if counters else 0)
        for row in dated:
            assert row.due_earliest is not None
            last = date.fromisoformat(row.due_earliest)
            key = (row.serial_number, row.requirement)
            for until, expected in ((last, True), (last - timedelta(days=1), False)):
                if until < as_of:
                    continue
                found = due(intake.store, as_of=as_of, window_until=until).rows
                assert (key in {(r.serial_number, r.requirement) for r in found}) is expected, (key, until)
