"""Work that counts as other work: a requirement that resets another, on the same unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fleetlife.life.condemned import none_restored
from fleetlife.life.values import Done, Requirement


def expand_resets(requirements: Sequence[Requirement], done: tuple[Done, ...]) -> tuple[Done, ...]:
    """`done` of one unit with an accomplishment added for each requirement that the work resets, in order.

    Only what a requirement itself lists, not what that resets in turn. Never for a life limit. A requalification
    counts from its mark, so only work dated by a mark resets one. Nothing is added where the reset requirement is
    recorded as done on that day itself. What is not proven resets as something not proven: nothing. The figures of
    an expansion test stay with the test, and what a condemned cylinder is reset by restores it no more than another
    test does.
    """
    kinds: dict[str, set[str]] = {}
    resets: dict[str, set[str]] = {}
    for requirement in requirements:
        kinds.setdefault(requirement.requirement, set()).add(requirement.kind)
        resets.setdefault(requirement.requirement, set()).update(requirement.resets)
    recorded = {(work.requirement, work.day) for work in done if work.proven}
    added: list[Done] = []
    for work in done:
        for name in sorted(resets.get(work.requirement, ())):
            if name == work.requirement or "life_limit" in kinds.get(name, ()) or (name, work.day) in recorded:
                continue
            if "requalification" in kinds.get(name, ()) and work.date_basis != "mark":
                continue
            added.append(replace(work, requirement=name, stated_due=None, expansion=None))
    requalifications = {name for name, of in kinds.items() if "requalification" in of}
    together = sorted((*done, *added), key=lambda work: (work.moment, work.entry, work.requirement))
    return none_restored(together, requalifications)
