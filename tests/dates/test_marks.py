"""Marks as stamped on cylinders: what is read, what is refused, and the century of a year of two digits."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fleetlife.dates.marks import EARLIEST_YEAR, looks_like_mark, parse_mark
from fleetlife.dates.partial import parse_partial
from fleetlife.terms.refusal import Refusal

TODAY = date(2026, 11, 25)
DAYS = st.dates(date(2000, 1, 1), date(2149, 12, 31))
MONTHS = st.integers(1, 12)
PAIRS = st.integers(0, 99)
# Between which a mark is written; a stroke with a year that could be a month is refused, and has its own tests.
BETWEEN = st.sampled_from(["*", " * ", "-", " - ", " ", " ★ ", " A123 ", "*B007*", " * C999 * "])


def refused(text: str, *, as_of: date = TODAY, manufactured: str | None = None) -> Refusal:
    made = None if manufactured is None else parse_partial(manufactured)
    with pytest.raises(Refusal) as found:
        parse_mark(text, as_of=as_of, manufactured=made)
    assert found.value.code == "mark-not-read"
    assert "YYYY-MM" in found.value.remedy
    assert repr(text) in found.value.message
    return found.value


class TestWhatIsRead:
    @pytest.mark.parametrize(
        ("text", "month"),
        [
            ("06 * 99", "1999-06"),
            ("06*99", "1999-06"),
            ("06 A123 99", "1999-06"),
            ("06 a123 99", "1999-06"),
            ("06*A123*99", "1999-06"),
            ("06 A123 1999", "1999-06"),
            ("8-70", "1970-08"),
            ("05 * 07", "2007-05"),
            ("5-07", "2007-05"),
            ("03/2022", "2022-03"),
            ("3.2022", "2022-03"),
            ("2022/03", "2022-03"),
            ("3 22", "2022-03"),
            ("03/22", "2022-03"),
            ("12-00", "2000-12"),
            ("11-26", "2026-11"),
            ("1-50", "1950-01"),
            (" 06 * 99 ", "1999-06"),
        ],
    )
    def test_the_month_of_a_mark(self, text: str, month: str) -> None:
        read = parse_mark(text, as_of=TODAY)
        assert (read.text, read.precision) == (month, "month")
        assert looks_like_mark(text)

    @pytest.mark.parametrize("behind", ["+", "*", "★", " +", "E", " S", "UE", "X", "+*", " + ★", "+E"])
    def test_what_is_stamped_behind_the_year_changes_no_date(self, behind: str) -> None:
        for text in ("06 * 99", "8-70", "03/2022", "06 A123 99"):
            assert parse_mark(text + behind, as_of=TODAY) == parse_mark(text, as_of=TODAY)


class TestWhatIsRefused:
    @pytest.mark.parametrize(
        "text",
        [
            "", "*", "06", "1999", "06 *", "* 99", "06 * 9", "06 * 199", "006 * 99", "06 * 19999",
            "03-04-22", "3/4/22", "03 04 22", "12 05 2022", "2022-03-14",  # a day: which of them is the month?
            "06 JUNE 99", "06 SEPT 99", "JUN 99", "6 JUN 1999",  # a day and a month in words
            "06 1234 99", "06 AB12 99", "06A12399", "06 A123 B456 99",  # no requalifier's number
            "06 * 99 R", "06 * 99 A", "06 * 99-", "1Q99", "06:99", "06,99", "٠٦ * ٩٩", "06 * 99\n07 * 99",
        ],
    )  # fmt: skip
    def test_what_is_no_mark(self, text: str) -> None:
        refused(text)
        assert not looks_like_mark(text)

    @pytest.mark.parametrize("text", ["05/07", "5/07", "12/12", "05.07", "01 / 10"])
    def test_a_stroke_between_two_possible_months_has_two_readings(self, text: str) -> None:
        assert "a year and a month" in refused(text).message

    @pytest.mark.parametrize("text", ["00 * 99", "13 * 99", "70-08", "22/03", "13/2022", "2022/13", "0-70"])
    def test_a_month_that_does_not_exist(self, text: str) -> None:
        assert "no month" in refused(text).message

    @pytest.mark.parametrize("text", ["12/2026", "12-26", "1 27", "06 * 49"])
    def test_a_month_to_come_or_a_hundred_years_ago(self, text: str) -> None:
        assert any(words in refused(text).message for words in ("after 2026-11-25", "before 1950"))

    @pytest.mark.parametrize("text", ["03/0000", "06/1949", "1900-01"])
    def test_a_year_before_there_were_such_marks(self, text: str) -> None:
        assert "before 1950" in refused(text).message

    def test_never_before_it_was_made(self) -> None:
        made = refused("06 * 99", manufactured="2001-03")
        assert "before it was made (2001-03)" in made.message
        refused("02/2001", manufactured="2001-03")
        refused("12 * 00", manufactured="2001")

    @pytest.mark.parametrize("made", ["2001-03", "2001-03-31", "2001-Q1", "2001"])
    def test_in_the_month_it_was_made_it_may_have_been_tested(self, made: str) -> None:
        assert parse_mark("03 * 01", as_of=TODAY, manufactured=parse_partial(made)).text == "2001-03"


class TestCentury:
    @given(MONTHS, BETWEEN, PAIRS, DAYS)
    def test_it_is_the_latest_such_year_that_is_not_after_the_day(
        self, month: int, between: str, pair: int, as_of: date
    ) -> None:
        text = f"{month}{between}{pair:02d}"
        fitting = [
            year
            for year in range(EARLIEST_YEAR, as_of.year + 1)
            if year % 100 == pair and (year, month) <= (as_of.year, as_of.month)
        ]
        if not fitting:
            refused(text, as_of=as_of)
        else:
            assert parse_mark(text, as_of=as_of).text == f"{max(fitting)}-{month:02d}"

    @given(MONTHS, BETWEEN, PAIRS, DAYS, st.dates(date(1950, 1, 1), date(2100, 1, 1)))
    def test_knowing_when_it_was_made_refuses_and_never_changes_the_year(
        self, month: int, between: str, pair: int, as_of: date, made: date
    ) -> None:
        text = f"{month}{between}{pair:02d}"
        try:
            plain = parse_mark(text, as_of=as_of)
        except Refusal:
            assume(False)
        manufactured = parse_partial(made.isoformat())
        if plain.last_day < made:
            refused(text, as_of=as_of, manufactured=made.isoformat())
        else:
            assert parse_mark(text, as_of=as_of, manufactured=manufactured) == plain

    @given(MONTHS, st.integers(1950, 2149), DAYS)
    def test_four_digits_are_the_year_whatever_the_day(self, month: int, year: int, as_of: date) -> None:
        text = f"{month:02d}/{year}"
        if (year, month) > (as_of.year, as_of.month):
            refused(text, as_of=as_of)
        else:
            assert parse_mark(text, as_of=as_of).text == f"{year}-{month:02d}"

    @given(st.text(max_size=14) | st.from_regex(r"[0-9 */.+EA-]{1,12}", fullmatch=True), DAYS)
    def test_any_text_is_a_month_not_after_the_day_or_a_refusal(self, text: str, as_of: date) -> None:
        try:
            read = parse_mark(text, as_of=as_of)
        except Refusal:
            refused(text, as_of=as_of)
        else:
            assert looks_like_mark(text)
            assert (read.precision, read.first_day.day) == ("month", 1)
            assert date(EARLIEST_YEAR, 1, 1) <= read.first_day <= as_of
