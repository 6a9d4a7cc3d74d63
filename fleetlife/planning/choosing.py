"""Which spare to which position: an assignment of least cost, by a maintained solver.

Costs are whole numbers and compared in order: positions left without a spare, then re-rigs, then days of life thrown
away. Positions and spares are named by the numbers the caller gives them. A pair that is not among the costs is none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

Pair = tuple[int, int]  # position, spare
EXACT = 2**53  # the solver reckons in floating point: whole numbers below this stay whole


@dataclass(frozen=True, slots=True, order=True)
class Cost:
    """Compared field by field: positions without a spare, harnesses to be re-rigged, days thrown away."""

    without: int = 0
    rigs: int = 0
    days: int = 0

    def __add__(self, other: Cost) -> Cost:
        return Cost(self.without + other.without, self.rigs + other.rigs, self.days + other.days)

    def __sub__(self, other: Cost) -> Cost:
        return Cost(self.without - other.without, self.rigs - other.rigs, self.days - other.days)


LEFT = Cost(without=1)
Costs = Mapping[Pair, Cost]
# What a pair costs in truth, None where it is no pair; never less than what was supposed of it.
Ask = Callable[[int, int], Cost | None]


def total(positions: Sequence[int], given: Mapping[int, int], costs: Costs) -> Cost:
    """What an assignment costs: each position its pair, or that it is left without."""
    found = Cost()
    for position in positions:
        found += costs[position, given[position]] if position in given else LEFT
    return found


def choose(positions: Sequence[int], costs: Costs) -> dict[int, int]:
    """The spare of each position that gets one, of least total cost; one spare once.

    Of several choices that cost the same it is always the same one. scipy's sparse assignment solves each group of
    positions and spares that have to do with one another by itself.
    """
    found: dict[int, int] = {}
    for group in _groups(positions, costs):
        found.update(_solved(group, costs))
    return dict(sorted(found.items()))


def choose_asking(positions: Sequence[int], costs: dict[Pair, Cost], ask: Ask) -> dict[int, int]:
    """The same where what a pair costs has to be asked, and asking is dear: only pairs that are chosen are asked.

    `costs` holds what each pair costs at the least, and afterwards what was found. No answer is cheaper than what was
    supposed, so a choice whose pairs have all been asked is the best there is.
    """
    while True:
        given = choose(positions, costs)
        changed = False
        for position, spare in given.items():
            supposed = costs.get((position, spare))
            if supposed is None:  # the spare fell out with another position's answer
                changed = True
                continue
            cost = ask(position, spare)
            if cost is None:
                costs.pop((position, spare), None)
            elif cost != supposed:
                assert cost > supposed, "an answer is never cheaper than what was supposed"
                costs[position, spare] = cost
            changed = changed or cost != supposed
        if not changed:
            return given


def second_best(
    position: int, positions: Sequence[int], given: Mapping[int, int], costs: dict[Pair, Cost], ask: Ask
) -> tuple[int | None, Cost]:
    """The spare the position would get if it might not have its own (None: none), and how much more all would cost."""
    own = given[position]
    group = next(group for group in _groups(positions, costs) if position in group)
    before = total(group, given, costs)
    held = costs.pop((position, own))
    try:
        other = choose_asking(group, costs, ask)
        return other.get(position), total(group, other, costs) - before
    finally:
        costs[position, own] = held


def first_come(positions: Sequence[int], costs: dict[Pair, Cost], ask: Ask) -> dict[int, int]:
    """Position after position in the order given takes what is best for itself alone; of equals the first spare."""
    given: dict[int, int] = {}
    for position in positions:
        taken = set(given.values())
        while True:
            free = [(cost, spare) for (at, spare), cost in costs.items() if at == position and spare not in taken]
            if not free:
                break
            supposed, spare = min(free)
            cost = ask(position, spare)
            if cost is None:
                costs.pop((position, spare), None)
                continue
            costs[position, spare] = cost
            if cost == supposed:
                given[position] = spare
                break
    return given


def _groups(positions: Sequence[int], costs: Costs) -> list[list[int]]:
    """The positions that share spares with one another, directly or through others, in order."""
    by_spare: dict[int, list[int]] = {}
    by_position: dict[int, list[int]] = {}
    for position, spare in costs:
        by_spare.setdefault(spare, []).append(position)
        by_position.setdefault(position, []).append(spare)
    wanted, seen = set(positions), set()
    groups = []
    for start in positions:
        if start in seen:
            continue
        seen.add(start)
        group, reached, front = [start], set(), [start]
        while front:
            for spare in by_position.get(front.pop(), ()):
                if spare in reached:
                    continue
                reached.add(spare)
                fresh = [each for each in by_spare[spare] if each in wanted and each not in seen]
                seen.update(fresh)
                group += fresh
                front += fresh
        groups.append(sorted(group))
    return groups


def _solved(group: Sequence[int], costs: Costs) -> dict[int, int]:
    """One group: each position has a column of its own for being left without, so that a full matching is there."""
    wanted = set(group)
    pairs = sorted(pair for pair in costs if pair[0] in wanted)
    if not pairs:
        return {}
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    weight = _weights(group, pairs, costs)
    spares = sorted({spare for _, spare in pairs})
    row = {position: number for number, position in enumerate(group)}
    column = {spare: number for number, spare in enumerate(spares)}
    rows = [row[position] for position, _ in pairs] + list(range(len(group)))
    columns = [column[spare] for _, spare in pairs] + [len(spares) + number for number in range(len(group))]
    weights = [weight(costs[pair]) for pair in pairs] + [weight(LEFT)] * len(group)
    table = csr_array(
        ([float(each) for each in weights], (rows, columns)), shape=(len(group), len(spares) + len(group))
    )
    found = min_weight_full_bipartite_matching(table)
    return {group[int(at)]: spares[int(to)] for at, to in zip(*found, strict=True) if to < len(spares)}


def _weights(group: Sequence[int], pairs: Sequence[Pair], costs: Costs) -> Callable[[Cost], int]:
    """One number for a cost, so that a unit of each kind outweighs all there can be of the kinds after it."""
    days: dict[int, int] = {}
    rigs: dict[int, int] = {}
    for pair in pairs:
        days[pair[0]] = max(days.get(pair[0], 0), costs[pair].days)
        rigs[pair[0]] = max(rigs.get(pair[0], 0), costs[pair].rigs)
    rig = sum(days.values()) + 1
    left = rig * (sum(rigs.values()) + 1)
    assert (left + 1) * (len(group) + 1) < EXACT, "more than the solver reckons exactly"
    # One more for each, for the solver takes a nought for no pair; every position has exactly one, so nothing changes.
    return lambda cost: 1 + cost.days + rig * cost.rigs + left * cost.without
