"""One publication with the units it means, the worst first; the list of publications; both for machines too."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports import rows as machine
from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.due import unknown_words
from fleetlife.reports.harmless import TIE, said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Flow,
    Listing,
    Pairs,
    Paragraph,
    Report,
    Rule,
    counted,
    heading,
    title,
)
from fleetlife.reports.signs import ESTIMATE, ESTIMATE_MEANS, STATE_SIGNS, state_in_words, state_legend
from fleetlife.terms.measure import hours_text
from fleetlife.terms.publications import (
    CANNOT_BE_TOLD,
    LIST_COLUMNS,
    STATUS_COLUMNS,
    ModificationLine,
    PublicationList,
    PublicationRow,
    PublicationStatus,
    PublicationSummary,
    PublicationTold,
)

CAUTION = (
    "It computes from what was taken in of the publication, and is not the publication: follow its current revision; "
    "certifying staff decide."
)
# How a publication stands that asks for something, now or from a day to come.
ASKS = ("in force", "to come")
NONE_IN_RECORDS = "None in these records: that is not the same as none issued. Take them in: publications.csv."


# --- one publication ------------------------------------------------------------------------------------------------


def status_report(answer: PublicationStatus, *, full: bool = False) -> RenderableType:
    """What is past, falls due or cannot be told, one by one; what is in date and closed too. With `full` each with its
    reasons."""
    told = answer.told
    blocks: list[Block] = [
        title("PUBLICATION", whole(told.named, STRONG), said(told.title)),
        about_block(answer.about),
        Rule(),
        Pairs(_facts(told)),
        Flow(_strip(answer.rows)),
    ]
    if told.standing != "in force":
        blocks += [Blank(), Paragraph(_standing(told))]
    sections = [
        Section(words, [_row(row, full=full) for row in chosen], f"{len(chosen):,}")
        for words, chosen in _groups(answer.rows, asked=told.standing in ASKS)
        if chosen
    ]
    if sections:
        blocks += [Blank(), Columns(_COLUMNS, sections, indent=3)]
    else:
        blocks += [Blank(), Paragraph(Text(_nothing(answer)))]
    if answer.others:
        blocks += [heading("OTHER REVISIONS", len(answer.others))]
        blocks.append(
            Listing([said(f"{each.named}, effective {each.effective_on}: {each.standing}") for each in answer.others])
        )
    blocks += [heading("NOT CHECKED"), Listing([said(text) for text in answer.not_checked])]
    more = [ESTIMATE_MEANS] if any(row.estimated for row in answer.rows) else []
    blocks += [Blank(), Rule(), state_legend((row.state for row in answer.rows), *more)]
    blocks += [Paragraph(Text(CAUTION, style=QUIET)), _coverage(answer)]
    return Report(blocks)


def _facts(told: PublicationTold) -> list[tuple[str, Text]]:
    kind = told.kind.replace("_", " ")
    return [
        ("kind", said(f"{kind}, mandatory" if told.mandatory else kind)),
        ("issued by", said(told.issuer)),
        ("effective", whole(told.effective_on)),
        ("takes the place of", said(told.supersedes)),
        *(("names" if n == 0 else "", said(text)) for n, text in enumerate(told.names)),
        *(("asks for" if n == 0 else "", said(text)) for n, text in enumerate(told.asks)),
    ]


def _standing(told: PublicationTold) -> Text:
    says = {
        "to come": f"It takes effect on {told.effective_on}: nothing is open before.",
        "superseded": f"It is superseded by {told.instead}: nothing is found of it in an audit.",
        "cancelled": f"It is cancelled since {told.cancelled_on}: nothing is found of it in an audit.",
        "earlier revision": "A later revision is in effect: nothing is found of this one in an audit.",
    }
    return said(says[told.standing], STRONG)


def _strip(rows: Sequence[PublicationRow]) -> list[Text]:
    """How many are past, unknown, due, in date; on top."""
    items = []
    for state in STATE_SIGNS:
        count = sum(row.state == state for row in rows)
        if count or state in ("overdue", "unknown"):
            items.append(state_in_words(state).append(f"{TIE}{count:,}", style=STRONG if count else ""))
    return items


def _groups(rows: Sequence[PublicationRow], *, asked: bool) -> list[tuple[str, list[PublicationRow]]]:
    def chosen(*states: str, closed: bool = False) -> list[PublicationRow]:
        return [row for row in rows if row.state in states and (row.closed_by is not None) == closed]

    unknown = chosen("unknown")
    return [
        ("OPEN PAST ITS LIMIT" if asked else "PAST A LIMIT THAT IS NO LONGER ASKED FOR", chosen("overdue")),
        ("CANNOT BE TOLD WHETHER IT APPLIES", [row for row in unknown if row.affected == CANNOT_BE_TOLD]),
        ("APPLIES, CANNOT BE TOLD BY WHEN", [row for row in unknown if row.affected != CANNOT_BE_TOLD]),
        ("OPEN", chosen("due", "waiting", "in variation", "no refill", "in date")),
        ("CLOSED", chosen("in date", closed=True)),
    ]


_COLUMNS = (
    Column("state", whole=True, under=""),
    Column("where", floor=12, under=""),
    Column("part number", whole=True),
    Column("serial number", whole=True),
    Column("asked", rank=2, floor=10, under="asked"),
    Column("due", rank=1, whole=True, under="due"),
    Column("left", rank=3, whole=True, right=True, under="left"),
)


def _row(row: PublicationRow, *, full: bool) -> Row:
    details = []
    asked = f"{row.action}, group {row.group}" if row.group else row.action
    if row.closed_by:
        details.append(said(f"closed by {row.closed_by} on {row.closed_on} (entry {row.closed_entry})"))
    elif row.state == "unknown" or full:
        details.append(said(row.state_reason))
    if row.due_earliest and row.due_earliest != row.due_date:
        details.append(tied("at the earliest", f"{ESTIMATE}{row.due_earliest}"))
    if row.last_done:
        details.append(tied("last done", row.last_done))
    if row.unknown_measures and row.state != "unknown":
        details.append(said(f"not known: {unknown_words(row.unknown_measures)}"))
    notes = []
    if full:
        if row.basis:
            details.append(said(f"basis: {row.basis}"))
        notes = [
            said(text, QUIET) for text in (row.why_affected if row.state != "unknown" else None, _closes(row)) if text
        ]
    return Row(
        [
            state_in_words(row.state),
            tied(row.registration, row.position) if row.registration else said(row.place),
            whole(row.part_number),
            whole(row.serial_number),
            said(asked),
            whole(_due(row)),
            whole(_left(row)),
        ],
        details,
        notes,
    )


def _closes(row: PublicationRow) -> str | None:
    return None if row.closes is None else f"Closed by {row.closes}."


def _due(row: PublicationRow) -> str:
    if row.closed_by:
        return "closed"
    mark = ESTIMATE if row.estimated else ""
    if row.due_date or row.due_earliest:
        return f"{mark}{row.due_date or row.due_earliest}"
    return {"overdue": "passed", "unknown": "not known"}.get(row.state, "none")


def _left(row: PublicationRow) -> str:
    found = []
    if row.days_left is not None:
        found.append(f"{row.days_left:,} d")
    if row.hours_left is not None:
        found.append(f"{hours_text(row.hours_left)} FH")
    if row.cycles_left is not None:
        found.append(f"{row.cycles_left:,} FC")
    return ", ".join(found)


def _nothing(answer: PublicationStatus) -> str:
    if answer.units.cannot_be_told:
        return "The records do not say which units it names: none can be told to be free of it."
    return "It means no unit in these records."


def _coverage(answer: PublicationStatus) -> Paragraph:
    units = answer.units
    return Paragraph(
        Text.assemble(
            (f"Looked at: {counted(units.looked_at, 'unit')}", STRONG),
            f" not on the scrap heap; affected {units.affected:,}, not affected {units.not_affected:,}, ",
            (f"cannot be told {units.cannot_be_told:,}", STRONG if units.cannot_be_told else ""),
            ".",
        )
    )


def status_about(answer: PublicationStatus) -> dict[str, Any]:
    """The head for machines: the publication, its other revisions, the units looked at."""
    about = machine.about_as_dict(answer.about)
    about |= {"publication": machine.card_as_dict(answer.told), "units": machine.card_as_dict(answer.units)}
    about |= {"other_revisions": [machine.card_as_dict(each) for each in answer.others]}
    return about | {"not_checked": list(answer.not_checked), "note": CAUTION}


def status_rows(answer: PublicationStatus) -> list[dict[str, Any]]:
    """The rows for machines, with exactly STATUS_COLUMNS as keys."""
    return [row_as_dict(row) for row in answer.rows]


def row_as_dict(row: PublicationRow) -> dict[str, Any]:
    values = machine.card_as_dict(row)
    return {name: values[name] for name in STATUS_COLUMNS}


# --- the list -------------------------------------------------------------------------------------------------------


def list_report(answer: PublicationList) -> RenderableType:
    """The publications, each with the units it means and what is open."""
    blocks: list[Block] = [title("PUBLICATIONS"), about_block(answer.about), Rule()]
    if not answer.rows:
        return Report([*blocks, Paragraph(Text(NONE_IN_RECORDS))])
    blocks += [
        Blank(),
        Columns(
            [
                Column("publication", whole=True),
                Column("kind", rank=4, floor=10, under=""),
                Column("effective", whole=True),
                Column("standing", rank=3, floor=10, under=""),
                Column("affected", whole=True, right=True),
                Column("open", whole=True, right=True),
                Column("past", rank=1, whole=True, right=True, under="past"),
                Column("unknown", rank=2, whole=True, right=True, under="unknown"),
            ],
            [Section("", [_list_row(row) for row in answer.rows])],
            indent=3,
        ),
        Blank(),
        Rule(),
        Paragraph(
            Text(
                "Counts are of units. Past: open past its limit. Unknown: it applies and by when cannot be told, or "
                "whether it applies cannot be told. Not judged: -.",
                style=QUIET,
            )
        ),
        Paragraph(Text(f"Looked at: {counted(answer.units, 'unit')} not on the scrap heap.", style=STRONG)),
    ]
    return Report(blocks)


def _list_row(row: PublicationSummary) -> Row:
    told = row.told
    kind = told.kind.replace("_", " ")
    unknown = None if row.cannot_be_told is None else row.cannot_be_told + (row.unknown or 0)
    details = [told.title, f"superseded by {told.instead}" if told.instead else None]
    return Row(
        [
            whole(told.named),
            said(kind),
            whole(told.effective_on),
            said(told.standing),
            *(_count(each) for each in (row.affected, row.open, row.overdue, unknown)),
        ],
        [said(text) for text in details if text],
    )


def _count(number: int | None) -> Text:
    return Text("-" if number is None else f"{number:,}", style=STRONG if number else "")


def list_rows(answer: PublicationList) -> list[dict[str, Any]]:
    """The list for machines, with exactly LIST_COLUMNS as keys."""
    found = []
    for row in answer.rows:
        values = {**machine.card_as_dict(row.told), **machine.card_as_dict(row)}
        found.append({name: values[name] for name in LIST_COLUMNS})
    return found


# --- on the card of a unit ------------------------------------------------------------------------------------------


def publication_blocks(rows: Sequence[PublicationRow], modifications: Sequence[ModificationLine]) -> list[Block]:
    """What publications ask of a unit, and its modifications; nothing where there is neither."""
    blocks: list[Block] = []
    if rows:
        table = [
            Row(
                [
                    state_in_words(row.state),
                    whole(row.named),
                    said(f"{row.action}, group {row.group}" if row.group else row.action),
                    whole(_due(row)),
                ],
                notes=[said(row.state_reason, QUIET)],
            )
            for row in rows
        ]
        columns = [
            Column("state", whole=True, under=""),
            Column("publication", whole=True),
            Column("asked", rank=1, floor=10, under="asked"),
            Column("due", whole=True),
        ]
        blocks += [heading("DIRECTIVES AND BULLETINS", len(rows)), Columns(columns, [Section("", table)], indent=3)]
    if modifications:
        blocks += [heading("MODIFICATIONS", len(modifications)), Listing([_modification(m) for m in modifications])]
    return blocks


def _modification(line: ModificationLine) -> Text:
    text = Text.assemble(whole(line.modification, STRONG), f": {line.status}")
    if line.on:
        text.append(f" {'on' if line.status == 'embodied' else 'when looked at on'} {line.on}")
    if line.paper:
        text.append_text(said(f", paper {line.paper}"))
    if line.entry is not None:
        text.append(f" (entry {line.entry})")
    if line.asked_by:
        text.append_text(said(f"; closes {', '.join(line.asked_by)}"))
    return text
