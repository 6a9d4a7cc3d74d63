"""Receipts: what came in and does not agree, and suspected unapproved parts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fleetlife.checks.register import Evidence, check, finding
from fleetlife.checks.rows import ReceiptRow, SuspectedRow
from fleetlife.terms.finding import Finding


@check("RCP101", "receipt-holds", "stop", waivable=False)
def receipt_holds(rows: Iterable[ReceiptRow]) -> Iterator[Finding]:
    """A unit that was received is on hold: what came in is not what the record says, or a person has yet to decide.

    Why it matters: paper, unit and record of a part that comes in are looked at once, before it lies among the good
    ones. What did not agree then does not come to agree by lying in a bin, and the hold stops a fitting.

    Triggers: the release certificate named at receipt is not filed, is no release, or bears other numbers; none is
    named and none is filed; the mark says 11/2021 and the record 11/2024; the cure date or expiry on the unit is not
    the recorded one; it had expired; damage was seen; the inspector quarantined it.

    Does not: a receipt at which everything agrees; one whose paper was filed since; damage lifted by name with
    `fleetlife stores lift`; a plate that reads otherwise, which is IDN102.

    What to do: file the paper (`fleetlife import certificates.csv`), put right the record or the receipt
    (`fleetlife ledger correct`); these then go by themselves. Damage and a quarantine are lifted with
    `fleetlife stores lift`, by name and evidence. Not waivable: the answer is what clears it.

    What it cannot see: units that came in without a receipt, damage nobody looked for, and paper nobody compared.
    """
    for row in rows:
        told = row.unit.state.receipt or ""
        yield finding(
            "RCP101",
            message=f"On hold by {told}; inspector {row.receipt.inspector}.",
            hint=f"Put right what disagrees; damage and a quarantine: fleetlife stores lift {row.unit.name}",
            found=told,
            evidence=(
                Evidence(source="last receipt", says=told, entry=row.entry),
                Evidence(source="recorded", says=row.unit.name, entry=row.unit.entry),
            ),
            **row.unit.address(),
        )


@check("RCP102", "suspected-part", "stop", rules=("AC 21-29D report",), waivable=False)
def suspected_part(rows: Iterable[SuspectedRow]) -> Iterator[Finding]:
    """A unit is flagged as a suspected unapproved part.

    Why it matters: nobody knows what it is made of or what it has run. It stops a fitting, and lifting another hold
    does not clear it.

    Triggers: somebody said with `fleetlife stores suspect` why they suspect it.

    Does not: a unit that was cleared by name and evidence; papers that disagree, which have findings of their own.

    What to do: keep it apart and gather what the records hold with `fleetlife stores evidence-pack`. Who must be told,
    how and within what time is a rule of the authority: this program reports nothing to anybody. Where it turns out to
    be good, `fleetlife stores clear` says so by name and evidence. Not waivable.

    What it cannot see: whether the suspicion is right, and whether it was reported.
    """
    for row in rows:
        decision = row.decision
        reference = f", {decision.reference}" if decision.reference else ""
        yield finding(
            "RCP102",
            message=f"Suspected unapproved part: {decision.why}; by {decision.decided_by} on {decision.decided_on}"
            f"{reference}.",
            hint=f"Keep it apart; fleetlife stores evidence-pack FOLDER {row.unit.name}",
            found=decision.why,
            evidence=(
                Evidence(source=f"suspicion of {decision.decided_on}", says=decision.why, entry=row.entry),
                Evidence(source="recorded", says=row.unit.name, entry=row.unit.entry),
            ),
            **row.unit.address(),
        )
