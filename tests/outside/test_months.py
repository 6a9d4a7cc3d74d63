"""Month arithmetic against a real PostgreSQL, published spreadsheet examples and the traps of other engines."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import psycopg
import pytest
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from fleetlife.dates.months import add_months, end_of_month

from .trade import calendar, rows_read, rule, unit, work

MEASURED = "measured on PostgreSQL 15.18; here asked again of the server of this run"
EDATE = "spreadsheet functions EDATE and EOMONTH, published examples, READ"


@pytest.fixture
def ask(postgres_server: Any) -> Iterator[psycopg.Connection]:
    """A connection to the real server: no tables, only its arithmetic."""
    with psycopg.connect(postgres_server.url("postgres"), autocommit=True) as connection:
        yield connection


def later(ask: psycopg.Connection, days: list[date], months: list[int]) -> list[date]:
    """`date + interval` of all pairs in one statement."""
    statement = (
        "SELECT (given.day + make_interval(months => given.months))::date "
        "FROM unnest(%s::date[], %s::int[]) WITH ORDINALITY AS given(day, months, place) ORDER BY given.place"
    )
    return [row[0] for row in ask.execute(statement, (days, months)).fetchall()]


class TestAgainstPostgresql:
    """PostgreSQL's own `date + interval 'n months'`, asked of the running server."""

    def test_twenty_thousand_random_days_and_months(self, ask: psycopg.Connection) -> None:
        dice = random.Random(20_241_130)
        first, last = date(1950, 1, 1).toordinal(), date(2200, 12, 31).toordinal()
        days = [date.fromordinal(dice.randint(first, last)) for _ in range(20_000)]
        days = [end_of_month(day) if dice.random() < 0.3 else day for day in days]
        months = [dice.randint(-600, 600) for _ in days]
        assert [add_months(day, n) for day, n in zip(days, months, strict=True)] == later(ask, days, months)

    def test_every_day_of_five_years_and_the_intervals_of_the_trade(self, ask: psycopg.Connection) -> None:
        intervals = (1, 3, 12, 18, 36, 60, 144, 288)
        days = [date(2023, 1, 1) + timedelta(days=n) for n in range(5 * 365 + 2)]
        pairs = [(day, n) for day in days for n in intervals]
        asked = later(ask, [day for day, _ in pairs], [n for _, n in pairs])
        assert [add_months(day, n) for day, n in pairs] == asked

    def test_due_points_too_are_where_the_server_puts_them(self, ask: psycopg.Connection) -> None:
        dice = random.Random(36)
        days = [date.fromordinal(dice.randint(733_000, 740_000)) for _ in range(400)]
        months = [dice.choice((6, 12, 18, 24, 36, 60)) for _ in days]
        told = [
            calendar(rule("overhaul", repeat={"months": n}), unit(done=(work(day.isoformat()),)))
            for day, n in zip(days, months, strict=True)
        ]
        assert told == [day.isoformat() for day in later(ask, days, months)]

    def test_ends_of_months_are_those_of_the_server(self, ask: psycopg.Connection) -> None:
        days = [date(1999, 12, 1) + timedelta(days=17 * n) for n in range(2_000)]
        statement = (
            "SELECT (date_trunc('month', day) + interval '1 month' - interval '1 day')::date "
            "FROM unnest(%s::date[]) WITH ORDINALITY AS given(day, place) ORDER BY place"
        )
        assert [end_of_month(day) for day in days] == [row[0] for row in ask.execute(statement, (days,)).fetchall()]

    @pytest.mark.parametrize(
        ("day", "months", "expected"),
        [
            ("2023-01-31", 1, "2023-02-28"),
            ("2024-01-31", 1, "2024-02-29"),
            ("2024-02-29", 12, "2025-02-28"),
            ("2024-02-29", 48, "2028-02-29"),
            ("2024-01-31", 2, "2024-03-31"),
            ("2015-09-30", -1, "2015-08-30"),
        ],
    )
    def test_the_measured_rows(self, ask: psycopg.Connection, day: str, months: int, expected: str) -> None:
        assert add_months(date.fromisoformat(day), months).isoformat() == expected
        assert later(ask, [date.fromisoformat(day)], [months]) == [date.fromisoformat(expected)], MEASURED

    def test_thirty_day_months_are_never_used(self, ask: psycopg.Connection) -> None:
        """postgresql.org message 20170801003023 (READ): justify_days makes 47 days 1 mon 17 days, 365 days 1 year
        5 days, since it takes a month for 30 days."""
        told = ask.execute(
            "SELECT justify_days(interval '47 days')::text, justify_days(interval '365 days')::text"
        ).fetchone()
        assert told == ("1 mon 17 days", "1 year 5 days")
        done = unit(done=(work("2023-06-15"),))
        assert calendar(rule("overhaul", repeat={"months": 36}), done) == "2026-06-15"
        assert calendar(rule("overhaul", repeat={"days": 36 * 30}), done) == "2026-05-30"

    def test_twelve_months_are_no_number_of_days(self, ask: psycopg.Connection) -> None:
        """PostgreSQL, measured: age('2016-02-29', '2016-01-31') is 29 days and no month."""
        assert ask.execute("SELECT age('2016-02-29', '2016-01-31')::text").fetchone() == ("29 days",)
        year = rule("overhaul", repeat={"months": 12})
        days = rule("overhaul", repeat={"days": 365})
        assert calendar(year, unit(done=(work("2023-03-10"),))) == "2024-03-10"
        assert calendar(days, unit(done=(work("2023-03-10"),))) == "2024-03-09"


