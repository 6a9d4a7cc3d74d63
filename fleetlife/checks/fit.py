"""Fit: what hangs where it may not, on the wrong side, beside the wrong mate, incomplete, nowhere, on hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import AssemblyRow, DoorRow, Placed
from fleetlife.dates.partial import day_text
from fleetlife.fit.eligibility import EligibilityAnswer, judge_eligibility
from fleetlife.fit.harness import judge_harness
from fleetlife.fit.intermix import judge_intermix
from fleetlife.fit.standing_in import without_reference
from fleetlife.follows.deferrals import EXPIRED, OPEN
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Intermix, Slot
from fleetlife.terms.finding import Finding, Severity
from fleetlife.terms.number import fold
from fleetlife.terms.words import HARNESS_SIDES

_ELIGIBILITY_SEVERITY: dict[str, Severity] = {"not-eligible": "stop", "unknown": "rectify", "conditional": "note"}


@check(
    "FIT101",
    "not-eligible",
    "stop",
    rules=("M.A.501(b)",),
)
def not_eligible(
    doors: Iterable[DoorRow],
    *,
    reference: Reference,
    unit_modifications: Mapping[int, Sequence[str]],
    unit_without: Mapping[int, Sequence[str]],
    on: int,
) -> Iterator[Finding]:
    """A unit hangs at a position for which its part is not eligible, or for which that cannot be shown.

    Why it matters: a part that the data does not name for this place is not approved there, whatever its paper says.
    No row means not eligible.

    Severity: stop where it is not eligible; rectify where it depends on a modification whose embodiment is not
    recorded, since unknown is not "not embodied" (a unit that was looked at and found without it is not eligible); a
    note where it stands in under conditions, which are named.

    Triggers: SL-100-3 on L1 of a type whose rows for L1 name SL-100-1 alone; a row for constructor's serials 100 to
    150 and an airframe with serial 171.

    Does not: a row for this part, type and position under whose effectivity the airframe falls; a part that
    supersedes the one in the row.

    What to do: look in the approved parts data. If it names the part, take the row in with
    `fleetlife import eligibility.csv`; if not, remove the unit. `fleetlife swap check` gives every reason.

    What it cannot see: whether the rows taken in are the current revision.
    """
    for door, unit, answer in _answers(doors, reference, unit_modifications, unit_without, on):
        frame, position = door.frame, door.position.position
        severity = _ELIGIBILITY_SEVERITY.get(answer.outcome)
        if severity is None:
            continue
        yield finding(
            "FIT101",
            regards=regards(door.where),
            severity=severity,
            message=" ".join(answer.reasons),
            hint=f"Look in the approved parts data; fleetlife swap check {door.registration} {position} "
            f"{unit.state.part_number} {unit.state.serial_number}",
            expected=f"a part eligible at {position} of type {frame.type}",
            found=unit.state.part_number,
            evidence=(
                Evidence(source="the unit in these records", says=unit.name, entry=unit.since_entry),
                Evidence(source="eligibility rows", says=answer.reference or answer.outcome),
            ),
            **door.address(),
        )


def _answers(
    doors: Iterable[DoorRow],
    reference: Reference,
    unit_modifications: Mapping[int, Sequence[str]],
    unit_without: Mapping[int, Sequence[str]],
    on: int,
) -> Iterator[tuple[DoorRow, Placed, EligibilityAnswer]]:
    """Of each door with a unit, whether the unit may be there."""
    for door in doors:
        unit = door.occupant
        if unit is None:
            continue
        frame, position = door.frame, door.position.position
        yield (
            door,
            unit,
            judge_eligibility(
                part_number=unit.state.part_number,
                serial_number=unit.state.serial_number,
                unit_modifications=unit_modifications.get(unit.state.unit_id, ()),
                unit_without=unit_without.get(unit.state.unit_id, ()),
                type=frame.type,
                position=position,
                airframe_serial=frame.constructor_serial,
                airframe_modifications=reference.modifications.get(frame.airframe),
                rows=reference.eligibility.get((fold(frame.type), position), []),
                alternates=reference.alternates,
                on=on,
            ),
        )


def stand_in_told(answer: EligibilityAnswer, reference: Reference) -> str | None:
    """The rows without a reference by which a part stands in; None where it needs none, or each has one."""
    bare = without_reference(answer.via, reference.alternates)
    return " and ".join(f"{row.alternate} for {row.part_number} ({row.direction})" for row in bare) or None


@check("FIT110", "stand-in-without-reference", "rectify", rules=("AMC M.A.305(c)2(d)",))
def stand_in_without_reference(
    doors: Iterable[DoorRow],
    *,
    reference: Reference,
    unit_modifications: Mapping[int, Sequence[str]],
    unit_without: Mapping[int, Sequence[str]],
    on: int,
) -> Iterator[Finding]:
    """A unit hangs where its part stands in for the one that is eligible, and no document is named that says so.

    Why it matters: a fully interchangeable alternate is no modification only where the holder of the design approval
    has published it so. Without the reference nobody can show that.

    Triggers: SL-100-2 at L1, where SL-100-1 is eligible and a row says that the one may replace the other, with no
    reference.

    Does not: the same row with its reference; a part that is eligible itself.

    What to do: find the publication and state it in the row: `fleetlife import alternates.csv --replace`; else remove
    the unit. `fleetlife swap check` gives every reason.

    What it cannot see: whether the document says so.
    """
    for door, unit, answer in _answers(doors, reference, unit_modifications, unit_without, on):
        if answer.outcome == "not-eligible":
            continue
        told = stand_in_told(answer, reference)
        if told is None:
            continue
        position = door.position.position
        yield finding(
            "FIT110",
            regards=regards(door.where),
            message=f"{unit.state.part_number} stands in at {position} by the row {told}, which names no reference.",
            hint=f"State the publication; fleetlife swap check {door.registration} {position} "
            f"{unit.state.part_number} {unit.state.serial_number}",
            expected="a reference",
            found="none",
            evidence=(
                Evidence(source="the unit in these records", says=unit.name, entry=unit.since_entry),
                Evidence(source="alternates", says=told),
            ),
            **door.address(),
        )


@check("FIT102", "harness-other-side", "stop")
def harness_other_side(doors: Iterable[DoorRow]) -> Iterator[Finding]:
    """A unit hangs at a door of one side and is rigged, or made, for the other; or nobody has recorded how.

    Why it matters: the routing of its harness makes a pack a left or a right one. Rigged for the other side, the
    moving door drags the cable across the exit.

    Severity: stop where it is the other side; rectify where the harness of a two-hand unit is not recorded, or what
    is recorded contradicts the part.

    Triggers: a two-hand pack rigged left at R1; a left-hand part at R1; a pack back from a shop with nobody's look
    at its harness recorded.

    Does not: a pack rigged right at R1; a part that has no harness; a position for which no side is stated.

    What to do: look by eye before anything else. Then record what is there: a rig found otherwise is corrected with
    `fleetlife ledger correct`, a pack rigged anew is recorded with `fleetlife swap record`.

    What it cannot see: the harness. It says what somebody saw last.
    """
    for door in doors:
        unit, wanted = door.occupant, door.position.harness
        if unit is None or wanted not in HARNESS_SIDES:
            continue
        rig, harness = door.part.rig if door.part else None, unit.state.harness
        answer = judge_harness(rig=rig, harness=harness, position_harness=wanted)
        if answer.outcome == "fine":
            continue
        by_itself = rig in HARNESS_SIDES or rig == "none"  # what it is does not hang on its harness
        other = answer.outcome == "stop" or (not by_itself and harness in HARNESS_SIDES and harness != wanted)
        yield finding(
            "FIT102",
            regards=regards(door.where),
            severity="stop" if other else "rectify",
            message=f"At {door.position.position}, which asks for a unit rigged {wanted}: "
            f"{' '.join(answer.reasons) if by_itself else _two_handed(harness, rig)}",
            hint=f"Look by eye, then record what is there; {unit.command}",
            expected=wanted,
            found=harness,
            evidence=(
                Evidence(source=f"position {door.position.position}", says=f"harness {wanted}"),
                Evidence(source="the unit in these records", says=f"rigged {harness}", entry=unit.since_entry),
            ),
            **door.address(),
        )


def _two_handed(harness: str, rig: str | None) -> str:
    part = "the part serves either side" if rig == "either" else "whether the part serves either side is not stated"
    if harness in HARNESS_SIDES:
        return f"it is rigged {harness}, and {part}."
    return f"its harness is recorded as {harness}, and {part}."


@check("FIT103", "pair-intermix", "note")
def pair_intermix(pairs: Iterable[tuple[DoorRow, DoorRow]], *, rows: Sequence[Intermix]) -> Iterator[Finding]:
    """The two doors of a pair carry parts that are not known to go together.

    Why it matters: crews train on one behaviour of a pair, and some combinations are forbidden by the data.

    Severity: a note; stop only where a rule forbids the two families and names its reference.

    Triggers: SL-100-1 on L1 and SL-200-1 on R1 with different families and no rule; parts without a stated family.

    Does not: the same part on both doors; one family; a rule that permits the two.

    What to do: look in the data for what the pair may carry, and state it as an intermix rule; or change one of the
    two. `fleetlife airframe REGISTRATION` shows the doors.

    What it cannot see: differences inside a family.
    """
    for one, other in pairs:
        if one.occupant is None or other.occupant is None:
            continue
        answer = judge_intermix(
            part_number=one.occupant.state.part_number,
            family=one.part.intermix_family if one.part else None,
            other_part_number=other.occupant.state.part_number,
            other_family=other.part.intermix_family if other.part else None,
            rows=rows,
        )
        if answer.outcome == "fine":
            continue
        yield finding(
            "FIT103",
            regards=regards(one.where, other.position.position),
            severity="stop" if answer.outcome == "stop" else "note",
            message=f"{one.position.position} and {other.position.position}: {' '.join(answer.reasons)}",
            hint=f"Look in the data for what the pair may carry; fleetlife airframe {one.registration}",
            expected=answer.reference or "parts that go together",
            found=f"{one.occupant.name} and {other.occupant.name}",
            evidence=(
                Evidence(source=one.position.position, says=one.occupant.name, entry=one.occupant.since_entry),
                Evidence(source=other.position.position, says=other.occupant.name, entry=other.occupant.since_entry),
            ),
            **_later_fitted(one, other).address(),
        )


def _later_fitted(one: DoorRow, other: DoorRow) -> DoorRow:
    """The finding is addressed to the unit that came last: it made the pair what it is."""
    assert one.occupant is not None
    assert other.occupant is not None
    return other if other.occupant.state.since_moment > one.occupant.state.since_moment else one


@check("FIT104", "position-empty", "stop")
def position_empty(doors: Iterable[DoorRow], *, as_of: int) -> Iterator[Finding]:
    """A position that must hold a unit holds none in these records.

    Why it matters: an exit without its slide is an exit that may not be used, or the records do not say what is on
    the aeroplane. Whether it may fly so is not for this program to say; a passed maintenance date cannot be deferred
    by taking the unit off.

    Severity: stop; a note on an airframe that is parked or was in an accident, and where a deferral that has not passed
    its expiry as entered covers the position: it is told with the deferral, and stays counted.

    Triggers: L1 is required, its pack was removed yesterday, and nothing was fitted; the same under a deferral that
    expired yesterday.

    Does not: a position that is not required; an airframe that is withdrawn.

    What to do: look at the door. What hangs there is recorded with `fleetlife swap record`, with --found if it has
    hung there unrecorded.

    What it cannot see: the door.
    """
    for door in doors:
        state = door.state or door.frame.status
        if door.occupant is not None or not door.position.required or state == "withdrawn":
            continue
        standing = {"parked": " (the airframe is parked)", "accident": " (the airframe was in an accident)"}
        deferred = [each for each in door.carried if each.standing(as_of) == OPEN]
        lapsed = [each for each in door.carried if each.standing(as_of) == EXPIRED]
        told = "".join(f" {each.told(as_of)}." for each in (*deferred, *lapsed))
        yield finding(
            "FIT104",
            severity="note" if state in standing or deferred else "stop",
            message=f"Position {door.position.position} must hold a unit, and these records hold none there"
            f"{standing.get(state or '', '')}.{told}",
            hint=f"Look at the door and record what hangs there; fleetlife swap record {door.registration} "
            f"{door.position.position}",
            expected="a unit",
            found="none",
            evidence=(
                Evidence(source=f"positions of type {door.frame.type}", says="required"),
                Evidence(source="units in these records", says="none at this position"),
                *(Evidence(source="deferral", says=each.told(as_of), entry=each.entry) for each in door.carried),
            ),
            **door.address(),
        )


@check("FIT105", "child-missing", "stop")
def child_missing(assemblies: Iterable[AssemblyRow], *, slots: Mapping[str, Sequence[Slot]]) -> Iterator[Finding]:
    """A unit lacks what one of its slots must hold, or a slot holds a part it does not take.

    Why it matters: a pack without its reservoir does not inflate; and a child that nobody has recorded has no dates,
    so nothing of it ever falls due.

    Severity: stop on an airframe, rectify in stores.

    Triggers: a pack on L1 whose slot "reservoir" is empty in these records; a reservoir of a part that the slot does
    not name.

    Does not: a slot that is not required; a pack in a shop, where it is in pieces; a part without slots.

    What to do: read the plates, take the child in with `fleetlife import units.csv`, or record its transfer into the
    parent with `fleetlife import transfers.csv`.

    What it cannot see: what is really in the slot.
    """
    for assembly in assemblies:
        unit = assembly.unit
        rows = slots.get(fold(unit.state.part_number), ())
        if not rows or not (unit.carried or unit.state.kind == "store"):
            continue
        allowed: dict[str, list[str]] = {}
        for row in rows:
            allowed.setdefault(row.slot, []).append(row.child_part_number)
        held = {child.slot or "": child for child in assembly.children}
        required = {row.slot for row in rows if row.required}
        for slot in sorted(allowed):
            if slot in required and slot not in held:
                takes = " or ".join(allowed[slot])
                text = f"Slot {slot} is empty in these records; it takes {takes}."
                yield _slot_finding(unit, slot, text, takes, None)
        for slot in sorted(held):
            child, numbers = held[slot], allowed.get(slot, [])
            if fold(child.part_number) not in {fold(number) for number in numbers}:
                takes = " or ".join(numbers) or "nothing that is stated"
                text = f"Slot {slot} holds {child.part_number} {child.serial_number}; it takes {takes}."
                yield _slot_finding(unit, slot, text, takes, child)


def _slot_finding(unit: Placed, slot: str, message: str, expected: str, child: UnitStateRow | None) -> Finding:
    found = "none" if child is None else f"{child.part_number} {child.serial_number}"
    return finding(
        "FIT105",
        regards=regards(slot, found),
        severity="stop" if unit.carried else "rectify",
        message=message,
        hint=f"Read the plates and record what is there; {unit.command}",
        expected=expected,
        found=found,
        evidence=(
            Evidence(source=f"slots of part {unit.state.part_number}", says=expected),
            Evidence(source="units in these records", says=found, entry=unit.entry),
        ),
        **unit.address(),
    )


@check("FIT106", "place-unknown", "stop")
def place_unknown(units: Iterable[Placed]) -> Iterator[Finding]:
    """Nobody knows where a unit is.

    Why it matters: it may be on an aeroplane under another name, and its hours with it.

    Triggers: another unit was found on the door where these records held this one; an opening statement without a
    place.

    Does not: a unit in stores, at a shop, on loan or scrapped.

    What to do: find it. On a door it is recorded with `fleetlife swap record` and --found; elsewhere with
    `fleetlife import transfers.csv`. Until then it may not be fitted.

    What it cannot see: the unit.
    """
    for unit in units:
        if unit.state.kind == "unknown":
            yield finding(
                "FIT106",
                message=f"Where it is has not been known since {day_text(unit.since)}.",
                hint=f"Find it and record where it is; {unit.command}",
                expected="a place",
                found="unknown",
                evidence=(Evidence(source="what made its place unknown", says="", entry=unit.since_entry),),
                **unit.address(),
            )


@check(
    "FIT107",
    "on-hold-installed",
    "stop",
    rules=("M.A.504",),
    waivable=False,
)
def on_hold_installed(units: Iterable[Placed]) -> Iterator[Finding]:
    """An airframe carries a unit that is on hold.

    Why it matters: somebody put it in quarantine for a reason, and nobody has lifted that.

    Triggers: a pack with hold "suspect paper" on L1, or a reservoir with a hold inside the pack on L1.

    Does not: a unit on hold in stores, where a hold belongs; a hold that was lifted.

    What to do: find out what the hold was for; lift it with a transfer that states hold none before it is fitted
    (`fleetlife import transfers.csv`), or take the unit off. Not waivable: lifting the hold is what clears it.

    What it cannot see: whether the reason still stands.
    """
    for unit in units:
        if unit.carried and unit.state.hold:
            yield finding(
                "FIT107",
                message=f"It is on hold ({unit.state.hold}) and on the aircraft.",
                hint=f"Take it off, or have the hold lifted by whoever may; {unit.command}",
                expected="no hold",
                found=unit.state.hold,
                evidence=(
                    Evidence(source="hold", says=unit.state.hold),
                    Evidence(source="its present stay", says=day_text(unit.since) or "", entry=unit.since_entry),
                ),
                **unit.address(),
            )


@check("FIT108", "not-available", "stop")
def not_available(units: Iterable[Placed]) -> Iterator[Finding]:
    """The unit that is to be fitted is somewhere it cannot be taken from: installed, in an assembly, away or scrapped.

    Why it matters: one unit cannot be in two places. Either the records or the plate that was read are wrong.

    Raised by `fleetlife swap check` alone, since it is a question about a fitting that is asked for.

    Triggers: a pack asked for L1 of one aircraft, which these records hold on R2 of another; a pack at a shop whose
    return nobody has recorded.

    Does not: a unit in stores; one whose place is unknown (FIT106).

    What to do: read the plate again. If it is that unit, record its removal there with `fleetlife swap record`, or its
    return with `fleetlife import transfers.csv`.

    What it cannot see: where it really is.
    """
    for unit in units:
        state = unit.state
        if state.kind in ("store", "unknown"):
            continue
        where = {
            "position": f"at position {state.position} of {unit.registration or 'an aircraft'}",
            "slot": f"in slot {state.slot} of an assembly",
            "scrap": "scrapped",
        }.get(state.kind, f"at {state.kind}{' ' + state.place_name if state.place_name else ''}")
        yield finding(
            "FIT108",
            message=f"These records have it {where} since {day_text(unit.since)}.",
            hint=f"Read the plate again; {unit.command}",
            expected="in stores",
            found=where,
            evidence=(Evidence(source="its present stay", says=where, entry=unit.since_entry),),
            **unit.address(),
        )


@check(
    "FIT109",
    "not-serviceable-installed",
    "stop",
    rules=("M.A.501(a)",),
    waivable=False,
)
def not_serviceable_installed(units: Iterable[Placed]) -> Iterator[Finding]:
    """An airframe carries a unit whose recorded condition is not serviceable.

    Why it matters: it was fitted as it came off, or nobody wrote down that it had been made good.

    Severity: stop where it is unserviceable or unsalvageable; rectify where the condition is not recorded.

    Triggers: removed with a defect (a removed unit is unserviceable unless stated), fitted again from stores with no
    condition recorded in between.

    Does not: a serviceable unit; an unserviceable one in stores or at a shop; a child that stays in its pack, whose
    own condition nobody states.

    What to do: find the release, and record the condition with it (`fleetlife import transfers.csv`), correct the
    removal with `fleetlife ledger correct`, or take the unit off. Not waivable.

    What it cannot see: the unit.
    """
    for unit in units:
        condition = unit.state.condition
        if not unit.carried or condition == "serviceable":
            continue
        if condition == "unknown" and unit.state.kind != "position":
            continue
        yield finding(
            "FIT109",
            severity="rectify" if condition == "unknown" else "stop",
            message="Its condition is not recorded." if condition == "unknown" else f"It is recorded as {condition}.",
            hint=f"Record the condition with its release, or take it off; {unit.command}",
            expected="serviceable",
            found=condition,
            evidence=(Evidence(source="its present stay", says=condition, entry=unit.since_entry),),
            **unit.address(),
        )
