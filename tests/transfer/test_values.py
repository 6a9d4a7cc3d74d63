"""Text as values: what is taken, what is refused, and that nothing is guessed."""

from __future__ import annotations

import pytest

from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.column import Column
from fleetlife.transfer.columns import file_named
from fleetlife.transfer.problem import Unreadable
from fleetlife.transfer.reading import read_folder
from fleetlife.transfer.values import converter_of


def convert(kind: str, text: str, *, order: str | None = None, hours: str | None = None, up: bool = False) -> object:
    column = Column(name="it", kind=kind, meaning="It.", up=up, words=("one-way", "two-way", "supersedes"))
    return converter_of(column, date_order=order, hours=hours)(text)


def refused(kind: str, text: str, *, order: str | None = None, hours: str | None = None) -> Unreadable:
    with pytest.raises(Unreadable) as caught:
        convert(kind, text, order=order, hours=hours)
    return caught.value


# text, order stated, day
DAYS = [
    ("2024-03-01", None, "2024-03-01"),
    ("2024-03-01", "mdy", "2024-03-01"),
    ("2024-02-29", None, "2024-02-29"),
    ("2024-03-01T00:00:00", None, "2024-03-01"),
    ("2024-03-01 00:00:00", None, "2024-03-01"),
    ("01 Mar 2024", None, "2024-03-01"),
    ("1-MAR-2024", None, "2024-03-01"),
    ("01MAR2024", None, "2024-03-01"),
    ("7 September 2024", None, "2024-09-07"),
    ("03/04/2024", "dmy", "2024-04-03"),
    ("03/04/2024", "mdy", "2024-03-04"),
    ("3.4.2024", "dmy", "2024-04-03"),
    ("13/04/2024", "dmy", "2024-04-13"),
    ("2024/03/04", "ymd", "2024-03-04"),
]

# text, order stated, a word of the reason
NO_DAYS = [
    ("03/04/2024", None, "change places"),
    ("13/04/2024", None, "change places"),  # one order would be possible, and still it is not ours to choose
    ("2024/03/04", None, "change places"),
    ("13/04/2024", "mdy", "no such date"),
    ("2024-02-30", None, "no such date"),
    ("2023-02-29", None, "no such date"),
    ("2024-13-01", None, "no such date"),
    ("31/04/2024", "dmy", "no such date"),
    ("2024/03/04", "dmy", "does not fit"),
    ("03/04/24", "dmy", "two digits"),
    ("05-Mar-24", None, "four digits"),
    ("05 Mrz 2024", None, "no month"),
    ("2024-03-01 14:30", None, "time of day"),
    ("45352", None, "own day number"),
    ("45352.0", None, "own day number"),
    ("2024-03", None, "day is needed"),
    ("03/2024", None, "day is needed"),
    ("Mar 2024", None, "day is needed"),
    ("2024-Q1", None, "day is needed"),
    ("2024", None, "day is needed"),
    ("1949-12-31", None, "between 1950 and 2200"),
    ("2201-01-01", None, "between 1950 and 2200"),
    ("0024-03-01", None, "between 1950 and 2200"),
    ("soon", None, "not a date"),
    ("20240301", None, "not a date"),
    ("03/04-2024", "dmy", "not a date"),
]


class TestDay:
    @pytest.mark.parametrize(("text", "order", "day"), DAYS)
    def test_is_read(self, text: str, order: str | None, day: str) -> None:
        assert convert("day", text, order=order) == day

    @pytest.mark.parametrize(("text", "order", "reason"), NO_DAYS)
    def test_is_refused(self, text: str, order: str | None, reason: str) -> None:
        fault = refused("day", text, order=order)
        assert reason in fault.reason
        assert fault.remedy

    def test_the_remedy_for_an_ambiguous_date_names_the_option(self) -> None:
        assert "--date-order" in refused("day", "03/04/2024").remedy

    def test_a_refused_date_is_refused_again(self) -> None:
        column = Column(name="it", kind="day", meaning="It.")
        read = converter_of(column, date_order=None, hours=None)
        for _ in range(2):
            with pytest.raises(Unreadable):
                read("03/04/2024")


