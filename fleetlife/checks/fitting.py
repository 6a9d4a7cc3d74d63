"""May this unit go on this position: every reason, from facts already gathered. Pure; nothing is looked up here.

An answer is not a release. It ends in one of three outcomes, each with every reason and with what was not checked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from fleetlife.checks.cylinders import against_the_test
from fleetlife.checks.fit import stand_in_told
from fleetlife.checks.life import LIFE_LIMIT, UNSALVAGEABLE
from fleetlife.checks.removal import Removal, off_a_donor_not_flying, refitted_without_release
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import PartialDate, day_text
from fleetlife.fit.eligibility import judge_eligibility
from fleetlife.fit.harness import judge_harness
from fleetlife.fit.intermix import judge_intermix
from fleetlife.follows.derive import point_of_row
from fleetlife.follows.receipts import hold_beside_suspicion
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import CertificateLineRow, DuePointRow, UnitStateRow
from fleetlife.ledger.facts import Position
from fleetlife.life.bridging import Kept, Side, bridged_lines, moved_from, programmes_before
from fleetlife.life.expansion import ExpansionTest
from fleetlife.life.fitting import left_if_fitted
from fleetlife.life.values import History, Outlook, Requirement
from fleetlife.terms.finding import Finding
from fleetlife.terms.measure import counted_figure
from fleetlife.terms.number import fold
from fleetlife.terms.published import RULES
from fleetlife.terms.views import LifeLeft, Reason

GOOD, CONDITIONS, NO = (
    "no objection in these records",
    "conditions to meet first",
    "do not fit",
)
AGREEING = ("exact", "formatting")
NOT_APPROVED = ("APP101", "APP102")
NOT_SHOWN = RULES["AMC1 145.A.42(a)(iii)"]
NOT_CHECKED = (
    "the physical condition of the unit and of the door",
    "the reservoir's gauge reading and its temperature",
    "the rig of the harness by eye",
    "directives and modifications that are not loaded here",
    "whether the approved data quoted is the current revision",
)
CAUTIONS = (
    "Follow the current approved maintenance data and local rules; certifying staff decide. This is not a release.",
    "Stored gas: an armed or charged unit can inflate with great force. Pressurised cylinder. "
    "Heavy lift at an open door.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """Everything the question needs. `tree` are the unit and what it holds; `mates` the other units of the pair.

    `due_points` hold those of every programme that may have a say; `kept`: the stays of each unit on airframes.
    `counter_views`: the outlooks of counters on the airframe asked about and on those that carry the units now.
    `papers`: what is found of the papers of the tree by their forms, by who signed them, and by what they say was run.
    `without`: the modifications that the unit was looked at for and found without; `modifications` are those in it.
    `removals`: the last removal of each unit of the tree; `deferrals`: what is deferred at the position, as entered;
    `deployed`: by unit the day on which it last deployed.
    `publications`: what directives and bulletins ask of the tree and is not met, or cannot be told, on the day.
    """

    airframe: int
    registration: str
    position: Position
    on: int
    unit: UnitStateRow
    tree: Mapping[int, UnitStateRow]
    due_points: Mapping[int, Sequence[DuePointRow]]
    modifications: tuple[str, ...]
    manufactured: Mapping[int, PartialDate | None]
    lines: Mapping[int, Sequence[CertificateLineRow]]
    occupant: UnitStateRow | None
    tests: Mapping[int, Sequence[tuple[str, ExpansionTest]]] = field(default_factory=dict)
    mates: Sequence[tuple[str, UnitStateRow]] = ()
    views: Mapping[int, Outlook] = field(default_factory=dict)
    counter_views: Mapping[tuple[int, str], Outlook] = field(default_factory=dict)
    reading_age: int | None = None
    stale_after: int = 14
    being_removed: bool = True
    kept: Mapping[int, Sequence[Kept]] = field(default_factory=dict)
    papers: Sequence[Finding] = ()
    publications: Sequence[Finding] = ()
    without: tuple[str, ...] = ()
    removals: Mapping[int, Removal] = field(default_factory=dict)
    deferrals: Sequence[str] = ()
    deployed: Mapping[int, int] = field(default_factory=dict)


def outcome_of(reasons: Sequence[Reason]) -> str:
    """The worst reason decides."""
    verdicts = {reason.verdict for reason in reasons}
    if "stop" in verdicts:
        return NO
    return CONDITIONS if "condition" in verdicts else GOOD


def judge_fitting(fitting: Fitting, reference: Reference) -> tuple[tuple[Reason, ...], tuple[LifeLeft, ...]]:
    """Every reason, clear ones included, in the order in which an engineer would ask; and the life left."""
    life, life_reasons = _life(fitting, reference)
    reasons = (
        *_place(fitting),
        *_eligibility(fitting, reference),
        *_condition(fitting),
        *_release(fitting),
        *_donors(fitting),
        *_deployed(fitting),
        *_agreement(fitting),
        *_papers(fitting),
        *life_reasons,
        *_tests(fitting),
        *_programmes(fitting, reference),
        *_publications(fitting),
        *_assembly(fitting, reference),
        *_harness(fitting, reference),
        *_pair(fitting, reference),
        *_retained(fitting),
        *_deferred(fitting),
        *_readings(fitting),
    )
    return reasons, life


def _name(unit: UnitStateRow) -> str:
    return f"{unit.part_number} {unit.serial_number}"


def _whose(fitting: Fitting, unit: UnitStateRow) -> str:
    """What is said of the unit asked about is said plainly, of one that it holds with its name in front."""
    return "" if unit.unit_id == fitting.unit.unit_id else f"{_name(unit)} in it: "


def _place(fitting: Fitting) -> list[Reason]:
    unit = fitting.unit
    since = day_text(day_of(unit.since_moment))
    if unit.kind == "position":
        here = unit.airframe_id == fitting.airframe and unit.position == fitting.position.position
        where = "this position" if here else f"position {unit.position} of another airframe or door"
        return [
            Reason(
                topic="place",
                verdict="stop",
                code="FIT108",
                text=f"The records have it installed at {where} since {since}: one unit cannot be in two places.",
            )
        ]
    if unit.kind == "slot":
        return [Reason(topic="place", verdict="stop", code="FIT108", text=f"It is in slot {unit.slot} of an assembly.")]
    if unit.kind == "unknown":
        return [
            Reason(
                topic="place",
                verdict="stop",
                code="FIT106",
                text=f"Where it is has not been known since {since}: find it, and record where, before it is fitted.",
            )
        ]
    if unit.kind == "scrap":
        return [Reason(topic="place", verdict="stop", code="FIT108", text=f"It was scrapped on {since}.")]
    text = f"It is at {unit.kind}{' ' + unit.place_name if unit.place_name else ''} since {since}."
    if unit.kind in ("shop", "loan"):
        return [Reason(topic="place", verdict="condition", code="FIT108", text=text + " Record its return first.")]
    reasons = [Reason(topic="place", verdict="clear", text=text)]
    if fitting.occupant is None:
        reasons.append(Reason(topic="place", verdict="clear", text="The position is empty in these records."))
    elif fitting.being_removed:
        reasons.append(Reason(topic="place", verdict="note", text=f"To come off: {_name(fitting.occupant)}."))
    else:
        text = f"{_name(fitting.occupant)} is there in these records and is not to come off."
        reasons.append(Reason(topic="place", verdict="stop", text=text))
    return reasons


def _eligibility(fitting: Fitting, reference: Reference) -> list[Reason]:
    frame = reference.airframes[fitting.airframe]
    answer = judge_eligibility(
        part_number=fitting.unit.part_number,
        serial_number=fitting.unit.serial_number,
        unit_modifications=fitting.modifications,
        unit_without=fitting.without,
        type=frame.type,
        position=fitting.position.position,
        airframe_serial=frame.constructor_serial,
        airframe_modifications=reference.modifications.get(fitting.airframe),
        rows=reference.eligibility.get((fold(frame.type), fitting.position.position), []),
        alternates=reference.alternates,
        on=fitting.on,
    )
    verdict = {"eligible": "clear", "conditional": "condition", "unknown": "condition", "not-eligible": "stop"}
    text = " ".join(answer.reasons)
    if answer.reference and answer.reference not in text:
        text += f" Reference: {answer.reference}."
    code = None if answer.outcome == "eligible" else "FIT101"
    reasons = [Reason(topic="eligibility", verdict=verdict[answer.outcome], text=text, code=code)]
    told = None if answer.outcome == "not-eligible" else stand_in_told(answer, reference)
    if told is not None:
        says = f"It stands in by the row {told}, which names no reference."
        reasons.append(Reason(topic="eligibility", verdict="condition", code="FIT110", text=says))
    return reasons


def _condition(fitting: Fitting) -> list[Reason]:
    reasons = []
    for unit in fitting.tree.values():
        who = _whose(fitting, unit)
        own = unit.unit_id == fitting.unit.unit_id
        if unit.suspected:
            text = f"{who}Suspected unapproved part: {unit.suspected}."
            reasons.append(Reason(topic="condition", verdict="stop", code="RCP102", text=text))
        hold = hold_beside_suspicion(unit)
        if hold:
            reasons.append(Reason(topic="condition", verdict="stop", code="FIT107", text=f"{who}On hold: {hold}."))
        if unit.condition == "unsalvageable":
            reasons.append(Reason(topic="condition", verdict="stop", code="FIT109", text=f"{who}Unsalvageable."))
        elif unit.condition == "unserviceable":
            reasons.append(
                Reason(topic="condition", verdict="stop", code="FIT109", text=f"{who}Unserviceable in these records.")
            )
        elif unit.condition == "unknown" and own:
            reasons.append(
                Reason(
                    topic="condition",
                    verdict="condition",
                    code="FIT109",
                    text="Its condition is not recorded: show that it is serviceable.",
                )
            )
        elif own:
            text = "Serviceable in these records." if unit.hold else "Serviceable, and not on hold."
            reasons.append(Reason(topic="condition", verdict="clear", text=text))
    return reasons


def _release(fitting: Fitting) -> list[Reason]:
    unit = fitting.unit
    if unit.released_on is None:
        return [
            Reason(
                topic="release",
                verdict="stop",
                code="PAP103",
                text="No release certificate is filed against it.",
            )
        ]
    released = f"{unit.release_status} of {day_text(unit.released_on)}, certificate {unit.release_certificate}"
    removal = fitting.removals.get(unit.unit_id)
    judged = None if removal is None else refitted_without_release(removal)
    if removal is None or judged is None:
        return [Reason(topic="release", verdict="clear", text=f"Released: {released}.")]
    why = f" for {removal.kind.replace('_', ' ')}" if removal.kind else ""
    off = f"Removed on {day_text(removal.removed_on)}{why} and not released since; the last release is {released}."
    told = f"{off} {judged.text}".strip()
    if judged.verdict == "note":
        told += " Whether it may go back so is for certifying staff."
    return [Reason(topic="release", verdict=judged.verdict, code="PAP104", text=told)]


def _donors(fitting: Fitting) -> list[Reason]:
    """What the airframes that it and what it holds came off were doing, with no release since."""
    reasons = []
    for unit_id, removal in fitting.removals.items():
        judged = off_a_donor_not_flying(removal)
        unit = fitting.tree.get(unit_id)
        if judged is None or unit is None:
            continue
        who = _whose(fitting, unit)
        reasons.append(Reason(topic="release", verdict=judged.verdict, code="MOV101", text=f"{who}{judged.text}"))
    return reasons


def _deployed(fitting: Fitting) -> list[Reason]:
    """That it, or what it holds, has deployed since its last release."""
    reasons = []
    for unit_id, on in fitting.deployed.items():
        unit = fitting.tree[unit_id]
        if unit.released_on is None or unit.released_on < on:
            who = _whose(fitting, unit)
            text = f"{who}Deployed on {day_text(on)} and not released since: unserviceable."
            reasons.append(Reason(topic="release", verdict="stop", code="MOV104", text=text))
    return reasons


def _agreement(fitting: Fitting) -> list[Reason]:
    reasons = []
    own = False
    for unit_id, unit in fitting.tree.items():
        for line in fitting.lines.get(unit_id, ()):
            who = _whose(fitting, unit)
            current = line.dated_on == unit.released_on
            if line.part_verdict not in AGREEING:
                alternate = line.part_verdict == "alternate"
                reasons.append(
                    Reason(
                        topic="paper",
                        verdict="stop" if current and not alternate else "condition",
                        code="PAP101",
                        text=f"{who}Certificate {line.tracking_number} says part {line.part_number}; the unit is "
                        f"{line.expected_part_number} ({line.part_verdict}).",
                    )
                )
            if line.serial_verdict not in AGREEING:
                reasons.append(
                    Reason(
                        topic="paper",
                        verdict="stop" if current else "condition",
                        code="PAP102",
                        text=f"{who}Certificate {line.tracking_number} says serial {line.serial_number}; the unit is "
                        f"{line.expected_serial_number} ({line.serial_verdict}).",
                    )
                )
            own = own or unit_id == fitting.unit.unit_id
    if own and not reasons:
        reasons.append(
            Reason(
                topic="paper",
                verdict="clear",
                text="Part and serial number agree with every certificate filed against it.",
            )
        )
    return reasons


def _papers(fitting: Fitting) -> list[Reason]:
    """What is wrong with the releases that the fitting would rest on: who was not approved released nothing."""
    reasons = []
    for found in fitting.papers:
        unit = fitting.tree.get(found.unit or 0)
        if unit is None or found.certificate != unit.release_certificate:
            continue
        who = _whose(fitting, unit)
        verdict = "stop" if found.code in NOT_APPROVED else "note" if found.severity == "note" else "condition"
        reasons.append(Reason(topic="paper", verdict=verdict, code=found.code, text=f"{who}{found.message}"))
    return reasons


def _publications(fitting: Fitting) -> list[Reason]:
    """A directive past its limit stops; what is past otherwise, and what cannot be told, is a condition."""
    reasons = []
    for found in fitting.publications:
        unit = fitting.tree.get(found.unit or 0)
        if unit is None:
            continue
        who = _whose(fitting, unit)
        verdict = "stop" if found.severity == "stop" else "condition"
        reasons.append(Reason(topic="directives", verdict=verdict, code=found.code, text=f"{who}{found.message}"))
    return reasons


def _life(fitting: Fitting, reference: Reference) -> tuple[tuple[LifeLeft, ...], list[Reason]]:
    rules = reference.book().by_key
    programme = reference.airframes[fitting.airframe].programme or None
    life: list[LifeLeft] = []
    reasons: list[Reason] = []
    for unit_id, unit in fitting.tree.items():
        reasons.extend(_rebuilt(unit))
        mine = _of_programme(_in_force(fitting, unit_id), rules, programme)
        if not mine:
            reasons.append(
                Reason(
                    topic="life",
                    verdict="stop",
                    code="LIF103",
                    text=f"{_name(unit)}: no programme. No requirement is in force for this part number"
                    f"{f' under programme {programme}' if programme else ''}.",
                )
            )
            continue
        for point in mine:
            rule = rules[point.requirement_key]
            view = fitting.views.get(point.airframe_id) if point.airframe_id is not None else None
            left = left_if_fitted(
                rule,
                _made(fitting, unit_id),
                point_of_row(point, rule),
                on=fitting.on,
                outlook=view,
                counter_outlook=fitting.counter_views.get((point.airframe_id or 0, rule.counter or "")),
            )
            axis = rule.counter_axis
            life.append(
                LifeLeft(
                    part_number=unit.part_number,
                    serial_number=unit.serial_number,
                    requirement=rule.requirement,
                    kind=rule.kind,
                    state=left.state,
                    due_if_fitted=day_text(left.calendar_due),
                    hours_left=None if axis == "hours" else left.minutes_left,
                    cycles_left=None if axis == "cycles" else left.cycles_left,
                    operations_left=left.operations_left,
                    text=left.reason,
                    counter=rule.counter,
                    counter_left=counted_figure(axis, left.minutes_left if axis == "hours" else left.cycles_left),
                )
            )
            reasons.append(_life_reason(unit, rule, left.state, left.reason, bool(left.unknown), left.stops))
    return tuple(life), [*reasons, *_counter_readings(fitting, sorted({left.counter for left in life if left.counter}))]


def _counter_readings(fitting: Fitting, counters: Iterable[str]) -> Iterator[Reason]:
    """Whether the airframe asked about reads the counters in which something is limited."""
    for counter in counters:
        view = fitting.counter_views.get((fitting.airframe, counter))
        if view is None or view.base_day is None:
            text = f"There is no reading of {counter} on this airframe: from the fitting on nothing in it can be dated."
            yield Reason(topic="readings", verdict="condition", code="LIF105", text=text)
        elif fitting.on - view.base_day > fitting.stale_after:
            text = f"The airframe's last reading of {counter} is {fitting.on - view.base_day} days old."
            yield Reason(topic="readings", verdict="note", code="LIF105", text=text)


def _tests(fitting: Fitting) -> list[Reason]:
    """What the expansion tests of its cylinders say against it."""
    return [
        reason
        for unit_id, unit in fitting.tree.items()
        for reason in against_the_test(_name(unit), fitting.tests.get(unit_id, ()), topic="life")
    ]


def _programmes(fitting: Fitting, reference: Reference) -> list[Reason]:
    """What another programme than this airframe's, under which the units were kept, says of their requirements."""
    rules = reference.book().by_key
    programme = reference.airframes[fitting.airframe].programme or None
    reasons = []
    for unit_id, unit in fitting.tree.items():
        kept = fitting.kept.get(unit_id, ())
        if moved_from(kept, programme) is None:
            continue
        now = _sides(fitting, unit_id, rules, programme)
        lines = bridged_lines(
            kept,
            programme,
            now=now,
            before={each: _sides(fitting, unit_id, rules, each) for each in programmes_before(kept, programme, now)},
            part_number=unit.part_number,
            serial_number=unit.serial_number,
        )
        for line in lines:
            left = f"was kept under {line.kept_under} until {line.kept_until}"
            if line.kept_until is None:
                left = f"is kept under {line.kept_under}"
            text = f"{_name(unit)} {left}; this airframe is under {line.now_under}. If fitted: {line.text}"
            reasons.append(Reason(topic="life", verdict="condition", code="LIF109", text=text))
    return reasons


