"""May this unit go on this door, and what a recorded swap changed."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.due import due_rows_block
from fleetlife.reports.harmless import harmless, said, tied, whole
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
)
from fleetlife.reports.recorded import left_open, recorded_already, recorded_title
from fleetlife.reports.signs import STATE_SIGNS, signed, state_in_words, state_legend, verdict_legend, verdict_sign
from fleetlife.terms.measure import counted_text, hours_text
from fleetlife.terms.views import OUTCOMES, LifeLeft, Reason, SwapAnswer, SwapRecorded

VERDICTS = ("stop", "condition", "note", "clear")
_HEADINGS = {"stop": "STOP", "condition": "TO MEET FIRST", "note": "NOTE", "clear": "CLEAR"}
_WORST = {state: rank for rank, state in enumerate(STATE_SIGNS)}
_OUTCOME_SIGNS = dict(zip(OUTCOMES, ("==", ">>", "!!"), strict=True))


def swap_answer(answer: SwapAnswer) -> RenderableType:
    """The outcome in words on top, every reason by its weight, the life left, what was not checked, the head last."""
    present = [verdict for verdict in VERDICTS if any(r.verdict == verdict for r in answer.reasons)]
    blocks: list[Block] = [*_outcome(answer), *_where(answer)]
    for verdict in present:
        mine = [reason for reason in answer.reasons if reason.verdict == verdict]
        blocks += [heading(_HEADINGS[verdict], len(mine)), _reasons(mine)]
    if answer.life:
        day = answer.fitted_on if answer.fitted_on not in (None, answer.about.as_of) else "THE DAY ASKED"
        blocks += [heading(f"LIFE LEFT, IF FITTED ON {day}"), life_table(answer.life)]
    blocks += [heading("NOT CHECKED"), Listing([said(text) for text in answer.not_checked])]
    if answer.cautions:
        blocks += [heading("CAUTION"), Listing([said(text) for text in answer.cautions], mark="!")]
    blocks += [Blank(), Rule(), verdict_legend(*present)]
    if answer.life:
        blocks.append(state_legend({left.state for left in answer.life}))
    if any(reason.code for reason in answer.reasons):
        blocks.append(Paragraph(Text("What a code means: fleetlife explain CODE", style=QUIET)))
    blocks.append(about_block(answer.about))
    return Report(blocks)


def _outcome(answer: SwapAnswer) -> list[Block]:
    """The answer itself, framed by heavy rules; in words, with how many reasons stand behind it."""
    counts = {verdict: sum(r.verdict == verdict for r in answer.reasons) for verdict in VERDICTS}
    words = ", ".join(
        (
            counted(counts["stop"], "stop"),
            counted(counts["condition"], "condition"),
            counted(counts["note"], "note"),
            f"{counts['clear']:,} clear",
        )
    )
    sign = _OUTCOME_SIGNS.get(answer.outcome, "??")
    return [
        Rule(heavy=True),
        Flow(
            [
                Text.assemble(signed(sign), (f"  {harmless(answer.outcome).upper()}", STRONG)),
                Text(f"({words})"),
            ],
            indent=1,
        ),
        Rule(heavy=True),
    ]


def _where(answer: SwapAnswer) -> list[Block]:
    made = f" made by {answer.manufacturer}" if answer.manufacturer else ""
    return [
        Pairs(
            [
                ("unit", Text.assemble(tied(answer.part_number, answer.serial_number, style=STRONG), harmless(made))),
                (
                    "position",
                    Text.assemble(
                        tied(answer.registration, answer.position, style=STRONG),
                        harmless(f", {answer.side}; type {answer.type}, constructor's serial "),
                        whole(answer.constructor_serial),
                    ),
                ),
                ("comes off", whole(answer.outgoing) if answer.outgoing else Text("nothing: empty in these records")),
                ("on", _fitting_day(answer)),
            ]
        )
    ]


def _fitting_day(answer: SwapAnswer) -> Text:
    """The day of the fitting; as things stand on the day asked about where that is another one."""
    if answer.fitted_on is None or answer.fitted_on == answer.about.as_of:
        return whole(answer.about.as_of)
    return Text.assemble(whole(answer.fitted_on), ", as things stand on ", whole(answer.about.as_of))


def _reasons(reasons: Sequence[Reason]) -> Columns:
    rows = [
        Row(
            [
                signed(verdict_sign(reason.verdict)),
                said(reason.topic),
                whole(reason.code),
                said(reason.text),
            ]
        )
        for reason in reasons
    ]
    return Columns(
        [Column("", whole=True), Column("", whole=True), Column("", whole=True), Column("", floor=30)],
        [Section("", rows)],
        aligned={1: 11, 2: 6},
    )


def life_table(life: Sequence[LifeLeft]) -> Columns:
    """One line a requirement, the worst first: when it would be due if fitted on the day asked, and what is left."""
    counted = any(left.counter is not None for left in life)
    rows = [
        Row(
            [
                state_in_words(left.state),
                whole(left.part_number),
                whole(left.serial_number),
                said(_requirement(left)),
                whole(left.due_if_fitted or ("none" if left.state != "unknown" else "not known")),
                whole("" if left.hours_left is None else f"{hours_text(left.hours_left)} FH"),
                whole("" if left.cycles_left is None else f"{left.cycles_left:,} FC"),
                whole("" if left.operations_left is None else f"{left.operations_left:,} op"),
                *([whole(_counted(left))] if counted else []),
            ]
        )
        for left in sorted(life, key=lambda each: _WORST.get(each.state, 0))
    ]
    return Columns(
        [
            Column("state", whole=True, under=""),
            Column("part number", whole=True),
            Column("serial number", whole=True),
            Column("requirement", rank=1, floor=10, under=""),
            Column("calendar due", rank=2, whole=True, under="calendar due"),
            Column("hours left", rank=3, whole=True, right=True, under="left"),
            Column("cycles left", rank=4, whole=True, right=True, under="left"),
            Column("operations left", rank=5, whole=True, right=True, under="left"),
            *([Column("counter left", rank=6, whole=True, right=True, under="left")] if counted else []),
        ],
        [Section("", rows)],
        indent=3,
    )


def _counted(left: LifeLeft) -> str:
    return "" if left.counter_left is None else f"{counted_text(left.counter_left)} {left.counter}"


def _requirement(left: LifeLeft) -> str:
    kind = left.kind.replace("_", " ")
    return f"{left.requirement} {kind}" if kind != left.requirement.lower() else left.requirement


def swap_recorded(recorded: SwapRecorded, preview: bool = False) -> RenderableType:
    """What a swap changed, or with `preview` would change: before, after, due dates, findings left open, the entry.

    A preview shows no ledger head: the head it would have is on no ledger.
    """
    if recorded.already:
        return recorded_already("SWAP", recorded)
    blocks = recorded_title("SWAP", "A SWAP", recorded, preview)
    for label, pairs in (("BEFORE", recorded.before), ("AFTER", recorded.after)):
        blocks += [heading(label), changes(pairs)]
    if recorded.due:
        blocks += [
            heading("WHAT FALLS DUE AFTER IT" if not preview else "WHAT WOULD FALL DUE"),
            due_rows_block(recorded.due),
        ]
    else:
        blocks += [heading("DUE"), Paragraph(Text("No requirement rows for the units concerned."))]
    if recorded.overtaken:
        blocks += [
            heading("PLANS THAT THIS OVERTAKES", len(recorded.overtaken)),
            Listing([said(text) for text in recorded.overtaken]),
        ]
    return Report([*blocks, *left_open(recorded, preview)])


def changes(pairs: Sequence[tuple[str, str]]) -> Block:
    """What was, or is, where: one line a pair."""
    if not pairs:
        return Paragraph(Text("nothing"), indent=2)
    return Columns(
        [Column("", whole=True), Column("", floor=30)],
        [Section("", [Row([whole(what), said(text)]) for what, text in pairs])],
    )
