"""`shop forecast`: the visits to shops that are still to come, by part and kind, month by month."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median

from fleetlife.answers.spares_outlook import ALL, GIVEN, NONE, THIS, Key, line_of, turnarounds_of
from fleetlife.clocks.due_rows import Desk, candidates_of, is_scrapped, narrowed
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_text, parse_partial
from fleetlife.ledger.facts import Opening
from fleetlife.life.visits import Going, ShopWork, Visit, is_shop_work, visits
from fleetlife.planning.stock import months_from
from fleetlife.store.due_query import DueCandidate
from fleetlife.store.engine import Store
from fleetlife.terms import shop as words
from fleetlife.terms.shop import ShopApart, ShopForecast, ShopMonth, ShopPart

Apart = tuple[str, str | None, str]  # part number, kind, why


def shop_forecast(
    store: Store,
    *,
    as_of: date,
    months: int = 24,
    known_at: str | None = None,
    turnaround: int | None = None,
    part_numbers: Collection[str] = (),
) -> ShopForecast:
    """The visits of the rest of this month and `months` more; what cannot be told is counted apart.

    Each unit is followed from visit to visit as `life.visits` assumes it. `turnaround`: days, in the place of what the
    stays at shops measured. Refusals: `part-unknown`, those of `world.open_world`.
    """
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        world.check_parts(part_numbers)
        stretches = months_from(as_of=world.as_of, months=months)
        until = stretches[-1][1]
        outlooks = world.outlooks()
        found = candidates_of(world, outlooks, until_day=until)
        found = [each for each in narrowed(found, part_numbers, ()) if not is_scrapped(each)]
        desk = Desk(world, outlooks)
        desk.prepare(found)
        sorted_out = _sorted_out(desk, found, until=until)
        times = Turnarounds(world, turnaround)
        told = _followed(world, desk, sorted_out, times, until=until)
        return ShopForecast(
            about=world.about("shop forecast"),
            until=day_text(until) or "",
            months=tuple((day_text(first) or "")[:7] for first, _ in stretches),
            rows=_months(told, sorted_out.overdue),
            apart=_apart(sorted_out.apart),
            parts=_parts(told, times),
            at_shops=len({c.unit.unit_id for c in found if c.unit.kind == "shop"}),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Turnaround:
    """Days, the stays at shops whose median they are, and whose those are."""

    days: int
    returns: int
    whence: str


class Turnarounds:
    """How long units of a part are away: given, or the median of its line's stays at shops, else of all stays."""

    def __init__(self, world: World, given: int | None) -> None:
        self.world = world
        self.given = given
        self.measured: Mapping[Key, Sequence[int]] = {} if given is not None else turnarounds_of(world)
        self.everywhere = [days for stays in self.measured.values() for days in stays]

    def of(self, part_number: str, manufacturer: str | None) -> Turnaround:
        if self.given is not None:
            return Turnaround(days=self.given, returns=0, whence=GIVEN)
        own = self.measured.get(line_of(self.world, part_number, manufacturer))
        stays, whence = (own, THIS) if own else (self.everywhere, ALL)
        if not stays:
            return Turnaround(days=0, returns=0, whence=NONE)
        return Turnaround(days=round(median(stays)), returns=len(stays), whence=whence)


def going_of(desk: Desk, candidates: Sequence[DueCandidate], opening: Opening | None) -> Going:
    """The unit of the candidates as it goes to a shop: where it is, and how it runs there."""
    first = candidates[0]
    airframe = first.unit.carried_airframe_id
    views = {each.point.counter: desk.counter_view(each.point) for each in candidates if each.point.counter is not None}
    manufactured, expires = (opening.manufactured, opening.expires) if opening else (None, None)
    return Going(
        view=None if airframe is None else desk.outlooks.get(airframe),
        counters={counter: view for counter, view in views.items() if view is not None},
        stored=first.unit.kind == "store" or first.parent_kind == "store",
        manufactured=parse_partial(manufactured) if manufactured else None,
        expires=parse_partial(expires) if expires else None,
    )


@dataclass(frozen=True, slots=True)
class _SortedOut:
    """Work with a date by unit and requirement, the earliest where two editions ask for it; what has none is apart."""

    dated: dict[int, dict[str, tuple[DueCandidate, ShopWork]]]
    overdue: set[tuple[int, str]]
    apart: dict[Apart, set[int]]

    def count_apart(self, candidate: DueCandidate, kind: str | None, why: str) -> None:
        self.apart.setdefault((candidate.unit.part_number, kind, why), set()).add(candidate.unit.unit_id)