def _sides(fitting: Fitting, unit_id: int, rules: Mapping[int, Requirement], programme: str | None) -> dict[str, Side]:
    """The requirements of a programme on the unit with what they would say if it were fitted on the day."""
    found = {}
    for row in _of_programme(_in_force(fitting, unit_id), rules, programme):
        rule = rules[row.requirement_key]
        point = point_of_row(row, rule)
        view = fitting.views.get(row.airframe_id) if row.airframe_id is not None else None
        counted = fitting.counter_views.get((row.airframe_id or 0, rule.counter or ""))
        made = _made(fitting, unit_id)
        left = left_if_fitted(rule, made, point, on=fitting.on, outlook=view, counter_outlook=counted)
        found[rule.requirement] = Side(
            rule=rule,
            point=point,
            state=left.state,
            due=left.calendar_due,
            minutes=left.minutes_left,
            cycles=left.cycles_left,
            unknown=left.unknown,
            carried=False,
        )
    return found


def _in_force(fitting: Fitting, unit_id: int) -> list[DuePointRow]:
    points = fitting.due_points.get(unit_id, ())
    return [point for point in points if point.in_force_from <= fitting.on < point.in_force_until]


def _made(fitting: Fitting, unit_id: int) -> History:
    """What the question of life needs of the history: when the unit was made."""
    return History(unit_id=unit_id, as_of=0, manufactured=fitting.manufactured.get(unit_id))