class TestOtherEngines:
    def test_one_rolls_over_and_is_not_followed(self) -> None:
        """SQLite's date(), measured on 3.40.1 and asked again here: 2023-01-31 + 1 month is 2023-03-03."""
        with closing(sqlite3.connect(":memory:")) as connection:
            rolled = connection.execute(
                "SELECT date('2023-01-31', '+1 month'), date('2024-01-31', '+1 month'), "
                "date('2024-02-29', '+12 months')"
            ).fetchone()
        assert rolled == ("2023-03-03", "2024-03-02", "2025-03-01")
        told = [
            calendar(rule("overhaul", repeat={"months": n}), unit(done=(work(day),)))
            for day, n in (("2023-01-31", 1), ("2024-01-31", 1), ("2024-02-29", 12))
        ]
        assert told == ["2023-02-28", "2024-02-29", "2025-02-28"]

    def test_one_sticks_to_the_end_of_the_month_and_is_not_followed(self) -> None:
        """ADD_MONTHS of another SQL engine, documented example (READ): 2015-09-30 minus 1 is 2015-08-31, but
        2016-01-31 plus 1 is 2016-02-29 in all of them."""
        assert add_months(date(2015, 9, 30), -1) == date(2015, 8, 30)
        assert add_months(date(2016, 1, 31), 1) == date(2016, 2, 29)

    @pytest.mark.parametrize(
        ("year", "expected"),
        [(2023, {28: 28, 29: 28, 30: 28, 31: 28}), (2024, {28: 28, 29: 29, 30: 29, 31: 29})],
    )
    def test_the_last_days_of_january_where_four_databases_agree(self, year: int, expected: dict[int, int]) -> None:
        """A published comparison of four relational databases (READ): 28 to 31 January plus one month."""
        assert {day: add_months(date(year, 1, day), 1).day for day in expected} == expected
        assert {add_months(date(year, 1, day), 1).month for day in expected} == {2}

    def test_adding_from_the_anchor_is_not_adding_twice(self) -> None:
        """PostgreSQL, measured: 2024-01-31 + 1 month + 1 month is 2024-03-29, + 2 months 2024-03-31."""
        twice = add_months(add_months(date(2024, 1, 31), 1), 1)
        assert twice == date(2024, 3, 29)
        assert calendar(rule("overhaul", repeat={"months": 2}), unit(done=(work("2024-01-31"),))) == "2024-03-31"


class TestSpreadsheets:
    """Published examples of EDATE and EOMONTH (READ); serial numbers READ and computed."""

    @pytest.mark.parametrize(
        ("day", "months", "expected"),
        [
            ("2011-01-15", 1, "2011-02-15"),
            ("2011-01-15", -1, "2010-12-15"),
            ("2011-01-15", 2, "2011-03-15"),
            ("2011-07-31", -1, "2011-06-30"),
        ],
    )
    def test_edate(self, day: str, months: int, expected: str) -> None:
        assert add_months(date.fromisoformat(day), months).isoformat() == expected, EDATE

    def test_eomonth(self) -> None:
        assert end_of_month(add_months(date(2019, 2, 13), 2)) == date(2019, 4, 30)
        cylinder = unit(done=(work("2019-02-13", basis="mark"),))
        assert calendar(rule("requalification", repeat={"months": 2}, month_rule="last"), cylinder) == "2019-04-30"

    @pytest.mark.parametrize(("serial", "expected"), [(39448, "2008-01-01"), (43585, "2019-04-30")])
    def test_a_date_cell_is_read_as_the_date_of_its_serial_number(
        self, tmp_path: Path, serial: int, expected: str
    ) -> None:
        rows, problems = rows_read(self.workbook(tmp_path, serial, shown="yyyy-mm-dd"))
        assert (problems, [row.values["date"] for row in rows]) == ([], [expected])

    def test_the_other_calendar_of_workbooks_is_told_from_the_first(self, tmp_path: Path) -> None:
        """The 1904 date system lies 1,462 days after the other (from memory)."""
        path = self.workbook(tmp_path, 39448 - 1_462, shown="yyyy-mm-dd", since_1904=True)
        rows, problems = rows_read(path)
        assert (problems, [row.values["date"] for row in rows]) == ([], ["2008-01-01"])

    def test_a_bare_serial_number_is_not_taken_for_a_date(self, tmp_path: Path) -> None:
        rows, problems = rows_read(self.workbook(tmp_path, 39448, shown="General"))
        assert rows == []
        assert len(problems) == 1

    def workbook(self, folder: Path, serial: int, *, shown: str, since_1904: bool = False) -> Path:
        book = Workbook()
        if since_1904:
            book.epoch = CALENDAR_MAC_1904
        sheet = book.active
        assert sheet is not None
        sheet.append(["registration", "date", "hours_total", "cycles_total"])
        sheet.append(["Q-ONE", serial, "100:00", 50])
        sheet["B2"].number_format = shown
        path = folder / "readings.xlsx"
        book.save(path)
        return path
