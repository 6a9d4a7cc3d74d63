"""`spares outlook`: stock by family and rig through the months, and how likely it is to run out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import fmean, median

from fleetlife.clocks.due_rows import judged_rows
from fleetlife.clocks.held_spares import needs_of, units_at_positions, units_in_stores
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.rows import UnitStateRow
from fleetlife.planning.poisson import rate_interval, stock_for
from fleetlife.planning.stock import YEAR_DAYS, Line, months_from, most_away, through
from fleetlife.store.engine import Store
from fleetlife.store.spares import stays
from fleetlife.terms.number import fold
from fleetlife.terms.spares import OutlookLine, OutlookMonth, SparesOutlook, Stay

Key = tuple[str, str]  # family or part number, rig
THIS, ALL, GIVEN, NONE = "this line", "all lines", "given", "none"


def spares_outlook(
    store: Store,
    *,
    as_of: date,
    months: int = 12,
    known_at: str | None = None,
    turnaround: int | None = None,
    fill_rate: float = 0.95,
    part_numbers: Collection[str] = (),
) -> SparesOutlook:
    """The lines of the parts that hang at positions, the first to run short in front, through the rest of the month
    and `months` more.

    `turnaround`: days, in the place of what the stays at shops measured. `part_numbers` narrows to the lines in which
    they are. Refusals: `part-unknown`, those of `world.open_world`.
    """
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        world.check_parts(part_numbers)
        return outlook_in(world, months=months, turnaround=turnaround, fill_rate=fill_rate, part_numbers=part_numbers)


def outlook_in(
    world: World,
    *,
    months: int = 12,
    turnaround: int | None = None,
    fill_rate: float = 0.95,
    part_numbers: Collection[str] = (),
) -> SparesOutlook:
    """The outlook in an open world; see `spares_outlook`."""
    until = months_from(as_of=world.as_of, months=months)[-1][1]
    gathered = _gathered(world, until)
    asked = {fold(number) for number in part_numbers}
    everywhere = [days for held in gathered.lines.values() for days in held.turnarounds]
    lines = [
        _line(world, key, held, everywhere, months=months, turnaround=turnaround, fill_rate=fill_rate)
        for key, held in sorted(gathered.lines.items())
        if held.hangs and (not asked or asked & {fold(number) for number in held.parts})
    ]
    return SparesOutlook(
        about=world.about("spares outlook"),
        until=day_text(until) or "",
        fill_rate=fill_rate,
        lines=tuple(sorted(lines, key=lambda line: (line.first_shortage or "~", line.line, line.rig))),
        unknown=gathered.unknown,
    )


@dataclass(slots=True)
class _Held:
    """What the records say of a line; days are day numbers."""

    parts: set[str] = field(default_factory=set)
    hangs: bool = False
    installed: int = 0
    empty: int = 0
    stock: int = 0
    not_counted: int = 0
    in_shop: list[tuple[int, int | None]] = field(default_factory=list)  # since, expected back
    turnarounds: list[int] = field(default_factory=list)
    unscheduled: int = 0
    unit_days: int = 0
    removals: list[int] = field(default_factory=list)


@dataclass(slots=True)
class _Gathered:
    lines: dict[Key, _Held] = field(default_factory=dict)
    unknown: int = 0

    def of(self, world: World, part_number: str, manufacturer: str | None) -> _Held:
        held = self.lines.setdefault(line_of(world, part_number, manufacturer), _Held())
        held.parts.add(part_number)
        return held


def line_of(world: World, part_number: str, manufacturer: str | None) -> Key:
    """The line of a part: its intermix family, or its number where it has none, and its rig."""
    part = world.reference.part(part_number, manufacturer)
    family = part_number if part is None or part.intermix_family is None else part.intermix_family
    return family, "not stated" if part is None or part.rig is None else part.rig


def turnarounds_of(world: World) -> dict[Key, list[int]]:
    """By line the days of the stays at shops that ended, and not on the scrap heap."""
    found: dict[Key, list[int]] = {}
    for unit_stays in _by_unit(_stays(world)):
        held = _Held()
        _count_stays(held, unit_stays, as_of=world.as_of)
        if held.turnarounds:
            key = line_of(world, unit_stays[0].part_number, unit_stays[0].manufacturer)
            found.setdefault(key, []).extend(held.turnarounds)
    return found


def _gathered(world: World, until: int) -> _Gathered:
    found = _Gathered()
    for unit_stays in _by_unit(_stays(world)):
        held = found.of(world, unit_stays[0].part_number, unit_stays[0].manufacturer)
        _count_stays(held, unit_stays, as_of=world.as_of)
    in_stores = units_in_stores(world)
    unfit = _unfit(world, in_stores)
    for unit in in_stores:
        held = found.of(world, unit.part_number, unit.manufacturer)
        held.stock += unit.unit_id not in unfit
        held.not_counted += unit.unit_id in unfit
    needs, found.unknown = needs_of(world, until_day=until, at_positions=units_at_positions(world))
    for need in needs:
        if need.occupant is not None:
            held = found.of(world, need.occupant.part_number, need.occupant.manufacturer)
            held.removals.append(need.by)
            continue
        # Who hung at an empty position is not asked: the first part that is eligible there names the line.
        frame = world.reference.airframes[need.airframe]
        rows = world.reference.eligibility.get((fold(frame.type), need.position), [])
        if rows:
            found.of(world, rows[0].part_number, None).empty += 1
    return found


def _stays(world: World) -> Iterable[Stay]:
    """The stored stays, with those of units derived again in the place of theirs."""
    anew = sorted(world.derived_anew)
    for stay in stays(world.connection):
        if stay.unit not in world.derived_anew:
            yield stay
    openings = world.openings(anew) if anew else {}
    for unit in anew:
        state = world.changed.unit_states.get(unit)
        if state is None or unit not in openings:
            continue
        opened = day_number(openings[unit].as_of)
        for row in world.changed.rows_of("placement", unit):
            if row.kind != "slot":
                yield Stay(
                    *(unit, row.kind, row.from_moment, row.until_moment, row.removal_kind, row.expected_back),
                    *(state.part_number, state.manufacturer, opened),
                )


def _by_unit(rows: Iterable[Stay]) -> Iterable[list[Stay]]:
    held: list[Stay] = []
    for row in rows:
        if held and held[0].unit != row.unit:
            yield held
            held = []
        held.append(row)
    if held:
        yield held


def _count_stays(held: _Held, rows: Sequence[Stay], *, as_of: int) -> None:
    """Time at positions and unscheduled removals since the unit's opening statement, and stays at shops that ended."""
    for number, stay in enumerate(rows):
        begins, ends = day_of(stay.from_moment), None if stay.until_moment is None else day_of(stay.until_moment)
        if begins > as_of:
            break
        if stay.kind == "position":
            held.hangs = True
            held.installed += ends is None or ends > as_of
            held.unit_days += max(min(ends or as_of, as_of) - max(begins, stay.opened), 0)
        elif stay.kind == "shop":
            after = rows[number + 1].kind if number + 1 < len(rows) else None
            if ends is None or ends > as_of:
                held.in_shop.append((begins, stay.expected_back))
            elif after not in ("scrap", "unknown") and begins >= stay.opened:
                held.turnarounds.append(ends - begins)
        held.unscheduled += stay.removal_kind == "unscheduled" and begins > stay.opened


