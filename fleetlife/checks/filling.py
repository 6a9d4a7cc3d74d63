"""May this cylinder be filled: every stop, from its due rows as they would stand with the filling. Pure.

A cylinder past its requalification date is not refilled before it is requalified, charged or not, and one with a
service life not after that life (PHMSA interpretation 11-0131, 1 Sep 2011). Topping up is filling (PHMSA 16-0147). A
permitted variation of a programme gives no leave to fill.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fleetlife.checks.cylinders import against_the_test
from fleetlife.checks.life import NO_MARK
from fleetlife.life.expansion import ExpansionTest
from fleetlife.life.operations import FILLINGS
from fleetlife.life.values import Judged, Requirement
from fleetlife.terms.views import Reason

NO_RECORD = "no-operation-record"
PAST = ("overdue", "no refill", "in variation")
# Whatever a programme calls it, putting the gas in is what is stopped.
FILLING_WORDS = (
    *FILLINGS,
    *(
        "pressurisation",
        "pressurisations",
        "refill",
        "refilling",
        "top-up",
        "topping up",
        "charge",
        "charging",
        "recharge",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FillRow:
    """One due row of the unit, judged with the filling counted. `rule` None: no programme."""

    name: str
    rule: Requirement | None
    judged: Judged


def is_filling(operation: str) -> bool:
    """Whether the operation puts gas into a cylinder."""
    return operation.casefold() in FILLING_WORDS


def judges_gas(rule: Requirement | None) -> bool:
    """Whether the rule is one by which a cylinder may be filled or not."""
    return rule is not None and rule.kind in ("requalification", "life_limit")


def judge_filling(
    rows: Sequence[FillRow], *, operation: str, tests: Sequence[tuple[str, ExpansionTest]] = ()
) -> tuple[Reason, ...]:
    """The stops, one a row; none when nothing in these records is against it. `tests`: the cylinder's expansion tests.

    A service life counted in another operation (activations) stops that operation too. With neither a requalification
    nor a service life stated, nor that nothing applies, nothing shows that it may be filled.
    """
    filling = is_filling(operation)
    stops: list[Reason] = []
    for row in rows:
        rule = row.rule
        if rule is None:
            if filling:
                stops.append(_stop("LIF103", f"{row.name}: {row.judged.state_reason}"))
        elif judges_gas(rule) and (filling or (rule.kind == "life_limit" and _counts(rule, operation))):
            stops.extend(_stops_of(row, rule))
    stated = any(row.rule is None or judges_gas(row.rule) or row.rule.kind == "on_condition" for row in rows)
    if filling and not stated:
        what = f"{rows[0].name}: no" if rows else "No"
        stops.append(_stop("LIF103", f"{what} requirement of requalification or of a service life is in force for it."))
    if filling:
        name = rows[0].name if rows else "The cylinder"
        against = against_the_test(name, tests, topic="filling")
        stops.extend(reason for reason in against if reason.verdict == "stop")
    return tuple(stops)


def before_the_records(*, name: str, begin: str, on: str) -> Reason:
    """The stop of a filling older than the unit's opening statement: whether it was in date then nobody can show."""
    return _stop(
        "LIF102", f"{name}: its records begin on {begin}; whether it was within its date on {on} cannot be shown."
    )


def _stops_of(row: FillRow, rule: Requirement) -> Iterable[Reason]:
    judged = row.judged
    told = f"{row.name} {rule.requirement}: {judged.state_reason}"
    if judged.state in PAST:
        life = rule.kind == "life_limit"
        why = "Past its service life it is not filled again." if life else "It is not filled before it is requalified."
        yield _stop("LIF101", f"{told} {why}")
    elif judged.state == "unknown" or (rule.kind == "life_limit" and _partly_unknown(judged)):
        unmarked = any(unknown.cause == NO_MARK for unknown in judged.unknown)
        yield _stop("LIF104" if unmarked else "LIF102", told)


def _partly_unknown(judged: Judged) -> bool:
    """Whether a life is not known in full; that no filling is recorded yet is what recording one mends."""
    return any(unknown.cause != NO_RECORD for unknown in judged.unknown)


def _counts(rule: Requirement, operation: str) -> bool:
    return rule.operation is not None and rule.operation.casefold() == operation.casefold()


def _stop(code: str, text: str) -> Reason:
    return Reason(topic="filling", verdict="stop", code=code, text=text)
