"""What choosing spares and the spares outlook tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from fleetlife.terms.views import About, DueList


class Stay(NamedTuple):
    """A stay of a unit outside slots. Moments are day x 10000 + sequence, days are day numbers. removal_kind: of the
    removal that it began with; opened: the day of the unit's opening statement."""

    unit: int
    kind: str
    from_moment: int
    until_moment: int | None
    removal_kind: str | None
    expected_back: int | None
    part_number: str
    manufacturer: str | None
    opened: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceTotals:
    """What a way of giving spares out comes to: positions without a spare, the days for which they are until the end of
    the horizon, harnesses to re-rig, days of life thrown away."""

    way: str
    without: int
    late: int
    rigs: int
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SpareChoice:
    """A position that wants a spare, and the one chosen for it; without one `stops` says why, a line a spare.

    `due_on`: at the earliest; `fit_on`: the day for which the pair was judged; `days_thrown_away`: from it to `due_on`.
    `days_of_life`: what the spare would have left then, None where nothing limits it in days; `again_on`: the
    day on which it falls due itself, where that is inside the horizon. `conditions` are to be
    met first. second_*: the spare this position would get instead (None: none), and what more the whole choice would
    cost then; all None where it was not asked for.
    """

    registration: str
    constructor_serial: str
    station: str | None
    position: str
    part_number: str | None
    serial_number: str | None
    state: str
    due_on: str
    requirement: str | None
    of_part_number: str | None
    of_serial_number: str | None
    spare_part_number: str | None = None
    spare_serial_number: str | None = None
    spare_manufacturer: str | None = None
    store: str | None = None
    bin: str | None = None
    fit_on: str | None = None
    outcome: str | None = None
    rerig: bool = False
    days_thrown_away: int | None = None
    days_of_life: int | None = None
    again_on: str | None = None
    conditions: tuple[str, ...] = ()
    second_spare: str | None = None
    second_without: int | None = None
    second_late: int | None = None
    second_rigs: int | None = None
    second_days: int | None = None
    first_come_spare: str | None = None
    stops: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SparesChosen:
    """The choice for a horizon, its totals beside those of first-come in both its ways.

    spares: how many lay in stores; asked: pairs put to the fitting question; unknown: positions where it cannot be told
    whether something falls due.
    """

    about: About
    until: str
    least_days: int
    rows: tuple[SpareChoice, ...]
    totals: tuple[ChoiceTotals, ...]
    spares: int
    asked: int
    unknown: int


# What is to be put where a due row is: a spare, none that may go there, or nothing, and why nothing.
SPARE, NO_SPARE = "spare", "no spare"
ON_THE_AIRCRAFT = "done on the aircraft: nothing comes off"
SOFT = "soft life: nothing has to come off"
STAYS = "may stay until emptied"
LATER = "does not have to come off in the window"
CANNOT_TELL = "cannot be told"
NOT_FITTED = "not on an aircraft"


@dataclass(frozen=True, slots=True, kw_only=True)
class PutThere:
    """What is to be put in the place of the unit of a due row.

    `put`: SPARE with the spare chosen for the position, its store and bin, the day for which it was judged, the outcome
    of the fitting question and the conditions to meet first; NO_SPARE with why, a line a spare; or one of the words for
    nothing. The position is served once: where several rows fall due on what hangs there, each names the same spare.
    """

    put: str
    spare_part_number: str | None = None
    spare_serial_number: str | None = None
    spare_manufacturer: str | None = None
    spare_store: str | None = None
    spare_bin: str | None = None
    fit_on: str | None = None
    outcome: str | None = None
    rerig: bool = False
    days_of_life: int | None = None
    conditions: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueWithSpares:
    """A due list, and for each of its rows, in the same order, what is to be put there. also: positions that want a
    spare by the end of the window and have no row in the list that says so; they take part in the choice."""

    due: DueList
    put: tuple[PutThere, ...]
    chosen: SparesChosen
    also: tuple[SpareChoice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlookMonth:
    """A month of a line: `returns` and `removals` that are scheduled, `level` the lowest stock by them, `expected` less
    the mean that unscheduled removals keep away, `running_out` the chance that they keep away more than there is."""

    line: str
    rig: str
    month: str
    returns: int
    removals: int
    level: int
    expected: float
    running_out: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlookLine:
    """Spares that stand in for one another: an intermix family, or a part number without one; by rig.

    `stock`: serviceable, not on hold, nothing passed or unknown; `not_counted`: in stores and not so. `in_shop`: units
    at shops, of which `late` are past the day on which they were expected and are counted in no month.
    turnaround: median and mean days of `turnaround_returns` stays at shops; `turnaround_from`: this line, all lines,
    given, or none. `rate`: unscheduled removals per installed unit and year, from `unscheduled` in `unit_years`, with
    the bounds of its exact interval of 95 %. `pipeline`: how many are away at one time for them, on the mean.
    `stock_wanted`: the least for the fill rate with `scheduled_away`, the most scheduled removals that are away at one
    time; `stock_wanted_high`: the same by the upper bound of the rate. `first_shortage`: the first month in which
    less than nothing is expected.
    """

    line: str
    rig: str
    part_numbers: tuple[str, ...]
    installed: int
    empty: int
    stock: int
    not_counted: int
    in_shop: int
    late: int
    turnaround_median: float | None
    turnaround_mean: float | None
    turnaround_returns: int
    turnaround_from: str
    unscheduled: int
    unit_years: float
    rate: float | None
    rate_low: float | None
    rate_high: float | None
    pipeline: float
    scheduled: int
    scheduled_away: int
    stock_wanted: int
    stock_wanted_high: int | None
    first_shortage: str | None
    months: tuple[OutlookMonth, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SparesOutlook:
    """Every line, the first to run short in front. unknown: positions where it cannot be told whether something falls
    due; they are in no month."""

    about: About
    until: str
    fill_rate: float
    lines: tuple[OutlookLine, ...]
    unknown: int
