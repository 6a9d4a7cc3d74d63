"""Plate, paper and record one under the other: nothing lost, nothing moved out of its column."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fleetlife.paper.agreement import compare_numbers
from fleetlife.reports.plate import star
from fleetlife.terms.plate import PlateRow

NUMBERS = st.text("0O1I2Z-A7", min_size=1, max_size=9)


def laid(plate: str, paper: str | None, record: str) -> tuple[tuple[str, str, str], str]:
    def marks(number: str | None) -> tuple[tuple[str, str, bool], ...]:
        if number is None or number == record:
            return ()
        return tuple((m.paper, m.record, m.equal) for m in compare_numbers(number, record, kind="serial").marks)

    return star(
        PlateRow(
            what="serial number",
            plate=plate,
            paper=paper,
            record=record,
            plate_verdict="different",
            paper_verdict="different",
            differs=True,
            plate_marks=marks(plate),
            paper_marks=marks(paper),
        )
    )


class TestStar:
    @given(NUMBERS, NUMBERS, NUMBERS)
    def test_each_number_is_whole_and_every_difference_is_marked(self, plate: str, paper: str, record: str) -> None:
        rows, under = laid(plate, paper, record)
        assert [row.replace("_", "") for row in rows] == [plate, paper, record]
        if plate == paper == record:
            assert not under
            return
        assert {len(row) for row in rows} == {len(under)}
        for column in zip(*rows, under, strict=True):
            assert (len(set(column[:3])) > 1) == (column[3] == "^")

    def test_crossed_digits_stand_under_one_another(self) -> None:
        assert laid("20011", "20110", "20110") == (("20011", "20110", "20110"), "  ^ ^")

    def test_what_one_lacks_is_a_gap(self) -> None:
        assert laid("417", "00417", "0417") == (("__417", "00417", "0_417"), "^^   ")

    def test_without_a_paper_there_is_nothing_to_lay(self) -> None:
        assert laid("O417", None, "0417") == (("O417", "-", "0417"), "^   ")
