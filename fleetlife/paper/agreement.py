"""How the number on a paper differs from the number on the unit: one verdict, one sentence, and where.

A verdict names the smallest difference that explains the two numbers; it never says that a difference does not
matter. Only `exact` and `formatting` are the same number. The class says what to look for on the data plate:
a letter read as a digit, two characters crossed, another dash number, a part that may stand in for this one.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from rapidfuzz.distance import OSA, Levenshtein

from fleetlife.terms.filling import filled
from fleetlife.terms.number import OWN_TRACKING_PREFIX, is_own_tracking

# In the order of how far apart the numbers are: `worse` compares by this order.
VERDICTS: tuple[str, ...] = (
    "exact",
    "formatting",
    "leading-zeros",
    "look-alike",
    "transposed",
    "one-character",
    "other-dash-number",
    "alternate",
    "different",
)
# The verdicts under which both numbers are the same number.
SAME_NUMBER: tuple[str, ...] = ("exact", "formatting")

_RANK = {verdict: rank for rank, verdict in enumerate(VERDICTS)}
_SEPARATORS = re.compile(r"[\W_]+")
_RUNS = re.compile(r"\d+|[^\d]+")
_NOT_APPLICABLE = ("NA", "NOTAPPLICABLE")
_SHORTEST_BASE = 3
_LONGEST_DASH = 4

# One shape, several characters: each folds to one of them. Letters of other alphabets that print like a Latin
# capital come in when a number is typed on another keyboard.
_LOOK_ALIKE = str.maketrans(
    {
        **dict.fromkeys("OQОΟ", "0"),
        **dict.fromkeys("ILІΙ|", "1"),
        **dict.fromkeys("ZΖ", "2"),
        **dict.fromkeys("SЅ", "5"),
        "G": "6",
        **dict.fromkeys("BВΒ", "8"),
        **dict.fromkeys("АΑ", "A"),
        "С": "C",
        **dict.fromkeys("ЕΕ", "E"),
        **dict.fromkeys("НΗ", "H"),
        "Ј": "J",
        **dict.fromkeys("КΚ", "K"),
        **dict.fromkeys("МΜ", "M"),
        "Ν": "N",
        **dict.fromkeys("РΡ", "P"),
        **dict.fromkeys("ТΤ", "T"),
        **dict.fromkeys("ХΧ", "X"),
        **dict.fromkeys("УΥ", "Y"),
    }
)


@filled
@dataclass(frozen=True, slots=True)
class Segment:
    """One stretch of both numbers, as printed; one side is empty where only the other has characters."""

    paper: str
    record: str
    equal: bool


@filled
@dataclass(frozen=True, slots=True)
class Agreement:
    """`verdict` is one of VERDICTS, `detail` a complete sentence with both numbers.

    `marks` cover both numbers from left to right. `stands_for` is the alternate or the number the unit bore at
    another time, where the paper bears one (verdict `alternate`).
    """

    verdict: str
    detail: str
    marks: tuple[Segment, ...]
    stands_for: str | None = None

    @property
    def same(self) -> bool:
        """True when paper and record bear the same number."""
        return self.verdict in SAME_NUMBER


def worse(first: str, second: str) -> str:
    """The verdict that is further from agreement; an unknown word raises KeyError."""
    return first if _RANK[first] >= _RANK[second] else second


def look_alike_key(text: str | None) -> str:
    """The number without separators, its look-alike characters folded.

    Two units whose keys are equal may differ by look-alikes only (`AB0-12` and `A8O12`); `compare_numbers` says
    whether they do.
    """
    return _squeezed(text or "").translate(_LOOK_ALIKE)


def verdict_of(
    paper: str,
    record: str,
    *,
    kind: Literal["part", "serial"],
    borne: Sequence[str] = (),
    alternates: Sequence[str] = (),
) -> str:
    """The verdict of `compare_numbers` alone: nearly every paper says what is recorded, and then nothing is told."""
    if paper == record and record.strip():
        return "exact"
    return compare_numbers(paper, record, kind=kind, borne=borne, alternates=alternates).verdict


def compare_numbers(
    paper: str,
    record: str,
    *,
    kind: Literal["part", "serial"],
    borne: Sequence[str] = (),
    alternates: Sequence[str] = (),
) -> Agreement:
    """How the number on the paper agrees with the one recorded.

    `record` is the number the unit bore on the day of the paper. `borne` are the part numbers it bore at other
    times, `alternates` the parts that may stand in for it or that it supersedes; both count for parts only.

    The tests run in the order of VERDICTS, with two exceptions that keep a real part from passing for a slip of
    the pen: a paper that bears exactly a number borne or an alternate is `alternate` before it is a
    misprint, and parts that differ only in the dash number are `other-dash-number` before they are transposed or
    one character apart, since every dash number is a part of its own.
    """
    on_paper, recorded = paper.strip(), record.strip()
    if on_paper == recorded and on_paper:
        return Agreement(
            "exact", f"The paper and the record both say {recorded}.", (Segment(on_paper, recorded, True),)
        )
    marks = _marks(on_paper, recorded)
    if kind == "serial" and is_own_tracking(recorded):
        return _against_own_tracking(on_paper, recorded, marks)
    bare_paper, bare_record = _squeezed(on_paper), _squeezed(recorded)
    if not bare_paper or not bare_record:
        return Agreement("different", _nothing_to_compare(on_paper, recorded), marks)
    if _same_but_for_formatting(on_paper, recorded):
        return _agreement("formatting", on_paper, recorded, marks, "the same number, written otherwise")
    if kind == "part":
        if number := _named(on_paper, borne):
            why = "a number this unit bore at another time"
            return _agreement("alternate", on_paper, recorded, marks, why, stands_for=number)
        if number := _named(on_paper, alternates):
            why = "an alternate or superseded part, which is not the part recorded"
            return _agreement("alternate", on_paper, recorded, marks, why, stands_for=number)
    verdict, why = _nearest_verdict(on_paper, recorded, bare_paper, bare_record, kind)
    return _agreement(verdict, on_paper, recorded, marks, why)


def _nearest_verdict(paper: str, record: str, bare_paper: str, bare_record: str, kind: str) -> tuple[str, str]:
    """The smallest difference left after formatting, and its words."""
    if bare_paper == bare_record:
        return "different", "the same characters, divided at other places"
    if _without_leading_zeros(paper, record):
        return "leading-zeros", "the numbers differ in leading zeros only"
    if bare_paper.translate(_LOOK_ALIKE) == bare_record.translate(_LOOK_ALIKE):
        return "look-alike", _look_alike_words(bare_paper, bare_record)
    if kind == "part" and (dashes := _other_dash(paper, record)):
        return "other-dash-number", dashes
    if Levenshtein.distance(bare_paper, bare_record, score_cutoff=1) <= 1:
        return "one-character", _one_character_words(bare_paper, bare_record)
    if OSA.distance(bare_paper, bare_record, score_cutoff=1) <= 1:
        return "transposed", _transposed_words(bare_paper, bare_record)
    return "different", "they are different numbers"


def _agreement(
    verdict: str, paper: str, record: str, marks: tuple[Segment, ...], why: str, *, stands_for: str | None = None
) -> Agreement:
    return Agreement(verdict, f"The paper says {paper}, the record says {record}: {why}.", marks, stands_for)


def _against_own_tracking(paper: str, record: str, marks: tuple[Segment, ...]) -> Agreement:
    """An item without a serial, kept under the operator's own tracking number.

    EASA Form 1 block 10 says `N/A` for an item that has no serial number (Appendix II to Part-M, block 10), so that
    is what the paper of such a unit must say; an empty block is not enough.
    """
    bare = _squeezed(paper)
    own = _squeezed(record)
    if bare in _NOT_APPLICABLE:
        detail = f"The item has no serial number and the paper says {paper}; it is tracked as {record}."
        return Agreement("exact", detail, marks)
    if bare and bare in (own, own.removeprefix(_squeezed(OWN_TRACKING_PREFIX))):
        return _agreement("formatting", paper, record, marks, "the operator's own tracking number, written otherwise")
    if not bare:
        detail = f"The paper names no serial number; for {record}, which has none, it must say N/A."
        return Agreement("different", detail, marks)
    why = "the item is recorded without a serial number of its manufacturer, and the paper names one"
    return _agreement("different", paper, record, marks, why)


def _squeezed(text: str) -> str:
    """Upper case letters and digits only; full-width and other compatibility forms as their plain ones."""
    return _SEPARATORS.sub("", unicodedata.normalize("NFKC", text).replace("|", "I")).upper()


def _pieces(text: str) -> list[str]:
    return [piece for piece in _SEPARATORS.split(unicodedata.normalize("NFKC", text).upper()) if piece]


def _breaks(text: str) -> set[int]:
    """After how many letters and digits the number is divided."""
    places: set[int] = set()
    length = 0
    for piece in _pieces(text)[:-1]:
        length += len(piece)
        places.add(length)
    return places


def _same_but_for_formatting(first: str, second: str) -> bool:
    """True when only case, white space and separators differ: separators of another sort, more or fewer of them.

    Separators at contradicting places (`4512-1` and `451-21`) are no formatting: those are two numbers.
    """
    if _squeezed(first) != _squeezed(second):
        return False
    one, other = _breaks(first), _breaks(second)
    return one <= other or other <= one


def _named(paper: str, numbers: Iterable[str]) -> str | None:
    return next((number for number in numbers if _same_but_for_formatting(paper, number)), None)


def _without_leading_zeros(first: str, second: str) -> bool:
    """True when the digit runs differ in leading zeros only, with the separators as they stand or without them."""
    if _zero_free(_pieces(first)) == _zero_free(_pieces(second)):
        return True
    return _zero_free([_squeezed(first)]) == _zero_free([_squeezed(second)])


def _zero_free(pieces: Iterable[str]) -> list[list[str]]:
    return [[run.lstrip("0") if run.isdecimal() else run for run in _RUNS.findall(piece)] for piece in pieces]


def _other_dash(paper: str, record: str) -> str | None:
    """Words for two dash numbers of one base, None when that is not the difference."""
    base, dash = _base_and_dash(record)
    paper_base, paper_dash = _base_and_dash(paper)
    if base and base == paper_base:
        return f"the same base number {base} with dash number {paper_dash} instead of {dash}"
    whole_paper, whole_record = _squeezed(paper), _squeezed(record)
    if base and whole_paper == base:
        return f"the paper bears the base number {base} without dash number {dash}"
    if paper_base and whole_record == paper_base:
        return f"the paper adds dash number {paper_dash} to {paper_base}"
    # A paper that prints no separators: the rest after the base, as long as the dash number recorded.
    if base and not paper_base and whole_paper.startswith(base) and len(whole_paper) == len(base) + len(dash):
        return f"the same base number {base} with dash number {whole_paper[len(base) :]} instead of {dash}"
    return None


def _base_and_dash(number: str) -> tuple[str, str]:
    """What stands before and after the last separator; two empty texts when there is no dash number."""
    pieces = _pieces(number)
    if len(pieces) < 2:
        return "", ""
    base, dash = "".join(pieces[:-1]), pieces[-1]
    if len(base) < _SHORTEST_BASE or len(dash) > _LONGEST_DASH:
        return "", ""
    return base, dash


def _marks(paper: str, record: str) -> tuple[Segment, ...]:
    return tuple(
        Segment(
            paper[step.src_start : step.src_end],
            record[step.dest_start : step.dest_end],
            step.tag == "equal",
        )
        for step in Levenshtein.opcodes(paper, record)
    )


def _look_alike_words(paper: str, record: str) -> str:
    pairs = [
        f"{_character(one)} where the record has {_character(other)} (character {place})"
        for place, (one, other) in enumerate(zip(paper, record, strict=True), start=1)
        if one != other
    ]
    return "the paper has " + " and ".join(pairs)


def _character(one: str) -> str:
    if one.isdecimal():
        return f"the digit {one}"
    if one.isascii():
        return f"the letter {one}"
    return f"the character {one} ({unicodedata.name(one, 'without a name').lower()})"


def _one_character_words(paper: str, record: str) -> str:
    step = next(step for step in Levenshtein.opcodes(paper, record) if step.tag != "equal")
    if step.tag == "replace":
        return f"one character differs, {paper[step.src_start]} for {record[step.dest_start]}"
    if step.tag == "delete":
        return f"the paper has one character more, {paper[step.src_start]}"
    return f"the paper has one character less, {record[step.dest_start]}"


def _transposed_words(paper: str, record: str) -> str:
    place = next(index for index, (one, other) in enumerate(zip(paper, record, strict=True)) if one != other)
    return f"two neighbours are exchanged, {paper[place : place + 2]} for {record[place : place + 2]}"


def _nothing_to_compare(paper: str, record: str) -> str:
    if not paper and not record:
        return "Neither the paper nor the record names a number."
    if not _squeezed(paper):
        return f"The paper names no number; the record says {record}."
    return f"The paper says {paper}; the record names no number."
