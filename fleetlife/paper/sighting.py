"""What was found at a position against what is recorded there: pure, from numbers alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fleetlife.paper.agreement import SAME_NUMBER, Agreement, compare_numbers
from fleetlife.terms.walk_round import (
    AGREE,
    EMPTY,
    NOT_LOOKED_AT,
    NOT_RECORDED,
    OTHER_TEXT,
    OTHER_UNIT,
    UNKNOWN,
    SeenAt,
)

# A plate read by eye may be misread so; a number farther off than that is another unit's.
MISREAD = frozenset(("formatting", "leading-zeros", "look-alike", "transposed", "one-character"))
Marks = tuple[tuple[str, str, bool], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """A unit in the records: its numbers, the part numbers it has borne at other times."""

    unit: int
    part_number: str
    serial_number: str
    borne: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """The verdict and its reason. unit: the one found, where the records know it."""

    verdict: str
    why: str
    unit: int | None = None
    part_marks: Marks = ()
    serial_marks: Marks = ()


def judge_sighting(seen: SeenAt | None, recorded: Numbered | None, bearing: Sequence[Numbered]) -> Sighting:
    """What a sighting says of the position.

    `bearing`: every unit in the records that bears, or has borne, exactly the numbers seen. A unit that bears them is
    never taken for the recorded one misread.
    """
    if seen is None:
        return Sighting(verdict=NOT_LOOKED_AT, why="nobody looked")
    if seen.part_number is None or seen.serial_number is None:
        if recorded is None:
            return Sighting(verdict=AGREE, why="nothing hangs there, and nothing is recorded")
        return Sighting(verdict=EMPTY, why="nothing hung there")
    others = [each for each in bearing if recorded is None or each.unit != recorded.unit]
    if recorded is None:
        if len(others) == 1:
            return Sighting(verdict=NOT_RECORDED, why="the records hold nothing there", unit=others[0].unit)
        return _unknown(others)
    part = compare_numbers(seen.part_number, recorded.part_number, kind="part", borne=recorded.borne)
    serial = compare_numbers(seen.serial_number, recorded.serial_number, kind="serial")
    if part.verdict in SAME_NUMBER and serial.verdict in SAME_NUMBER:
        return Sighting(verdict=AGREE, why="the plate reads what is recorded", unit=recorded.unit)
    if len(others) == 1:
        return Sighting(verdict=OTHER_UNIT, why="another unit in these records bears the numbers", unit=others[0].unit)
    if others:
        return _unknown(others)
    misread = all(each.verdict in (*SAME_NUMBER, *MISREAD, "alternate") for each in (part, serial))
    if misread or any(each.unit == recorded.unit for each in bearing):
        return Sighting(
            verdict=OTHER_TEXT,
            why="; ".join(
                f"{name} number {each.verdict}"
                for name, each in (("part", part), ("serial", serial))
                if each.verdict not in SAME_NUMBER
            ),
            unit=recorded.unit,
            part_marks=_marks(part),
            serial_marks=_marks(serial),
        )
    return _unknown(())


def _unknown(bearing: Sequence[Numbered]) -> Sighting:
    if len(bearing) > 1:
        return Sighting(verdict=UNKNOWN, why=f"{len(bearing)} units in these records bear the numbers")
    return Sighting(verdict=UNKNOWN, why="no unit in these records bears the numbers")


def _marks(agreement: Agreement) -> Marks:
    if agreement.verdict in SAME_NUMBER:
        return ()
    return tuple((each.paper, each.record, each.equal) for each in agreement.marks)
