"""How long a record must be kept, by published rule. Nothing here deletes anything, and nothing is guessed.

The rules are those of the register (`terms.published`): name, edition and whether they are cited from memory stand
there. A day is the last on which the record must still be there; None is no end.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date

from fleetlife.dates.months import add_months

REGIMES = ("eu", "us")
RECORDS = ("certificate", "work", "modification", "technical log", "life-limited history")


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A record that is kept. record: one of `RECORDS`. superseded_on: the same work was shown to be done again then; of
    a certificate: all that rests on it was, and a later release is filed.

    withdrawn_on: the unit was permanently withdrawn (scrapped). overhaul: the work is an overhaul, or shows one.
    """

    record: str
    dated_on: date
    superseded_on: date | None = None
    withdrawn_on: date | None = None
    overhaul: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What one rule asks: until when (None: no end), and from what that follows. rule: a key of the register."""

    regime: str
    rule: str
    until: date | None
    why: str


def kept_by(held: Held, regimes: Collection[str] = REGIMES) -> tuple[Kept, ...]:
    """What every rule of the regimes asks of the record, in the order of the regimes. Unknown records: KeyError."""
    rules = _RULES[held.record]
    return tuple(kept for regime in REGIMES if regime in regimes for kept in rules(held) if kept.regime == regime)


def latest(kept: Collection[Kept]) -> date | None:
    """The last day of all of them; None where one has no end, and where there is none at all."""
    days = [each.until for each in kept]
    return None if not days or None in days else max(day for day in days if day is not None)


def _months(regime: str, rule: str, held: Held, months: int) -> Kept:
    until = add_months(held.dated_on, months)
    return Kept(regime=regime, rule=rule, until=until, why=f"{months} months from {held.dated_on.isoformat()}")


def _certificate(held: Held) -> Iterator[Kept]:
    """The organisation that released keeps it by its own rule; the operator as long as what rests on it is in force."""
    yield _months("eu", "145.A.55", held, 36)
    yield _months("us", "14 CFR 145.219", held, 24)
    yield from _work(held)


def _log(held: Held) -> Iterator[Kept]:
    yield _months("eu", "AMC M.A.305(e)(1)", held, 36)
    yield _months("us", "14 CFR 91.417(b)(1)", held, 12)


def _work(held: Held) -> Iterator[Kept]:
    yield _until_superseded("eu", "M.A.305(e) detailed records", held, least=36)
    yield _months("us", "14 CFR 91.417(b)(1)", held, 12)
    if held.overhaul:
        yield _until_superseded("us", "14 CFR 135.439(b)", held)
        yield _until_superseded("us", "14 CFR 121.380", held)


def _modification(held: Held) -> Iterator[Kept]:
    yield _until_superseded("eu", "M.A.305(e) detailed records", held, least=36)
    yield Kept(regime="us", rule="14 CFR 91.417(b)(2)", until=None, why="kept, and transferred with the aircraft")


def _history(held: Held) -> Iterator[Kept]:
    rule = "M.A.305(e) life-limited"
    if held.withdrawn_on is None:
        yield Kept(regime="eu", rule=rule, until=None, why="not withdrawn: 12 months after it is")
    else:
        until = add_months(held.withdrawn_on, 12)
        yield Kept(regime="eu", rule=rule, until=until, why=f"12 months from {held.withdrawn_on.isoformat()}")
    yield Kept(regime="us", rule="14 CFR 91.417(b)(2)", until=None, why="kept, and transferred with the aircraft")


def _until_superseded(regime: str, rule: str, held: Held, *, least: int = 0) -> Kept:
    """Until it is superseded, and at least so many months."""
    floor = add_months(held.dated_on, least)
    atleast = f", and at least until {floor.isoformat()}" if least else ""
    if held.superseded_on is None:
        return Kept(regime=regime, rule=rule, until=None, why=f"not superseded{atleast}")
    until = max(held.superseded_on, floor)
    return Kept(regime=regime, rule=rule, until=until, why=f"superseded {held.superseded_on.isoformat()}{atleast}")


_RULES = {
    "certificate": _certificate,
    "work": _work,
    "modification": _modification,
    "technical log": _log,
    "life-limited history": _history,
}
