"""A moment: a day and a sequence number within it, as one integer that sorts."""

from __future__ import annotations

from datetime import date

PER_DAY = 10_000
LAST_SEQUENCE = PER_DAY - 1
FAR_DAY = 3_652_059  # 9999-12-31, the open end of an effectivity
FIRST_DAY = 1


def moment_of(day: int, sequence: int = 0) -> int:
    """`day` is an ordinal day number, `sequence` 0 to 9999."""
    if not 0 <= sequence <= LAST_SEQUENCE:
        raise ValueError(f"sequence {sequence} is outside 0 to {LAST_SEQUENCE}")
    return day * PER_DAY + sequence


def end_of_day(day: int) -> int:
    """The last moment of a day: where an opening statement and a reading stand."""
    return day * PER_DAY + LAST_SEQUENCE


def day_of(moment: int) -> int:
    return moment // PER_DAY


def sequence_of(moment: int) -> int:
    return moment % PER_DAY


FIRST_ALLOTTED = 10


def moment_text(moment: int | None) -> str:
    """The day, with its sequence number where something of the same day may stand before it."""
    if moment is None:
        return ""
    text = date.fromordinal(day_of(moment)).isoformat()
    sequence = sequence_of(moment)
    return text if sequence in (0, FIRST_ALLOTTED, LAST_SEQUENCE) else f"{text} #{sequence}"
