"""What the status term of a release says, and which requirements a paper with that term can show to be done.

EASA Form 1, Appendix II to Part-M (Regulation (EU) No 1321/2014), block 11: exactly one term, the one that covers
most of the work. On the maintenance form: Overhauled, Repaired, Inspected/Tested, Modified; on the production
form (Part 21): New or Prototype. Production and maintenance items are never mixed on one certificate. These
sentences were read in the published text. Overhauled, quoted in EASA FAQ 142042: a process that ensures full
conformity with all applicable service tolerances, at least disassembly, cleaning, inspection, repair as necessary,
reassembly and test. The definitions of Repaired, Inspected/Tested and Modified are from memory: rectification of
defects, examination or measurement or a functional or bench test, and alteration, each to an applicable standard.

FAA Form 8130-3, Order 8130.21: the term that reflects the majority of the work; Inspected and Tested either or both
(read). Its further terms Rebuilt and Altered are from memory; Rebuilt (14 CFR 43.2(b), from memory) is worked to the
tolerances of a new item and so shows an overhaul, Altered is kept as `modified`.

A certificate is not approval to install on any particular aircraft (Appendix II to Part-M).
"""

from __future__ import annotations

import re
from functools import lru_cache

from fleetlife.terms import words

TERMS: tuple[str, ...] = (*words.RELEASE_STATUSES, "rebuilt")
PRODUCTION_TERMS = ("new", "prototype")

_SPELLINGS: dict[str, str] = {
    **{term: term for term in TERMS},
    "inspected / tested": "inspected/tested",
    "inspected and tested": "inspected/tested",
    "tested and inspected": "inspected/tested",
    "inspected & tested": "inspected/tested",
    "inspected + tested": "inspected/tested",
    "inspected, tested": "inspected/tested",
    "inspected tested": "inspected/tested",
    "inspected-tested": "inspected/tested",
    "tested/inspected": "inspected/tested",
    "altered": "modified",
}
_WORDS = re.compile(r"[a-z]+")

_RESTORED = frozenset({"overhauled", "rebuilt", "new"})
_WORKED = _RESTORED | {"repaired", "modified"}
# Which terms can show which kind of requirement done. A kind that no work restarts has no term: a life limit and
# an on-condition statement are not accomplished by anything, and soft life, an estimate of the operator's own, is
# renewed by nothing less than an overhaul.
_PROOF: dict[str, frozenset[str]] = {
    "overhaul": _RESTORED,
    "requalification": _WORKED | {"tested", "inspected/tested"},
    "functional_test": _WORKED | {"tested", "inspected/tested"},
    "inspection": _WORKED | {"inspected", "inspected/tested"},
    "storage": _WORKED | {"inspected", "tested", "inspected/tested"},
    "replacement": frozenset({"new"}),
    "soft_life": _RESTORED,
    "life_limit": frozenset(),
    "on_condition": frozenset(),
}


@lru_cache(maxsize=1_024)
def status_term(text: str | None) -> str | None:
    """The canonical term of a status block as printed: `INSPECTED/TESTED` is `inspected/tested`.

    None when the block is empty, holds no term of the two forms, or holds several (`Overhauled, Modified`): exactly
    one term is allowed, and Inspected and Tested together are one.
    """
    folded = " ".join((text or "").casefold().split()).strip(" .")
    return _SPELLINGS.get(folded)


def status_fault(text: str | None) -> str | None:
    """A sentence that says what is wrong with the status block as printed; None when it holds exactly one term."""
    if status_term(text) is not None:
        return None
    printed = (text or "").strip()
    if not printed:
        return "The paper states no status; it must state exactly one term."
    found = [word for word in _WORDS.findall(printed.casefold()) if word in _SPELLINGS]
    if len(found) > 1:
        return f"The paper states several status terms ({printed}); exactly one is allowed."
    return f"The status {printed} is none of the terms of a release certificate: {', '.join(TERMS)}."


def form_side(status: str | None) -> str | None:
    """`production` or `maintenance`, by the term; None when the term is not known."""
    term = status_term(status)
    if term is None:
        return None
    return "production" if term in PRODUCTION_TERMS else "maintenance"


def is_release(status: str | None) -> bool:
    """True when a paper with this status releases the item for use.

    Prototype is no release: it states conformity to data that is not approved (Part 21 form, read).
    """
    term = status_term(status)
    return term is not None and term != "prototype"


def is_new(status: str | None) -> bool:
    """True for the release of new production, from which a start at `release` may count."""
    return status_term(status) == "new"


def proves(kind: str, status: str | None) -> bool:
    """True when a paper with this status can show a requirement of this kind (words.REQUIREMENT_KINDS) done.

    A paper that says inspected, tested, repaired or modified restarts no overhaul. A paper that only says inspected
    shows no test, and one that only says tested shows no inspection. New shows every kind that work can renew,
    since it counts from zero; replacement is shown by nothing else. No paper restarts a life limit. An unknown
    term, and prototype, show nothing. An unknown kind raises KeyError.
    """
    accepted = _PROOF[kind]
    term = status_term(status)
    return term is not None and term in accepted
