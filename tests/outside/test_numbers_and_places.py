"""Serial numbers in ranges, part numbers in lists, alternates in one direction, doors by name."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fleetlife.answers.due import due
from fleetlife.fit.eligibility import judge_eligibility
from fleetlife.ledger.facts import Alternate, Eligibility
from fleetlife.store.engine import Store
from fleetlife.terms.number import position_label, serial_in_range

from .trade import d, rows_read, small_world, take, write

LISTS = (
    "directives on slides, stored texts READ: part numbers with the dash number as a wildcard, zero-padded serials, "
    "ranges open at one end, single serials added: serials are compared as numbers"
)
SERIES = "AD 2004-03-01, READ: listed dash numbers were replaced by the word -series because new ones had appeared"
DOORS = "ATSB report 200101606, READ: doors numbered from the nose, L left, R right; L1 and 1L both occur"


class TestSerialRanges:
    """Applicability lists of directives on slides (READ); the serials here are invented."""

    @pytest.mark.parametrize(
        ("serial", "first", "last", "inside"),
        [
            ("0859", None, "1131", True),  # prior to 1132
            ("1131", None, "1131", True),
            ("1132", None, "1131", False),
            ("0001", None, "1131", True),
            ("859", None, "1131", True),  # without its zero
            ("99", "100", None, False),  # as text it would stand behind
            ("0100", "100", None, True),
            ("20000", "100", None, True),  # open upwards
            ("9", "0002", "0010", True),
            ("11", "0002", "0010", False),
            ("0077", "0077", "0077", True),  # a single serial added
            ("0078", "0077", "0077", False),
            ("00000000000000000077", "0077", "0077", True),
        ],
    )
    def test_digits_are_compared_as_numbers(
        self, serial: str, first: str | None, last: str | None, inside: bool
    ) -> None:
        assert serial_in_range(serial, first, last) is inside, LISTS

    def test_text_order_would_have_been_wrong(self) -> None:
        as_text = [s for s in ("0859", "1132", "859", "99") if "100" <= s <= "1131"]
        as_numbers = [s for s in ("0859", "1132", "859", "99") if serial_in_range(s, "100", "1131")]
        assert as_text == []
        assert as_numbers == ["0859", "859"]

    @pytest.mark.parametrize("serial", ["B0100", "A0100X", "0100", "AB0100"])
    def test_another_series_is_never_inside(self, serial: str) -> None:
        """Common practice, no source: a prefix names a series of its own."""
        assert not serial_in_range(serial, "A0050", "A0150")
        assert serial_in_range("A0100", "A0050", "A0150")


class TestPartNumbersInLists:
    """AD 2004-03-01 (READ): lists of dash numbers go stale; nothing here is matched by a pattern."""

    def outcome(self, listed: str, asked: str, *alternates: Alternate) -> str:
        return judge_eligibility(
            part_number=asked,
            serial_number="7",
            unit_modifications=(),
            type="SKUA-4",
            position="L1",
            airframe_serial="31",
            airframe_modifications={},
            rows=[Eligibility(type="SKUA-4", position="L1", part_number=listed, reference="IPC 25-62")],
            alternates=alternates,
            on=d("2026-01-01"),
        ).outcome

    @pytest.mark.parametrize("listed", ["QC500-*", "QC500-XXX", "QC500-series", "QC500", "QC500-1"])
    def test_a_pattern_or_a_base_number_makes_no_dash_number_eligible(self, listed: str) -> None:
        assert self.outcome(listed, "QC500-7") == "not-eligible", SERIES

    def test_the_dash_number_itself_is(self) -> None:
        assert self.outcome("QC500-7", "QC500-7") == "eligible"

    def test_a_new_dash_number_without_a_programme_is_told(self, store: Store, tmp_path: Path) -> None:
        """The case that made the directive's list too short: a dash number nobody had listed."""
        files = small_world(
            parts=[{"part_number": "QC-2", "manufacturer": "Gannet"}],
            requirements=[
                {
                    "requirement": "OVH",
                    "part_number": "QC-1",
                    "kind": "overhaul",
                    "start": "manufacture",
                    "repeat_months": 36,
                }
            ],
            units=[
                {
                    "part_number": part,
                    "serial_number": "0815",
                    "as_of": "2024-01-01",
                    "store": "Main",
                    "manufactured": "2023-01-15",
                }
                for part in ("QC-1", "QC-2")
            ],
        )
        take(store, tmp_path / "files", files)
        told = due(store, as_of=date(2024, 3, 21), everything=True)
        states = {row.part_number: (row.state, row.due_date) for row in told.rows}
        assert states["QC-1"] == ("in date", "2026-01-15")
        assert states["QC-2"] == ("unknown", None)
        assert (told.coverage.units, told.coverage.without_programme) == (2, 1)

    def test_one_direction_stated_says_nothing_of_the_other(self) -> None:
        """S1000D replacedBy (READ): the new part replaces the old; the reverse is never inferred (supply-chain usage
        of forward only, from memory)."""
        forward = Alternate(part_number="QC500-1", alternate="QC500-7", direction="one-way")
        assert self.outcome("QC500-1", "QC500-7", forward) == "eligible"
        assert self.outcome("QC500-7", "QC500-1", forward) == "not-eligible"

    def test_fully_interchangeable_goes_both_ways(self) -> None:
        """AMC M.A.305(c)2(d) (READ): a fully interchangeable alternate published by the design approval holder is no
        modification."""
        both = Alternate(part_number="QC500-1", alternate="QC500-7", direction="two-way")
        assert self.outcome("QC500-1", "QC500-7", both) == "eligible"
        assert self.outcome("QC500-7", "QC500-1", both) == "eligible"

    def test_a_substitute_is_so_only_under_its_conditions(self) -> None:
        """MIL-STD-480/973 usage of substitute item (from memory)."""
        under = Alternate(
            part_number="QC500-1", alternate="QC500-7", direction="one-way", conditions="with bracket QB-3"
        )
        assert self.outcome("QC500-1", "QC500-7", under) == "conditional"


class TestDoors:
    """ATSB 200101606 (READ)."""

    @pytest.mark.parametrize(
        ("written", "door"),
        [
            ("L1", "L1"),
            ("1L", "L1"),
            ("l1", "L1"),
            ("1 L", "L1"),
            ("R2", "R2"),
            ("2R", "R2"),
            ("02R", "R2"),
            ("4L", "L4"),
        ],
    )
    def test_both_spellings_are_one_door(self, written: str, door: str) -> None:
        assert position_label(written) == door, DOORS

    def test_the_other_side_and_the_next_door_stay_apart(self) -> None:
        doors = {position_label(f"{side}{n}") for side in "LR" for n in (1, 2, 3, 4)}
        assert len(doors) == 8
        assert {position_label(f"{n}{side}") for side in "LR" for n in (1, 2, 3, 4)} == doors

    def test_they_are_one_door_on_the_way_in_too(self, tmp_path: Path) -> None:
        path = write(tmp_path / "files", {"positions": [{"type": "SKUA-4", "position": "2R", "side": "right"}]})
        rows, problems = rows_read(path)
        assert (problems, [row.values["position"] for row in rows]) == ([], ["R2"])