def _of_programme(
    points: Sequence[DuePointRow], rules: Mapping[int, Requirement], programme: str | None
) -> list[DuePointRow]:
    """The points that will apply on this airframe: its programme's own, and general ones of other names."""
    known = [point for point in points if point.requirement_key in rules]
    special = {
        rules[p.requirement_key].requirement
        for p in known
        if programme and rules[p.requirement_key].programme == programme
    }
    return [
        p
        for p in known
        if rules[p.requirement_key].programme == programme
        or (not rules[p.requirement_key].programme and rules[p.requirement_key].requirement not in special)
    ]


def _rebuilt(unit: UnitStateRow) -> Iterator[Reason]:
    """That the life before these records is rebuilt or estimated: every count of the unit leans on it."""
    if unit.life_quality not in (None, "documented"):
        text = f"{_name(unit)}: its life before these records is {unit.life_quality}, and every count leans on that."
        yield Reason(topic="life", verdict="note", text=text)


def _life_reason(
    unit: UnitStateRow, rule: Requirement, state: str, text: str, partly_unknown: bool, stops: bool
) -> Reason:
    told = f"{_name(unit)} {rule.requirement}: {text}"
    if state == "overdue":
        return Reason(topic="life", verdict="stop" if stops else "note", code="LIF101", text=told)
    if rule.kind == LIFE_LIMIT and (state == "unknown" or partly_unknown):
        text = f"{told} Its life cannot be shown: {UNSALVAGEABLE}, by {NOT_SHOWN.named}."
        return Reason(topic="life", verdict="stop", code="LIF110", text=text)
    if state == "unknown":
        return Reason(topic="life", verdict="stop", code="LIF102", text=told)
    if partly_unknown:
        return Reason(topic="life", verdict="condition", code="LIF102", text=told)
    return Reason(topic="life", verdict="clear", text=told)


