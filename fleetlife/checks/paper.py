"""Paper: certificates that disagree with the metal, are missing, came too late, or do not show the work claimed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.removal import BRIEF_REMOVALS, refitted_without_release
from fleetlife.checks.rows import ClaimRow, FittingRow, LateEntryRow, PaperRow, Placed, RefitRow
from fleetlife.dates.partial import day_number, day_text, parse_partial
from fleetlife.follows.rows import CertificateLineRow
from fleetlife.paper.agreement import SAME_NUMBER, compare_numbers, look_alike_key
from fleetlife.paper.status import is_release, proves
from fleetlife.terms.finding import Finding, Severity
from fleetlife.terms.number import fold

UNFILED = "unfiled"
# What two spellings of one serial on one paper may differ by.
ONE_LINE = (*SAME_NUMBER, "leading-zeros", "look-alike")
ENTERED_WITHIN_DAYS = 30
_SEVERITIES: dict[str, Severity] = {"stop": "stop", "condition": "rectify", "note": "note"}


def _paper(line: CertificateLineRow) -> str:
    return f"certificate {line.tracking_number} of {line.organisation}"


def _sides(line: CertificateLineRow, unit: Placed, on_paper: str, recorded: str | None) -> tuple[Evidence, Evidence]:
    return (
        Evidence(source=_paper(line), says=on_paper, entry=line.entry),
        Evidence(source="the unit in these records", says=recorded or "nothing", entry=unit.entry),
    )


def _rests_on(line: CertificateLineRow, unit: Placed) -> bool:
    """The unit is fitted, and this line is its latest release: the paper that the fitting rests on."""
    state = unit.state
    return unit.carried and line.tracking_number == state.release_certificate and line.dated_on == state.released_on


@check(
    "PAP101",
    "part-number-differs",
    "rectify",
    rules=("Form 1 block 8",),
)
def part_number_differs(papers: Iterable[PaperRow]) -> Iterator[Finding]:
    """A certificate filed against a unit bears another part number than the unit bore on the paper's date.

    Why it matters: another dash number is another part; a paper for another part releases nothing. The class of the
    difference says what to look for: look-alike, transposed, one character, other dash number, alternate, different.

    Severity: stop where it is the paper that the present fitting rests on, a note where the paper bears a stated
    alternate or a number the unit bore at another time, rectify otherwise.

    Triggers: the paper says SL-100-3, the unit is SL-100-1; the paper says SL-1O0-1 with the letter O.

    Does not: the same number with other hyphens or spaces; a unit re-identified later, whose paper bears the number
    of its own day.

    What to do: look at the data plate. If the paper is another unit's, file it against that one; if the paper is
    wrong, ask its issuer for a corrected one; `fleetlife certificate NUMBER` shows both numbers side by side.

    What it cannot see: what the data plate says.
    """
    for paper in papers:
        line, unit = paper.line, paper.unit
        if unit is None or line.part_verdict in (*SAME_NUMBER, UNFILED):
            continue
        severity: Severity = "stop" if _rests_on(line, unit) else "rectify"
        if line.part_verdict == "alternate":
            severity = "note"
        yield finding(
            "PAP101",
            regards=regards(line.organisation, line.item),
            severity=severity,
            message=f"The {_paper(line)} says part {line.part_number}, the unit was {line.expected_part_number} on "
            f"{day_text(line.dated_on)}: {line.part_verdict}.",
            hint=f"Look at the data plate; fleetlife certificate {line.tracking_number}",
            certificate=line.tracking_number,
            expected=line.expected_part_number,
            found=line.part_number,
            evidence=_sides(line, unit, line.part_number, line.expected_part_number),
            **unit.address(),
        )


@check(
    "PAP102",
    "serial-number-differs",
    "rectify",
    rules=("Form 1 block 10",),
)
def serial_number_differs(papers: Iterable[PaperRow]) -> Iterator[Finding]:
    """A certificate filed against a unit bears another serial number than the unit.

    Why it matters: the paper of another unit releases nothing, and its hours and dates are another unit's.

    Severity: stop where it is the paper that the present fitting rests on, rectify otherwise.

    Triggers: the paper says 0132, the unit is 0123; the paper says O101 with the letter O, the unit is 0101; a
    workbook that made 00815 into 815.

    Does not: the same serial with other spacing or hyphens; an item without a serial of its maker whose paper says
    N/A.

    What to do: look at the data plate, then file the paper where it belongs, correct the unit, or ask the issuer for
    a corrected paper; `fleetlife certificate NUMBER` shows both numbers with the characters that differ.

    What it cannot see: what the data plate says.
    """
    for paper in papers:
        line, unit = paper.line, paper.unit
        if unit is None or line.serial_verdict in (*SAME_NUMBER, UNFILED):
            continue
        yield finding(
            "PAP102",
            regards=regards(line.organisation, line.item),
            severity="stop" if _rests_on(line, unit) else "rectify",
            message=f"The {_paper(line)} says serial {line.serial_number}, the unit is {line.expected_serial_number}: "
            f"{line.serial_verdict}.",
            hint=f"Look at the data plate; fleetlife certificate {line.tracking_number}",
            certificate=line.tracking_number,
            expected=line.expected_serial_number,
            found=line.serial_number,
            evidence=_sides(line, unit, line.serial_number, line.expected_serial_number),
            **unit.address(),
        )


@check(
    "PAP103",
    "no-certificate",
    "rectify",
    rules=("M.A.501(a)",),
)
def no_certificate(units: Iterable[Placed]) -> Iterator[Finding]:
    """An airframe carries a unit against which no release certificate is filed.

    Why it matters: nothing in these records shows that it may be there.

    Severity: stop where it was fitted while these records were kept, so that somebody fitted it without a paper;
    rectify where the opening statement found it there, because its paper may lie in the old files, and where it was
    put into its parent before the parent's latest release, because the shop's papers may name it.

    Triggers: a slide pack on L1 with nothing filed against it.

    Does not: a reservoir received inside a released pack and never changed since, which that pack's certificate
    covers for release (never for its own test or life); a unit in stores, which a fitting would stop.

    What to do: find the paper and take it in with `fleetlife import certificates.csv`, filed against this unit.

    What it cannot see: papers that exist and are not filed here, and whether a parent's paper names this child.
    """
    for unit in units:
        state = unit.state
        if not unit.carried or state.released_on is not None or state.covered_by is not None:
            continue
        shop = _released_with_it(unit)
        fitted = unit.fitted_on_record and not shop
        since = f"since {day_text(unit.since)}" if unit.since_known else "since before the records began"
        yield finding(
            "PAP103",
            severity="stop" if fitted else "rectify",
            message=f"No release certificate is filed against it; it has been there {since}"
            f"{', and its parent was released with it' if shop else ''}.",
            hint=f"Take in its paper: fleetlife import certificates.csv; {unit.command}",
            expected="a release certificate",
            found="none",
            evidence=(Evidence(source="its present stay", says=f"began {since}", entry=unit.since_entry),),
            **unit.address(),
        )


def _released_with_it(unit: Placed) -> bool:
    """The unit that holds it was released on or after the day it was put in."""
    parent = unit.parent
    return parent is not None and parent.released_on is not None and parent.released_on >= unit.since


@check(
    "PAP104",
    "no-release-since-removal",
    "stop",
    rules=(
        "M.A.501(a)",
        "14 CFR 43.10(b)",
    ),
)
def no_release_since_removal(rows: Iterable[RefitRow]) -> Iterator[Finding]:
    """A unit was removed, fitted again, and its latest release is older than the removal.

    Why it matters: what came off as unserviceable, or for a reason nobody knows, went back without a release.

    Severity: a note where it came off for access or convenience and the published exception for a temporary removal
    holds (the same airframe, no time in service meanwhile, life status unchanged), or where it was robbed and an
    inspection since is recorded; rectify where the exception is not shown to hold, or where it was put into a parent
    that was released afterwards; stop otherwise, and where the exception fails.

    Triggers: removed 2025-06-01 with a defect, fitted elsewhere 2025-06-20, latest release 2023-03-10; off for access
    and on another airframe; robbed, with no tag, inspection or release since.

    Does not: a release on or after the day of the removal; a unit that has never been off.

    What to do: find the release and take it in, or remove the unit: `fleetlife unit PART SERIAL` shows the stays and
    the papers.

    What it cannot see: whether the release it does find covers the defect it came off for; a flight between two moments
    of one day that no totals are stated for.
    """
    for row in rows:
        unit, state = row.unit, row.unit.state
        if not unit.carried or state.released_on is None or state.removed_on is None:
            continue
        judged = refitted_without_release(row.removal)
        if judged is None:
            continue
        severity = _SEVERITIES[judged.verdict]
        if severity == "stop" and _released_with_it(unit):
            severity = "rectify"
        why = _why(row.removal.kind)
        told = f" {judged.text}" if judged.text else ""
        yield finding(
            "PAP104",
            regards=regards(day_text(state.removed_on)),
            severity=severity,
            message=f"Removed {day_text(state.removed_on)} {why}, fitted {day_text(unit.since)}; its latest "
            f"release, {state.release_status}, is of {day_text(state.released_on)}.{told}",
            hint=f"Find the release after the removal, or take it off; {unit.command}",
            certificate=state.release_certificate,
            expected=f"a release on or after {day_text(state.removed_on)}",
            found=day_text(state.released_on),
            evidence=(
                Evidence(source="removal", says=f"{day_text(state.removed_on)} {why}", entry=row.removal.entry),
                Evidence(source="fitting", says=day_text(unit.since) or "", entry=unit.since_entry),
            ),
            **unit.address(),
        )


def _why(removal_kind: str | None) -> str:
    if removal_kind in BRIEF_REMOVALS:
        return f"for {removal_kind}"
    return f"({removal_kind.replace('_', ' ')})" if removal_kind else "for a reason not stated"


@check(
    "PAP105",
    "certificate-filed-twice",
    "rectify",
    rules=("Form 1 correlation",),
)
def certificate_filed_twice(papers: Iterable[PaperRow]) -> Iterator[Finding]:
    """One line of one certificate is filed against two units.

    Why it matters: one of the two has no paper at all. A line that was typed twice, once with a letter O and once
    with a zero, looks like two papers.

    Triggers: certificate T-1 of one organisation, serial 0101 filed against one unit and serial O101 against another;
    the same serial with and without its hyphen.

    Does not: one certificate that lists the serials 0101, 0102 and 0103, each filed against its own unit, which is
    lawful; the same tracking number of two organisations; different item numbers; two different parts on one paper.

    What to do: look at the paper; withdraw the wrong line with `fleetlife ledger withdraw`, or file it where it
    belongs with `fleetlife ledger correct`.

    What it cannot see: one paper filed under two tracking numbers.
    """
    found: dict[tuple[str, str, str, str], list[PaperRow]] = {}
    for paper in papers:
        line = paper.line
        if paper.unit is None:
            continue
        serial = look_alike_key(line.serial_number).lstrip("0")
        key = (fold(line.organisation), fold(line.tracking_number), fold(line.item), serial)
        found.setdefault(key, []).append(paper)
    for same in found.values():
        for one, other in combinations(_in_order(same), 2):
            if _one_line(one, other):
                yield _filed_twice(one, other)


def _in_order(papers: Sequence[PaperRow]) -> list[PaperRow]:
    return sorted(papers, key=lambda paper: (paper.line.entry, paper.line.serial_number, paper.line.unit_id or 0))


def _one_line(one: PaperRow, other: PaperRow) -> bool:
    if one.line.unit_id == other.line.unit_id:
        return False
    serial = compare_numbers(one.line.serial_number, other.line.serial_number, kind="serial").verdict
    part = compare_numbers(one.line.part_number, other.line.part_number, kind="part").verdict
    return serial in ONE_LINE and part in ONE_LINE


def _filed_twice(one: PaperRow, other: PaperRow) -> Finding:
    first, second = one.unit, other.unit
    assert first is not None
    assert second is not None
    return finding(
        "PAP105",
        regards=regards(one.line.organisation, one.line.item, second.state.unit_id),
        message=f"One line of the {_paper(one.line)} is filed against {first.name} (serial written "
        f"{one.line.serial_number}) and against {second.name} (written {other.line.serial_number}).",
        hint=f"Keep the one it belongs to; fleetlife certificate {one.line.tracking_number}",
        certificate=one.line.tracking_number,
        expected="one unit a line",
        found=f"{first.name} and {second.name}",
        evidence=(
            Evidence(source=f"filed against {first.name}", says=one.line.serial_number, entry=one.line.entry),
            Evidence(source=f"filed against {second.name}", says=other.line.serial_number, entry=other.line.entry),
        ),
        **second.address(),
    )


@check(
    "PAP106",
    "certificate-after-fitting",
    "rectify",
    rules=("M.A.501(b)",),
)
def certificate_after_fitting(rows: Iterable[FittingRow]) -> Iterator[Finding]:
    """The certificate that a fitting rests on is dated after the fitting.

    Why it matters: on the day it was fitted there was no release, or one of the two dates is wrong.

    The paper meant is the one that the movement names; where it names none, some release must be dated on or before
    the fitting that still stands.

    Severity: one day apart is a note, since papers and technical logs keep different days; more is rectify.

    Triggers: fitted 2025-06-01 on certificate T-7, which is dated 2025-06-20.

    Does not: a certificate of the same day or earlier; a later release of a unit that had one at its fitting.

    What to do: compare paper and technical log; correct whichever is wrong with `fleetlife ledger correct`.

    What it cannot see: an earlier paper that is not filed here.
    """
    for row in rows:
        paper = row.named or _first_release(row)
        if paper is None:
            continue
        after = paper.dated_on - row.fitted_on
        if after <= 0:
            continue
        rests = "names" if row.named is not None else "has no earlier release than"
        yield finding(
            "PAP106",
            regards=regards(paper.organisation, day_text(row.fitted_on)),
            severity="note" if after == 1 else "rectify",
            message=f"Fitted {day_text(row.fitted_on)}; the fitting {rests} the {_paper(paper)}, which is dated "
            f"{day_text(paper.dated_on)}, {after} day{'s' if after != 1 else ''} later.",
            hint=f"Compare paper and log; fleetlife certificate {paper.tracking_number}",
            certificate=paper.tracking_number,
            expected=f"dated on or before {day_text(row.fitted_on)}",
            found=day_text(paper.dated_on),
            evidence=(
                Evidence(source="fitting", says=day_text(row.fitted_on) or "", entry=row.entry),
                Evidence(source=_paper(paper), says=day_text(paper.dated_on) or "", entry=paper.entry),
            ),
            **row.unit.address(),
        )


def _first_release(row: FittingRow) -> CertificateLineRow | None:
    """The earliest release of the unit when none is dated on or before the fitting."""
    releases = [line for line in row.lines if is_release(line.status)]
    first = min(releases, key=lambda line: (line.dated_on, line.entry), default=None)
    return first if first is not None and first.dated_on > row.fitted_on else None


@check(
    "PAP107",
    "certificate-before-manufacture",
    "rectify",
    rules=("Form 1 correlation",),
)
def certificate_before_manufacture(papers: Iterable[PaperRow]) -> Iterator[Finding]:
    """A certificate filed against a unit is dated before the unit was made.

    Why it matters: it is another unit's paper, or the date of manufacture is wrong, and with it every limit that
    counts from it.

    Triggers: made 2018-05, certificate dated 2017-11-20.

    Does not: a certificate of the month of manufacture; a unit whose date of manufacture is not recorded.

    What to do: read the data plate; correct the unit's opening statement or the certificate with
    `fleetlife ledger correct`.

    What it cannot see: which of the two dates is wrong. A date of manufacture known to the year is taken at its
    first day, so a paper of earlier in that year is not seen.
    """
    for paper in papers:
        if paper.unit is None or not paper.manufactured:
            continue
        made = parse_partial(paper.manufactured)
        if paper.line.dated_on >= made.first_day.toordinal():
            continue
        line = paper.line
        yield finding(
            "PAP107",
            regards=regards(line.organisation, line.item),
            message=f"The {_paper(line)} is dated {day_text(line.dated_on)}; the unit was made {made.text}.",
            hint=f"Read the data plate; fleetlife certificate {line.tracking_number}",
            certificate=line.tracking_number,
            expected=f"dated on or after {made.first_day.isoformat()}",
            found=day_text(line.dated_on),
            evidence=(
                Evidence(source=_paper(line), says=day_text(line.dated_on) or "", entry=line.entry),
                Evidence(source="date of manufacture", says=made.text, entry=paper.unit.entry),
            ),
            **paper.unit.address(),
        )


@check(
    "PAP109",
    "entered-late",
    "note",
    rules=("M.A.305(a)",),
)
def entered_late(rows: Iterable[LateEntryRow]) -> Iterator[Finding]:
    """A removal or installation was recorded more than 30 days after the day on which it was done.

    Why it matters: until then every answer about that door was wrong.

    Only what happened while these records were kept can be late: a movement dated before the day on which the
    airframe itself came into the records is its history, whenever it is taken in.

    Triggers: a swap of 2026-03-01 recorded 2026-04-15 on an airframe recorded since 2025.

    Does not: the same recorded 2026-03-31, the thirtieth day; three years of history taken in with the airframe.

    What to do: nothing can mend the date; find out why, and watch the next ones with
    `fleetlife audit`.

    What it cannot see: when it was entered in a technical log or an older system, and history that was already late
    when the airframe came in. A corrected entry counts from the day of the correction.
    """
    for row in rows:
        done = day_number(row.movement.moved_on)
        late = row.recorded_on - done
        if done < row.kept_since or late <= ENTERED_WITHIN_DAYS:
            continue
        movement = row.movement
        address = row.unit.address() if row.unit is not None else {}
        address |= {"registration": row.registration, "position": movement.position, "airframe": movement.airframe}
        yield finding(
            "PAP109",
            regards=regards(movement.moved_on, movement.sequence),
            message=f"The movement at {movement.position} of {movement.moved_on} was recorded "
            f"{day_text(row.recorded_on)}, {late} days later.",
            hint="Find out why it took so long; fleetlife audit",
            expected=f"recorded by {day_text(done + ENTERED_WITHIN_DAYS)}",
            found=day_text(row.recorded_on),
            evidence=(
                Evidence(source="done", says=movement.moved_on, entry=row.entry),
                Evidence(source="recorded", says=day_text(row.recorded_on) or "", entry=row.entry),
            ),
            **address,
        )


@check(
    "PAP110",
    "paper-does-not-show-the-work",
    "rectify",
    rules=("EASA FAQ 142042",),
)
def paper_does_not_show_the_work(rows: Iterable[ClaimRow]) -> Iterator[Finding]:
    """Work is claimed on a certificate whose status does not show that work.

    Why it matters: the claim restarts nothing. The interval still counts from the last work that a paper shows.

    Triggers: an overhaul recorded on a certificate that says inspected/tested.

    Does not: an overhaul on a certificate that says overhauled; a test on one that says tested; work from the log,
    whose release is the log's own.

    What to do: find the paper that shows the work; if there is none, withdraw the accomplishment with
    `fleetlife ledger withdraw`.

    What it cannot see: what the remarks block says beyond the status term; and a certificate that is quoted but not
    filed here.
    """
    for row in rows:
        line, fact = row.line, row.accomplishment
        if line is None or fact.date_basis == "log" or proves(row.requirement_kind, line.status):
            continue
        kind = row.requirement_kind.replace("_", " ")
        yield finding(
            "PAP110",
            regards=regards(line.organisation, fact.requirement, fact.done_on),
            message=f"{fact.requirement} ({kind}) is claimed done {fact.done_on} on the {_paper(line)}, which says "
            f"{line.status}: that restarts nothing.",
            hint=f"Find the paper that shows the work; fleetlife certificate {line.tracking_number}",
            certificate=line.tracking_number,
            expected=f"a status that shows {kind}",
            found=line.status,
            evidence=(
                Evidence(source="accomplishment", says=f"{fact.requirement} {fact.done_on}", entry=row.entry),
                Evidence(source=_paper(line), says=line.status, entry=line.entry),
            ),
            **row.unit.address(),
        )


@check(
    "PAP111",
    "certificate-unfiled",
    "rectify",
    rules=("GM 145.A.55(a)",),
)
def certificate_unfiled(papers: Iterable[PaperRow]) -> Iterator[Finding]:
    """A certificate line is in the records and no unit answers to its numbers.

    Why it matters: some unit is without its paper, or a paper is here for a unit that is not.

    Triggers: a certificate for SL-100-1 serial 0O12 where the units are 0012 and 0013.

    Does not: a line that agrees with a unit, or that was filed against one by name.

    What to do: name the unit with filed_part_number and filed_serial_number, by `fleetlife ledger correct`; or take
    the unit in first.

    What it cannot see: which unit was meant; and a certificate that an entry quotes but nobody took in.
    """
    for paper in papers:
        if paper.unit is not None or paper.line.unit_id is not None:
            continue
        line = paper.line
        yield finding(
            "PAP111",
            regards=regards(line.organisation, line.item),
            message=f"The {_paper(line)}, {line.part_number} serial {line.serial_number}, {line.status} of "
            f"{day_text(line.dated_on)}, is filed against no unit.",
            hint=f"Say which unit it is for: fleetlife ledger correct {line.entry}",
            part_number=line.part_number,
            serial_number=line.serial_number,
            certificate=line.tracking_number,
            expected="a unit with these numbers",
            found="none",
            evidence=(
                Evidence(source=_paper(line), says=f"{line.part_number} serial {line.serial_number}", entry=line.entry),
                Evidence(source="units in these records", says="none with these numbers"),
            ),
        )
