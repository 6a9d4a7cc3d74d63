"""Life: overdue, unknown, no programme, no mark; former dates, cylinders that may stay, stale readings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from fleetlife.checks.register import Evidence, check, finding
from fleetlife.checks.rows import FormerDueRow
from fleetlife.dates.partial import day_text
from fleetlife.life.values import Outlook
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import DueRow

NO_MARK = "no-mark"
NO_PROGRAMME = "no-programme"


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
    return (
        Evidence(source=f"requirement {row.requirement}{edition}", says=row.reference or "no reference stated"),
        Evidence(source="counted from", says=row.basis or "nothing recorded"),
    )


def _causes(row: DueRow) -> list[tuple[str, str]]:
    """(measure, cause) of what is unknown."""
    pairs = (text.partition(": ") for text in (row.unknown_measures or "").split("; ") if text)
    return [(measure, cause) for measure, _, cause in pairs]


@check(
    "LIF101",
    "overdue",
    "stop",
    rule="M.A.503 (older text): an installed service-life-limited component shall not exceed its approved life",
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
    rule="AMC1 145.A.42(a)(ii): missing information to determine status or eligibility makes a component unserviceable",
)
def basis_unknown(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """A due point, or one measure of it, cannot be computed because what it counts from is not recorded.

    Why it matters: unknown is never fine; a component whose status cannot be determined is unserviceable.

    Triggers: an overhaul every 36 months with no overhaul and no new release recorded; a limit in hours on a unit
    whose total since new nobody knows.

    Does not: a unit in stores whose calendar starts only at installation (shown as waiting); a requalification whose
    mark is missing (LIF104 says so); a unit with no programme at all (LIF103); a row that is overdue in another
    measure, which is the graver thing (LIF101).

    What to do: `fleetlife due --all` names beside each cause the document that would clear it, and how many units;
    find it, and take it in with `fleetlife import`.

    What it cannot see: whether the document exists.
    """
    for row in rows:
        causes = [(m, c) for m, c in _causes(row) if c not in (NO_MARK, NO_PROGRAMME)]
        if causes and row.requirement and row.state != "overdue":
            yield finding(
                "LIF102",
                message=f"{row.requirement}: {row.state_reason}",
                hint=f"Find and take in the document; fleetlife unit {row.part_number} {row.serial_number}",
                found="; ".join(f"{measure}: {cause}" for measure, cause in causes),
                evidence=_rule_evidence(row),
                **_address(row),
            )


@check(
    "LIF103",
    "no-programme",
    "stop",
    rule="AMC1 145.A.42(a)(ii): missing information to determine status or eligibility makes a component unserviceable",
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
    rule="49 CFR 180.213 (2007 edition): a requalified cylinder bears a permanent mark; that it is month and year is "
    "cited from memory",
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
    rule="PHMSA interpretation 11-0131 (1 Sep 2011): a cylinder filled before its requalification falls due may stay "
    "in service until it is emptied, and may not be refilled before it is requalified",
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
                message=f"{row.requirement}: {row.state_reason}",
                hint=f"Not to be refilled or fitted anew; fleetlife unit {row.part_number} {row.serial_number}",
                expected=row.due_date,
                evidence=_rule_evidence(row),
                **_address(row),
            )
