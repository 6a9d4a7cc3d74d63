"""Which spare to which position: an assignment of least cost, by a maintained solver.

Costs are whole numbers and compared in order: positions left without a spare, then the days for which they are left,
then re-rigs, then days of life thrown away. Positions and spares are named by the numbers the caller gives them; each
position comes with what leaving it without a spare costs. A pair that is not among the costs is none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

Pair = tuple[int, int]  # position, spare
EXACT = 2**53  # the solver reckons in floating point: whole numbers below this stay whole


@dataclass(frozen=True, slots=True, order=True)
class Cost:
    """Compared field by field: positions without a spare, days for which they are, harnesses to be re-rigged, days of
    life thrown away."""

    without: int = 0
    late: int = 0
    rigs: int = 0
    days: int = 0

    def __add__(self, other: Cost) -> Cost:
        return Cost(*(mine + its for mine, its in zip(self.parts, other.parts, strict=True)))

    def __sub__(self, other: Cost) -> Cost:
        return Cost(*(mine - its for mine, its in zip(self.parts, other.parts, strict=True)))

    @property
    def parts(self) -> tuple[int, int, int, int]:
        return self.without, self.late, self.rigs, self.days


Positions = Mapping[int, Cost]
Costs = Mapping[Pair, Cost]
Way = tuple[Pair | None, int, Cost]  # a pair, or None for being left; the position; what it costs
# What a pair costs in truth, None where it is no pair; never less than what was supposed of it.
Ask = Callable[[int, int], Cost | None]


def total(positions: Positions, given: Mapping[int, int], costs: Costs) -> Cost:
    """What an assignment costs: each position its pair, or that it is left without."""
    found = Cost()
    for position, left in positions.items():
        found += costs[position, given[position]] if position in given else left
    return found


def choose(positions: Positions, costs: Costs) -> dict[int, int]:
    """The spare of each position that gets one, of least total cost; one spare once.

    Of several choices that cost the same it is always the same one. Each group of positions and spares that have to do
    with one another is solved by itself, by scipy.
    """
    found: dict[int, int] = {}
    for group in _groups(positions, costs):
        found.update(_solved(group, costs))
    return dict(sorted(found.items()))


def choose_asking(positions: Positions, costs: dict[Pair, Cost], ask: Ask) -> dict[int, int]:
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
    position: int, positions: Positions, given: Mapping[int, int], costs: dict[Pair, Cost], ask: Ask
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


def first_come(positions: Positions, costs: dict[Pair, Cost], ask: Ask, *, longest: bool) -> dict[int, int]:
    """Position after position in the order given takes a spare that may be fitted: the first of the spares (`longest`:
    they come in the order in which they have lain there), or the cheapest for this position alone."""
    given: dict[int, int] = {}
    taken: set[int] = set()
    by_position: dict[int, list[int]] = {}
    for at, spare in costs:
        by_position.setdefault(at, []).append(spare)
    for position in positions:
        while True:
            there = [spare for spare in by_position.get(position, ()) if spare not in taken]
            free = [(costs[position, spare], spare) for spare in there if (position, spare) in costs]
            if not free:
                break
            supposed, spare = min(free, key=lambda each: (Cost() if longest else each[0], each[1]))
            cost = ask(position, spare)
            if cost is None:
                costs.pop((position, spare), None)
                continue
            costs[position, spare] = cost
            if longest or cost == supposed:
                given[position] = spare
                taken.add(spare)
                break
    return given


def _groups(positions: Positions, costs: Costs) -> list[dict[int, Cost]]:
    """The positions that share spares with one another, directly or through others, in order."""
    by_spare: dict[int, list[int]] = {}
    by_position: dict[int, list[int]] = {}
    for position, spare in costs:
        by_spare.setdefault(spare, []).append(position)
        by_position.setdefault(position, []).append(spare)
    seen: set[int] = set()
    groups = []
    for start in positions:
        if start in seen:
            continue
        seen.add(start)
        group, front, reached = [start], [start], set()
        while front:
            for spare in by_position.get(front.pop(), ()):
                if spare in reached:
                    continue
                reached.add(spare)
                fresh = [each for each in by_spare[spare] if each in positions and each not in seen]
                seen.update(fresh)
                group += fresh
                front += fresh
        groups.append({position: positions[position] for position in sorted(group)})
    return groups


def _solved(group: Positions, costs: Costs) -> dict[int, int]:
    """One group: each position has its pairs, and one way more, that of being left without."""
    pairs = sorted(pair for pair in costs if pair[0] in group)
    if not pairs:
        return {}
    ways: list[Way] = [(pair, pair[0], costs[pair]) for pair in pairs]
    ways += [(None, position, left) for position, left in group.items()]
    scales = _scales(ways, len(group))
    taken = _by_stages(ways) if scales is None else _at_once(ways, scales)
    return dict(pair for pair, _, _ in taken if pair is not None)


def _scales(ways: Sequence[Way], positions: int) -> tuple[int, int, int, int] | None:
    """What a unit of each kind of cost weighs, so that it outweighs all there can be of the kinds after it; None where
    that is more than is reckoned exactly."""
    scale, scales = 1, []
    for kind in (3, 2, 1, 0):
        most: dict[int, int] = {}
        for _, position, cost in ways:
            most[position] = max(most.get(position, 0), cost.parts[kind])
        scales.append(scale)
        scale *= sum(most.values()) + 1
    if scale + positions >= EXACT:
        return None
    return scales[3], scales[2], scales[1], scales[0]


def _at_once(ways: Sequence[Way], scales: tuple[int, int, int, int]) -> list[Way]:
    """By scipy's sparse assignment: a column for each spare and one for each position that may be left."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    rows = {position: number for number, position in enumerate(sorted({at for _, at, _ in ways}))}
    columns: dict[tuple[int, int], int] = {}
    for pair, at, _ in ways:
        columns.setdefault((0, at) if pair is None else (1, pair[1]), len(columns))
    at_row = [rows[at] for _, at, _ in ways]
    at_column = [columns[(0, at) if pair is None else (1, pair[1])] for pair, at, _ in ways]
    # One more for each, for the solver takes a nought for no pair; every position has exactly one, so nothing changes.
    weights = [float(1 + sum(s * c for s, c in zip(scales, cost.parts, strict=True))) for _, _, cost in ways]
    table = csr_array((weights, (at_row, at_column)), shape=(len(rows), len(columns)))
    found = {(int(row), int(column)) for row, column in zip(*min_weight_full_bipartite_matching(table), strict=True)}
    return [way for way, row, column in zip(ways, at_row, at_column, strict=True) if (row, column) in found]


