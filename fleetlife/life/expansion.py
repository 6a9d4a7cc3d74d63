"""The result of a cylinder's volumetric expansion test, judged by the published limits.

Total and permanent expansion are read in the test; elastic expansion is total less permanent (49 CFR 180.203, 2004
edition). A cylinder of a DOT specification is condemned if its permanent expansion is over 10 % of the total, of
specification 4E over 12 %; one of specification 3HT also if its elastic expansion is over the rejection elastic
expansion marked on it (180.205, read in a reproduction). Exactly at a limit it passes: the rule says over. For a
special permit the permit's own figures hold, and are never supposed. Condemned is not restorable, by repair, rebuilding
or another test (180.203).

Volumes are exact decimals in one unit, as a rule cubic centimetres; in the records they are whole thousandths of a
cubic centimetre (`ExpansionTest`). Nothing here says how the test is made.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from fleetlife.terms.published import RULES
from fleetlife.terms.refusal import Refusal

Outcome = Literal["passed", "condemned", "unknown"]

# 49 CFR 180.209(a) Table 1: the specifications that are tested. 3E and 4L need no test and have no limit here.
_TESTED = frozenset(
    "3 3A 3AA 3AL 3AX 3AAX 3B 3BN 3HT 3T 4AA480 4B 4BA 4BW 4B-240ET 4D 4DA 4DS 4E 8 8AL".split()  # noqa: SIM905
)
_PERMANENT_PERCENT, _PERMANENT_PERCENT_4E = Decimal(10), Decimal(12)
_BY_ELASTIC = "3HT"
_MAKER = re.compile(r"(?:DOT|ICC)[ -]*")
_PRESSURE = re.compile(r"[ -]?[0-9]{3,4}")
_TEXT = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,6})?")
_MOST_DECIMALS, _LARGEST = 6, 10**9
_THOUSAND = 1000


# What is told beside a judgement: where the limits were read.
PUBLISHED = f"limits: {RULES['49 CFR 180.205'].named}; elastic expansion and condemned: {RULES['49 CFR 180.203'].named}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpansionTest:
    """The figures of a test as recorded, in thousandths of a cubic centimetre. `limit`: the marked elastic one."""

    total: int
    permanent: int
    specification: str
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """A figure that cannot be: which of `total`, `permanent`, `limit` and `specification`, why, and what to do."""

    figure: str
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Permit:
    """What a special permit says of the test: the permanent expansion allowed in per cent of the total, and whether the
    elastic expansion is held against the marked one."""

    number: str
    permanent_percent: Decimal
    by_elastic: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpansionJudged:
    """What follows from a test. `permanent_percent` is of the total, to hundredths, rounded up; `reasons` are
    sentences, first those that condemn."""

    outcome: Outcome
    elastic: Decimal
    permanent_percent: Decimal
    reasons: tuple[str, ...]


def judge_expansion(
    *,
    specification: str,
    total: Decimal,
    permanent: Decimal,
    rejection_elastic: Decimal | None = None,
    permit: Permit | None = None,
) -> ExpansionJudged:
    """Passed or condemned, with the published reason; unknown where the limit or the marked figure is not stated.

    `specification` is the mark, with or without DOT and the service pressure (`3HT`, `DOT-3HT1850`).
    `rejection_elastic` is the figure marked on the cylinder. What condemns is never hidden behind what is unknown.

    Refusals: `expansion-not-read` (no exact decimal, or more than six decimals), `expansion-impossible` (below zero, a
    total of nothing, more permanent than total).
    """
    for volume in (total, permanent, rejection_elastic, None if permit is None else permit.permanent_percent):
        _check_exact(volume)
    if not 0 <= permanent <= total or total == 0 or (rejection_elastic is not None and rejection_elastic <= 0):
        raise Refusal(
            "expansion-impossible",
            f"A permanent expansion of {permanent} in a total of {total} cannot be"
            f"{'' if rejection_elastic is None else f', or a marked {rejection_elastic}'}.",
            remedy="Read the test report again: total, permanent and the marked rejection elastic expansion.",
        )
    elastic = total - permanent
    name = specification_of(specification)
    limit, rule, by_elastic = _limits(name, permit)
    condemning: list[str] = []
    missing: list[str] = []
    if limit is None:
        missing.append(
            f"No limit of the permanent expansion is published here for {specification!r}; state its permit's."
        )
    elif permanent * 100 > limit * total:
        condemning.append(f"Permanent expansion {permanent} is over {limit} % of the total {total} ({rule}).")
    if by_elastic and rejection_elastic is None:
        missing.append(f"The rejection elastic expansion marked on the cylinder is not stated ({rule}).")
    elif by_elastic and rejection_elastic is not None and elastic > rejection_elastic:
        condemning.append(f"Elastic expansion {elastic} is over the marked {rejection_elastic} ({rule}).")
    outcome: Outcome = "condemned" if condemning else "unknown" if missing else "passed"
    within = f"Permanent expansion {permanent} is within {limit} % of the total {total} ({rule})."
    return ExpansionJudged(
        outcome=outcome,
        elastic=elastic,
        permanent_percent=_percent_up(permanent, total),
        reasons=(*condemning, *missing) or (within,),
    )


def judge_recorded(test: ExpansionTest) -> ExpansionJudged:
    """The judgement of a recorded test. Refusals as for `judge_expansion`."""
    return judge_expansion(
        specification=test.specification,
        total=volume(test.total),
        permanent=volume(test.permanent),
        rejection_elastic=None if test.limit is None else volume(test.limit),
    )


def expansion_told(test: ExpansionTest) -> str:
    """A recorded test in one passage: the figures, the percentage, the outcome, the limit and where it was read."""
    judged = judge_recorded(test)
    marked = "" if test.limit is None else f" (marked limit {volume(test.limit)})"
    return (
        f"expansion test of a {test.specification} cylinder, in cubic centimetres: total {volume(test.total)}, "
        f"permanent {volume(test.permanent)}, which is {judged.permanent_percent} % of the total, elastic "
        f"{judged.elastic}{marked}: {_OUTCOMES[judged.outcome]}. {' '.join(judged.reasons)} By {PUBLISHED}."
    )


# What is recorded of a test, as `unfit_figures` calls it.
EXPANSION_FIGURES = ("total", "permanent", "limit", "specification")

_OUTCOMES: dict[str, str] = {
    "passed": "within the published limit",
    "condemned": "over the published limit, the cylinder is condemned",
    "unknown": "not shown to be within the published limit",
}


def unfit_figures(
    *, total: int | None, permanent: int | None, limit: int | None, specification: str | None
) -> Unfit | None:
    """What is wrong with figures as stated, in thousandths of a cubic centimetre; None where they can be judged.

    They are stated together or not at all, the marked limit beside them where there is one.
    """
    stated = {"total": total, "permanent": permanent, "specification": specification}
    if limit is None and not any(value is not None for value in stated.values()):
        return None
    for figure, value in stated.items():
        if value is None:
            return Unfit(
                figure=figure,
                reason="The figures of an expansion test are incomplete.",
                remedy="State total, permanent expansion and the cylinder's specification, or none of them.",
            )
    assert total is not None
    assert permanent is not None
    assert specification is not None
    again = "Read the test report again."
    for figure, read in (("total", total), ("permanent", permanent), ("limit", limit)):
        if read is not None and (read < 0 or (read == 0 and figure != "permanent")):
            return Unfit(figure=figure, reason=f"An expansion of {volume(read)} cannot be.", remedy=again)
        if read is not None and read >= _LARGEST * _THOUSAND:
            return Unfit(figure=figure, reason="No cylinder expands so much.", remedy=again)
    if permanent > total:
        return Unfit(
            figure="permanent",
            reason=f"A permanent expansion of {volume(permanent)} is more than the total of {volume(total)}.",
            remedy=f"{again} The permanent expansion is a part of the total.",
        )
    if specification_of(specification) is None:
        return Unfit(
            figure="specification",
            reason=f"No limit of the expansion is published here for a cylinder of {specification!r}.",
            remedy=f"Write the mark, for instance DOT-3HT1850; known are {', '.join(sorted(_TESTED))}. Under a special "
            "permit the permit's own figures hold: leave the figures out.",
        )
    return None


def parse_expansion(text: str) -> Decimal:
    """A volume as printed on the report: digits and a point. Refusal: `expansion-not-read`."""
    if not _TEXT.fullmatch(text.strip()):
        raise Refusal(
            "expansion-not-read",
            f"{text!r} is no volume.",
            remedy="Write digits and, with decimals, a point: 188.5. Up to six decimals; nothing in thousands.",
        )
    return Decimal(text.strip())


def specification_of(text: str) -> str | None:
    """The specification named by a mark such as `DOT-3HT1850`; None for one that is not known here."""
    wanted = " ".join(text.upper().split())
    match = _MAKER.match(wanted)
    wanted = wanted[match.end() :] if match else wanted
    if wanted in _TESTED:
        return wanted
    # the longest first, so that 3AA1800 is no 3A of some other pressure
    for name in sorted(_TESTED, key=len, reverse=True):
        if wanted.startswith(name) and _PRESSURE.fullmatch(wanted[len(name) :]):
            return name
    return None


def _limits(name: str | None, permit: Permit | None) -> tuple[Decimal | None, str, bool]:
    """The per cent allowed, the rule that says so, and whether the elastic expansion has a limit too."""
    if permit is not None:
        return permit.permanent_percent, f"permit {permit.number}", permit.by_elastic
    if name is None:
        return None, "no rule known here", False
    limit = _PERMANENT_PERCENT_4E if name == "4E" else _PERMANENT_PERCENT
    return limit, RULES["49 CFR 180.205"].key, name == _BY_ELASTIC


def _check_exact(volume: Decimal | None) -> None:
    """Sums and products of such values are exact: no rounding decides whether a cylinder is condemned."""
    if volume is None:
        return
    exponent = volume.as_tuple().exponent if isinstance(volume, Decimal) else None
    if not isinstance(exponent, int) or exponent < -_MOST_DECIMALS or abs(volume) >= _LARGEST:
        raise Refusal(
            "expansion-not-read",
            f"{volume!r} is no exact decimal of at most six decimals.",
            remedy="Give the figure as printed on the test report.",
        )


def volume(thousandths: int) -> Decimal:
    """Cubic centimetres without trailing zeros."""
    whole, rest = divmod(thousandths, _THOUSAND)
    return Decimal(f"{whole}.{rest:03d}".rstrip("0").rstrip(".")) if thousandths >= 0 else -volume(-thousandths)


def _percent_up(permanent: Decimal, total: Decimal) -> Decimal:
    scale = 10**_MOST_DECIMALS
    part, whole = int(permanent * scale), int(total * scale)
    return Decimal(-(-part * 10_000 // whole)).scaleb(-2)
