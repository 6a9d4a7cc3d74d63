"""What is away at one time, as a Poisson number: how much of it stock covers.

Palm's theorem: where demands are Poisson and lead times independent, the number in the pipeline is Poisson with the
mean demand rate x mean lead time, whatever the lead times are distributed like (Sherbrooke 1968).
"""

from __future__ import annotations

MOST_STOCK = 100_000


def ready(stock: int, *, mean: float) -> float:
    """P(X <= stock): that nobody waits; 0 for a stock below nothing."""
    from scipy.special import pdtr

    return float(pdtr(stock, mean)) if stock >= 0 else 0.0


def fill_rate(stock: int, *, mean: float) -> float:
    """P(X <= stock - 1): that a demand is met at once."""
    return ready(stock - 1, mean=mean)


def running_out(stock: int, *, mean: float) -> float:
    """P(X > stock): that somebody waits; 1 for a stock below nothing."""
    from scipy.special import pdtrc

    return float(pdtrc(stock, mean)) if stock >= 0 else 1.0


def expected_backorders(stock: int, *, mean: float) -> float:
    """The mean number that wait: the sum over x > stock of (x - stock) P(X = x)."""
    if stock <= 0:
        return mean - stock
    return mean * running_out(stock - 1, mean=mean) - stock * running_out(stock, mean=mean)


def stock_for(wanted: float, *, mean: float) -> int:
    """The least stock whose fill rate is at least `wanted`, below 1; nothing where nothing is ever away."""
    assert 0 <= wanted < 1, "a fill rate of one takes an endless stock"
    if mean <= 0:
        return 0
    low, high = 0, 1
    while fill_rate(high, mean=mean) < wanted:
        low, high = high, 2 * high
        assert high < MOST_STOCK * 2, "no such stock"
    while low < high:
        middle = (low + high) // 2
        if fill_rate(middle, mean=mean) >= wanted:
            high = middle
        else:
            low = middle + 1
    return low


def rate_interval(count: int, exposure: float, *, confidence: float = 0.95) -> tuple[float, float] | None:
    """The exact interval of a Poisson rate from a count over an exposure (Garwood 1936); None without exposure.

    The bounds are half of chi-square quantiles with 2 count and 2 count + 2 degrees of freedom, each over the exposure.
    """
    if exposure <= 0:
        return None
    from scipy.special import gammaincinv

    outside = (1 - confidence) / 2
    low = float(gammaincinv(count, outside)) if count else 0.0
    return low / exposure, float(gammaincinv(count + 1, 1 - outside)) / exposure