def _assembly(fitting: Fitting, reference: Reference) -> list[Reason]:
    reasons = []
    for unit in fitting.tree.values():
        slots = reference.slots.get(fold(unit.part_number), [])
        held = {child.slot: child for child in fitting.tree.values() if child.parent_id == unit.unit_id}
        allowed: dict[str, list[str]] = {}
        for row in slots:
            allowed.setdefault(row.slot, []).append(row.child_part_number)
        for slot in sorted({row.slot for row in slots if row.required}):
            if slot not in held:
                reasons.append(
                    Reason(
                        topic="assembly",
                        verdict="stop",
                        code="FIT105",
                        text=f"{_name(unit)}: slot {slot} is empty in these records; it takes "
                        f"{' or '.join(allowed[slot])}.",
                    )
                )
        for held_slot, child in held.items():
            numbers = allowed.get(held_slot or "", [])
            if slots and fold(child.part_number) not in {fold(number) for number in numbers}:
                reasons.append(
                    Reason(
                        topic="assembly",
                        verdict="stop",
                        code="FIT105",
                        text=f"{_name(child)} is in slot {held_slot}, which takes "
                        f"{' or '.join(numbers) or 'nothing known'}.",
                    )
                )
    if not reasons and len(fitting.tree) > 1:
        names = ", ".join(_name(u) for u in fitting.tree.values() if u.unit_id != fitting.unit.unit_id)
        reasons.append(Reason(topic="assembly", verdict="clear", text=f"The assembly is complete: {names}."))
    return reasons


