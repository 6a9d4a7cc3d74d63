"""A certificate by the numbered blocks of the form it is on, the numbers those of its own edition."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from fleetlife.ledger.facts import Certificate
from fleetlife.paper.forms import blocks_of, side_of
from fleetlife.terms.forms import Block, ReleaseForm, forms_named
from fleetlife.terms.measure import count_text, hours_text
from fleetlife.terms.views import PaperBlock

# Columns of the file in the order of the blocks, and what they hold where no form says it.
_WORDS = {
    "authority": "authority",
    "form": "form",
    "tracking_number": "tracking number",
    "organisation": "organisation",
    "work_order": "work order",
    "item": "item",
    "description": "description",
    "part_number": "part number",
    "quantity": "quantity",
    "serial_number": "serial number",
    "batch": "batch",
    "status": "status or work",
    "hours": "hours since new",
    "cycles": "cycles since new",
    "corrects": "corrects certificate",
    "remarks": "remarks",
    "approval": "approval",
    "second_authority": "second authority",
    "second_approval": "approval under it",
    "signatory": "signatory",
    "date": "date",
}
_OF_A_LINE = frozenset(
    ("item", "description", "part_number", "quantity", "serial_number", "batch", "status", "hours", "cycles", "remarks")
)


def editions_of(facts: Sequence[Certificate]) -> tuple[ReleaseForm, ...]:
    """The editions that the certificate's form may be; none where it states none, or none that is known."""
    return next((found for fact in facts if (found := forms_named(fact.form))), ())


def paper_blocks(facts: Sequence[Certificate]) -> tuple[PaperBlock, ...]:
    """Every statement of the certificate's lines, in the order of the blocks: what all lines say alike once, first."""
    forms = editions_of(facts)
    said = [_said(fact) for fact in facts]
    sides = {side_of(fact.side, fact.status) for fact in facts}
    whole = [c for c in _WORDS if c not in _OF_A_LINE and len({each.get(c) for each in said}) == 1]
    found = list(_told(None, whole, said[0] if said else {}, forms, sides.pop() if len(sides) == 1 else None))
    for number, (fact, each) in enumerate(zip(facts, said, strict=True), start=1):
        own = [column for column in _WORDS if column not in whole]
        found.extend(_told(number, own, each, forms, side_of(fact.side, fact.status)))
    return tuple(found)


def _said(fact: Certificate) -> dict[str, str]:
    """What the line says, by column, as text; what it does not say is left out."""
    values: dict[str, Any] = {name: getattr(fact, name, None) for name in _WORDS}
    values |= {"date": fact.dated_on, "hours": hours_text(fact.minutes_since_new)}
    values |= {"cycles": count_text(fact.cycles_since_new)}
    return {name: str(value) for name, value in values.items() if value not in (None, "")}


def _told(
    line: int | None, columns: Sequence[str], said: dict[str, str], forms: Sequence[ReleaseForm], side: str | None
) -> Iterator[PaperBlock]:
    numbered = _by_column(forms, side)
    for column in columns:
        if column not in said:
            continue
        block = numbered.get(column)
        if block is None:
            yield PaperBlock(line=line, block=None, holds=_WORDS[column], says=said[column])
        else:
            yield PaperBlock(
                line=line, block=block.number, holds=block.holds, says=said[column], from_memory=not block.read
            )


def _by_column(forms: Sequence[ReleaseForm], side: str | None) -> dict[str, Block]:
    """The block of each column, of those that have one and only one."""
    found: dict[str, list[Block]] = {}
    for block in blocks_of(forms, side):
        if block.column is not None:
            found.setdefault(block.column, []).append(block)
    return {column: blocks[0] for column, blocks in found.items() if len(blocks) == 1}
