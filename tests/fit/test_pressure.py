"""What a gauge shows against the part's table of pressures by temperature."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.fit.pressure import PressureAnswer, bounds_at, judge_pressure
from fleetlife.ledger.swaps import PressureBand


def point(celsius: int, least: int, most: int, unit: str = "psi", **source: str) -> PressureBand:
    """A point in whole degrees and units."""
    source = source or {"reference": "CMM 25-60", "revision": "4"}
    return PressureBand(
        part_number="QR-1",
        millicelsius=celsius * 1000,
        minimum=least * 1000,
        maximum=most * 1000,
        pressure_unit=unit,
        **source,
    )


TABLE = (point(-40, 2000, 2210), point(0, 2400, 2600), point(20, 2700, 2900))


def shown(
    pressure: int, millicelsius: int, *points: PressureBand, unit: str = "psi", part_number: str = "QR-1"
) -> PressureAnswer:
    """The reading in thousandths against the points, or against the table above."""
    return judge_pressure(
        part_number=part_number,
        points=points or TABLE,
        millicelsius=millicelsius,
        pressure=pressure,
        pressure_unit=unit,
    )


# pressure and temperature in thousandths, outcome
READINGS = [
    # on a point: exactly that point, both ends included
    (2_400_000, 0, "within"),
    (2_600_000, 0, "within"),
    (2_399_999, 0, "below"),
    (2_600_001, 0, "above"),
    # half way from -40 to 0: 2200 to 2405
    (2_200_000, -20_000, "within"),
    (2_199_999, -20_000, "below"),
    (2_405_000, -20_000, "within"),
    (2_405_001, -20_000, "above"),
    # a third of the way from 0 to 20 is no whole number: 2499.995 to 2699.995 at 6.666 degrees, 0.333 of it
    (2_499_990, 6_666, "within"),
    (2_499_989, 6_666, "below"),
    (2_699_990, 6_666, "within"),
    (2_699_991, 6_666, "above"),
    # the ends of the table, and one thousandth of a degree beyond
    (2_100_000, -40_000, "within"),
    (2_100_000, -40_001, "unknown"),
    (2_800_000, 20_000, "within"),
    (2_800_000, 20_001, "unknown"),
    (0, 0, "below"),
]


class TestReading:
    @pytest.mark.parametrize(("pressure", "millicelsius", "outcome"), READINGS)
    def test_is_judged_at_its_own_temperature(self, pressure: int, millicelsius: int, outcome: str) -> None:
        assert shown(pressure, millicelsius).outcome == outcome

    def test_the_order_of_the_points_does_not_matter(self) -> None:
        assert shown(2_199_999, -20_000, *reversed(TABLE)) == shown(2_199_999, -20_000)

    def test_what_falls_between_two_thousandths_is_rounded_against_the_unit(self) -> None:
        points = point(0, 1000, 1000), point(3, 1001, 1001)
        bounds = bounds_at(points, 1_000)
        assert bounds is not None
        assert (bounds.minimum, bounds.maximum) == (1_000_334, 1_000_333)  # 1000.333...: up, and down
        assert shown(1_000_333, 1_000, *points).outcome == "below"
        assert shown(1_000_334, 1_000, *points).outcome == "above"

    def test_a_falling_table_is_rounded_against_the_unit_too(self) -> None:
        bounds = bounds_at((point(0, 1001, 1001), point(3, 1000, 1000)), 1_000)
        assert bounds is not None
        assert (bounds.minimum, bounds.maximum) == (1_000_667, 1_000_666)

    def test_one_point_alone_serves_its_own_temperature(self) -> None:
        assert shown(2_500_000, 0, TABLE[1]).outcome == "within"

    @pytest.mark.parametrize("millicelsius", [-1, 1, 20_000])
    def test_one_point_alone_serves_no_other(self, millicelsius: int) -> None:
        answer = shown(2_500_000, millicelsius, TABLE[1])
        assert (answer.outcome, answer.bounds) == ("unknown", None)
        assert "states 0 °C alone" in answer.reason


class TestUnknown:
    def test_without_a_table(self) -> None:
        answer = judge_pressure(part_number="QR-1", points=(), millicelsius=0, pressure=1000, pressure_unit="psi")
        assert answer.outcome == "unknown"
        assert "no pressures are stated for this part" in answer.reason

    @pytest.mark.parametrize("unit", ["bar", "kPa", "MPa"])
    def test_in_another_unit_nothing_is_converted(self, unit: str) -> None:
        answer = shown(172_369, 0, unit=unit)
        assert (answer.outcome, answer.bounds) == ("unknown", None)
        assert f"shows 172.369 {unit} at 0 °C" in answer.reason
        assert "its table is in psi, and nothing is converted" in answer.reason

    def test_a_table_in_two_units_is_none(self) -> None:
        points = point(0, 2400, 2600), point(20, 186, 200, "bar")
        assert bounds_at(points, 10_000) is None
        assert "in psi and bar" in shown(2_500_000, 0, *points).reason

    def test_a_temperature_stated_twice_differently(self) -> None:
        points = point(0, 2400, 2600), point(0, 2450, 2600), point(20, 2700, 2900)
        assert bounds_at(points, 10_000) is None
        assert "states 0 °C twice" in shown(2_600_000, 10_000, *points).reason

    @pytest.mark.parametrize("millicelsius", [-54_000, 70_000])
    def test_outside_the_table_is_never_extrapolated(self, millicelsius: int) -> None:
        answer = shown(2_500_000, millicelsius)
        assert (answer.outcome, answer.bounds, answer.sources) == ("unknown", None, ())
        assert "runs from -40 °C to 20 °C, and beyond it nothing is extrapolated" in answer.reason


class TestReason:
    def test_between_two_points_the_line_and_its_source_are_told(self) -> None:
        answer = shown(2_199_999, -20_000)
        assert answer.reason == (
            "QR-1 shows 2199.999 psi at -20 °C, below the least of 2200 psi: on the line between -40 °C (2000 to 2210) "
            "and 0 °C (2400 to 2600), by CMM 25-60 revision 4."
        )
        assert answer.sources == ("CMM 25-60 revision 4",)
        assert answer.bounds is not None
        assert answer.bounds.points == TABLE[:2]

    def test_on_a_point_the_point(self) -> None:
        answer = shown(2_500_000, 0)
        assert answer.reason == (
            "QR-1 shows 2500 psi at 0 °C, within 2400 to 2600 psi: stated for 0 °C (2400 to 2600), by CMM 25-60 "
            "revision 4."
        )
        assert answer.bounds is not None
        assert answer.bounds.points == (TABLE[1],)

    def test_two_revisions_at_the_two_neighbours_are_both_told(self) -> None:
        points = TABLE[0], point(0, 2400, 2600, reference="CMM 25-60", revision="5")
        answer = shown(2_300_000, -20_000, *points)
        assert "the first by CMM 25-60 revision 4 and the second by CMM 25-60 revision 5." in answer.reason
        assert answer.sources == ("CMM 25-60 revision 4", "CMM 25-60 revision 5")

    def test_a_neighbour_without_a_reference_is_told(self) -> None:
        answer = shown(2_300_000, -20_000, TABLE[0], point(0, 2400, 2600, reference=""))
        assert "the second by no stated reference." in answer.reason
        assert answer.sources == ("CMM 25-60 revision 4",)

    def test_a_table_without_any_reference_says_so(self) -> None:
        answer = shown(2_500_000, 0, point(0, 2400, 2600, reference=""))
        assert answer.reason.endswith(", without a reference.")
        assert answer.sources == ()


@st.composite
def tables(draw: st.DrawFn, *, rising: bool = False) -> tuple[PressureBand, ...]:
    """Points of two to six temperatures, each a whole number of thousandths."""
    temperatures = sorted(draw(st.sets(st.integers(-60_000, 80_000), min_size=2, max_size=6)))
    least = draw(st.lists(st.integers(0, 4_000_000), min_size=len(temperatures), max_size=len(temperatures)))
    width = draw(st.lists(st.integers(0, 300_000), min_size=len(temperatures), max_size=len(temperatures)))
    most = [one + wide for one, wide in zip(least, width, strict=True)]
    if rising:
        least, most = sorted(least), sorted(most)
    return tuple(
        PressureBand(part_number="QR-1", millicelsius=t, minimum=low, maximum=high, pressure_unit="psi")
        for t, low, high in zip(temperatures, least, most, strict=True)
    )


class TestProperties:
    @given(tables(), st.integers(-70_000, 90_000))
    def test_the_bounds_lie_between_those_of_the_two_points_and_exactly_on_the_line(
        self, table: tuple[PressureBand, ...], at: int
    ) -> None:
        bounds = bounds_at(table, at)
        if not table[0].millicelsius <= at <= table[-1].millicelsius:
            assert bounds is None
            return
        assert bounds is not None
        first, last = bounds.points[0], bounds.points[-1]
        assert first.millicelsius <= at <= last.millicelsius
        assert min(first.minimum, last.minimum) <= bounds.minimum <= max(first.minimum, last.minimum)
        assert min(first.maximum, last.maximum) <= bounds.maximum <= max(first.maximum, last.maximum)
        share = Fraction(at - first.millicelsius, (last.millicelsius - first.millicelsius) or 1)
        least = first.minimum + share * (last.minimum - first.minimum)
        most = first.maximum + share * (last.maximum - first.maximum)
        assert 0 <= bounds.minimum - least < 1
        assert 0 <= most - bounds.maximum < 1

    @given(tables(rising=True), st.integers(-60_000, 80_000), st.integers(-60_000, 80_000))
    def test_a_table_that_rises_has_bounds_that_rise(
        self, table: tuple[PressureBand, ...], one: int, other: int
    ) -> None:
        colder, warmer = bounds_at(table, min(one, other)), bounds_at(table, max(one, other))
        if colder is None or warmer is None:
            return
        assert colder.minimum <= warmer.minimum
        assert colder.maximum <= warmer.maximum

    @given(tables(), st.integers(-60_000, 80_000), st.integers(0, 4_400_000))
    def test_what_is_read_falls_on_one_side_or_within(
        self, table: tuple[PressureBand, ...], at: int, pressure: int
    ) -> None:
        answer, bounds = shown(pressure, at, *table), bounds_at(table, at)
        if bounds is None:
            assert answer.outcome == "unknown"
        else:
            assert (answer.outcome == "below") == (pressure < bounds.minimum)
            assert (answer.outcome == "within") == (bounds.minimum <= pressure <= bounds.maximum)

    @given(
        st.lists(st.tuples(st.integers(1, 40), st.integers(-50, 50), st.integers(-50, 50)), min_size=1, max_size=5),
        st.lists(st.integers(0, 200), max_size=5),
        st.integers(-1, 201),
        st.integers(0, 40_000),
    )
    def test_extra_points_taken_from_its_own_lines_change_nothing(
        self, steps: list[tuple[int, int, int]], extra: list[int], at: int, pressure: int
    ) -> None:
        """Slopes are whole, so that a point on a line is a whole number and is no rounded one."""
        table = [PressureBand(part_number="QR-1", millicelsius=0, minimum=9_000, maximum=21_000, pressure_unit="psi")]
        for degrees, least, most in steps:
            last = table[-1]
            table.append(
                PressureBand(
                    part_number="QR-1",
                    millicelsius=last.millicelsius + degrees,
                    minimum=last.minimum + degrees * least,
                    maximum=last.maximum + degrees * most,
                    pressure_unit="psi",
                )
            )
        more = list(table)
        for where in extra:
            bounds = bounds_at(table, where)
            if bounds is not None and all(each.millicelsius != where for each in more):
                more.append(
                    PressureBand(
                        part_number="QR-1",
                        millicelsius=where,
                        minimum=bounds.minimum,
                        maximum=bounds.maximum,
                        pressure_unit="psi",
                    )
                )
        one, other = shown(pressure, at, *table), shown(pressure, at, *more)
        assert one.outcome == other.outcome
        if one.bounds is not None:
            assert other.bounds is not None
            assert (one.bounds.minimum, one.bounds.maximum) == (other.bounds.minimum, other.bounds.maximum)