def _harness(fitting: Fitting, reference: Reference) -> list[Reason]:
    part = reference.part(fitting.unit.part_number, fitting.unit.manufacturer)
    if fitting.position.harness is None and (part is None or part.rig in (None, "none")):
        return []
    answer = judge_harness(
        rig=part.rig if part else None, harness=fitting.unit.harness, position_harness=fitting.position.harness
    )
    verdict = {"fine": "clear", "condition": "condition", "stop": "stop"}[answer.outcome]
    code = None if verdict == "clear" else "FIT102"
    return [Reason(topic="harness", verdict=verdict, text=" ".join(answer.reasons), code=code)]


def _pair(fitting: Fitting, reference: Reference) -> list[Reason]:
    part = reference.part(fitting.unit.part_number, fitting.unit.manufacturer)
    reasons = []
    for position, mate in fitting.mates:
        other = reference.part(mate.part_number, mate.manufacturer)
        answer = judge_intermix(
            part_number=fitting.unit.part_number,
            family=part.intermix_family if part else None,
            other_part_number=mate.part_number,
            other_family=other.intermix_family if other else None,
            rows=reference.intermix,
        )
        verdict = {"fine": "clear", "note": "note", "stop": "stop"}[answer.outcome]
        code = None if verdict == "clear" else "FIT103"
        reasons.append(
            Reason(topic="pair", verdict=verdict, text=f"With {position}: {' '.join(answer.reasons)}", code=code)
        )
    return reasons


def _retained(fitting: Fitting) -> list[Reason]:
    if not fitting.position.retained:
        return []
    return [
        Reason(
            topic="retained",
            verdict="note",
            text=f"Stays with the aircraft: {fitting.position.retained}. "
            "It must not leave with the unit that comes off.",
        )
    ]


def _deferred(fitting: Fitting) -> list[Reason]:
    """What is carried at the position under a deferral, as entered."""
    return [
        Reason(
            topic="deferral",
            verdict="note",
            text=f"Deferred there, as entered: {told}. A fitting closes it for nobody: fleetlife deferral close.",
        )
        for told in fitting.deferrals
    ]


def _readings(fitting: Fitting) -> list[Reason]:
    if fitting.reading_age is None:
        return [
            Reason(
                topic="readings",
                verdict="condition",
                code="LIF105",
                text="There is no reading of this airframe: nothing in hours or cycles can be dated.",
            )
        ]
    if fitting.reading_age > fitting.stale_after:
        return [
            Reason(
                topic="readings",
                verdict="note",
                code="LIF105",
                text=f"The airframe's last reading is {fitting.reading_age} days old.",
            )
        ]
    return []
