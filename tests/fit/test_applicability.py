"""Whether a publication means a unit: wildcards, serial ranges as numbers, exceptions, manufacture, former numbers."""

from __future__ import annotations

from fnmatch import fnmatchcase
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.dates.partial import day_number, parse_partial
from fleetlife.fit.applicability import (
    Affected,
    UnitNamed,
    exceptions_of,
    judge_affected,
    part_matches,
    serial_within,
)
from fleetlife.ledger.publications import Applicability
from fleetlife.terms.number import compare_serials, serial_in_range


def row(part_number: str = "SL-100-1", **more: Any) -> Applicability:
    return Applicability(publication="QD-1", part_number=part_number, **more)


def unit(serial: str = "0120", part: str = "SL-100-1", **more: Any) -> UnitNamed:
    made = more.pop("made", None)
    borne = more.pop("borne", ((0, part),))
    manufactured = parse_partial(made) if made else None
    return UnitNamed(borne=borne, serial_number=serial, manufactured=manufactured, **more)


def judged(named: UnitNamed, *rows: Applicability) -> Affected:
    return judge_affected(named, rows)


SIGNS = st.sampled_from("AB1-")
PARTS = st.text(SIGNS, max_size=7)
PATTERNS = st.text(st.sampled_from("AB1-*?"), max_size=7)


class TestWildcards:
    @settings(max_examples=400, derandomize=True, deadline=None)
    @given(PATTERNS, PARTS)
    def test_they_mean_what_the_library_of_the_language_means_by_them(self, pattern: str, part: str) -> None:
        assert part_matches(pattern, part) == fnmatchcase(part, pattern)

    @pytest.mark.parametrize(
        ("pattern", "part", "fits"),
        [
            ("SL-100-*", "sl-100-3 A", True),
            ("SL-100-?", "SL-100-12", False),
            ("SL-100-*", "SL-100", False),
            ("SL.100", "SL-100", False),
            ("[SL]*", "SL-100", False),
            ("[SL]*", "[SL]-100", True),
            ("SL-100*", "SL-100", True),
        ],
    )
    def test_nothing_else_is_a_sign(self, pattern: str, part: str, fits: bool) -> None:
        assert part_matches(pattern, part) is fits


class TestSerials:
    @settings(max_examples=300, derandomize=True, deadline=None)
    @given(st.integers(0, 300), st.integers(0, 300), st.integers(0, 300), st.integers(1, 5))
    def test_of_one_form_they_compare_as_whole_numbers(self, number: int, first: int, last: int, width: int) -> None:
        texts = [f"AX-{n:0{width}d}" for n in (number, first, last)]
        assert serial_within(*texts) is (first <= number <= last)

    @settings(max_examples=300, derandomize=True, deadline=None)
    @given(*[st.text(st.sampled_from("AB01-"), min_size=1, max_size=5)] * 3)
    def test_inside_and_outside_agree_with_the_ranges_of_airframes(self, serial: str, first: str, last: str) -> None:
        inside = serial_within(serial, first, last)
        assert inside is not True or serial_in_range(serial, first, last)
        assert not serial_in_range(serial, first, last) or inside is not False

    @settings(max_examples=300, derandomize=True, deadline=None)
    @given(*[st.text(st.sampled_from("AB01-"), min_size=1, max_size=5)] * 2)
    def test_comparing_the_other_way_round_is_the_opposite(self, one: str, other: str) -> None:
        order = compare_serials(one, other)
        back = compare_serials(other, one)
        assert back == (None if order is None else -order)

    @pytest.mark.parametrize(
        ("serial", "first", "last", "outcome"),
        [
            ("0100", "0100", "0150", "yes"),
            ("0150", "0100", "0150", "yes"),
            ("0099", "0100", "0150", "no"),
            ("151", "0100", "0150", "no"),
            ("0859", None, "1132", "yes"),
            ("1200", "1132", None, "yes"),
            ("AX-0120", "0100", "0150", "unknown"),
            ("0120A", "0100", "0150", "unknown"),
            ("OWN:44", "0100", "0150", "unknown"),
            ("B100", "A050", "A150", "unknown"),
            ("NONE", "NONE", None, "yes"),
        ],
    )
    def test_a_unit_in_another_form_is_never_taken_for_not_affected(
        self, serial: str, first: str | None, last: str | None, outcome: str
    ) -> None:
        found = judged(unit(serial), row(serial_from=first, serial_to=last))
        assert found.outcome == outcome
        assert found.reasons
        assert all(reason.endswith(".") for reason in found.reasons)


class TestExceptions:
    def test_a_cell_lists_serials_and_ranges(self) -> None:
        assert exceptions_of(" 0120; 0130 to 0135 ;AX-7") == (("0120", "0120"), ("0130", "0135"), ("AX-7", "AX-7"))
        assert exceptions_of(None) == ()

    @settings(max_examples=300, derandomize=True, deadline=None)
    @given(st.integers(0, 60), st.integers(0, 60), st.integers(0, 60), st.lists(st.integers(0, 60), max_size=3))
    def test_a_unit_is_meant_where_it_is_in_the_range_and_in_no_exception(
        self, number: int, first: int, last: int, single: list[int]
    ) -> None:
        cell = "; ".join([f"{first:04d} to {last:04d}", *(f"{n:04d}" for n in single)]) if first <= last else None
        found = judged(unit(f"{number:04d}"), row(serial_from="0010", serial_to="0050", excepted=cell))
        excepted = cell is not None and (first <= number <= last or number in single)
        assert found.outcome == ("yes" if 10 <= number <= 50 and not excepted else "no")

    def test_a_serial_that_is_only_the_same_number_may_be_the_one_left_out(self) -> None:
        assert judged(unit("120"), row(excepted="0120")).outcome == "unknown"
        assert judged(unit("0120"), row(excepted="0120")).outcome == "no"
        assert judged(unit("AX-0120"), row(excepted="0120")).outcome == "yes"

    def test_a_range_left_out_in_another_form_leaves_it_open(self) -> None:
        assert judged(unit("AX-0120"), row(excepted="0100 to 0130")).outcome == "unknown"

    def test_rows_of_their_own_leave_out_too(self) -> None:
        rows = (row("SL-*"), row("SL-100-1", excluded=True, serial_from="0100", serial_to="0130"))
        assert judged(unit("0120"), *rows).outcome == "no"
        assert judged(unit("0140"), *rows).outcome == "yes"
        doubtful = judged(unit("AX-7"), *rows)
        assert doubtful.outcome == "unknown"
        assert any(reason.startswith("It may be left out") for reason in doubtful.reasons)


