"""From a case about a publication to the row that the checks judge: by the rules themselves, as the records would."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from fleetlife.checks import publications
from fleetlife.dates.moment import end_of_day
from fleetlife.dates.partial import day_number, day_text, parse_partial
from fleetlife.fit.applicability import UnitNamed, judge_affected
from fleetlife.follows.publications import Notice, asks_of, demand_of, in_force
from fleetlife.follows.reference import Reference
from fleetlife.ledger.publications import Applicability, Compliance, Publication
from fleetlife.life.compliance import demanded_point, requirement_of
from fleetlife.life.state import judge
from fleetlife.life.values import Count, Done, History
from fleetlife.terms.asked import AFFECTED, CANNOT_BE_TOLD, PublicationRow
from fleetlife.terms.finding import Finding

Words = dict[str, Any]
OF = "QD-1"


def notices(given: Words) -> tuple[Notice, ...]:
    """The publications in force on the day asked: QD-1, and with `superseded_by` another that takes its place."""
    facts: list[Any] = [
        Publication(
            publication=OF,
            kind=given.get("kind_of", "directive"),
            effective_on=str(given.get("effective", "2025-03-01")),
            cancelled_on=given.get("cancelled"),
        )
    ]
    if "superseded_by" in given:
        day = str(given["superseded_by"])
        facts.append(Publication(publication="QD-2", kind="directive", effective_on=day, supersedes=OF))
        facts.append(Applicability(publication="QD-2", part_number="XX-*"))
    rows = given.get("names", [{"part_number": "SL-100-*"}])
    facts += [Applicability(publication=OF, **row) for row in rows]
    facts += [Compliance(publication=OF, action="replace", **ask) for ask in given.get("asks", ())]
    return in_force(Reference((100 + n, fact) for n, fact in enumerate(facts)), asked(given))


def asked(given: Words) -> int:
    return day_number(str(given.get("asked", "2026-02-01")))


def rows(given: Words) -> list[PublicationRow]:
    """What QD-1 asks of the one unit of the case."""
    words = given.get("unit", {})
    made = words.get("made", "2018-05")
    unit = UnitNamed(
        borne=((0, words.get("part", "SL-100-1")),),
        serial_number=str(words.get("serial", "0101")),
        manufacturer=words.get("maker", "Kittiwake"),
        manufactured=parse_partial(str(made)) if made else None,
    )
    found = []
    for notice in notices(given):
        affected = judge_affected(unit, [row for _, row in notice.rows])
        if affected.outcome == "no":
            continue
        sure = affected.outcome == "yes"
        asks = asks_of(notice, affected.groups if sure else affected.possible)
        for number, ask in asks or ((None, None),):
            found.append(_row(given, notice, unit, sure, " ".join(affected.reasons), number, ask))
    return found


def _row(
    given: Words,
    notice: Notice,
    unit: UnitNamed,
    sure: bool,
    why: str,
    number: int | None,
    ask: Compliance | None,
) -> PublicationRow:
    state, reason, due, unknown, last = "unknown", f"Whether it applies cannot be told. {why}", None, None, None
    if sure and ask is None:
        letter = notice.fact.kind == "letter"
        state, reason = (
            ("in date", "It informs.") if letter else ("unknown", "The records do not say what it asks for.")
        )
    elif sure and ask is not None:
        demand, day = demand_of(notice, ask, unit.borne[-1][1]), asked(given)
        done = given.get("done")
        work = () if done is None else (_done(demand.work, str(done)),)
        history = History(
            unit_id=1,
            as_of=end_of_day(day_number("2025-01-01")),
            manufactured=unit.manufactured,
            opening=Count(cycles=given.get("unit", {}).get("cycles"), minutes=0),
            now=Count(minutes=0, cycles=0),
            done=work,
        )
        point = demanded_point(demand, history, at_effective=Count(minutes=0, cycles=0), as_of=day)
        told = judge(requirement_of(demand), point, None, as_of=day, window_from=None, window_until=None, stored=False)
        state, reason, due, last = told.state, told.state_reason, day_text(told.due_date), day_text(point.last_done)
        unknown = "; ".join(f"{u.measure}: {u.cause}" for u in told.unknown) or None
    return PublicationRow(
        publication=OF,
        revision=None,
        kind=notice.fact.kind,
        mandatory=notice.mandatory,
        affected=AFFECTED if sure else CANNOT_BE_TOLD,
        state=state,
        state_reason=reason,
        why_affected=why,
        place="store Main store",
        part_number=unit.borne[-1][1],
        serial_number=unit.serial_number,
        manufacturer=unit.manufacturer,
        unit=1,
        action=None if ask is None else ask.action,
        due_date=due,
        unknown_measures=unknown,
        last_done=last,
        closes=None if ask is None else "work recorded as QD-1",
        publication_entry=notice.entry,
        ask_entry=number,
    )


def _done(work: str, on: str) -> Done:
    day = day_number(on)
    return Done(
        requirement=work,
        date=parse_partial(on),
        day=day,
        moment=end_of_day(day),
        count=Count(minutes=0, cycles=0),
    )


def _of_rows(judged: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    return lambda given: judged(rows(given))


JUDGED: dict[str, Callable[[Words], Iterator[Finding]]] = {
    "PUB101": _of_rows(publications.directive_past_its_limit),
    "PUB102": _of_rows(publications.bulletin_past_its_limit),
    "PUB103": _of_rows(publications.applicability_not_known),
    "PUB104": _of_rows(publications.compliance_not_known),
    "PUB105": lambda given: publications.publication_without_applicability(notices(given)),
}