# text, partial date, mark (None: refused as a mark)
PARTIALS = [
    ("2024-03-01", "2024-03-01", "2024-03-01"),
    ("2024-03", "2024-03", "2024-03"),
    ("03/2024", "2024-03", "2024-03"),
    ("3/2024", "2024-03", "2024-03"),
    ("06 * 1999", "1999-06", "1999-06"),
    ("11.2024", "2024-11", "2024-11"),
    ("2024/11", "2024-11", "2024-11"),
    ("Nov 2024", "2024-11", "2024-11"),
    ("NOV-2024", "2024-11", "2024-11"),
    ("2024-Q1", "2024-Q1", None),
    ("1Q2025", "2025-Q1", None),
    ("2010", "2010", None),
]


class TestPartialDate:
    @pytest.mark.parametrize(("text", "partial", "mark"), PARTIALS)
    def test_keeps_its_precision(self, text: str, partial: str, mark: str | None) -> None:
        assert convert("partial_date", text) == partial
        if mark is None:
            assert "month" in refused("month_mark", text).reason
        else:
            assert convert("month_mark", text) == mark

    @pytest.mark.parametrize("text", ["8-70", "06 * 99", "03/22", "1Q25", "25-Q1"])
    def test_a_year_of_two_digits_does_not_say_the_century(self, text: str) -> None:
        assert "century" in refused("partial_date", text).reason

    @pytest.mark.parametrize(
        ("text", "reason"),
        [
            ("13/2024", "no such date"),
            ("00/2024", "no such date"),
            ("2024-00", "no such date"),
            ("1900", "between 1950 and 2200"),
            ("3000-Q1", "between 1950 and 2200"),
            ("Mar 22", "four digits"),
            ("03/04/2024", "change places"),
            ("5Q2024", "not a date"),
            ("old", "not a date"),
        ],
    )
    def test_is_refused(self, text: str, reason: str) -> None:
        assert reason in refused("partial_date", text).reason

    def test_the_order_serves_here_too(self) -> None:
        assert convert("partial_date", "03/04/2024", order="dmy") == "2024-04-03"


# text, reading, rounds up, minutes
HOURS = [
    ("1234:30", None, False, 74070),
    ("0:00", None, False, 0),
    ("0:05", None, False, 5),
    ("12:30:00", None, False, 750),
    ("1234", None, False, 74040),
    ("1 234:30", None, False, 74070),
    ("1234.30", "minutes", False, 74070),
    ("1234.30", "decimal", False, 74058),
    ("1234,5", "decimal", False, 74070),
    ("0.01", "decimal", False, 0),
    ("0.01", "decimal", True, 1),
]

# text, reading, a word of the reason
NO_HOURS = [
    ("1234.30", None, "could be decimal hours or hours and minutes"),
    ("1234,5", None, "could be decimal hours or hours and minutes"),
    ("1234.75", "minutes", "not hours and minutes"),
    ("1234.5", "minutes", "not hours and minutes"),
    ("1234:60", None, "not a number of hours"),
    ("1234:5", None, "not a number of hours"),
    ("12:30:30", None, "not a number of hours"),
    (":30", None, "not a number of hours"),
    ("1,234:30", None, "not a number of hours"),
    ("1,234.50", "decimal", "not a number of hours"),
    ("12h30", None, "not a number of hours"),
    ("-1:30", None, "negative"),
    ("-5", None, "negative"),
    ("−5", None, "negative"),
    ("١٢:٣٠", None, "not a number of hours"),
    ("n/a", None, "not a number of hours"),
]


class TestHours:
    @pytest.mark.parametrize(("text", "reading", "up", "minutes"), HOURS)
    def test_are_minutes(self, text: str, reading: str | None, up: bool, minutes: int) -> None:
        assert convert("hours", text, hours=reading, up=up) == minutes

    @pytest.mark.parametrize(("text", "reading", "reason"), NO_HOURS)
    def test_are_refused(self, text: str, reading: str | None, reason: str) -> None:
        assert reason in refused("hours", text, hours=reading).reason

    def test_the_remedy_for_ambiguous_hours_names_the_option(self) -> None:
        assert "--hours" in refused("hours", "1234.30").remedy

    def test_a_day_has_24_hours(self) -> None:
        read = converter_of(file_named("utilisation").column("hours_per_day"), date_order=None, hours=None)
        assert read("24:00") == 1440
        with pytest.raises(Unreadable, match="24:01"):
            read("24:01")

    def test_what_a_unit_has_run_rounds_up_and_what_it_may_run_rounds_down(self) -> None:
        opening = converter_of(file_named("units").column("hours_since_new"), date_order=None, hours="decimal")
        limit = converter_of(file_named("requirements").column("repeat_hours"), date_order=None, hours="decimal")
        assert (opening("0.01"), limit("0.01")) == (1, 0)


