"""May a part be installed at a position of this airframe: by its own rows, else by what it may stand in for.

A part with no row is not eligible. A modification is embodied from the day recorded for it; where nothing is
recorded its status is unknown, never "not embodied", so a row that depends on it answers unknown. A unit is without one
where somebody looked and recorded that.

A replacement by an alternate that the design approval holder publishes as fully interchangeable is no modification
(AMC M.A.305(c)2(d)). Interchangeability is directed: one direction stated says nothing about the other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from fleetlife.dates.partial import day_number
from fleetlife.fit.standing_in import StandIn, near_misses, stand_ins
from fleetlife.ledger.facts import Alternate, Eligibility
from fleetlife.terms.filling import filled
from fleetlife.terms.number import fold, position_label, serial_in_range

Outcome = Literal["eligible", "conditional", "unknown", "not-eligible"]

_BEST_FIRST: tuple[Outcome, ...] = ("eligible", "conditional", "unknown", "not-eligible")


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class EligibilityAnswer:
    """`reasons` are complete sentences. `row` is the row that decided, None when there is none.

    `via` is the chain from the part itself to the part the row names, empty when the row names the part itself.
    `conditions` are the texts to be met first, as stated; `reference` is the row's. `unknown_modifications` are those
    whose status has to be found out.
    """

    outcome: Outcome
    reasons: tuple[str, ...]
    row: Eligibility | None = None
    reference: str | None = None
    via: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    unknown_modifications: tuple[str, ...] = ()


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """The question, its texts folded once."""

    part_number: str
    unit: str
    unit_modifications: frozenset[str]
    unit_without: frozenset[str]
    type: str
    position: str
    airframe_serial: str
    airframe_modifications: Mapping[str, int] | None
    on: int


def judge_eligibility(
    *,
    part_number: str,
    serial_number: str,
    unit_modifications: Collection[str],
    type: str,
    position: str,
    airframe_serial: str,
    airframe_modifications: Mapping[str, int] | None,
    rows: Sequence[Eligibility],
    alternates: Sequence[Alternate] = (),
    unit_without: Collection[str] = (),
    on: int,
) -> EligibilityAnswer:
    """May the unit be installed at `position` of an airframe of `type` on day `on` (a day number).

    `airframe_modifications` are the modifications recorded as embodied, each with its day; None when nobody has
    stated any. `unit_modifications` are those recorded on the unit, `unit_without` those it was looked at for and found
    without; one that is in both is in the unit. `airframe_serial` is the constructor's serial number, which the rows'
    ranges are about.

    Rows that name the part itself decide, whatever they say: an alternate never opens what the part's own
    effectivity closes. Without such a row the part may go where a part it stands in for is eligible. A chain of
    supersession ends at the first part that has rows here, for the same reason: what may not be fitted itself opens
    nothing for what came after it. The best of several rows decides: eligible, conditional, unknown, not-eligible.
    """
    asked = _Asked(
        part_number=part_number,
        unit=f"{part_number} {serial_number}".strip(),
        unit_modifications=frozenset(fold(name) for name in unit_modifications),
        unit_without=frozenset(fold(name) for name in unit_without),
        type=type,
        position=position_label(position),
        airframe_serial=airframe_serial,
        airframe_modifications=(
            None
            if airframe_modifications is None
            else {fold(name): day for name, day in airframe_modifications.items()}
        ),
        on=on,
    )
    here = [row for row in rows if fold(row.type) == fold(type) and position_label(row.position) == asked.position]
    own = [row for row in here if fold(row.part_number) == fold(part_number)]
    if own:
        return _best([_judge_row(asked, row, None) for row in own])
    places = {fold(row.part_number) for row in here}
    through = [
        _judge_row(asked, row, stand_in)
        for stand_in in stand_ins(part_number, alternates, ends=places)
        if fold(stand_in.part_number) in places
        for row in here
        if fold(row.part_number) == fold(stand_in.part_number)
    ]
    if through:
        return _best(through)
    return _no_row(asked, here, alternates)


def _best(answers: Sequence[EligibilityAnswer]) -> EligibilityAnswer:
    """The best answer; when every row says no, the reasons of all of them."""
    best = min(answers, key=lambda answer: _BEST_FIRST.index(answer.outcome))
    if best.outcome in ("eligible", "conditional") or len(answers) == 1:
        return best
    same = [answer for answer in answers if answer.outcome == best.outcome]
    return EligibilityAnswer(
        outcome=best.outcome,
        reasons=tuple(dict.fromkeys(reason for answer in same for reason in answer.reasons)),
        row=best.row,
        reference=best.reference,
        via=best.via,
        conditions=best.conditions,
        unknown_modifications=tuple(dict.fromkeys(name for answer in same for name in answer.unknown_modifications)),
    )


def _judge_row(asked: _Asked, row: Eligibility, stand_in: StandIn | None) -> EligibilityAnswer:
    """One row, for the part itself or for a part it stands in for."""
    closed = [reason for reason in (_outside_range(asked, row), _not_in_force(asked, row)) if reason]
    open_questions: list[str] = []
    unknown: list[str] = []
    for check in (_airframe_modifications, _unit_modifications):
        against, questions, names = check(asked, row)
        closed += against
        open_questions += questions
        unknown += names
    how = list(stand_in.reasons) if stand_in else []
    conditions = [f"Condition: {text}." for text in stand_in.conditions] if stand_in else []
    outcome: Outcome
    if closed:
        outcome, reasons, unknown = "not-eligible", how + closed, []
    elif open_questions:
        outcome, reasons = "unknown", how + open_questions + conditions
    elif stand_in and stand_in.conditions:
        outcome, reasons = "conditional", [*how, _allows(asked, row, stand_in), *conditions]
    else:
        outcome, reasons = "eligible", [*how, _allows(asked, row, stand_in)]
    return EligibilityAnswer(
        outcome=outcome,
        reasons=tuple(reasons),
        row=row,
        reference=row.reference,
        via=stand_in.chain if stand_in else (),
        conditions=stand_in.conditions if stand_in and outcome != "not-eligible" else (),
        unknown_modifications=tuple(unknown),
    )


def _allows(asked: _Asked, row: Eligibility, stand_in: StandIn | None) -> str:
    where = f"at {asked.position} of {asked.type} {asked.airframe_serial}"
    source = f", by {row.reference}" if row.reference else ", without a reference"
    if stand_in:
        return f"{row.part_number} may be installed {where}{source}, and {asked.unit} may stand in for it."
    return f"{asked.unit} may be installed {where}{source}."


def _outside_range(asked: _Asked, row: Eligibility) -> str | None:
    if serial_in_range(asked.airframe_serial, row.serial_from, row.serial_to):
        return None
    if row.serial_from and row.serial_to:
        stated = f"from {row.serial_from} to {row.serial_to}"
    else:
        stated = f"from {row.serial_from}" if row.serial_from else f"up to {row.serial_to}"
    return (
        f"{row.part_number} at {asked.position} is for constructor's serials {stated}; "
        f"this airframe is {asked.airframe_serial}."
    )


def _not_in_force(asked: _Asked, row: Eligibility) -> str | None:
    if row.effective_from is None or day_number(row.effective_from) <= asked.on:
        return None
    return f"{row.part_number} is eligible at {asked.position} only from {row.effective_from} on."


def _airframe_modifications(asked: _Asked, row: Eligibility) -> tuple[list[str], list[str], list[str]]:
    """Sentences that close the row, sentences that leave it open, and the modifications to find out about."""
    against: list[str] = []
    questions: list[str] = []
    unknown: list[str] = []
    recorded = asked.airframe_modifications
    for name in modification_names(row.requires_modification):
        day = None if recorded is None else recorded.get(fold(name))
        if day is None:
            unknown.append(name)
            questions.append(
                f"{row.part_number} needs modification {name} on the airframe; whether {asked.airframe_serial} "
                "has it is not recorded."
            )
        elif day > asked.on:
            against.append(
                f"{row.part_number} needs modification {name} on the airframe; {asked.airframe_serial} has it only "
                "from a later day."
            )
    for name in modification_names(row.excludes_modification):
        day = None if recorded is None else recorded.get(fold(name))
        if day is None:
            unknown.append(name)
            questions.append(
                f"{row.part_number} is not for airframes with modification {name}; whether {asked.airframe_serial} "
                "has it is not recorded."
            )
        elif day <= asked.on:
            against.append(
                f"{row.part_number} is not for airframes with modification {name}, which {asked.airframe_serial} has."
            )
    return against, questions, unknown


def _unit_modifications(asked: _Asked, row: Eligibility) -> tuple[list[str], list[str], list[str]]:
    """The same for the unit: what is not recorded on it is unknown, unless it was found without it."""
    against: list[str] = []
    questions: list[str] = []
    unknown: list[str] = []
    for name in modification_names(row.requires_unit_modification):
        if fold(name) in asked.unit_modifications:
            continue
        needs = f"{row.part_number} is eligible at {asked.position} with modification {name} in the unit; "
        if fold(name) in asked.unit_without:
            against.append(f"{needs}{asked.unit} was found without it.")
        else:
            unknown.append(name)
            questions.append(f"{needs}none is recorded on {asked.unit}.")
    for name in modification_names(row.excludes_unit_modification):
        bars = f"{row.part_number} is not eligible at {asked.position} with modification {name}"
        if fold(name) in asked.unit_modifications:
            against.append(f"{bars}, which {asked.unit} has.")
        elif fold(name) not in asked.unit_without:
            unknown.append(name)
            questions.append(f"{bars}; whether {asked.unit} has it is not recorded.")
    return against, questions, unknown


def depends_on_unit(rows: Iterable[Eligibility]) -> bool:
    """Whether any of the rows asks for what is in the unit."""
    return any(row.requires_unit_modification or row.excludes_unit_modification for row in rows)


def modification_names(text: str | None) -> tuple[str, ...]:
    """The modifications a cell names, divided by semicolons: a row may need, or exclude, several."""
    return tuple(name.strip() for name in (text or "").split(";") if name.strip())


def _no_row(asked: _Asked, here: Sequence[Eligibility], alternates: Sequence[Alternate]) -> EligibilityAnswer:
    """No row for the part or for anything it stands in for: not eligible, and what comes near."""
    reasons = [f"No row makes {asked.part_number} eligible at {asked.position} of {asked.type}."]
    listed = {fold(row.part_number): row.part_number for row in here}
    reasons += near_misses(asked.part_number, listed, alternates)
    return EligibilityAnswer(outcome="not-eligible", reasons=tuple(reasons))