def _by_stages(ways: Sequence[Way]) -> list[Way]:
    """By scipy's integer solver, a kind of cost after the other, each held at its least for those after it."""
    import numpy
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array, vstack

    spares = sorted({pair[1] for pair, _, _ in ways if pair is not None})
    places = sorted({at for _, at, _ in ways})
    row = {("at", at): number for number, at in enumerate(places)}
    row |= {("spare", spare): len(places) + number for number, spare in enumerate(spares)}
    entries = [(row["at", at], number) for number, (_, at, _) in enumerate(ways)]
    entries += [(row["spare", pair[1]], number) for number, (pair, _, _) in enumerate(ways) if pair is not None]
    table = csr_array((numpy.ones(len(entries)), tuple(zip(*entries, strict=True))), shape=(len(row), len(ways)))
    low = [1.0] * len(places) + [0.0] * len(spares)
    high = [1.0] * len(row)
    taken = numpy.zeros(len(ways))
    for kind in range(4):
        weights = numpy.array([float(cost.parts[kind]) for _, _, cost in ways])
        found = milp(weights, constraints=LinearConstraint(table, low, high), integrality=1, bounds=Bounds(0, 1))
        assert found.success, found.message
        taken = numpy.round(found.x)
        least = float(weights @ taken)
        table = vstack([table, csr_array(weights.reshape(1, -1))]).tocsr()
        low, high = [*low, least], [*high, least]
    return [way for way, one in zip(ways, taken, strict=True) if one]
