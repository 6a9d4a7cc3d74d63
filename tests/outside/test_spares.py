"""Spares statistics against standard Poisson tables, scipy's own distributions and every assignment enumerated.

Palm's theorem and the pipeline: Sherbrooke, METRIC, 1968. The exact interval of a rate: Garwood, 1936.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from itertools import product

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment
from scipy.stats import chi2, poisson

from fleetlife.planning import choosing
from fleetlife.planning.choosing import Cost, Kind, Offers, choose, choose_asking, first_come, second_best, total
from fleetlife.planning.poisson import (
    expected_backorders,
    fill_rate,
    rate_interval,
    ready,
    running_out,
    stock_for,
)
from fleetlife.planning.stock import Line, most_away, through

# pipeline, stock, fill rate, P(X <= stock), expected backorders: standard Poisson tables
TABLE = (
    (0.5, 1, 0.6065, 0.9098, 0.1065),
    (1.0, 0, 0.0, 0.3679, 1.0),
    (1.0, 1, 0.3679, 0.7358, 0.3679),
    (1.0, 2, 0.7358, 0.9197, 0.1036),
    (1.0, 3, 0.9197, 0.9810, 0.0233),
    (2.0, 2, 0.4060, 0.6767, 0.5413),
    (3.0, 5, 0.8153, 0.9161, 0.1346),
    (5.0, 8, 0.8666, 0.9319, 0.1221),
)
# Garwood's bounds of the mean at 95 %, as tables of exact Poisson limits print them
LIMITS = ((0, 0.0, 3.689), (1, 0.0253, 5.572), (2, 0.2422, 7.225), (5, 1.623, 11.668), (10, 4.795, 18.390))

means = st.floats(min_value=0.01, max_value=60)
stocks = st.integers(min_value=0, max_value=80)


@pytest.mark.parametrize(("mean", "stock", "filled", "nobody_waits", "waiting"), TABLE)
def test_the_published_table(mean: float, stock: int, filled: float, nobody_waits: float, waiting: float) -> None:
    assert fill_rate(stock, mean=mean) == pytest.approx(filled, abs=6e-5)
    assert ready(stock, mean=mean) == pytest.approx(nobody_waits, abs=6e-5)
    assert expected_backorders(stock, mean=mean) == pytest.approx(waiting, abs=6e-5)


@given(mean=means, stock=stocks)
def test_the_distribution_is_that_of_scipy(mean: float, stock: int) -> None:
    assert ready(stock, mean=mean) == pytest.approx(poisson.cdf(stock, mean), abs=1e-12)
    assert running_out(stock, mean=mean) == pytest.approx(poisson.sf(stock, mean), abs=1e-12)
    brute = sum((x - stock) * poisson.pmf(x, mean) for x in range(stock + 1, stock + 300))
    assert expected_backorders(stock, mean=mean) == pytest.approx(brute, abs=1e-9)


@given(mean=means, stock=stocks)
def test_backorders_begin_at_the_mean_fall_by_the_chance_of_waiting_and_are_convex(mean: float, stock: int) -> None:
    waiting = [expected_backorders(stock + more, mean=mean) for more in range(3)]
    assert expected_backorders(0, mean=mean) == pytest.approx(mean)
    assert waiting[0] - waiting[1] == pytest.approx(running_out(stock, mean=mean), abs=1e-9)
    assert waiting[0] - waiting[1] >= waiting[1] - waiting[2] - 1e-9
    assert waiting[0] >= waiting[1] - 1e-9 >= -2e-9


@given(mean=means, wanted=st.floats(min_value=0.0, max_value=0.999))
def test_the_stock_for_a_fill_rate_is_the_least_that_has_it(mean: float, wanted: float) -> None:
    stock = stock_for(wanted, mean=mean)
    assert fill_rate(stock, mean=mean) >= wanted
    assert stock == 0 or fill_rate(stock - 1, mean=mean) < wanted


def test_where_nothing_is_away_no_stock_is_wanted() -> None:
    assert stock_for(0.95, mean=0.0) == 0


@pytest.mark.parametrize(("count", "low", "high"), LIMITS)
def test_the_exact_interval_of_a_count(count: int, low: float, high: float) -> None:
    found = rate_interval(count, 1.0)
    assert found is not None
    assert found == (pytest.approx(low, abs=6e-4), pytest.approx(high, abs=6e-4))
    assert found[1] == pytest.approx(chi2.ppf(0.975, 2 * count + 2) / 2)
    assert found[0] == pytest.approx(chi2.ppf(0.025, 2 * count) / 2 if count else 0.0)
    assert rate_interval(count, 4.0) == (pytest.approx(found[0] / 4), pytest.approx(found[1] / 4))


def test_without_exposure_there_is_no_interval() -> None:
    assert rate_interval(0, 0.0) is None


# --- the chooser against every assignment ---------------------------------------------------------------------------


def random_case(seed: int) -> tuple[dict[int, Cost], int, dict[tuple[int, int], Cost]]:
    chance = random.Random(seed)
    positions = {each: Cost(1, chance.choice((0, 5, 5, 30))) for each in range(chance.randint(1, 5))}
    spares = chance.randint(0, 5)
    costs = {
        (position, spare): Cost(rigs=chance.randint(0, 1), days=chance.choice((0, 0, 3, 10, 40)))
        for position, spare in product(positions, range(spares))
        if chance.random() < 0.6
    }
    return positions, spares, costs


def every_assignment(
    positions: dict[int, Cost], spares: int, costs: dict[tuple[int, int], Cost]
) -> list[dict[int, int]]:
    found = []
    for picked in product([None, *range(spares)], repeat=len(positions)):
        taken = [spare for spare in picked if spare is not None]
        pairs = {p: s for p, s in zip(positions, picked, strict=True) if s is not None}
        if len(set(taken)) == len(taken) and all(pair in costs for pair in pairs.items()):
            found.append(pairs)
    return found


@pytest.mark.parametrize("seed", range(150))
def test_no_assignment_is_cheaper_than_the_chosen_one(seed: int) -> None:
    positions, spares, costs = random_case(seed)
    offers = Offers.each(positions, costs)
    best = min(total(offers, each) for each in every_assignment(positions, spares, costs))
    given = choose(offers)
    assert len(set(given.values())) == len(given)
    assert total(offers, given) == best
    assert choose(offers) == given
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(choosing, "EXACT", 0)
        staged = choose(offers)
    assert total(offers, staged) == best, "where numbers grow too large, a kind of cost after the other"
    for longest in (True, False):
        early = first_come(Offers.each(positions, costs), lambda p, s: costs[p, s], longest=longest)
        assert len(set(early.values())) == len(early)
        assert total(offers, early) >= best


@pytest.mark.parametrize("seed", range(150))
def test_asking_only_what_is_chosen_finds_the_same(seed: int) -> None:
    positions, spares, supposed = random_case(seed)
    chance = random.Random(-seed - 1)
    truth = {
        pair: cost + Cost(days=chance.choice((0, 0, 5))) for pair, cost in supposed.items() if chance.random() < 0.7
    }
    asked: list[tuple[int, int]] = []

    def ask(position: int, spare: int) -> Cost | None:
        asked.append((position, spare))
        return truth.get((position, spare))

    offers, true = Offers.each(positions, supposed), Offers.each(positions, truth)
    given = choose_asking(offers, ask)
    best = min(total(true, each) for each in every_assignment(positions, spares, truth))
    assert total(true, given) == best
    for position in given:
        rest = {pair: cost for pair, cost in truth.items() if pair != (position, given[position])}
        without = Offers.each(positions, rest)
        others = [total(without, each) for each in every_assignment(positions, spares, rest)]
        spare, more = second_best(offers, position, given, ask)
        assert more == min(others) - best
        assert spare != given[position]
    assert len(set(asked)) == len(asked), "a pair is asked about once"


def random_kinds(seed: int) -> tuple[dict[int, Cost], list[Kind], dict[tuple[int, int], Cost | None]]:
    """Positions, kinds of spares, and what each pair costs in truth."""
    chance = random.Random(seed)
    positions = {each: Cost(1, chance.choice((0, 5, 30))) for each in range(chance.randint(1, 4))}
    kinds, truth, spares = [], {}, 0
    for _ in range(chance.randint(1, 3)):
        own = list(range(spares, spares := spares + chance.randint(1, 3)))
        costs = {
            at: Cost(rigs=chance.randint(0, 1), days=chance.choice((0, 4))) for at in positions if chance.random() < 0.8
        }
        kinds.append(Kind(own, costs))
        for at, spare in product(costs, own):
            truth[at, spare] = None if chance.random() < 0.2 else costs[at] + Cost(days=chance.choice((0, 0, 0, 7)))
    return positions, kinds, truth


@pytest.mark.parametrize("seed", range(150))
def test_kinds_of_spares_are_chosen_from_as_each_by_itself(seed: int) -> None:
    """With spares that fall out of all pairs at the first question, as one that is on hold does."""
    positions, kinds, truth = random_kinds(seed)
    chance = random.Random(-seed - 1)
    spares = sum(len(kind.spares) for kind in kinds)
    out = {spare for spare in range(spares) if chance.random() < 0.2}
    real = {pair: cost for pair, cost in truth.items() if cost is not None and pair[1] not in out}
    true = Offers.each(positions, real)
    best = min(total(true, each) for each in every_assignment(positions, spares, real))

    def asked_of(offers: Offers) -> Callable[[int, int], Cost | None]:
        def ask(position: int, spare: int) -> Cost | None:
            if spare in out:
                offers.take_out(spare)
            return real.get((position, spare))

        return ask

    offers = Offers(positions, kinds)
    given = choose_asking(offers, asked_of(offers))
    assert total(true, given) == best
    for position, own in given.items():
        rest = {pair: cost for pair, cost in real.items() if pair != (position, own)}
        without = Offers.each(positions, rest)
        _, more = second_best(offers, position, given, asked_of(offers))
        assert more == min(total(without, each) for each in every_assignment(positions, spares, rest)) - best
    for longest in (True, False):
        fresh = Offers(positions, kinds)
        early = first_come(fresh, asked_of(fresh), longest=longest)
        assert early == by_hand(positions, spares, real, longest=longest)


def by_hand(
    positions: dict[int, Cost], spares: int, real: dict[tuple[int, int], Cost], *, longest: bool
) -> dict[int, int]:
    """First come, said in one line a position."""
    given: dict[int, int] = {}
    for at in positions:
        free = [s for s in range(spares) if (at, s) in real and s not in given.values()]
        if free:
            given[at] = min(free, key=lambda s: s if longest else (real[at, s], s))
    return given


@pytest.mark.parametrize("seed", range(20))
def test_the_sparse_solver_agrees_with_the_dense_one(seed: int) -> None:
    chance = random.Random(seed)
    positions = {each: Cost(1) for each in range(chance.randint(10, 40))}
    spares = chance.randint(5, 45)
    costs = {
        (position, spare): Cost(rigs=chance.randint(0, 1), days=chance.randint(0, 90))
        for position, spare in product(positions, range(spares))
        if chance.random() < 0.2
    }
    table = numpy.full((len(positions), spares + len(positions)), 10.0**8)
    for (position, spare), cost in costs.items():
        table[position, spare] = cost.rigs * 10**5 + cost.days
    rows, columns = linear_sum_assignment(table)
    pairs = {int(r): int(c) for r, c in zip(rows, columns, strict=True) if (int(r), int(c)) in costs}
    offers = Offers.each(positions, costs)
    assert total(offers, choose(offers)) == total(offers, pairs)


def test_a_position_without_any_pair_is_left() -> None:
    positions = {0: Cost(1, 9), 1: Cost(1, 2)}
    offers = Offers.each(positions, {(1, 4): Cost()})
    assert choose(offers) == {1: 4}
    assert total(offers, {1: 4}) == Cost(1, 9)


def test_of_two_that_want_the_one_spare_the_one_due_later_is_left() -> None:
    positions = {0: Cost(1, 9), 1: Cost(1, 2)}
    costs = {(0, 4): Cost(rigs=1, days=50), (1, 4): Cost()}
    assert choose(Offers.each(positions, costs)) == {0: 4}


def test_costs_too_large_for_one_number_are_solved_by_stages() -> None:
    positions = {0: Cost(1, 10**7), 1: Cost(1, 10**7 + 1)}
    costs = {(at, spare): Cost(rigs=10**3 + spare, days=10**6 + at) for at in positions for spare in (0, 1)}
    offers = Offers.each(positions, costs)
    assert total(offers, choose(offers)) == Cost(rigs=2001, days=2 * 10**6 + 1)


# --- stock through the months, by hand ------------------------------------------------------------------------------


def test_stock_through_the_months_by_hand() -> None:
    """25 November: 2 in stock, one back on 10 December; off on 5 December, 5 January and 6 January; 60 days away."""
    day = date(2026, 11, 25).toordinal()
    off = [date(2026, 12, 5).toordinal(), date(2027, 1, 5).toordinal(), date(2027, 1, 6).toordinal()]
    line = Line(
        stock=2,
        installed=10,
        returns=[date(2026, 12, 10).toordinal()],
        removals=off,
        rate=0.3,
        turnaround_days=60.0,
    )
    months = through(line, as_of=day, months=4)
    assert [month.level for month in months] == [2, 1, 0, 0, 1]
    assert [(month.returns, month.removals) for month in months] == [(0, 0), (1, 1), (0, 2), (1, 0), (2, 0)]
    away = [10 * 0.3 * days / 365.25 for days in (5, 36, 60, 60, 60)]
    assert [month.expected for month in months] == [
        pytest.approx(level - mean) for level, mean in zip((2, 1, 0, 0, 1), away, strict=True)
    ]
    chances = [poisson.sf(level, mean) for level, mean in zip((2, 1, 0, 0, 1), away, strict=True)]
    assert [month.running_out for month in months] == [pytest.approx(chance) for chance in chances]
    assert line.pipeline == pytest.approx(10 * 0.3 * 60 / 365.25)
    assert most_away(line) == 3


def test_without_a_turnaround_nothing_comes_back() -> None:
    day = date(2026, 11, 25).toordinal()
    line = Line(stock=1, installed=4, removals=[day + 10, day + 400])
    months = through(line, as_of=day, months=14)
    assert months[-1].level == -1
    assert months[-1].running_out == 1.0
    assert most_away(line) == 2
