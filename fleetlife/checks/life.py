"""Life: overdue, unknown, no programme, no mark; former dates, cylinders that stay, stale readings, two programmes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import BridgedRow, FormerDueRow
from fleetlife.dates.partial import day_text
from fleetlife.life.values import Outlook
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import BridgedLine, DueRow

NO_MARK = "no-mark"
NO_PROGRAMME = "no-programme"
LIFE_LIMIT = "life_limit"
UNSALVAGEABLE = "treat as unsalvageable until decided by authorised staff"


def _address(row: DueRow) -> dict[str, Any]:
    return {
        "registration": row.registration,
        "position": row.position,
        "part_number": row.part_number,
        "serial_number": row.serial_number,
        "manufacturer": row.manufacturer,
    }


def _rule_evidence(row: DueRow) -> tuple[Evidence, ...]:
    edition = f", edition {row.edition}" if row.edition else ""
    rests = (Evidence(source="life before these records", says=row.life_quality),) if row.life_quality else ()
    return (
        Evidence(source=f"requirement {row.requirement}{edition}", says=row.reference or "no reference stated"),
        Evidence(source="counted from", says=row.basis or "nothing recorded"),
        *(each for each in rests if each.says != "documented"),
    )


def _causes(row: DueRow) -> list[tuple[str, str]]:
    """(measure, cause) of what is unknown."""
    pairs = (text.partition(": ") for text in (row.unknown_measures or "").split("; ") if text)
    return [(measure, cause) for measure, _, cause in pairs]


@check(
    "LIF101",
    "overdue",
    "stop",
    rules=("M.A.503",),
    waivable=False,
)
def overdue(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """A unit that an airframe carries is past a due point, and nothing approved covers it.

    Why it matters: the work, the test or the removal that the programme asks for has not been done in time. The
    published rule speaks of life limits; programmes, directives and certification requirements bind just so.

    Triggers: an overhaul due 2026-11-20, asked on 2026-11-25.

    Does not: the same on 2026-11-20, its last day; the same with a permitted variation to 2026-12-31 in force on this
    airframe; a cylinder filled before its date that may stay until emptied (LIF107); a soft life; a unit in stores,
    which the due list shows and which may not be fitted.

    What to do: look at the unit with `fleetlife unit PART SERIAL`; remove it or have the work done; if it was done,
    take in its certificate and the accomplishment with `fleetlife import`. Never waivable: nothing extends a limit
    but an approved variation where the requirement allows one.

    What it cannot see: work that nobody has recorded, and flights since the last reading beyond the projection.
    """
    for row in rows:
        if row.state == "overdue" and row.kind != "soft_life" and row.registration:
            yield finding(
                "LIF101",
                regards=regards(row.requirement),
                message=f"{row.requirement}: {row.state_reason}",
                hint=f"Remove it or have the work done; fleetlife unit {row.part_number} {row.serial_number}",
                expected=row.due_date,
                found=row.readings_as_of if row.driver in ("hours", "cycles", row.counter) else None,
                evidence=_rule_evidence(row),
                **_address(row),
            )


@check(
    "LIF102",
    "basis-unknown",
    "rectify",
    rules=("AMC1 145.A.42(a)(ii)",),
)
def basis_unknown(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """A due point, or one measure of it, cannot be computed because what it counts from is not recorded.

    Why it matters: unknown is never fine; a component whose status cannot be determined is unserviceable.

    Triggers: an overhaul every 36 months with no overhaul and no new release recorded; a limit in hours on a unit
    whose total since new nobody knows.

    Does not: a unit in stores whose calendar starts only at installation (shown as waiting); a requalification whose
    mark is missing (LIF104 says so); a unit with no programme at all (LIF103); a life limit, which is graver (LIF110);
    a row that is overdue in another measure, which is the graver thing (LIF101).

    What to do: `fleetlife due --all` names beside each cause the document that would clear it, and how many units;
    find it, and take it in with `fleetlife import`.

    What it cannot see: whether the document exists.
    """
    for row in rows:
        causes = [(m, c) for m, c in _causes(row) if c not in (NO_MARK, NO_PROGRAMME)]
        if causes and row.requirement and row.state != "overdue" and row.kind != LIFE_LIMIT:
            yield finding(
                "LIF102",
                regards=regards(row.requirement),
                message=f"{row.requirement}: {row.state_reason}",
                hint=f"Find and take in the document; fleetlife unit {row.part_number} {row.serial_number}",
                found="; ".join(f"{measure}: {cause}" for measure, cause in causes),
                evidence=_rule_evidence(row),
                **_address(row),
            )


@check(
    "LIF110",
    "life-not-shown",
    "stop",
    rules=("AMC1 145.A.42(a)(iii)",),
    waivable=False,
)
def life_not_shown(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """A life limit applies to the unit, and what it has lived cannot be shown in every measure of the limit.

    Why it matters: a life-limited part with missing or incomplete records is unsalvageable, not merely unserviceable:
    treat as unsalvageable until decided by authorised staff.

    Triggers: a limit of 36 000 cycles on a unit whose cycles since new nobody knows; a limit in years on a cylinder
    with no date of manufacture.

    Does not: a life that is known and not used up; one that is used up (LIF101, in stores the due list); the repeat of
    an overhaul, which needs only what was run since the last one (LIF102 where that is unknown).

    What to do: find the history card or the certificates back to birth, and take them in with `fleetlife import` or
    correct the opening statement with `fleetlife ledger correct`. Never waivable: what became of the part is decided
    by authorised staff, and recorded as its condition.

    What it cannot see: whether a total that is recorded is the true one; one that was rebuilt or estimated says so.
    """
    for row in rows:
        causes = _causes(row)
        if row.kind == LIFE_LIMIT and causes and row.state != "overdue":
            yield finding(
                "LIF110",
                regards=regards(row.requirement),
                message=f"{row.requirement}: its life cannot be shown: {UNSALVAGEABLE}. {row.state_reason}",
                hint=f"Find the history back to birth; fleetlife unit {row.part_number} {row.serial_number}",
                found="; ".join(f"{measure}: {cause}" for measure, cause in causes),
                evidence=_rule_evidence(row),
                **_address(row),
            )


@check(
    "LIF103",
    "no-programme",
    "stop",
    rules=("AMC1 145.A.42(a)(ii)",),
    waivable=False,
)
def no_programme(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """No requirement is in force for the unit's part number.

    Why it matters: a part that nobody has looked at is not a part with nothing due; that nothing applies must be
    stated.

    Triggers: a new dash number that came in yesterday, with no row in the requirements file; a part whose only
    edition ended last month.

    Does not: a part with a requirement of kind on_condition and its reference.

    What to do: state the part's requirements, or that it is on condition with its reference, and take them in with
    `fleetlife import requirements.csv`. Not waivable, because stating it is what clears it.

    What it cannot see: whether the requirements stated are all there are.
    """
    for row in rows:
        if row.requirement is None and row.state == "unknown":
            yield finding(
                "LIF103",
                message=row.state_reason,
                hint="State its requirements: fleetlife import requirements.csv",
                expected="at least one requirement, or on_condition with a reference",
                found="none in force",
                evidence=(Evidence(source=f"requirements of part {row.part_number}", says="none in force"),),
                **_address(row),
            )


@check(
    "LIF104",
    "requalification-without-mark",
    "rectify",
    rules=("49 CFR 180.213",),
)
def requalification_without_mark(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """The last requalification of a cylinder is recorded by something other than the mark stamped on it.

    Why it matters: a requalification counts from the month and year on the cylinder. The release of the pack that
    holds it is no test of the bottle, and a certificate's date is not the test's.

    Triggers: a hydrostatic test recorded with date_basis release, because the pack came back overhauled in March.

    Does not: the same with date_basis mark and the month read from the cylinder; a requirement that is no
    requalification; a cylinder with nothing recorded at all (LIF102).

    What to do: read the mark, or get the test report that states it, and correct the accomplishment with
    `fleetlife ledger correct`.

    What it cannot see: whether the month recorded is the one stamped.
    """
    for row in rows:
        if any(cause == NO_MARK for _, cause in _causes(row)) and row.state != "overdue":
            yield finding(
                "LIF104",
                regards=regards(row.requirement),
                message=f"{row.requirement}: the last requalification is recorded without the mark on the cylinder, "
                "so its next date is unknown.",
                hint=f"Read the mark and correct the entry; fleetlife unit {row.part_number} {row.serial_number}",
                expected="the month and year stamped on the cylinder",
                found=row.basis or row.last_done,
                evidence=_rule_evidence(row),
                **_address(row),
            )


@check("LIF105", "stale-readings", "rectify")
def stale_readings(
    views: Iterable[tuple[str, int, Outlook]],
    *,
    as_of: int,
    after_days: int,
    statuses: Mapping[int, str | None],
    counters: Iterable[tuple[str, int, str, Outlook]] = (),
) -> Iterator[Finding]:
    """The airframe's last reading is older than 14 days, or there is none; of flight hours and cycles, or of a counter
    in which something it carries is limited.

    Why it matters: every due point in hours and cycles is judged on a projection from that reading, and every one in a
    counter on a projection from that counter's own.

    Triggers: a last reading of 2026-11-01 on 2026-11-25; an airframe with no reading at all; the same of a counter that
    a requirement on one of its units names.

    Does not: a reading of 2026-11-12 on that day; an airframe whose status is parked or withdrawn; a counter in which
    nothing the airframe carries is limited.

    What to do: take in the readings with `fleetlife import readings.csv`, those of a counter with `fleetlife import
    counter_readings.csv`.

    What it cannot see: whether the reading itself is right.
    """
    for registration, airframe, counter, view in counters:
        if statuses.get(airframe) in ("parked", "withdrawn"):
            continue
        if view.base_day is None:
            message = f"There is no reading of {counter} on this airframe at all: nothing in it can be dated."
        elif as_of - view.base_day > after_days:
            age = as_of - view.base_day
            message = f"The last reading of {counter} is of {day_text(view.base_day)}, {age} days old."
        else:
            continue
        last = day_text(view.base_day) or "none"
        yield finding(
            "LIF105",
            regards=regards(counter),
            message=message,
            hint="fleetlife import counter_readings.csv",
            registration=registration,
            airframe=airframe,
            expected=f"a reading of {counter} within {after_days} days",
            found=last,
            evidence=(Evidence(source=f"last reading of {counter}", says=last),),
        )
    for registration, airframe, view in views:
        if statuses.get(airframe) in ("parked", "withdrawn"):
            continue
        if view.base_day is None:
            yield finding(
                "LIF105",
                message="There is no reading of this airframe at all: nothing in hours or cycles can be dated.",
                hint="fleetlife import readings.csv",
                registration=registration,
                airframe=airframe,
                expected=f"a reading within {after_days} days",
                found="none",
                evidence=(Evidence(source="readings", says="none"),),
            )
        elif as_of - view.base_day > after_days:
            yield finding(
                "LIF105",
                message=f"The last reading is of {day_text(view.base_day)}, {as_of - view.base_day} days old.",
                hint="fleetlife import readings.csv",
                registration=registration,
                airframe=airframe,
                expected=f"a reading within {after_days} days",
                found=day_text(view.base_day),
                evidence=(Evidence(source="last reading", says=day_text(view.base_day) or ""),),
            )


@check("LIF106", "former-due-differs", "note")
def former_due_differs(rows: Iterable[FormerDueRow]) -> Iterator[Finding]:
    """The due date that the old records stated with a piece of work is not the one computed from that same work.

    Why it matters: one of the two is wrong: an interval changed, a wrong basis was used, a date was mistyped. The old
    date is never used; this says where to look before the old records are put away.

    Triggers: an overhaul of 2024-03-10 with stated_due 2027-09-10, where 36 months give 2027-03-10.

    Does not: the same with stated_due 2027-03-10; an accomplishment that states no due date; a requirement that
    is limited in hours or cycles alone, which has no date to compare.

    What to do: compare the old record with the requirement's reference; `fleetlife unit PART SERIAL` shows the basis
    and the edition. If the accomplishment is wrong, correct it with `fleetlife ledger correct`.

    What it cannot see: former dates of work that later work has followed; only the work in force is compared.
    """
    for row in rows:
        if row.stated_due == row.computed_due:
            continue
        later = row.stated_due > row.computed_due
        apart = abs(row.stated_due - row.computed_due)
        yield finding(
            "LIF106",
            regards=regards(row.requirement, row.done_on),
            message=f"{row.requirement}: the old record says due {day_text(row.stated_due)}; from the same work, done "
            f"{row.done_on}, it is {day_text(row.computed_due)}, {apart} days {'earlier' if later else 'later'}.",
            hint=f"Compare the two before the old record is put away; {row.unit.command}",
            expected=day_text(row.computed_due),
            found=day_text(row.stated_due),
            evidence=(
                Evidence(source="accomplishment", says=f"stated due {day_text(row.stated_due)}", entry=row.entry),
                Evidence(source=f"computed{', edition ' + row.edition if row.edition else ''}", says=row.basis or ""),
            ),
            **row.unit.address(),
        )


@check(
    "LIF107",
    "stays-until-emptied",
    "note",
    rules=("PHMSA 11-0131 charged",),
)
def stays_until_emptied(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """A cylinder is past its requalification date and may lawfully stay where it is until it is emptied.

    Why it matters: it may not be refilled and not be fitted anew, and a maintenance programme may be stricter than
    the dangerous-goods rule.

    Triggers: a cylinder whose mark ran out on 2026-09-30, filled before that day, with its fillings recorded and none
    since, under a requirement that states at_due no-refill with its reference.

    Does not: the same with a filling since, or with no record of fillings (both are overdue, LIF101); a cylinder
    whose service life has ended, which nothing extends.

    What to do: plan its change; `fleetlife due` lists it in its own state until then.

    What it cannot see: a leak, a filling nobody recorded, or whether the gauge still reads full.
    """
    for row in rows:
        if row.state == "no refill":
            yield finding(
                "LIF107",
                regards=regards(row.requirement),
                message=f"{row.requirement}: {row.state_reason}",
                hint=f"Not to be refilled or fitted anew; fleetlife unit {row.part_number} {row.serial_number}",
                expected=row.due_date,
                evidence=_rule_evidence(row),
                **_address(row),
            )


@check("LIF109", "programmes-not-bridged", "rectify")
def programmes_not_bridged(rows: Iterable[BridgedRow]) -> Iterator[Finding]:
    """A unit that was kept under one programme hangs on an airframe of another, and the two ask different things of it.

    Why it matters: from the fitting on it is judged by the requirements of its airframe's programme alone. What the
    former programme would have asked for earlier, or alone, is asked for by nobody any more; and what only the new one
    asks for has perhaps never been done. Which due point holds is decided by the people who approve the programme.

    Triggers: an overhaul every 24 months under one operator's programme and every 36 months under the next one's, on
    a unit last overhauled under the former: due 2027-03-10 and 2028-03-10; an inspection that one of them alone has.

    Does not: two programmes that ask the same of the part; a requirement that has been done since the unit came under
    the new programme (after the day of the fitting); a unit that never was on an airframe of another programme; a unit
    in stores, to which every programme applies until it is fitted (`fleetlife swap check` says it before the fitting).

    What to do: compare the two with `fleetlife unit PART SERIAL`; have those who approve the programme decide it, and
    record their decision with `fleetlife ledger waive LIF109 SUBJECT` and its reference, or do the work that is due
    earlier. It stands until every requirement that differs has been done anew, or it is waived.

    What it cannot see: under which programme a unit was kept before these records began; that an airframe was put
    under another programme as a whole; what the work of the two programmes consists of, where limits are alike.
    """
    for row in rows:
        if not row.lines:
            continue
        first = row.lines[0]
        left = f" until {first.kept_until}" if first.kept_until else ""
        yield finding(
            "LIF109",
            message=f"Kept under {first.kept_under}{left}, now under {first.now_under}. "
            + " ".join(line.text for line in row.lines),
            hint="Have those who approve the programme decide which holds, and waive this with their reference "
            f"(fleetlife ledger waive); {row.unit.command}",
            expected=_programme_says(first.requirement, first.kept_under, first.due_before, first.state_before),
            found=_programme_says(first.requirement, first.now_under, first.due_after, first.state_after),
            evidence=tuple(each for line in row.lines for each in _two_programmes(line, row.unit.since_entry)),
            **row.unit.address(),
        )


def _programme_says(requirement: str, programme: str, due: str | None, state: str | None) -> str:
    """`OVH due 2027-03-10 under PUFFIN`, `OVH unknown under PUFFIN`, `OVH not in PUFFIN`."""
    if state is None:
        return f"{requirement} not in {programme}"
    return f"{requirement} {f'due {due}' if due else state} under {programme}"


def _two_programmes(line: BridgedLine, entry: int | None) -> Iterator[Evidence]:
    """Each side of a requirement that differs, with its edition and reference; the fitting behind the new one."""
    for programme, edition, reference, due, state, behind in (
        (line.kept_under, line.edition_before, line.reference_before, line.due_before, line.state_before, None),
        (line.now_under, line.edition_after, line.reference_after, line.due_after, line.state_after, entry),
    ):
        says = _programme_says(line.requirement, programme, due, state)
        if state is not None:
            says = f"{says} ({reference or 'no reference stated'})"
        yield Evidence(source=f"requirement {line.requirement} of {edition or programme}", says=says, entry=behind)
