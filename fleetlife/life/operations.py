"""Operations recorded on a unit: what is left of a limit in them, and whether a reservoir is still charged."""

from __future__ import annotations

from fleetlife.life.starts import Anchor
from fleetlife.life.values import History, Operated, Requirement

FILLINGS = ("filling", "fillings")


def operations_left(
    requirement: Requirement, history: History, anchor: Anchor, limit: int
) -> tuple[int | None, str | None]:
    """What is left of `limit` operations of the requirement's kind, else None and the cause.

    With no record of the kind since the opening statement it is unknown: silence is not a count of none. An
    operation at the very moment of the accomplishment counts as after it.
    """
    recorded = [o for o in history.operated if o.moment > history.as_of and _is_kind(requirement, o)]
    if not recorded:
        return None, "no-operation-record"
    done = anchor.done
    if done is not None and done.moment > history.as_of:
        return limit - sum(o.count for o in recorded if o.moment >= done.moment), None
    run = sum(o.count for o in recorded)
    if done is not None:
        if done.operations is None:
            return None, "no-count-at-accomplishment"
        return limit + done.operations - run, None
    if history.operations_opening is None:
        return None, "no-operations-since-new"
    return limit - history.operations_opening - run, None


def is_charged(requirement: Requirement, history: History, anchor: Anchor, calendar_due: int | None) -> bool:
    """Whether a unit past its date may stay until emptied: filled before the date, not filled since, history known.

    A cylinder filled before its requalification was due may stay in service until it is emptied and may not be
    refilled (PHMSA 11-0131); for a service life there is no such grace. Any operation of another kind after the
    last filling may have emptied it, so it ends the proof.
    """
    if requirement.at_due != "no-refill" or requirement.source != "dangerous_goods" or not requirement.reference:
        return False
    if requirement.kind == "life_limit" or calendar_due is None:
        return False
    since = 0 if anchor.done is None else anchor.done.day
    events = sorted((o for o in history.operated if o.count > 0 and o.day >= since), key=lambda o: o.moment)
    fillings = [o for o in events if _is_filling(requirement, o)]
    if not fillings or any(o.day > calendar_due for o in fillings):
        return False
    last = fillings[-1].moment
    return not any(o.moment >= last and not _is_filling(requirement, o) for o in events)


def _is_kind(requirement: Requirement, operated: Operated) -> bool:
    """A limit with no kind named takes every operation, which can only be too many."""
    return requirement.operation is None or operated.operation.casefold() == requirement.operation.casefold()


def _is_filling(requirement: Requirement, operated: Operated) -> bool:
    name = operated.operation.casefold()
    return name in FILLINGS or (requirement.operation is not None and name == requirement.operation.casefold())
