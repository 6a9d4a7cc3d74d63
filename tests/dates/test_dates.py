"""Months from the anchor, dates known in part, moments of a day."""

from __future__ import annotations

import calendar
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.dates.moment import (
    FAR_DAY,
    LAST_SEQUENCE,
    day_of,
    end_of_day,
    moment_of,
    moment_text,
    sequence_of,
)
from fleetlife.dates.months import add_months, end_of_month
from fleetlife.dates.partial import day_after, day_number, day_text, parse_partial
from fleetlife.terms.refusal import Refusal

DAYS = st.dates(min_value=date(1900, 1, 1), max_value=date(2200, 1, 1))


class TestAddMonths:
    @pytest.mark.parametrize(
        ("day", "months", "expected"),
        [
            ("2024-01-31", 1, "2024-02-29"),
            ("2023-11-30", 3, "2024-02-29"),
            ("2021-02-28", 36, "2024-02-28"),
            ("2024-02-29", 36, "2027-02-28"),
            ("2024-03-31", -1, "2024-02-29"),
            ("2024-03-31", 0, "2024-03-31"),
        ],
    )
    def test_the_same_day_or_the_last_of_a_shorter_month(self, day: str, months: int, expected: str) -> None:
        assert add_months(date.fromisoformat(day), months).isoformat() == expected

    @given(DAYS, st.integers(-600, 600))
    @settings(max_examples=300, derandomize=True, deadline=None)
    def test_against_counting_the_months_by_hand(self, day: date, months: int) -> None:
        year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
        last = calendar.monthrange(year, month + 1)[1]
        assert add_months(day, months) == date(year, month + 1, min(day.day, last))

    @given(DAYS, DAYS, st.integers(0, 600))
    @settings(max_examples=200, derandomize=True, deadline=None)
    def test_a_later_start_never_makes_an_earlier_end(self, one: date, other: date, months: int) -> None:
        first, second = sorted((one, other))
        assert add_months(first, months) <= add_months(second, months)

    def test_repeated_addition_is_something_else(self) -> None:
        day = date(2024, 1, 31)
        assert add_months(add_months(day, 1), 1) != add_months(day, 2)

    def test_the_last_day_of_the_month(self) -> None:
        assert [end_of_month(date(2024, month, 5)).day for month in (1, 2, 4)] == [31, 29, 30]
        assert end_of_month(date(2023, 2, 28)) == date(2023, 2, 28)


class TestPartialDate:
    @pytest.mark.parametrize(
        ("text", "canonical", "precision", "first", "last"),
        [
            ("2024-02-29", "2024-02-29", "day", "2024-02-29", "2024-02-29"),
            ("2024-02", "2024-02", "month", "2024-02-01", "2024-02-29"),
            ("2024-Q1", "2024-Q1", "quarter", "2024-01-01", "2024-03-31"),
            ("4q2023", "2023-Q4", "quarter", "2023-10-01", "2023-12-31"),
            ("2024q2", "2024-Q2", "quarter", "2024-04-01", "2024-06-30"),
            (" 2024 ", "2024", "year", "2024-01-01", "2024-12-31"),
        ],
    )
    def test_the_precision_is_kept_and_printed(
        self, text: str, canonical: str, precision: str, first: str, last: str
    ) -> None:
        found = parse_partial(text)
        assert (str(found), found.precision) == (canonical, precision)
        assert (found.first_day.isoformat(), found.last_day.isoformat()) == (first, last)
        assert parse_partial(found.text) == found

    @pytest.mark.parametrize(
        "text", ["", "2023-02-29", "2024-13", "2024-00", "2024-Q5", "24", "01/02/2024", "2024-1-5", "20240105", "x"]
    )
    def test_what_does_not_exist_or_could_be_read_two_ways_is_refused(self, text: str) -> None:
        with pytest.raises(Refusal) as refused:
            parse_partial(text)
        assert refused.value.code == "date-not-read"

    def test_days_as_numbers_and_back(self) -> None:
        assert day_number("0001-01-01") == 1
        assert day_text(day_number("2026-11-25")) == "2026-11-25"
        assert day_text(None) is None
        assert day_text(FAR_DAY) == "9999-12-31"
        assert day_after(date(2024, 2, 28)) == date(2024, 2, 29)


class TestMoment:
    @given(st.integers(1, FAR_DAY), st.integers(0, LAST_SEQUENCE))
    @settings(max_examples=200, derandomize=True, deadline=None)
    def test_a_moment_is_its_day_and_sequence(self, day: int, sequence: int) -> None:
        moment = moment_of(day, sequence)
        assert (day_of(moment), sequence_of(moment)) == (day, sequence)
        assert moment_of(day) <= moment <= end_of_day(day) < moment_of(day + 1)

    @pytest.mark.parametrize("sequence", [-1, LAST_SEQUENCE + 1])
    def test_a_sequence_beyond_its_day_is_a_fault(self, sequence: int) -> None:
        with pytest.raises(ValueError, match="sequence"):
            moment_of(700_000, sequence)

    def test_moments_sort_as_time_goes(self) -> None:
        days = [(2, 0), (1, 5), (1, 0), (2, 9999), (1, 9999)]
        assert [(day_of(m), sequence_of(m)) for m in sorted(moment_of(*pair) for pair in days)] == sorted(days)

    def test_in_words_the_sequence_is_told_where_there_is_one(self) -> None:
        day = day_number("2024-03-01")
        assert moment_text(moment_of(day, 20)) == "2024-03-01 #20"
        assert moment_text(moment_of(day)) == moment_text(end_of_day(day)) == "2024-03-01"
        assert moment_text(None) == ""
