"""Deferrals: past their expiry as entered, and open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import DeferralRow
from fleetlife.follows.deferrals import EXPIRED, OPEN
from fleetlife.terms.finding import Finding


@check("DEF101", "deferral-expired", "stop", waivable=False)
def deferral_expired(rows: Iterable[DeferralRow], *, as_of: int) -> Iterator[Finding]:
    """A deferral stands whose expiry, as entered, has passed.

    Why it matters: the item was to be put right by then. What the aircraft may do afterwards is for the operator's
    provisions and those who are authorised under them, and not for this program.

    Triggers: a slide missing at R2, deferred 2026-11-10 to expire 2026-11-20, asked about on 2026-11-21.

    Does not: the day of the expiry itself; one that was closed; one for which no expiry was entered (DEF102).

    What to do: put the item right and close the deferral: `fleetlife deferral close REGISTRATION POSITION`. Where those
    who may have extended it, close it and open the other as they entered it. Not waivable.

    What it cannot see: the item, and an extension that nobody entered. The expiry is as entered; it is not computed.
    """
    for row in rows:
        fact = row.carried.fact
        if row.carried.standing(as_of) != EXPIRED:
            continue
        yield finding(
            "DEF101",
            regards=regards(fact.opened_on),
            message=f"The deferral of {fact.opened_on} has passed its expiry: {row.carried.told(as_of)}.",
            hint=f"Put it right and close it; fleetlife deferral close {row.registration} {fact.position}",
            expected=f"closed by {fact.expires_on}",
            found="open",
            evidence=(Evidence(source="deferral", says=row.carried.told(as_of), entry=row.carried.entry),),
            **row.address(),
        )


@check("DEF102", "deferral-open", "note")
def deferral_open(rows: Iterable[DeferralRow], *, as_of: int) -> Iterator[Finding]:
    """An inoperative or missing item is carried under a deferral that has not expired.

    Why it matters: whoever looks at the airframe sees it, with its conditions, and who authorised it.

    Severity: a note; rectify where no expiry was entered, since nobody can then say when it is over.

    Triggers: a slide missing at R2, deferred 2026-11-10 to expire 2026-11-20, asked about on 2026-11-20.

    Does not: a closed one; an expired one, which is DEF101.

    What to do: keep its conditions; when the item is put right, `fleetlife deferral close REGISTRATION POSITION`. A
    passed maintenance date is not an inoperative item and is not deferred this way: it stays overdue beside it.

    What it cannot see: the item, and whether the conditions are kept.
    """
    for row in rows:
        fact = row.carried.fact
        if row.carried.standing(as_of) != OPEN:
            continue
        yield finding(
            "DEF102",
            regards=regards(fact.opened_on),
            severity="note" if fact.expires_on else "rectify",
            message=f"Carried under a deferral: {row.carried.told(as_of)}.",
            hint=f"Keep its conditions, and close it when done; fleetlife deferral close {row.registration} "
            f"{fact.position}",
            expected="an expiry" if fact.expires_on is None else f"closed by {fact.expires_on}",
            found="none entered" if fact.expires_on is None else "open",
            evidence=(Evidence(source="deferral", says=row.carried.told(as_of), entry=row.carried.entry),),
            **row.address(),
        )