def _unfit(world: World, units: Sequence[UnitStateRow]) -> set[int]:
    """The units in stores that are no stock: not serviceable, on hold, or with something in them passed or unknown."""
    tree = world.trees_of([unit.unit_id for unit in units])
    bad = {unit.unit_id for unit in tree.values() if unit.hold or unit.suspected or unit.condition in _NOT_SERVICEABLE}
    bad |= {unit.unit_id for unit in units if unit.condition != "serviceable"}
    for candidate, rule, _, row in judged_rows(world, tree):
        if row.state in ("overdue", "no refill", "unknown") and (rule is None or rule.kind != "soft_life"):
            bad.add(candidate.unit.unit_id)
    found = set()
    for number in bad:
        unit = tree[number]
        while unit.parent_id is not None and unit.parent_id in tree:
            unit = tree[unit.parent_id]
        found.add(unit.unit_id)
    return found


_NOT_SERVICEABLE = ("unserviceable", "unsalvageable")


def _line(
    world: World,
    key: Key,
    held: _Held,
    everywhere: Sequence[int],
    *,
    months: int,
    turnaround: int | None,
    fill_rate: float,
) -> OutlookLine:
    rests_on, whence, middle, mean = _turnaround(held, everywhere, turnaround)
    years = held.unit_days / YEAR_DAYS
    rate = held.unscheduled / years if years > 0 else None
    low, high = rate_interval(held.unscheduled, years) or (None, None)
    back = [
        expected if expected is not None else None if middle is None else since + round(middle)
        for since, expected in held.in_shop
    ]
    returns = [day for day in back if day is not None and day >= world.as_of]
    line = Line(
        stock=held.stock - held.empty,
        installed=held.installed,
        returns=returns,
        removals=held.removals,
        rate=rate or 0.0,
        turnaround_days=mean,
    )
    away = most_away(line)
    told = tuple(
        OutlookMonth(
            line=key[0],
            rig=key[1],
            month=(day_text(month.first) or "")[:7],
            returns=month.returns,
            removals=month.removals,
            level=month.level,
            expected=round(month.expected, 2),
            running_out=round(month.running_out, 4),
        )
        for month in through(line, as_of=world.as_of, months=months)
    )
    upper = None if high is None or mean is None else held.installed * high * mean / YEAR_DAYS
    return OutlookLine(
        line=key[0],
        rig=key[1],
        part_numbers=tuple(sorted(held.parts)),
        installed=held.installed,
        empty=held.empty,
        stock=held.stock,
        not_counted=held.not_counted,
        in_shop=len(held.in_shop),
        late=sum(day is not None and day < world.as_of for day in back),
        turnaround_median=middle,
        turnaround_mean=None if mean is None else round(mean, 1),
        turnaround_returns=len(rests_on),
        turnaround_from=whence,
        unscheduled=held.unscheduled,
        unit_years=round(years, 2),
        rate=_rounded(rate),
        rate_low=_rounded(low),
        rate_high=_rounded(high),
        pipeline=round(line.pipeline, 3),
        scheduled=len(held.removals),
        scheduled_away=away,
        stock_wanted=away + stock_for(fill_rate, mean=line.pipeline),
        stock_wanted_high=None if upper is None else away + stock_for(fill_rate, mean=upper),
        first_shortage=next((month.month for month in told if month.expected < 0), None),
        months=told,
    )


def _turnaround(
    held: _Held, everywhere: Sequence[int], given: int | None
) -> tuple[Sequence[int], str, float | None, float | None]:
    """The stays at shops it rests on, whose they are, and their median and mean in days; None: nobody knows."""
    if given is not None:
        return (), GIVEN, float(given), float(given)
    rests_on, whence = (held.turnarounds, THIS) if held.turnarounds else (everywhere, ALL)
    if not rests_on:
        return (), NONE, None, None
    return rests_on, whence, median(rests_on), fmean(rests_on)


def _rounded(rate: float | None) -> float | None:
    return None if rate is None else round(rate, 4)
