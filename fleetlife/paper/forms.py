"""A certificate by the numbered blocks of its form: where a statement stands, and what the form says of it.

Several editions may come in question where a paper names its form without one. A number is told only where all of them
agree; a term is at fault only where none of them knows it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from fleetlife.dates.partial import parse_partial
from fleetlife.paper.status import form_side, status_fault, status_term
from fleetlife.terms.forms import FORMS, MAINTENANCE, PRODUCTION, Block, ReleaseForm

# Words in a block of numbers by which several are lumped together (Order 8130.21G, 3-5).
_LUMPED = re.compile(r"\b(?:various|several|multiple)\b", re.IGNORECASE)
# What people write for a serial number that is not there; the forms ask for N/A.
_NO_SERIAL = ("none", "nil", "unknown", "unk", "not marked", "no serial", "-", "--", "tba", "tbd")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A sentence of what is wrong with a block. `grave` False: a word of another form, whose meaning is clear."""

    says: str
    grave: bool = True


def blocks_of(forms: Sequence[ReleaseForm], side: str | None) -> tuple[Block, ...]:
    """The blocks that all editions in question have alike, those of the other side's signature left out."""
    if not forms:
        return ()
    alike = [{(b.number, b.holds, b.column) for b in form.blocks} for form in forms]
    shared = [b for b in forms[0].blocks if all((b.number, b.holds, b.column) in each for each in alike)]
    other = {PRODUCTION: MAINTENANCE, MAINTENANCE: PRODUCTION}.get(side or "")
    return tuple(block for block in shared if other is None or not block.holds.endswith(f", {other}"))


def block_number(forms: Sequence[ReleaseForm], column: str, side: str | None = None) -> str | None:
    """The number of the block kept in a column of the file; None where the editions in question differ or none is."""
    numbers = {tuple(b.number for b in blocks_of([form], side) if b.column == column) for form in forms}
    if len(numbers) != 1:
        return None
    [found] = numbers
    return found[0] if len(found) == 1 else None


def named_block(forms: Sequence[ReleaseForm], column: str, words: str, side: str | None = None) -> str:
    """`block 11 (status)`, or the words alone where no one number is known."""
    number = block_number(forms, column, side)
    return f"block {number} ({words})" if number else f"the {words} block"


def side_of(stated: str | None, status: str | None) -> str | None:
    """The side on which a line is released: as stated, else by its term."""
    return stated or form_side(status)


def term_fault(forms: Sequence[ReleaseForm], side: str | None, status: str | None) -> Fault | None:
    """What is wrong with the status block; None where it holds one term of the form, or the pair where that is one."""
    general = status_fault(status)
    if general is not None:
        return Fault(says=general)
    term = status_term(status)
    belongs = form_side(status)
    if side is not None and belongs != side:
        return Fault(says=f"The status {status} is a term of {belongs}, and the line is signed for {side}.")
    if not forms or any(known.term == term for form in forms for known in form.terms):
        return None
    return Fault(
        says=f"The status {status} is no term of {_named(forms)}, which knows {_listed(forms)}.",
        grave=belongs not in {each for form in forms for each in form.sides},
    )


def _named(forms: Sequence[ReleaseForm]) -> str:
    return forms[0].name if len(forms) == 1 else forms[0].family


def _listed(forms: Sequence[ReleaseForm]) -> str:
    return ", ".join(dict.fromkeys(known.term for form in forms for known in form.terms))


def lumped(text: str) -> bool:
    """Whether a block of part or serial numbers says several in one word instead of the numbers."""
    return _LUMPED.search(text) is not None


def serial_missing(text: str) -> bool:
    """Whether the serial block says in other words than N/A that there is no serial number, or says nothing."""
    return " ".join(text.casefold().split()).strip(" .") in ("", *_NO_SERIAL)


def sides_mixed(lines: Sequence[tuple[str | None, str | None]]) -> tuple[str, ...]:
    """The sides of the (stated side, status) lines of one certificate where it has both; else nothing."""
    found = tuple(sorted({side for stated, status in lines if (side := side_of(stated, status)) is not None}))
    return found if len(found) > 1 else ()


def used_before(forms: Sequence[ReleaseForm], dated_on: int) -> str | None:
    """Since when the form exists, where every edition in question came after the day; a partial date's text."""
    starts = [form.valid_from for form in forms]
    known = [start for start in starts if start is not None]
    if not known or len(known) < len(starts):
        return None
    earliest = min(known, key=lambda start: parse_partial(start).first_day)
    return earliest if parse_partial(earliest).first_day.toordinal() > dated_on else None


def correction_rule(forms: Sequence[ReleaseForm]) -> ReleaseForm | None:
    """The form whose rule of correction holds, where all editions in question have the same."""
    return forms[0] if forms and len({form.correction for form in forms}) == 1 else None


def known_names() -> tuple[str, ...]:
    """Every name a form may be given by, editions and families, in the order of the table."""
    return tuple(dict.fromkeys([*(form.name for form in FORMS), *(form.family for form in FORMS)]))
