"""Other movements: off a donor that was not flying, a loan not come back, scrap that could come back, a deployment."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.removal import off_a_donor_not_flying
from fleetlife.checks.rows import DeployedRow, LoanRow, RefitRow, ScrapRow
from fleetlife.dates.partial import day_text
from fleetlife.terms.finding import Finding, Severity
from fleetlife.terms.words import DISPOSITIONS

_SEVERITIES: dict[str, Severity] = {"stop": "stop", "condition": "rectify"}


@check("MOV101", "donor-not-in-service", "stop", rules=("AMC1 145.A.42(a)(ii) accident",), waivable=False)
def donor_not_in_service(rows: Iterable[RefitRow]) -> Iterator[Finding]:
    """A unit flies that came off an airframe which was in an accident, withdrawn or long parked, with no release since.

    Why it matters: what was installed in an aircraft in an accident or incident is unserviceable until somebody who may
    has shown otherwise; and of a donor that stood for long nobody knows what its units took from it.

    Severity: stop; rectify where the airframe's row says parked or withdrawn and nobody stated since when.

    Triggers: robbed from an airframe of which the airframe_states file says accident, released before and not since;
    off an airframe that was parked for 400 days, where 365 are long.

    Does not: a release dated on or after the removal; an airframe parked for a month; one that was parked only after
    the unit had left it.

    What to do: take it off, or file the release: `fleetlife unit PART SERIAL` shows where it was and its papers. How
    many days are long is the operator's setting, long_parked_days; 365 without it, which is common practice and has no
    published source. Not waivable.

    What it cannot see: what nobody stated of the airframe (file airframe_states), and what was done to the unit there.
    """
    for row in rows:
        unit = row.unit
        judged = off_a_donor_not_flying(row.removal) if unit.carried else None
        if judged is None:
            continue
        removed = day_text(row.removal.removed_on)
        yield finding(
            "MOV101",
            regards=regards(removed),
            severity=_SEVERITIES[judged.verdict],
            message=judged.text,
            hint=f"Take it off, or file the release after the removal; {unit.command}",
            certificate=unit.state.release_certificate,
            expected=f"a release on or after {removed}",
            found=day_text(row.removal.released_on) or "none",
            evidence=(
                Evidence(source="removal", says=removed or "", entry=row.removal.entry),
                Evidence(source="fitting", says=day_text(unit.since) or "", entry=unit.since_entry),
            ),
            **unit.address(),
        )


@check("MOV102", "loan-not-returned", "rectify")
def loan_not_returned(rows: Iterable[LoanRow], *, as_of: int) -> Iterator[Finding]:
    """The day on which a loan was to end has passed: a unit lent out is not back, or a borrowed one has not gone back.

    Why it matters: a unit that is away is no spare, and a borrowed one that flies on flies on another's life and at his
    charge.

    Triggers: lent out to be back by 2026-10-01, and on 2026-10-02 still there; borrowed, to go back by 2026-10-01, and
    still on the aircraft.

    Does not: the day itself; a loan for which no day is stated.

    What to do: ask; then record what happened: `fleetlife loan back`, `fleetlife loan return`; or the day agreed anew,
    with `fleetlife ledger correct`.

    What it cannot see: an extension that nobody recorded.
    """
    for row in rows:
        if row.back_by >= as_of:
            continue
        unit, by = row.unit, day_text(row.back_by)
        whom = f" {row.other}" if row.other else ""
        text = f"Borrowed from{whom or ' its owner'}, to go back by {by}; it has not gone."
        if row.out:
            text = f"Lent out to{whom or ' somebody not named'}, to be back by {by}; it is not."
        yield finding(
            "MOV102",
            regards=regards(by),
            message=text,
            hint=f"Record what happened; {'fleetlife loan back' if row.out else 'fleetlife loan return'} "
            f"{unit.state.part_number} {unit.state.serial_number}",
            expected=f"{'back' if row.out else 'returned'} by {by}",
            found="lent out" if row.out else "here",
            evidence=(Evidence(source="the loan", says=f"by {by}", entry=row.entry),),
            **unit.address(),
        )


@check("MOV103", "scrapped-without-disposition", "rectify", rules=("14 CFR 43.10(c) methods",))
def scrapped_without_disposition(rows: Iterable[ScrapRow]) -> Iterator[Finding]:
    """A part with a life limit was scrapped, and nobody recorded how it is kept from being fitted again.

    Why it matters: a part whose life is over looks like one that has some left.

    Triggers: a reservoir with a life limit moved to scrap, and no disposition with it.

    Does not: the same with a disposition; a part without a life limit.

    What to do: find out, and record it: `fleetlife stores scrap PART SERIAL --disposition` with one of record, tag,
    mark, permanent_mark, segregated, mutilated, other.

    What it cannot see: whether it was done.
    """
    for row in rows:
        unit = row.unit
        if unit.state.kind != "scrap" or row.disposition is not None or not row.limits:
            continue
        yield finding(
            "MOV103",
            regards=regards(day_text(unit.since)),
            message=f"Scrapped {day_text(unit.since)} with a life limit ({', '.join(row.limits)}), and how it is kept "
            "from coming back is not recorded.",
            hint=f"Record the disposition; fleetlife stores scrap {unit.state.part_number} {unit.state.serial_number}",
            expected=f"one of {', '.join(DISPOSITIONS)}",
            found="none",
            evidence=(Evidence(source="to scrap", says=day_text(unit.since) or "", entry=unit.since_entry),),
            **unit.address(),
        )


@check("MOV104", "deployed-not-released", "stop", waivable=False)
def deployed_not_released(rows: Iterable[DeployedRow]) -> Iterator[Finding]:
    """An airframe carries a unit that has deployed, with no release since.

    Why it matters: what has deployed is open, emptied of its gas and out of its pack. It is unserviceable until a shop
    has packed and released it.

    Triggers: an unintended deployment at L1 on 2026-11-20, and the records still have the unit there.

    Does not: a release dated on or after that day; a unit that is off, in a store or at a shop.

    What to do: record its removal: `fleetlife swap record`. Whether the event is to be reported, to whom and by when,
    follows the authority's rules; this program reports nothing. Not waivable.

    What it cannot see: a deployment that nobody recorded (`fleetlife operation record` with deployment).
    """
    for row in rows:
        state = row.unit.state
        if not row.unit.carried or (state.released_on is not None and state.released_on >= row.on):
            continue
        on = day_text(row.on)
        yield finding(
            "MOV104",
            regards=regards(on),
            message=f"It deployed on {on}{f' ({row.intent})' if row.intent else ''} and is not released since: "
            "unserviceable.",
            hint=f"Take it off, and record that; {row.unit.command}",
            certificate=state.release_certificate,
            expected=f"a release on or after {on}",
            found=day_text(state.released_on) or "none",
            evidence=(Evidence(source="deployment", says=row.intent or "intent not stated", entry=row.entry),),
            **row.unit.address(),
        )
