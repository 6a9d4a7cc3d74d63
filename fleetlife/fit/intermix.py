"""What a door pair carries together: different families are a note; a stop only where a reference says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from fleetlife.ledger.facts import Intermix
from fleetlife.terms.number import fold

IntermixOutcome = Literal["fine", "note", "stop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class IntermixAnswer:
    """`row` is the rule that decided, None where none is stated; `reasons` are complete sentences."""

    outcome: IntermixOutcome
    reasons: tuple[str, ...]
    row: Intermix | None = None
    reference: str | None = None


def judge_intermix(
    *,
    part_number: str,
    family: str | None,
    other_part_number: str,
    other_family: str | None,
    rows: Sequence[Intermix],
) -> IntermixAnswer:
    """May the two parts of a door pair be carried together.

    A rule holds for both orders of its families. Where a rule forbids with a reference, that decides over one that
    permits. A rule that forbids without a reference is a note: only a reference makes a stop. Different families
    with no rule, or a part whose family is not stated, are a note too, since nothing shows that they go together;
    one part on both doors is one family whatever is stated.
    """
    if not family or not other_family:
        if fold(part_number) == fold(other_part_number):
            return IntermixAnswer(outcome="fine", reasons=(f"Both doors of the pair carry {part_number}.",))
        missing = part_number if not family else other_part_number
        return _answer("note", f"No intermix family is stated for {missing}, so the pair cannot be compared.")
    wanted = {fold(family), fold(other_family)}
    found = [row for row in rows if {fold(row.family), fold(row.other_family)} == wanted]
    pair = f"{part_number} (family {family}) and {other_part_number} (family {other_family})"
    for row in found:
        if not row.permitted and row.reference:
            return _answer("stop", f"{pair} may not be carried on one door pair, by {row.reference}.", row)
    for row in found:
        if not row.permitted:
            return _answer(
                "note", f"{pair} are stated as not to be carried on one door pair, without a reference.", row
            )
    for row in found:
        source = f", by {row.reference}" if row.reference else ", without a reference"
        return _answer("fine", f"{pair} may be carried on one door pair{source}.", row)
    if len(wanted) == 1:
        return _answer("fine", f"Both parts of the pair are of family {family}.")
    return _answer("note", f"{pair} are of different families, and no rule says that they may go together.")


def _answer(outcome: IntermixOutcome, reason: str, row: Intermix | None = None) -> IntermixAnswer:
    return IntermixAnswer(outcome=outcome, reasons=(reason,), row=row, reference=row.reference if row else None)
