"""What a cylinder condemned by its expansion test still proves: nothing, and no later test undoes that."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from fleetlife.life.expansion import ExpansionTest, judge_recorded
from fleetlife.life.values import Done


def is_condemned(test: ExpansionTest | None) -> bool:
    """Whether the figures of a test are over the published limit. No figures and no limit known: not shown."""
    return test is not None and judge_recorded(test).outcome == "condemned"


def none_restored(done: Iterable[Done], requalifications: Collection[str]) -> tuple[Done, ...]:
    """`done` of one unit, where a failed test and every requalification from its day on prove nothing.

    `requalifications` are the names of the requirements of that kind. A condemned cylinder cannot be restored by
    repair, rebuilding or another test (49 CFR 180.203, 2004 edition). A test misread is corrected, not outdone.
    """
    work = tuple(done)
    failed = [each for each in work if is_condemned(each.expansion)]
    if not failed:
        return work
    first = min(failed, key=lambda each: (each.day, each.moment))
    told = first.date.text
    return tuple(
        replace(each, proven=False, condemned=told)
        if is_condemned(each.expansion) or (each.requirement in requalifications and each.day >= first.day)
        else each
        for each in work
    )
