"""What a data plate reads against the record: the last reading decides."""

from __future__ import annotations

import pytest

from fleetlife.follows.place import Recorded
from fleetlife.follows.plates import hold_with_plate, hold_without_plate, plate_text
from fleetlife.ledger.facts import PlateReading

BORNE = ((0, "SL-100-1"), (738_000, "SL-100-2"))  # renamed on 2021-07-28


def read(on: str, part: str = "SL-100-2", serial: str = "0101", *, sequence: int = 0, unit: int = 1) -> Recorded:
    fact = PlateReading(
        unit=unit, read_on=on, sequence=sequence, part_number=part, serial_number=serial, seen_by="S4"
    )  # fmt: skip
    return Recorded(7, fact)


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ([], None),
        ([read("2026-02-01")], None),
        ([read("2026-02-01", "sl 100-2", "0101")], None),
        ([read("2026-02-01", serial="O101")], "SL-100-2 O101"),
        ([read("2026-02-01", serial="101")], "SL-100-2 101"),
        ([read("2026-02-01", part="SL-100-1")], "SL-100-1 0101"),
        # before it was renamed it read the number it had then
        ([read("2020-02-01", part="SL-100-1")], None),
        ([read("2020-02-01", part="SL-100-2")], "SL-100-2 0101"),
        # the last reading decides: by day, then by its order in the day, whatever the order of the facts
        ([read("2026-02-01", serial="O101"), read("2026-02-02")], None),
        ([read("2026-02-02"), read("2026-02-01", serial="O101")], None),
        ([read("2026-02-01", sequence=1), read("2026-02-01", serial="O101")], None),
        ([read("2026-02-01"), read("2026-02-01", serial="O101", sequence=1)], "SL-100-2 O101"),
        # that of another unit says nothing
        ([read("2026-02-01", serial="O101", unit=2)], None),
    ],
)
def test_what_a_plate_reads_where_that_is_not_recorded(facts: list[Recorded], told: str | None) -> None:
    assert plate_text(1, facts, BORNE, "0101") == told


@pytest.mark.parametrize("hold", [None, "suspect paper"])
@pytest.mark.parametrize("plate", [None, "SL-100-2 O101"])
def test_a_hold_and_a_plate_are_told_together_and_apart(hold: str | None, plate: str | None) -> None:
    both = hold_with_plate(hold, plate)
    assert (both is None) == (hold is None and plate is None)
    assert hold_without_plate(both, plate) == hold
