"""Publications: what is open past its limit, whom it cannot be told of, and what nobody stated."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from fleetlife.checks.register import Evidence, check, finding
from fleetlife.follows.publications import Notice
from fleetlife.terms.asked import CANNOT_BE_TOLD, PublicationRow
from fleetlife.terms.finding import Finding

OF_PUBLICATIONS = ("PUB101", "PUB102", "PUB103", "PUB104")


def _command(row: PublicationRow) -> str:
    return f"fleetlife publication status {row.publication}"


def _address(row: PublicationRow) -> dict[str, Any]:
    """The unit's address; the publication stands as the paper that the finding is about, so that what is waived or
    acknowledged is that one and no other."""
    return {
        "registration": row.registration,
        "position": row.position,
        "part_number": row.part_number,
        "serial_number": row.serial_number,
        "manufacturer": row.manufacturer,
        "certificate": row.publication,
        "unit": row.unit,
        "airframe": row.airframe,
    }


def _evidence(row: PublicationRow, says: str) -> tuple[Evidence, ...]:
    found = [Evidence(source=row.named, says=row.why_affected, entry=row.publication_entry)]
    if row.ask_entry is not None:
        found.append(Evidence(source=f"{row.named}, {row.action}", says=says, entry=row.ask_entry))
    return tuple(found)


def _past(code: str, row: PublicationRow) -> Finding:
    return finding(
        code,
        message=f"{row.named}, {row.action}: open past its limit. {row.state_reason}",
        hint=f"Done: take in its papers (fleetlife import). Not done: {row.closes}; {_command(row)}",
        expected=f"done by {row.due_date}" if row.due_date else "done within its limit",
        found="nothing recorded that closes it" if row.last_done is None else f"last done {row.last_done}",
        evidence=_evidence(row, row.state_reason),
        **_address(row),
    )


@check("PUB101", "directive-past-its-limit", "stop", rules=("14 CFR 39.7",), waivable=False)
def directive_past_its_limit(rows: Iterable[PublicationRow]) -> Iterator[Finding]:
    """A mandatory directive applies to the unit, its limit has passed, and nothing recorded closes it.

    Why it matters: nobody may operate the aeroplane with it, and no operator's approval extends a directive.

    Triggers: replace by 2026-03-31, and no modification, no work against the directive is recorded on 2026-04-01.

    Does not: the last day itself; a unit whose modification is recorded; a directive superseded or cancelled by then; a
    unit on the scrap heap.

    What to do: where it was done, take in the paper that shows it, in unit_modifications or accomplishments, with
    `fleetlife import`. Where it was not, the unit comes off, or the authority that issued the directive agrees to
    something else, which these records do not judge.

    What it cannot see: other means of compliance that the authority accepted, and directives that nobody has taken in.
    """
    for row in rows:
        if row.mandatory and row.state == "overdue":
            yield _past("PUB101", row)


@check("PUB102", "bulletin-past-its-limit", "rectify")
def bulletin_past_its_limit(rows: Iterable[PublicationRow]) -> Iterator[Finding]:
    """A bulletin or an alert applies to the unit, the time it gives has passed, and nothing recorded closes it.

    Why it matters: a manufacturer says what he has found; whether the operator follows is decided, and not forgotten.

    Triggers: a bulletin asks for an inspection within 500 cycles of its effective date; the unit has run 612 since.

    Does not: a bulletin that a directive in these records supersedes; work recorded in time; one that only informs.

    What to do: take in the paper of the work with `fleetlife import`, or waive the finding until a day, with the
    reference of the decision.

    What it cannot see: a decision not to follow the bulletin that nobody recorded.
    """
    for row in rows:
        if not row.mandatory and row.state == "overdue":
            yield _past("PUB102", row)


@check("PUB103", "applicability-not-known", "rectify", rules=("14 CFR 39.15",))
def applicability_not_known(rows: Iterable[PublicationRow]) -> Iterator[Finding]:
    """Whether a publication applies to the unit cannot be told from these records.

    Why it matters: unknown is not the same as not affected; the directive may apply.

    Triggers: a range 0101 to 0150 and a unit AX-0120; a range of dates of manufacture and a unit with none recorded; a
    part number that the unit bore and bears no longer; a maker's name spelled otherwise.

    Does not: a serial number of the same form outside the range; a unit on which what closes it is recorded.

    What to do: find out what is missing: the plate, the certificate it was first released with, or the issuer's word.
    State a row that names the unit, or leaves it out, with `fleetlife import applicability.csv`.

    What it cannot see: applicability by anything else than numbers, maker and manufacture.
    """
    for row in rows:
        if row.affected == CANNOT_BE_TOLD and row.state == "unknown":
            yield finding(
                "PUB103",
                message=f"Whether {row.named} applies cannot be told. {row.why_affected}",
                hint=f"State what is missing, or a row for it: fleetlife import applicability.csv; {_command(row)}",
                expected="affected or not affected",
                found=row.why_affected,
                evidence=_evidence(row, row.why_affected),
                **_address(row),
            )


@check("PUB104", "compliance-not-known", "rectify")
def compliance_not_known(rows: Iterable[PublicationRow]) -> Iterator[Finding]:
    """A publication applies to the unit, and by when it must be complied with cannot be told, or not in every measure.

    Why it matters: the limit may have passed without anybody seeing it.

    Triggers: 5,000 cycles since new and no total since new recorded; 500 cycles after the effective date and no reading
    around that day; a publication of which nobody stated what it asks for.

    Does not: a limit that has passed in a measure that is known, which is found as that; a letter that only informs.

    What to do: take in what is missing with `fleetlife import`: the unit's totals, the airframe's readings, the date of
    manufacture, or what the publication asks for in compliance.csv.

    What it cannot see: a limit in a measure that nobody stated.
    """
    for row in rows:
        unknown = row.state == "unknown" or (row.unknown_measures is not None and row.state != "overdue")
        if row.affected != CANNOT_BE_TOLD and unknown:
            named = f"{row.named}, {row.action}" if row.action else row.named
            yield finding(
                "PUB104",
                message=f"{named}: by when cannot be told, or not in full. {row.state_reason}",
                hint=f"Take in what is missing: fleetlife import; {_command(row)}",
                expected="a limit known in every measure",
                found=row.unknown_measures or "nothing stated",
                evidence=_evidence(row, row.state_reason),
                **_address(row),
            )


@check("PUB105", "publication-without-applicability", "rectify")
def publication_without_applicability(notices: Iterable[Notice]) -> Iterator[Finding]:
    """A publication is in force, and the records do not say which units it names; one finding for each.

    Why it matters: it may mean every unit, and none is judged by it.

    Triggers: a directive, or a new revision of one, is taken in without rows of its own in applicability.csv.

    Does not: a revision that is not in effect yet; one superseded or cancelled.

    What to do: take in whom it names with `fleetlife import applicability.csv`; rows of an earlier revision are not
    carried over, because a revision may well change them.

    What it cannot see: whether the rows that are there are all that the publication names.
    """
    for notice in notices:
        if notice.names_units:
            continue
        yield finding(
            "PUB105",
            message=f"{notice.named}, effective {notice.fact.effective_on}: which units it names is not stated.",
            hint=f"fleetlife import applicability.csv; fleetlife publication status {notice.reference}",
            certificate=notice.reference,
            expected="rows that name units",
            found=f"{len(notice.rows)} rows, none of which names any",
            evidence=(Evidence(source=notice.named, says=f"effective {notice.fact.effective_on}", entry=notice.entry),),
        )


def findings_of_rows(rows: Iterable[PublicationRow]) -> Iterator[Finding]:
    """Everything found of what publications ask of units."""
    for row in rows:
        for judged in (
            directive_past_its_limit,
            bulletin_past_its_limit,
            applicability_not_known,
            compliance_not_known,
        ):
            yield from judged((row,))
