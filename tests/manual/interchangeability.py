"""The page of interchangeability: the terms, how they are stated here, and the tables that are tried line by line."""

from __future__ import annotations

import inspect
from dataclasses import dataclass

from tests.fit import test_wrong_way


@dataclass(frozen=True, kw_only=True)
class Term:
    """A term as it is published, where, whether that was read, and how it is stated here."""

    term: str
    means: str
    source: str
    read: bool
    stated: str


TERMS = (
    Term(
        term="interchangeable item",
        means="equivalent in function and fit, exchangeable both ways with no alteration or selection but adjustment",
        source="MIL-STD-480 and 973, now EIA-649 usage",
        read=False,
        stated="`two-way`, no condition",
    ),
    Term(
        term="replacement item",
        means="interchangeable, but fitting it needs drilling, reaming, filing or shimming",
        source="the same",
        read=False,
        stated="`one-way` or `two-way`, the work in `conditions`",
    ),
    Term(
        term="substitute item",
        means="interchangeable only under stated conditions or applications",
        source="the same",
        read=False,
        stated="the conditions in `conditions`; where it is the application, rows of eligibility",
    ),
    Term(
        term="replacedBy",
        means="may replace the part after a design modification; fitting it changes the configuration; may depend on "
        "applicability, functional item and technical conditions",
        source="S1000D, description of the element",
        read=True,
        stated="`supersedes`; what it depends on in rows of eligibility and `conditions`",
    ),
    Term(
        term="full, forward only",
        means="full is both directions; forward: the new one replaces the old one alone",
        source="general supply usage",
        read=False,
        stated="`two-way`; `one-way` or `supersedes`",
    ),
    Term(
        term="interchangeable as a set",
        means="change code 4; practitioners find it open whether that is one-way or two-way",
        source="ATA Spec 2000, a practitioner's question",
        read=True,
        stated="the direction that is certain, the set in `conditions`; the other one only when it has been asked for",
    ),
    Term(
        term="superseded by, supersedes",
        means="the old one stays valid unless stated; the chain may hold for some effectivities only",
        source="iSpec 2200, parts catalogues",
        read=False,
        stated="`supersedes`; a part that is not for every airframe gets its own rows, and a chain ends at them",
    ),
    Term(
        term="optional, alternate",
        means="either may be fitted",
        source="iSpec 2200, S1000D",
        read=False,
        stated="a row of eligibility each, or `two-way`",
    ),
    Term(
        term="pre and post modification",
        means="the part belongs before, or behind, a service bulletin",
        source="iSpec 2200, S1000D",
        read=False,
        stated="`excludes_` and `requires_modification` of the airframe, `_unit_modification` of the unit",
    ),
    Term(
        term="usable-on code, effectivity",
        means="the airframes that the part is for",
        source="iSpec 2200, S1000D",
        read=False,
        stated="`serial_from`, `serial_to`: constructor's serials, both included, compared as numbers",
    ),
    Term(
        term="fully interchangeable alternate, published by the holder of the design approval",
        means="to fit it is no modification",
        source="AMC M.A.305(c)2(d)",
        read=True,
        stated="`alternates` with `reference`; without one it is a condition (FIT110)",
    ),
    Term(
        term="left, right",
        means="opposite hands are different part numbers; the side is named facing forward",
        source="general usage",
        read=False,
        stated="`rig` of the part, `harness` of unit and position",
    ),
    Term(
        term="L1, R2",
        means="doors are numbered from the nose, L is left and R is right",
        source="ATSB 200101606",
        read=True,
        stated="`position`; `1L` is read as `L1`",
    ),
)

HEAD = """# Interchangeability: what may go where, tried the wrong way round

Who may stand in for whom is stated in one direction, and the other direction is never taken from it. `fleetlife swap check` answers for one unit and one position with its reasons; an audit holds what hangs against the same rules (FIT101, FIT102, FIT103, FIT110 in [findings](findings.md)).

- **A row of its own decides.** A part with rows for the position is judged by them, whatever it may stand in for. No row, and nothing that it stands in for has one: not eligible.
- **An alternate is one step.** `one-way`: the alternate may replace the part. `two-way`: both may. Two steps are not one, in any mixture.
- **A supersession is a chain**, from the newer to the older, never back. It ends at the first part that has rows of its own for the position: where those do not admit it, they admit nothing that came after it.
- **Conditions add up** along the way, and the way with the fewest is taken.
- **What is not recorded is not known**: neither that an airframe or a unit has a modification, nor that it has not. A unit is without one where somebody looked and recorded it (`not_embodied`).
- **A left or a right part stays one.** A pack that serves either side is rigged for the position before it is fitted.
- **Beside its mate** a unit is stopped only by a rule with a reference; that nothing is known is a note.

It says nothing of parts in the slots of a unit, which take the part numbers that `slots` names and no others; nor whether the rows taken in are the current revision.

## The terms that are published

| term | means | source | read | stated here as |
|---|---|---|---|---|
"""

BETWEEN = """
From memory: not seen when it was written down; check it against the document before it is quoted.

## The cases

Every line is run as it stands here against the functions that the program asks, and its answer must hold the words in the last column. Letters are part numbers. """


def interchangeability_page() -> str:
    """The whole page."""
    lines = [HEAD.rstrip("\n")]
    lines += [
        f"| {t.term} | {t.means} | {t.source} | {'read' if t.read else 'from memory'} | {t.stated} |" for t in TERMS
    ]
    notation = inspect.cleandoc(test_wrong_way.__doc__ or "").split("Letters are part numbers. ", 1)[1]
    told, _, asked = notation.rpartition("\n\n")
    first, _, words = told.partition("\n\n")
    lines += [BETWEEN + " ".join(first.split()), "", "```text", inspect.cleandoc(words), "```", "", asked]
    for title, table in test_wrong_way.TABLES.items():
        lines += ["", f"### {title}", "", table.strip()]
    return "\n".join(lines) + "\n"