# kind, text, value
SIMPLE = [
    ("count", "0", 0),
    ("count", "0012", 12),
    ("sequence", "9999", 9999),
    ("decimal_count", "4", 4000),
    ("decimal_count", "4.5", 4500),
    ("decimal_count", "4.125", 4125),
    ("mass", "25.4", 25400),
    ("celsius", "21.5", 21500),
    ("celsius", "-40", -40000),
    ("celsius", "-0.5", -500),
    ("yes_no", "Yes", True),
    ("yes_no", "FALSE", False),
    ("yes_no", "0", False),
    ("position", "1l", "L1"),
    ("position", "l 01", "L1"),
    ("clock", "7:05", "07:05"),
    ("clock", "23:59Z", "23:59"),
    ("word", "One-Way", "one-way"),
    ("word", "one way", "one-way"),
    ("word", "ONE_WAY", "one-way"),
    ("part_number", "D4512-101", "D4512-101"),
    ("part_number", "d4512–101", "d4512–101"),  # judged later, never changed here
    ("serial_number", "0012", "0012"),
    ("serial_number", "Å1", "Å1"),
    ("name", "Å", "Å"),
    ("text", "two\r\nlines", "two\nlines"),
    ("text", "two\rlines\t!", "two\nlines\t!"),
]

# kind, text, a word of the reason
REFUSED = [
    ("count", "-1", "negative"),
    ("count", "1.0", "whole number"),
    ("count", "1,234", "whole number"),
    ("count", "1 234", "whole number"),
    ("count", "+5", "whole number"),
    ("count", "1e3", "whole number"),
    ("count", "٥", "whole number"),
    ("count", "9" * 13, "too large"),
    ("sequence", "10000", "0 to 9999"),
    ("decimal_count", "4,5", "three decimals"),
    ("decimal_count", "4.1234", "three decimals"),
    ("decimal_count", ".5", "three decimals"),
    ("decimal_count", "-4.5", "negative"),
    ("mass", "heavy", "three decimals"),
    ("celsius", "-", "three decimals"),
    ("yes_no", "perhaps", "neither yes nor no"),
    ("clock", "24:00", "time of day"),
    ("clock", "7.05", "time of day"),
    ("word", "oneway", "no word"),
    ("part_number", "D45\x0012", "control character"),
    ("serial_number", "A\u200b12", "zero width space"),
    ("serial_number", "A\u202e12", "cannot be seen"),
    ("identifier", "A\n12", "cannot be seen"),
    ("name", "two\nlines", "cannot stand"),
    ("text", "a\x00b", "cannot stand"),
    ("text", "a\x1bb", "cannot stand"),
]


class TestOtherKinds:
    @pytest.mark.parametrize(("kind", "text", "value"), SIMPLE)
    def test_are_read(self, kind: str, text: str, value: object) -> None:
        result = convert(kind, text)
        assert result == value
        assert type(result) is type(value)

    @pytest.mark.parametrize(("kind", "text", "reason"), REFUSED)
    def test_are_refused(self, kind: str, text: str, reason: str) -> None:
        fault = refused(kind, text)
        assert reason in fault.reason
        assert fault.reason.endswith(".")
        assert fault.remedy.endswith(".")

    def test_the_nearest_word_is_named(self) -> None:
        assert refused("word", "oneway").remedy.startswith("Did you mean one-way?")


class TestOptions:
    @pytest.mark.parametrize(
        ("how", "code"),
        [({"date_order": "dym"}, "date-order-unknown"), ({"hours": "hundredths"}, "hours-reading-unknown")],
    )
    def test_an_unknown_way_of_reading_is_refused(self, tmp_path: object, how: dict[str, str], code: str) -> None:
        with pytest.raises(Refusal) as caught:
            read_folder(str(tmp_path), **how)  # type: ignore[arg-type]
        assert caught.value.code == code
