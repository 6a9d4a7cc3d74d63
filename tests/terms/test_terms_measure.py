"""Hours in and out: minutes inside, HHHH:MM outside, nothing guessed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.terms.measure import count_text, hours_text, parse_hours, thousandths_text
from fleetlife.terms.refusal import Refusal


class TestHoursText:
    @pytest.mark.parametrize(
        ("minutes", "text"),
        [(0, "0:00"), (59, "0:59"), (60, "1:00"), (74_070, "1234:30"), (-1, "-0:01"), (-90, "-1:30"), (None, "")],
    )
    def test_hours_and_two_digits_of_minutes(self, minutes: int | None, text: str) -> None:
        assert hours_text(minutes) == text

    @given(st.integers(-(10**9), 10**9))
    @settings(max_examples=200, derandomize=True, deadline=None)
    def test_what_is_written_is_read_again(self, minutes: int) -> None:
        assert parse_hours(hours_text(minutes)) == minutes

    def test_a_count_not_known_is_empty_and_nought_is_not(self) -> None:
        assert (count_text(None), count_text(0), count_text(-3)) == ("", "0", "-3")


class TestParseHours:
    @pytest.mark.parametrize(
        ("text", "minutes"), [("1234:30", 74_070), (" 12 345:05 ", 740_705), ("7", 420), ("-3:15", -195), ("-2", -120)]
    )
    def test_hours_and_minutes_and_whole_hours(self, text: str, minutes: int) -> None:
        assert parse_hours(text) == minutes

    @pytest.mark.parametrize("text", ["1234.30", "1234,30", "0.5"])
    def test_a_point_or_comma_is_not_guessed(self, text: str) -> None:
        with pytest.raises(Refusal) as refused:
            parse_hours(text)
        assert refused.value.code == "hours-ambiguous"
        assert "--hours" in refused.value.remedy

    def test_the_two_readings_of_one_text(self) -> None:
        assert parse_hours("1234.30", reading="minutes") == 74_070
        assert parse_hours("1234.30", reading="decimal") == 74_058
        assert parse_hours("1234,5", reading="decimal") == 74_070

    @pytest.mark.parametrize("text", ["12.60", "12.5", "12.005"])
    def test_minutes_are_two_digits_below_sixty(self, text: str) -> None:
        with pytest.raises(Refusal) as refused:
            parse_hours(text, reading="minutes")
        assert refused.value.code == "hours-not-read"

    @pytest.mark.parametrize("text", ["", "abc", "12:60", "12:5", "1:234", "12:30:00", "1e3", "+5", "1.234,5", "٣:00x"])
    def test_anything_else_is_refused(self, text: str) -> None:
        with pytest.raises(Refusal) as refused:
            parse_hours(text, reading="decimal")
        assert refused.value.code == "hours-not-read"

    @given(st.integers(-99_999, 99_999), st.integers(0, 999_999), st.booleans())
    @settings(max_examples=300, derandomize=True, deadline=None)
    def test_decimals_round_down_or_up_and_never_by_a_whole_minute(self, whole: int, rest: int, up: bool) -> None:
        text = f"{whole}.{rest:06d}"
        exact = (abs(whole) + Fraction(rest, 10**6)) * 60 * (-1 if text.startswith("-") else 1)
        minutes = parse_hours(text, reading="decimal", up=up)
        assert (minutes >= exact) if up else (minutes <= exact)
        assert abs(minutes - exact) < 1


class TestThousandths:
    @pytest.mark.parametrize(
        ("value", "text"),
        [(0, "0"), (1, "0.001"), (-1, "-0.001"), (1_250_000, "1250"), (-53_889, "-53.889"), (4_500, "4.5")],
    )
    def test_a_point_and_no_zeros_behind(self, value: int, text: str) -> None:
        assert thousandths_text(value) == text
