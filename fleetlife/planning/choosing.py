"""Which spare to which position: an assignment of least cost, by a maintained solver.

Costs are whole numbers and compared in order: positions left without a spare, then the days for which they are left,
then re-rigs, then days of life thrown away. Positions and spares are named by the numbers the caller gives them; each
position comes with what leaving it without a spare costs.

Spares come in kinds: of each kind every spare is supposed to cost the same at a position until it has been asked about.
So a store of thousands is as many columns as there are positions they may serve, and what was answered otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

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
# What a pair costs in truth, None where it is no pair; never less than what was supposed of it.
Ask = Callable[[int, int], Cost | None]


@dataclass(frozen=True, slots=True)
class Kind:
    """Spares of which the same is supposed, the first to be taken in front; and by position what each costs there at
    the least. A position that is not named takes none of them."""

    spares: Sequence[int]
    costs: Mapping[int, Cost]


@dataclass(slots=True)
class Offers:
    """What there is to choose from, and what has been answered of it.

    `found`: by spare and position what a pair costs in truth, None where it is none. `own`: the spares of which
    something else was found than supposed, with the positions at which. `gone`: the spares that serve nowhere.
    """

    positions: Positions
    kinds: Sequence[Kind]
    found: dict[int, dict[int, Cost | None]] = field(default_factory=dict)
    own: dict[int, set[int]] = field(default_factory=dict)
    gone: set[int] = field(default_factory=set)
    _kind_of: dict[int, Kind] = field(default_factory=dict)
    _at: dict[int, list[Kind]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._at = {position: [] for position in self.positions}
        for kind in self.kinds:
            self._kind_of.update(dict.fromkeys(kind.spares, kind))
            for position in kind.costs:
                self._at[position].append(kind)

    @classmethod
    def each(cls, positions: Positions, costs: Mapping[Pair, Cost]) -> Offers:
        """Every spare a kind of its own. A pair that is not among the costs is none."""
        at: dict[int, dict[int, Cost]] = {}
        for (position, spare), cost in sorted(costs.items()):
            at.setdefault(spare, {})[position] = cost
        return cls(positions, [Kind((spare,), held) for spare, held in sorted(at.items())])

    def pairs(self) -> int:
        """How many pairs are supposed to be one."""
        return sum(len(kind.costs) * sum(spare not in self.gone for spare in kind.spares) for kind in self.kinds)

    def cost(self, position: int, spare: int) -> Cost | None:
        """What the pair costs: as found, else as supposed; None where it is none."""
        if spare in self.gone:
            return None
        held = self.found.get(spare)
        if held is not None and position in held:
            return held[position]
        return self._kind_of[spare].costs.get(position)

    def was_asked(self, position: int, spare: int) -> bool:
        return position in self.found.get(spare, ())

    def answered(self, position: int, spare: int, cost: Cost | None) -> bool:
        """Keep what was found of a pair; whether it is what was supposed."""
        supposed = self._kind_of[spare].costs[position]
        assert cost is None or cost >= supposed, "an answer is never cheaper than what was supposed"
        self.found.setdefault(spare, {})[position] = cost
        if cost != supposed:
            self.own.setdefault(spare, set()).add(position)
        return cost == supposed

    def take_out(self, spare: int) -> None:
        """The spare serves nowhere."""
        self.gone.add(spare)

    def take_back(self, position: int, spare: int) -> None:
        """The pair is not asked about any more."""
        del self.found[spare][position]
        if position in self.own.get(spare, ()):
            self.own[spare].discard(position)
            if not self.own[spare]:
                del self.own[spare]

    def kinds_at(self, position: int) -> Sequence[Kind]:
        return self._at[position]

    def groups(self) -> list[list[int]]:
        """The positions that share kinds with one another, directly or through others, in order."""
        seen: set[int] = set()
        groups = []
        for start in self.positions:
            if start in seen:
                continue
            seen.add(start)
            group, front, reached = [start], [start], set()
            while front:
                for kind in self._at[front.pop()]:
                    if id(kind) in reached:
                        continue
                    reached.add(id(kind))
                    fresh = [each for each in kind.costs if each not in seen]
                    seen.update(fresh)
                    group += fresh
                    front += fresh
            groups.append(sorted(group))
        return groups


def total(offers: Offers, given: Mapping[int, int], among: Iterable[int] | None = None) -> Cost:
    """What an assignment costs at the positions, or at all: each its pair, or that it is left without."""
    found = Cost()
    for position in offers.positions if among is None else among:
        cost = offers.cost(position, given[position]) if position in given else offers.positions[position]
        assert cost is not None, "what is given is a pair"
        found += cost
    return found


def choose(
    offers: Offers, *, among: Collection[int] | None = None, before: Mapping[int, int] | None = None
) -> dict[int, int]:
    """The spare of each position that gets one, of least total cost; one spare once.

    Of spares that cost the same everywhere a position keeps the one it had `before`, else takes the first. Of several
    choices that cost the same it is always the same one. Each group of positions is solved by itself, by scipy.
    """
    found: dict[int, int] = {}
    for group in offers.groups():
        if among is None or group[0] in among:
            found.update(_solved(offers, group, before or {}))
    return dict(sorted(found.items()))


def choose_asking(
    offers: Offers,
    ask: Ask,
    *,
    among: Collection[int] | None = None,
    expect: Callable[[Sequence[Pair]], None] = lambda pairs: None,
) -> dict[int, int]:
    """The same where what a pair costs has to be asked, and asking is dear: only pairs that are chosen are asked.

    No answer is cheaper than what was supposed, so a choice whose pairs have all been asked is the best there is.
    `expect` is told the pairs that are going to be asked.
    """
    given: dict[int, int] = {}
    while True:
        given = choose(offers, among=among, before=given)
        expect([pair for pair in given.items() if not offers.was_asked(*pair)])
        changed = False
        for position, spare in given.items():
            if spare in offers.gone:  # it fell out with another position's answer
                changed = True
            elif not offers.was_asked(position, spare):
                changed = not offers.answered(position, spare, ask(position, spare)) or changed
                changed = changed or spare in offers.gone
        if not changed:
            return given


def second_best(offers: Offers, position: int, given: Mapping[int, int], ask: Ask) -> tuple[int | None, Cost]:
    """The spare the position would get if it might not have its own (None: none), and how much more all would cost."""
    own = given[position]
    group = next(group for group in offers.groups() if position in group)
    before, held = total(offers, given, group), offers.cost(position, own)
    offers.answered(position, own, None)
    try:
        other = choose_asking(offers, ask, among=group)
        return other.get(position), total(offers, other, group) - before
    finally:
        offers.take_back(position, own)
        offers.answered(position, own, held)


def first_come(offers: Offers, ask: Ask, *, longest: bool) -> dict[int, int]:
    """Position after position in the order given takes a spare that may be fitted: the first of the spares (`longest`:
    they come in the order in which they have lain there), or the cheapest for this position alone."""
    given: dict[int, int] = {}
    taken: set[int] = set()
    for position in offers.positions:
        while True:
            free = list(_candidates(offers, position, taken, longest=longest))
            if not free:
                break
            _, spare = min(free)
            if not offers.was_asked(position, spare):
                supposed = offers.answered(position, spare, ask(position, spare))
                if offers.cost(position, spare) is None or not (longest or supposed):
                    continue  # there may be a cheaper one now
            given[position] = spare
            taken.add(spare)
            break
    return given


def _candidates(offers: Offers, position: int, taken: Collection[int], *, longest: bool) -> Iterable[tuple[Cost, int]]:
    """The first of each kind of which nothing is known there yet, and every one that was asked about and may go there.
    For `longest` nothing but the order counts."""
    for kind in offers.kinds_at(position):
        for spare in kind.spares:
            if spare in taken:
                continue
            cost = offers.cost(position, spare)
            if cost is None:
                continue
            yield (Cost() if longest else cost), spare
            if longest or not offers.was_asked(position, spare):
                break


# --- the solver -----------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Table:
    """The ways of one group: the row of a position, a column, and the parts of what it costs, in arrays. A column is
    one of some spares that cost the same everywhere, in the order in which they go, or that a position is left."""

    rows: list[Any] = field(default_factory=list)
    columns: list[Any] = field(default_factory=list)
    parts: list[Any] = field(default_factory=list)
    what: list[list[int] | None] = field(default_factory=list)

    def add(self, rows: Any, parts: Any, what: list[int] | None, times: int = 1) -> None:
        """So many columns, each of which any of the rows may take at its price."""
        import numpy

        self.rows.append(numpy.tile(rows, times))
        self.columns.append(numpy.repeat(numpy.arange(len(self.what), len(self.what) + times), len(rows)))
        self.parts.append(numpy.tile(parts, (times, 1)))
        self.what += [what] * times

    def joined(self) -> tuple[Any, Any, Any]:
        import numpy

        return numpy.concatenate(self.rows), numpy.concatenate(self.columns), numpy.concatenate(self.parts)


def _solved(offers: Offers, group: Sequence[int], before: Mapping[int, int]) -> dict[int, int]:
    """One group: each position has its spares, and one way more, that of being left without."""
    table = _table(offers, group)
    if len(table.what) == len(group):
        return {}  # there is nothing but being left
    rows, columns, parts = table.joined()
    scales = _scales(rows, parts, len(group))
    taken = _by_stages(rows, columns, parts) if scales is None else _at_once(rows, columns, parts, scales)
    places_of: dict[int, tuple[list[int], list[int]]] = {}
    for row, column in taken:
        alike = table.what[column]
        if alike is not None:
            places_of.setdefault(id(alike), (alike, []))[1].append(group[row])
    given: dict[int, int] = {}
    for alike, places in places_of.values():
        given.update(_handed_out(alike, places, before))
    return given


def _handed_out(free: Sequence[int], places: Sequence[int], before: Mapping[int, int]) -> dict[int, int]:
    """Which of the spares that cost the same to each position: the one it had, else the first that is left."""
    left = dict.fromkeys(free)
    kept = {place: before[place] for place in places if before.get(place) in left}
    for spare in kept.values():
        del left[spare]
    others = iter(left)
    return {place: kept[place] if place in kept else next(others) for place in sorted(places)}


def _free(offers: Offers, kind: Kind) -> list[int]:
    """The spares of the kind of which nothing else was found than is supposed of all."""
    return [spare for spare in kind.spares if spare not in offers.gone and spare not in offers.own]


def _table(offers: Offers, group: Sequence[int]) -> _Table:
    import numpy

    row_of = {position: row for row, position in enumerate(group)}
    table = _Table()
    left = numpy.array([offers.positions[position].parts for position in group], dtype=numpy.int64)
    for row in range(len(group)):
        table.add(numpy.array([row]), left[row : row + 1], None)
    alike: dict[bytes, tuple[Any, Any, list[int]]] = {}
    for kind in {id(kind): kind for position in group for kind in offers.kinds_at(position)}.values():
        places = [position for position in kind.costs if position in row_of]
        rows = numpy.array([row_of[position] for position in places])
        parts = numpy.array([kind.costs[position].parts for position in places], dtype=numpy.int64)
        # kinds that cost the same at the same positions are one: what tells them apart is nothing to the choice
        alike.setdefault(rows.tobytes() + parts.tobytes(), (rows, parts, []))[2].extend(_free(offers, kind))
        number_of = {position: number for number, position in enumerate(places)}
        for spare in kind.spares:
            if spare not in offers.own or spare in offers.gone:
                continue
            its, none = parts.copy(), []
            for position in offers.own[spare]:
                cost = offers.found[spare][position]
                if cost is None:
                    none.append(number_of[position])
                else:
                    its[number_of[position]] = cost.parts
            if len(none) < len(places):
                table.add(numpy.delete(rows, none), numpy.delete(its, none, axis=0), [spare])
    for rows, parts, spares in alike.values():
        if number := min(len(spares), len(rows)):
            table.add(rows, parts, sorted(spares), number)
    return table


def _scales(rows: Any, parts: Any, positions: int) -> tuple[int, int, int, int] | None:
    """What a unit of each kind of cost weighs, so that it outweighs all there can be of the kinds after it; None where
    that is more than is reckoned exactly."""
    import numpy

    scale, scales = 1, []
    for kind in (3, 2, 1, 0):
        most = numpy.zeros(positions, dtype=numpy.int64)
        numpy.maximum.at(most, rows, parts[:, kind])
        scales.append(scale)
        scale *= int(most.sum()) + 1
    if scale + positions >= EXACT:
        return None
    return scales[3], scales[2], scales[1], scales[0]


def _at_once(rows: Any, columns: Any, parts: Any, scales: tuple[int, int, int, int]) -> list[tuple[int, int]]:
    """By scipy's sparse assignment; row and column of each pair taken."""
    import numpy
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    # One more for each, for the solver takes a nought for no pair; every position has exactly one, so nothing changes.
    weights = (1 + parts @ numpy.array(scales, dtype=numpy.int64)).astype(float)
    shape = (int(rows.max()) + 1, int(columns.max()) + 1)
    taken = min_weight_full_bipartite_matching(csr_array((weights, (rows, columns)), shape=shape))
    return [(int(row), int(column)) for row, column in zip(*taken, strict=True)]


def _by_stages(rows: Any, columns: Any, parts: Any) -> list[tuple[int, int]]:
    """By scipy's integer solver, a kind of cost after the other, each held at its least for those after it."""
    import numpy
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array, vstack

    positions, spares, ways = int(rows.max()) + 1, int(columns.max()) + 1, len(rows)
    numbers = numpy.arange(ways)
    entries = (numpy.concatenate([rows, positions + columns]), numpy.concatenate([numbers, numbers]))
    table = csr_array((numpy.ones(2 * ways), entries), shape=(positions + spares, ways))
    low = [1.0] * positions + [0.0] * spares
    high = [1.0] * (positions + spares)
    taken = numpy.zeros(ways)
    for kind in range(4):
        weights = parts[:, kind].astype(float)
        found = milp(weights, constraints=LinearConstraint(table, low, high), integrality=1, bounds=Bounds(0, 1))
        assert found.success, found.message
        taken = numpy.round(found.x)
        least = float(weights @ taken)
        table = vstack([table, csr_array(weights.reshape(1, -1))]).tocsr()
        low, high = [*low, least], [*high, least]
    return [(int(rows[way]), int(columns[way])) for way in numpy.flatnonzero(taken)]