class TestManufacture:
    @pytest.mark.parametrize(
        ("made", "begin", "end", "outcome"),
        [
            ("2019-05", "2019", None, "yes"),
            ("2019-05", None, "2019-05", "yes"),
            ("2019-05-31", None, "2019-05", "yes"),
            ("2019", "2019-05", None, "unknown"),
            ("2019-Q2", "2019-05", None, "unknown"),
            ("2018", "2019", None, "no"),
            ("2020-01-01", None, "2019", "no"),
            (None, "2019", None, "unknown"),
        ],
    )
    def test_it_is_told_as_far_as_it_is_known(
        self, made: str | None, begin: str | None, end: str | None, outcome: str
    ) -> None:
        assert judged(unit(made=made), row(made_from=begin, made_to=end)).outcome == outcome

    @settings(max_examples=300, derandomize=True, deadline=None)
    @given(
        st.sampled_from(["2019", "2019-Q2", "2019-05", "2019-05-17"]),
        st.sampled_from(["2018", "2019", "2019-04", "2019-05", "2019-05-17", "2019-06", "2020"]),
        st.booleans(),
    )
    def test_known_less_exactly_it_is_never_told_otherwise_only_not_at_all(
        self, made: str, bound: str, is_first: bool
    ) -> None:
        stated = row(made_from=bound) if is_first else row(made_to=bound)
        rough = judged(unit(made=made), stated).outcome
        span = parse_partial(made)
        exact = {judged(unit(made=day.isoformat()), stated).outcome for day in (span.first_day, span.last_day)}
        assert rough == (exact.pop() if len(exact) == 1 else "unknown")


class TestNumbersBorne:
    def test_a_former_number_leaves_it_open_and_says_until_when(self) -> None:
        changed = unit(borne=((0, "SL-100-1"), (day_number("2024-08-15"), "SL-100-3")))
        found = judged(changed, row("SL-100-1"))
        assert found.outcome == "unknown"
        assert "until 2024-08-15" in found.reasons[0]
        assert judged(changed, row("SL-100-3")).outcome == "yes"
        assert "since 2024-08-15" in judged(changed, row("SL-100-3")).reasons[0]
        assert judged(changed, row("SL-200-1")).outcome == "no"

    def test_of_several_rows_the_one_that_is_sure_decides(self) -> None:
        changed = unit(borne=((0, "SL-100-1"), (day_number("2024-08-15"), "SL-100-3")))
        assert judged(changed, row("SL-100-1"), row("SL-100-3")).outcome == "yes"


class TestMakers:
    @pytest.mark.parametrize(
        ("stated", "own", "outcome"),
        [
            ("Kittiwake", "KITTIWAKE", "yes"),
            ("Kittiwake Survival", "Kittiwake, Ltd", "unknown"),
            ("Kittiwake", None, "unknown"),
            ("Kittiwake", "Fulmar", "no"),
        ],
    )
    def test_a_name_spelled_otherwise_may_be_the_same(self, stated: str, own: str | None, outcome: str) -> None:
        assert judged(unit(manufacturer=own), row(manufacturer=stated)).outcome == outcome


class TestGroups:
    def test_a_unit_is_in_every_group_of_which_a_row_means_it(self) -> None:
        found = judged(
            unit(made="2019"),
            row("SL-*", unit_group="1"),
            row("SL-100-?", unit_group="2"),
            row(made_to="2019-05", unit_group="3"),
            row("RV-7", unit_group="4"),
        )
        assert (found.outcome, found.groups, found.possible) == ("yes", ("1", "2"), ("3",))

    def test_no_rows_mean_that_nobody_knows(self) -> None:
        assert judged(unit()).outcome == "unknown"
        assert judged(unit(), row("RV-7", excluded=True)).outcome == "unknown"

    @settings(max_examples=200, derandomize=True, deadline=None)
    @given(
        st.lists(
            st.builds(
                row,
                st.sampled_from(["SL-100-1", "SL-*", "RV-7"]),
                serial_from=st.sampled_from([None, "0100", "AX-1"]),
                made_from=st.sampled_from([None, "2018", "2019-06", "2021"]),
                excluded=st.booleans(),
            ),
            max_size=4,
        ),
        st.sampled_from(["0099", "0120", "AX-3"]),
        st.sampled_from([None, "2019", "2020"]),
    )
    def test_one_more_row_that_names_never_frees_and_one_that_leaves_out_never_binds(
        self, rows: list[Applicability], serial: str, made: str | None
    ) -> None:
        order = {"no": 0, "unknown": 1, "yes": 2}
        named = unit(serial, made=made)
        before = order[judged(named, *rows).outcome]
        if any(not each.excluded for each in rows):
            assert order[judged(named, *rows, row("SL-100-1")).outcome] >= before
            assert order[judged(named, *rows, row("SL-100-1", excluded=True)).outcome] <= before
