"""A unit's data plate against its record: the last reading of it decides, and what is not the same is a hold."""

from __future__ import annotations

from collections.abc import Sequence

from fleetlife.dates.partial import day_number
from fleetlife.follows.history import part_number_on
from fleetlife.follows.place import Recorded
from fleetlife.ledger.facts import PlateReading
from fleetlife.paper.agreement import SAME_NUMBER, compare_numbers


def last_reading(unit_id: int, facts: Sequence[Recorded]) -> PlateReading | None:
    """What was read last on the unit's plate: by day, by its order within the day."""
    found = [
        recorded.fact for recorded in facts if isinstance(recorded.fact, PlateReading) and recorded.fact.unit == unit_id
    ]
    return max(found, key=lambda fact: (fact.read_on, fact.sequence), default=None)


def plate_differs(reading: PlateReading, *, borne: Sequence[tuple[int, str]], serial_number: str) -> bool:
    """Whether the plate read something else than the record says of the day: a separator or letter case apart."""
    expected = part_number_on(borne, day_number(reading.read_on))
    part = compare_numbers(reading.part_number, expected, kind="part").verdict
    serial = compare_numbers(reading.serial_number, serial_number, kind="serial").verdict
    return part not in SAME_NUMBER or serial not in SAME_NUMBER


def plate_text(unit_id: int, facts: Sequence[Recorded], borne: Sequence[tuple[int, str]], serial: str) -> str | None:
    """What the plate reads, where the last reading of it is not what is recorded; else None."""
    reading = last_reading(unit_id, facts)
    if reading is None or not plate_differs(reading, borne=borne, serial_number=serial):
        return None
    return f"{reading.part_number} {reading.serial_number}"


def hold_with_plate(hold: str | None, plate: str | None) -> str | None:
    """A hold that nothing but an answer lifts, beside the one that stands."""
    if plate is None:
        return hold
    told = f"the data plate reads {plate}"
    return told if hold is None else f"{hold}; {told}"


def hold_without_plate(hold: str | None, plate: str | None) -> str | None:
    """The hold that stands beside the plate's."""
    told = hold_with_plate(None, plate)
    if hold is None or told is None or hold == told:
        return None if hold == told else hold
    return hold.removesuffix(f"; {told}")
