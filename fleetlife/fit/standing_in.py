"""Which parts a part may stand in for: alternates one step, supersession as far as its chain goes.

An alternate is directed: one-way means that the alternate may replace the part and nothing else, two-way is both
directions stated. Alternates are not transitive. A supersession is a chain and is: the newer part may go where any
older one may, never the reverse. A chain is not continued through an alternate, nor through a part of which something
is stated at the place that is asked about: that part's own rows decide there for it and for what came after it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from fleetlife.ledger.facts import Alternate
from fleetlife.terms.number import fold


@dataclass(frozen=True, slots=True, kw_only=True)
class StandIn:
    """`part_number` is what the part may stand in for; `chain` leads from the part to it, both included."""

    part_number: str
    chain: tuple[str, ...]
    reasons: tuple[str, ...]
    conditions: tuple[str, ...] = ()
    references: tuple[str, ...] = ()


def stand_ins(part_number: str, alternates: Sequence[Alternate], *, ends: Collection[str] = ()) -> tuple[StandIn, ...]:
    """All parts that `part_number` may stand in for, each by its way with the fewest conditions, nearest first.

    `ends` are folded part numbers that a chain reaches and does not go beyond.
    """
    found: dict[str, StandIn] = {}
    for row in alternates:
        for stand_in in _one_step(part_number, row):
            _keep(found, stand_in)
    for stand_in in _older(part_number, alternates, ends):
        _keep(found, stand_in)
    found.pop(fold(part_number), None)
    return tuple(sorted(found.values(), key=lambda each: (len(each.conditions), len(each.chain))))


def _keep(found: dict[str, StandIn], stand_in: StandIn) -> None:
    """Keep the way with fewer conditions, then the shorter one."""
    key = fold(stand_in.part_number)
    known = found.get(key)
    if known is None or _cost(stand_in) < _cost(known):
        found[key] = stand_in


def _cost(stand_in: StandIn) -> tuple[int, int]:
    return len(stand_in.conditions), len(stand_in.chain)


def _one_step(part_number: str, row: Alternate) -> Iterable[StandIn]:
    """The row as a way for this part, in the direction or directions that it states."""
    part = fold(part_number)
    if row.direction in ("one-way", "two-way") and fold(row.alternate) == part:
        yield _step(part_number, row.part_number, row)
    if row.direction == "two-way" and fold(row.part_number) == part:
        yield _step(part_number, row.alternate, row)


def _step(part_number: str, replaced: str, row: Alternate) -> StandIn:
    source = f", by {row.reference}" if row.reference else ""
    return StandIn(
        part_number=replaced,
        chain=(part_number, replaced),
        reasons=(f"{part_number} may replace {replaced} ({row.direction}{source}).",),
        conditions=_texts(row.conditions),
        references=_texts(row.reference),
    )


def _older(part_number: str, alternates: Sequence[Alternate], ends: Collection[str]) -> Iterable[StandIn]:
    """Everything the part supersedes, directly or by the chain; ways without conditions are followed first.

    A chain that runs in a circle ends where it meets itself.
    """
    older: dict[str, list[Alternate]] = {}
    for row in alternates:
        if row.direction == "supersedes":
            older.setdefault(fold(row.alternate), []).append(row)
    done: set[str] = set()
    start = StandIn(part_number=part_number, chain=(part_number,), reasons=())
    waiting: dict[int, deque[StandIn]] = {0: deque([start])}
    while waiting:
        fewest = min(waiting)
        here = waiting[fewest].popleft()
        if not waiting[fewest]:
            del waiting[fewest]
        if fold(here.part_number) in done:
            continue
        done.add(fold(here.part_number))
        if len(here.chain) > 1:
            yield here
            if fold(here.part_number) in ends:
                continue
        for row in older.get(fold(here.part_number), ()):
            following = _superseded(here, row)
            waiting.setdefault(len(following.conditions), deque()).append(following)


def _superseded(here: StandIn, row: Alternate) -> StandIn:
    source = f", by {row.reference}" if row.reference else ""
    return StandIn(
        part_number=row.part_number,
        chain=(*here.chain, row.part_number),
        reasons=(*here.reasons, f"{here.part_number} supersedes {row.part_number}{source}."),
        conditions=here.conditions + _texts(row.conditions),
        references=here.references + _texts(row.reference),
    )


def without_reference(chain: Sequence[str], alternates: Sequence[Alternate]) -> tuple[Alternate, ...]:
    """The rows on a way from a part to the one it stands in for, of the steps of which no row names a reference."""
    found: list[Alternate] = []
    for one, other in pairwise(chain):
        rows = [row for row in alternates if _leads(row, fold(one), fold(other))]
        if not any(_texts(row.reference) for row in rows):
            found.extend(rows)
    return tuple(found)


def _leads(row: Alternate, one: str, other: str) -> bool:
    """Whether the row says that the part `one` may replace `other`, both folded."""
    if (fold(row.alternate), fold(row.part_number)) == (one, other):
        return True
    return row.direction == "two-way" and (fold(row.part_number), fold(row.alternate)) == (one, other)


def near_misses(part_number: str, listed: Mapping[str, str], alternates: Sequence[Alternate]) -> list[str]:
    """Sentences for ways that look open and are not: the reverse of a stated one, and two steps through an alternate.

    `listed` are the parts with rows at the place, open or not, by their folded number; the part may stand in for none.
    """
    part = fold(part_number)
    sentences = [
        f"{number} has a row here and may stand in for {part_number}; the reverse is not stated."
        for number in listed.values()
        if any(fold(way.part_number) == part for way in stand_ins(number, alternates))
    ]
    for first in stand_ins(part_number, alternates):
        for second in stand_ins(first.part_number, alternates):
            if fold(second.part_number) in listed:
                sentences.append(
                    f"{part_number} may stand in for {first.part_number}, and that for {second.part_number}, which has "
                    f"a row here; two steps through an alternate are not one, so {part_number} itself needs a row."
                )
    return sentences


def _texts(text: str | None) -> tuple[str, ...]:
    stripped = (text or "").strip().rstrip(".")
    return (stripped,) if stripped else ()
