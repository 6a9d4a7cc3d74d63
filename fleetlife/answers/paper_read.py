"""`document read`: what the text of a paper says by its numbered blocks, beside the units it would be filed against."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World, open_world
from fleetlife.paper.agreement import compare_numbers
from fleetlife.paper.proposed import Proposal, Read, propose, side_proposed
from fleetlife.store.engine import Store
from fleetlife.store.reference import units_by_number
from fleetlife.terms.documents import PaperRead
from fleetlife.terms.forms import forms_named
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import PaperBlock, PaperLine
from fleetlife.transfer.columns import CERTIFICATES
from fleetlife.transfer.dates import read_day
from fleetlife.transfer.problem import Unreadable

_COLUMNS = tuple(column.name for column in CERTIFICATES.columns)
_CHANGE = re.compile(r"(?:(\d+)[.])?([a-z_]+)=(.*)", re.DOTALL)


def paper_read(
    store: Store,
    text: str,
    *,
    file: str,
    form: str | None = None,
    changes: Sequence[str] = (),
    against: tuple[str, str] | None = None,
    date_order: str | None = None,
    as_of: date,
) -> PaperRead:
    """The blocks of the paper and its lines, with what a person changed. Nothing is written.

    `changes`: `column=value` for every line, `2.column=value` for the second; empty takes a value away. `against`: part
    and serial number of the unit the lines are filed against, where the paper's own numbers are not to find it.
    Refusals: `form-unknown`, `column-unknown`, `line-unknown`, `unit-unknown`, `unit-ambiguous`.
    """
    given = forms_named(form) if form is not None else ()
    if form is not None and not given:
        raise Refusal(
            "form-unknown", f"No release form is called {form!r}.", remedy="See docs/certificates.md.", status=2
        )
    proposal = propose(text, form=given[0] if len(given) == 1 else None)
    lines = proposal.lines or ((),)
    rows = [_row(proposal, line, form) for line in lines]
    _change(rows, changes)
    doubts = [*proposal.doubts, *_dates(rows, date_order), *_quantities(rows)]
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, kept=store.kept)
        shown = tuple(_line(world, row, against) for row in rows)
        about = world.about("document read", airframes=())
    must = [column.name for column in CERTIFICATES.columns if column.required]
    return PaperRead(
        about=about,
        file=file,
        form=rows[0].get("form"),
        blocks=(*_blocks(None, proposal.once), *(b for n, line in enumerate(lines, 1) for b in _blocks(n, line))),
        lines=shown,
        rows=tuple(rows),
        changes=tuple(changes),
        doubts=tuple(doubts),
        missing=tuple(name for name in must if any(not row.get(name) for row in rows)),
    )


def _row(proposal: Proposal, line: Sequence[Read], form: str | None) -> dict[str, str]:
    row = {read.column: read.text for read in (*proposal.once, *line)}
    families = {each.family for each in proposal.forms}
    named = form
    if named is None and len(proposal.forms) == 1:
        named = proposal.forms[0].name
    elif named is None and len(families) == 1:
        named = families.pop()
    if named is not None:
        row["form"] = named
    side = side_proposed(proposal, row.get("status"))
    if side is not None:
        row["side"] = side
    return row


def _change(rows: list[dict[str, str]], changes: Sequence[str]) -> None:
    for change in changes:
        parts = _CHANGE.fullmatch(change)
        if parts is None or parts[2] not in _COLUMNS:
            name = change.partition("=")[0].rpartition(".")[2]
            raise Refusal(
                "column-unknown",
                f"{change!r} names no column of the certificates." + did_you_mean(name, _COLUMNS),
                remedy="Write column=value, or 2.column=value for the second line; docs/files.md lists the columns.",
                status=2,
            )
        if parts[1] is not None and not 1 <= int(parts[1]) <= len(rows):
            raise Refusal("line-unknown", f"The paper has {len(rows)} lines.", remedy="Count them from 1.", status=2)
        for row in rows if parts[1] is None else [rows[int(parts[1]) - 1]]:
            if parts[3]:
                row[parts[2]] = parts[3]
            else:
                row.pop(parts[2], None)


def _dates(rows: list[dict[str, str]], order: str | None) -> list[str]:
    """Dates as ISO days; one that could be read two ways, or not at all, is left as printed and told."""
    doubts = []
    for row in rows:
        try:
            row["date"] = read_day(row.get("date", ""), order)
        except Unreadable as unreadable:
            if row.get("date"):
                doubts.append(f"The date {row['date']}: {unreadable.reason} {unreadable.remedy}")
    return list(dict.fromkeys(doubts))


def _quantities(rows: list[dict[str, str]]) -> list[str]:
    """Quantities as whole numbers; what is more than one is left out, and told."""
    doubts = []
    for row in rows:
        text = row.get("quantity", "")
        if text and not text.isdecimal():
            doubts.append(f"The quantity {text} is no whole number: it is left out.")
            del row["quantity"]
    return doubts


def _blocks(line: int | None, reads: Sequence[Read]) -> list[PaperBlock]:
    return [
        PaperBlock(line=line, block=read.block, holds=read.column.replace("_", " "), says=read.text) for read in reads
    ]


def _line(world: World, row: Mapping[str, str], against: tuple[str, str] | None) -> PaperLine:
    """The line beside the unit it would be filed against: the one named, else the one that bears its numbers, else the
    only one of its serial number."""
    part, serial = row.get("part_number", ""), row.get("serial_number", "")
    named = against or ((row["filed_part_number"], row["filed_serial_number"]) if _filed(row) else None)
    unit: int | None = None
    if named is not None:
        unit = world.unit_named(*named)
    elif serial:
        found = {each[0] for each in units_by_number(world.connection, serial_number=serial, part_number=part)}
        found = found or {each[0] for each in units_by_number(world.connection, serial_number=serial)}
        unit = found.pop() if len(found) == 1 else None
    told: dict[str, Any] = {"part_verdict": "unfiled", "serial_verdict": "unfiled"}
    expected: tuple[str | None, str | None] = (None, None)
    state = world.states([unit]).get(unit) if unit is not None else None
    if state is not None:
        expected = state.part_number, state.serial_number
        for kind, paper, record in (("part", part, state.part_number), ("serial", serial, state.serial_number)):
            agreement = compare_numbers(paper, record, kind=kind)  # type: ignore[arg-type]
            told[f"{kind}_verdict"] = agreement.verdict
            if agreement.verdict != "exact":
                told[f"{kind}_marks"] = tuple((m.paper, m.record, m.equal) for m in agreement.marks)
    return PaperLine(
        tracking_number=row.get("tracking_number", ""),
        organisation=row.get("organisation", ""),
        item=row.get("item"),
        dated_on=row.get("date", ""),
        status=row.get("status", ""),
        form=row.get("form"),
        part_number=part,
        serial_number=serial,
        expected_part_number=expected[0],
        expected_serial_number=expected[1],
        remarks=row.get("remarks"),
        unit=name_of(state) if state is not None else None,
        **told,
    )


def _filed(row: Mapping[str, str]) -> bool:
    return bool(fold(row.get("filed_part_number")) and fold(row.get("filed_serial_number")))
