"""Approvals: certificates signed outside an approval's validity, under another organisation's, or under none known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import FiledLine, PaperTally, WholePaper
from fleetlife.dates.partial import day_number
from fleetlife.ledger.facts import Approval
from fleetlife.terms.finding import Finding, Severity
from fleetlife.terms.number import fold

Approvals = Sequence[tuple[int, Approval]]


def approvals_by_number(stated: Iterable[tuple[int, Approval]]) -> dict[str, list[tuple[int, Approval]]]:
    """(entry, approval) of every approval, by its folded number."""
    found: dict[str, list[tuple[int, Approval]]] = {}
    for number, approval in stated:
        found.setdefault(fold(approval.approval), []).append((number, approval))
    return found


def _valid(approval: Approval, day: int) -> bool:
    if approval.valid_from and day < day_number(approval.valid_from):
        return False
    return not (approval.valid_to and day > day_number(approval.valid_to))


def _period(approval: Approval) -> str:
    return f"{approval.valid_from or 'no day stated'} to {approval.valid_to or 'no day stated'}"


def _named(line: FiledLine) -> tuple[str, ...]:
    """The approvals that the line is signed under: its authority's, and the second one's."""
    return tuple(text for text in (line.fact.approval, line.fact.second_approval) if text)


def _own(line: FiledLine, held: Approvals) -> list[tuple[int, Approval]]:
    organisation = fold(line.fact.organisation)
    return [(number, approval) for number, approval in held if fold(approval.organisation) == organisation]


def _rests_on(line: FiledLine) -> bool:
    """The unit is fitted, and this is its latest release."""
    unit = line.unit
    return (
        unit is not None
        and unit.carried
        and unit.state.release_certificate == line.fact.tracking_number
        and unit.state.released_on == line.dated_on
    )


@check("APP101", "signed-outside-approval", "rectify", rules=("AC 21-29 indicators",))
def signed_outside_approval(
    papers: Iterable[WholePaper], *, approvals: dict[str, list[tuple[int, Approval]]]
) -> Iterator[Finding]:
    """A certificate is dated before its issuer's approval began or after it ended.

    Why it matters: on that day nobody there could release anything under that approval.

    Severity: stop where it is the paper that the present fitting rests on, rectify otherwise.

    Triggers: signed 2025-02-10 under an approval that was valid until 2024-12-31.

    Does not: the last day of its validity; an approval renewed without a gap, each time a row of its own; an approval
    for which no days are stated.

    What to do: compare the paper with the certificate of approval; correct a date with `fleetlife ledger correct`, or
    take the renewal in with `fleetlife import approvals.csv`. What follows is decided by authorised staff.

    What it cannot see: whether the item was within the scope of the approval, and a suspension nobody took in.
    """
    for paper in papers:
        for line in paper.lines:
            for number in _named(line):
                own = _own(line, approvals.get(fold(number), ()))
                if not own or any(_valid(approval, line.dated_on) for _, approval in own):
                    continue
                periods = "; ".join(_period(approval) for _, approval in own)
                severity: Severity = "stop" if _rests_on(line) else "rectify"
                yield finding(
                    "APP101",
                    regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, number),
                    severity=severity,
                    message=f"The {paper.named} of {line.fact.dated_on} is signed under approval {number}, which was "
                    f"valid {periods}.",
                    hint=f"Compare with the certificate of approval; fleetlife certificate {paper.tracking_number}",
                    expected=f"signed within {periods}",
                    found=line.fact.dated_on,
                    evidence=(
                        Evidence(source=paper.named, says=line.fact.dated_on, entry=line.entry),
                        *(
                            Evidence(source=f"approval {number}", says=_period(approval), entry=entry)
                            for entry, approval in own
                        ),
                    ),
                    **line.address(),
                )


@check("APP102", "approval-of-another-organisation", "rectify", rules=("AC 21-29 indicators",))
def approval_of_another_organisation(
    papers: Iterable[WholePaper], *, approvals: dict[str, list[tuple[int, Approval]]]
) -> Iterator[Finding]:
    """A certificate is signed under an approval that the records know as another organisation's.

    Why it matters: the number was copied, or the paper was issued by somebody else than it says.

    Severity: stop where it is the paper that the present fitting rests on, rectify otherwise.

    Triggers: a certificate of Petrel Works under approval Q.145.0021, which is Fulmar Repair's.

    Does not: a number that both hold by their own authorities; a number that nobody in the records holds.

    What to do: compare the paper with the certificate of approval; correct the number or the organisation with
    `fleetlife ledger correct`, or take the approval in with `fleetlife import approvals.csv`.

    What it cannot see: an organisation that changed its name: state it under both.
    """
    for paper in papers:
        for line in paper.lines:
            for number in _named(line):
                held = approvals.get(fold(number), [])
                if not held or _own(line, held):
                    continue
                owners = " and ".join(dict.fromkeys(approval.organisation for _, approval in held))
                severity: Severity = "stop" if _rests_on(line) else "rectify"
                yield finding(
                    "APP102",
                    regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, number),
                    severity=severity,
                    message=f"The {paper.named} is signed under approval {number}, which is {owners}'s.",
                    hint=f"Compare with the certificate of approval; fleetlife certificate {paper.tracking_number}",
                    expected=f"an approval of {paper.organisation}",
                    found=f"{number} of {owners}",
                    evidence=(
                        Evidence(source=paper.named, says=f"approval {number}", entry=line.entry),
                        *(Evidence(source=f"approval {number}", says=a.organisation, entry=n) for n, a in held),
                    ),
                    **line.address(),
                )


@check("APP103", "approval-not-known", "note", rules=("AC 21-29 indicators",))
def approval_not_known(tallies: Iterable[PaperTally]) -> Iterator[Finding]:
    """Certificates are signed under an approval that is not in the records, or under none that they name; one finding
    for each organisation and approval.

    Why it matters: nothing here shows that the issuer was approved.

    Triggers: six certificates of Petrel Works under approval Q.145.0099, where the approvals taken in do not name it.

    Does not: records without any approvals, where an audit says that this was not checked.

    What to do: take the approval in with `fleetlife import approvals.csv`, or correct the number with
    `fleetlife ledger correct`.

    What it cannot see: whether the approval exists.
    """
    for tally in tallies:
        fact = tally.first.fact
        under = f"under approval {tally.what}, which is not in the records" if tally.what else "under no approval named"
        count = f"{tally.count} certificate{'s' if tally.count != 1 else ''}"
        yield finding(
            "APP103",
            regards=regards(tally.organisation, tally.what),
            message=f"{count} of {tally.organisation} {'are' if tally.count != 1 else 'is'} signed {under}.",
            hint=f"Take the approval in: fleetlife import approvals.csv; fleetlife certificate {fact.tracking_number}",
            certificate=fact.tracking_number,
            expected=f"an approval of {tally.organisation} in these records",
            found=tally.what or "none named",
            evidence=(
                Evidence(
                    source=f"certificate {fact.tracking_number}",
                    says=f"approval {tally.what}" if tally.what else "no approval",
                    entry=tally.first.entry,
                ),
            ),
        )
