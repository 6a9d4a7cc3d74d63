"""Part and serial numbers, positions: how they are folded for looking up, and how serials compare.

Only what two spellings of the same number may lawfully differ by is folded: letter case and white space.
Everything else (hyphens, leading zeros, O for 0) is a difference, judged in `paper`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

_RUNS = re.compile(r"\d+|[^\d]+")
_POSITION = re.compile(r"^(?:([LRC])(\d{1,2})|(\d{1,2})([LRC]))$")
OWN_TRACKING_PREFIX = "OWN:"


@lru_cache(maxsize=65_536)
def fold(text: str | None) -> str:
    """Upper case, outer and inner white space removed. Two numbers that fold alike are the same number."""
    return "".join((text or "").split()).upper()


def position_label(text: str) -> str:
    """`L1`, `1L` and `l1` are the same position: `L1`. Other labels are only folded."""
    folded = fold(text)
    if match := _POSITION.match(folded):
        if match[1]:
            return f"{match[1]}{int(match[2])}"
        return f"{match[4]}{int(match[3])}"
    return folded


def serial_runs(serial: str) -> tuple[tuple[int, int, str], ...]:
    """The serial as runs for ordering: digit runs compare as numbers, other runs as text."""
    return tuple((1, int(run), "") if run.isdecimal() else (0, 0, run) for run in _RUNS.findall(fold(serial)))


def serial_in_range(serial: str, first: str | None, last: str | None) -> bool:
    """True when the serial lies in the inclusive range; an empty end is open.

    Digit runs are compared as numbers. A serial whose text before its last digit run differs from a stated
    bound's is another series and is never inside: `B100` is not between `A050` and `A150`.
    """
    prefix, number = _split(serial)
    for bound, is_low in ((first, True), (last, False)):
        if not bound:
            continue
        bound_prefix, bound_number = _split(bound)
        if bound_prefix != prefix or bound_number is None or number is None:
            if fold(bound) == fold(serial):
                continue
            return False
        if is_low and number < bound_number:
            return False
        if not is_low and number > bound_number:
            return False
    return True


def compare_serials(serial: str, other: str) -> int | None:
    """-1, 0 or 1 as the serial's last digit run is a lower number than the other's, the same, or a higher one; None
    where what stands before it differs, or one has none: another form, of which nothing can be told. Texts that fold
    alike are the same whatever their form."""
    if fold(serial) == fold(other):
        return 0
    prefix, number = _split(serial)
    other_prefix, other_number = _split(other)
    if prefix != other_prefix or number is None or other_number is None:
        return None
    return (number > other_number) - (number < other_number)


def _split(serial: str) -> tuple[tuple[tuple[int, int, str], ...], int | None]:
    """All runs but a final digit run, and that run as a number."""
    runs = serial_runs(serial)
    if runs and runs[-1][0] == 1:
        return runs[:-1], runs[-1][1]
    return runs, None


def is_own_tracking(serial: str) -> bool:
    """True when the serial is the operator's own tracking number, marked as such."""
    return fold(serial).startswith(OWN_TRACKING_PREFIX)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like this one, for messages; None when nothing is near."""
    from difflib import get_close_matches

    found = get_close_matches(word, list(known), n=1, cutoff=0.5)
    return found[0] if found else None


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """` Did you mean OVH?` with the nearest known word, to stand behind a sentence; empty when nothing is near."""
    near = nearest(word, known)
    return f" Did you mean {near}?" if near else ""
