"""Is the unit rigged for the side that the position asks for.

One pack may serve a left or a right door: the routing of its harness makes it a left or a right one. A part of one
hand can never serve the other side. What the records say of the harness is what somebody saw last; the rig is looked
at by eye before fitting whatever they say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fleetlife.terms.words import HARNESS_SIDES

HarnessOutcome = Literal["fine", "condition", "stop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HarnessAnswer:
    """`condition` is something to be shown or done before fitting; `reasons` are complete sentences."""

    outcome: HarnessOutcome
    reasons: tuple[str, ...]


def judge_harness(*, rig: str | None, harness: str | None, position_harness: str | None) -> HarnessAnswer:
    """`rig` is the part's (words.RIGS), `harness` the side the unit is rigged for (words.HARNESSES), None as unknown.

    `position_harness` is the side the position asks for; None or `none` when it asks for no side.
    """
    rigged = harness if harness in HARNESS_SIDES else None
    wanted = position_harness if position_harness in HARNESS_SIDES else None
    if rig == "none":
        return _handless(rigged, wanted)
    if rig in HARNESS_SIDES:
        return _handed(rig, rigged, wanted)
    if rig == "either":
        return _two_handed(harness, rigged, wanted)
    if wanted is None:
        return _answer(
            "condition",
            "Neither the part's rig nor the side that the position asks for is stated: find out both before fitting.",
        )
    return _answer(
        "condition",
        f"The position asks for a harness rigged {wanted}; whether the part can be is not stated: "
        "find out the part's rig before fitting.",
    )


def _handless(rigged: str | None, wanted: str | None) -> HarnessAnswer:
    """A part without a harness; that somebody saw one, for the other side, is looked into first."""
    if rigged is not None and wanted is not None and rigged != wanted:
        return _answer(
            "condition",
            f"The part is stated to have no harness, and the unit is recorded as rigged {rigged} where the position "
            f"asks for {wanted}: look, and correct the records.",
        )
    return _answer("fine", "The part has no harness that makes it a left or a right one.")


def _handed(rig: str, rigged: str | None, wanted: str | None) -> HarnessAnswer:
    """A part that is a left or a right one by itself."""
    if wanted is None:
        return _answer(
            "condition", f"The part is a {rig} one; for which side a unit here is rigged is not stated: find that out."
        )
    if rig != wanted:
        return _answer("stop", f"The part is a {rig} one and the position asks for a {wanted} one.")
    if rigged is not None and rigged != rig:
        return _answer(
            "condition",
            f"The part is a {rig} one and the unit is recorded as rigged {rigged}: look, and correct the records.",
        )
    return _answer("fine", f"The part is a {rig} one, as the position asks for.")


def _two_handed(harness: str | None, rigged: str | None, wanted: str | None) -> HarnessAnswer:
    """A part whose harness makes it a left or a right one."""
    if wanted is None:
        return _answer(
            "condition",
            "The part can serve either side; for which one a unit here is rigged is not stated: find that out.",
        )
    if rigged is None:
        how = "as without a harness, which contradicts the part" if harness == "none" else "as not known"
        return _answer(
            "condition",
            f"The position asks for a harness rigged {wanted}; the unit's is recorded {how}: look before fitting.",
        )
    if rigged != wanted:
        return _answer(
            "condition",
            f"The unit is rigged {rigged}; it must be rigged {wanted} before it is fitted at this position.",
        )
    return _answer("fine", f"The unit is recorded as rigged {rigged}, as the position asks for.")


def _answer(outcome: HarnessOutcome, *reasons: str) -> HarnessAnswer:
    return HarnessAnswer(outcome=outcome, reasons=reasons)