def _sorted_out(desk: Desk, candidates: Iterable[DueCandidate], *, until: int) -> _SortedOut:
    found = _SortedOut({}, set(), {})
    for candidate in candidates:
        rule = desk.rules.get(candidate.point.requirement_key)
        if rule is None:
            found.count_apart(candidate, None, words.NO_PROGRAMME)
            continue
        if not is_shop_work(rule):
            continue
        judged = desk.judged(candidate, None, until)
        if judged.state in ("unknown", "no refill"):
            why = words.UNKNOWN if judged.state == "unknown" else words.UNTIL_EMPTIED
            found.count_apart(candidate, rule.kind, why)
            continue
        due = judged.earliest
        if judged.state == "overdue":
            due = desk.world.as_of if due is None else due
            found.overdue.add((candidate.unit.unit_id, rule.requirement))
        if judged.unknown and (due is None or due > until):
            # A measure that is not known may send it inside the horizon, whatever the others say.
            found.count_apart(candidate, rule.kind, words.UNKNOWN)
        if due is None or due > until:
            continue
        if judged.unknown:
            found.count_apart(candidate, rule.kind, words.IN_PART)
        works = found.dated.setdefault(candidate.unit.unit_id, {})
        held = works.get(rule.requirement)
        if held is None or due < held[1].due:
            works[rule.requirement] = candidate, ShopWork(requirement=rule, due=due)
    return found


@dataclass(frozen=True, slots=True)
class _Told:
    """A visit of a unit of a part."""

    unit: int
    part_number: str
    manufacturer: str | None
    visit: Visit


def _followed(world: World, desk: Desk, sorted_out: _SortedOut, times: Turnarounds, *, until: int) -> list[_Told]:
    """Each unit from visit to visit; the requirements after whose visit no date follows are counted apart."""
    openings = world.openings(sorted(sorted_out.dated))
    told = []
    for unit, works in sorted(sorted_out.dated.items()):
        candidates = [candidate for candidate, _ in works.values()]
        first = candidates[0]
        going = going_of(desk, candidates, openings.get(unit))
        part, maker = first.unit.part_number, first.unit.manufacturer
        found, untold = visits(
            [work for _, work in works.values()],
            going,
            as_of=world.as_of,
            until=until,
            turnaround=times.of(part, maker).days,
        )
        told += [_Told(unit, part, maker, visit) for visit in found]
        for rule in untold:
            sorted_out.count_apart(first, rule.kind, words.NO_NEXT_DATE)
    return told


def _months(told: Iterable[_Told], overdue: Collection[tuple[int, str]]) -> tuple[ShopMonth, ...]:
    count: Counter[tuple[str, str, str]] = Counter()
    late: Counter[tuple[str, str, str]] = Counter()
    again: Counter[tuple[str, str, str]] = Counter()
    for each in told:
        rule = each.visit.requirement
        key = (each.part_number, rule.kind, (day_text(each.visit.day) or "")[:7])
        count[key] += 1
        again[key] += each.visit.again
        late[key] += not each.visit.again and (each.unit, rule.requirement) in overdue
    return tuple(
        ShopMonth(part_number=key[0], kind=key[1], month=key[2], visits=count[key], overdue=late[key], again=again[key])
        for key in sorted(count, key=lambda key: (key[2], key[0], key[1]))
    )


def _apart(found: Mapping[Apart, set[int]]) -> tuple[ShopApart, ...]:
    ordered = sorted(found, key=lambda each: (each[2], each[0], each[1] or ""))
    return tuple(ShopApart(part_number=key[0], kind=key[1], why=key[2], units=len(found[key])) for key in ordered)


def _parts(told: Sequence[_Told], times: Turnarounds) -> tuple[ShopPart, ...]:
    visits_of: Counter[str] = Counter(each.part_number for each in told)
    again: Counter[str] = Counter(each.part_number for each in told if each.visit.again)
    makers = {each.part_number: each.manufacturer for each in told}
    found = []
    for part in sorted(visits_of):
        time = times.of(part, makers[part])
        found.append(
            ShopPart(
                part_number=part,
                visits=visits_of[part],
                again=again[part],
                turnaround=time.days,
                returns=time.returns,
                turnaround_from=time.whence,
            )
        )
    return tuple(found)
