"""Planned swaps in a world whose unit has not been changed yet: gathers what `checks.plans` judges. Every statement
here grows with the open plans, and with nothing else."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from fleetlife.checks import plans
from fleetlife.checks.rows import MateRow, PlanRow
from fleetlife.clocks.doors import doors_of
from fleetlife.clocks.fitting import check_fitting
from fleetlife.clocks.ground import days_of_life, ground_times, least_lives
from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_number, day_text
from fleetlife.fit.intermix import IntermixAnswer, judge_intermix
from fleetlife.follows.rows import UnitStateRow
from fleetlife.follows.swaps import SwapLife, swap_lives
from fleetlife.ledger.facts import Movement
from fleetlife.planning.ground import Least, least_life, next_after
from fleetlife.store.swaps import airframes_with_swaps, open_plans
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import Reason, SwapAnswer

OPEN = ("planned", "checked", "begun")
# What is told of a pair, a rig or a place has a code of its own.
ELSEWHERE = ("place", "harness", "pair")
HELD = ("store", "shop", "loan")  # from where a unit can still come to the door


JUDGES = (
    plans.due_before_next_ground_time,
    plans.planned_unit_other_rig,
    plans.planned_unit_may_not_go_there,
    plans.pair_broken_by_a_plan,
    plans.unit_in_two_plans,
    plans.life_below_the_least,
    plans.plan_overtaken,
)


def plan_findings(
    world: World,
    *,
    airframes: Collection[int] | None = None,
    units: Collection[int] | None = None,
    swaps: Collection[str] | None = None,
) -> list[tuple[str, Finding]]:
    """(swap, finding) of the open plans that are asked about: those of the airframes, those that name one of the units,
    and of these those under the numbers. None: not narrowed by it. Those of one swap by severity."""
    found = []
    for row in _rows(world, airframes, units, swaps, fitting=True):
        of_plan = [each for judge in JUDGES for each in judge((row,))]
        found += [(row.swap, each) for each in sorted(of_plan, key=Finding.sort_key)]
    return found


def plans_overtaken(world: World, units: Collection[int]) -> list[Finding]:
    """Which open plans that name one of the units are overtaken (PLN107). The fitting question is not asked."""
    return [each for row in _rows(world, None, units, None, fitting=False) for each in plans.plan_overtaken((row,))]


def open_swaps(
    world: World, airframes: Collection[int] | None = None, units: Collection[int] | None = None
) -> list[SwapLife]:
    """The swaps that are planned and not done at the airframes (None: all), or that name one of the units; those of the
    airframes at which another plan names one of their units come with them."""
    return [life for life, _ in _read(world, airframes, units)]


def _read(
    world: World, airframes: Collection[int] | None, units: Collection[int] | None
) -> list[tuple[SwapLife, int | None]]:
    """Each with the last movement at its position."""
    found = []
    for facts in doors_of(world, _airframes(world, airframes, units)).values():
        changed = {r.fact.position: r.number for r in facts if isinstance(r.fact, Movement)}
        lives = swap_lives(facts).values()
        found += [(life, changed.get(life.plan.position)) for life in lives if life.state in OPEN]
    return found


def _rows(
    world: World,
    airframes: Collection[int] | None,
    units: Collection[int] | None,
    swaps: Collection[str] | None,
    *,
    fitting: bool,
) -> list[PlanRow]:
    """The open plans asked about, each beside all that are open and what the records say now. `fitting`: with what the
    fitting question answers."""
    read = _read(world, airframes, units)
    lives = [life for life, _ in read]
    asked = [
        (life, changed)
        for life, changed in read
        if (airframes is None or life.plan.airframe in airframes)
        and (units is None or not {life.plan.incoming, life.plan.outgoing}.isdisjoint(units))
        and (swaps is None or life.plan.swap in swaps)
    ]
    if not asked:
        return []
    named = {unit for life in lives for unit in (life.plan.incoming, life.plan.outgoing) if unit is not None}
    bench = _Bench(world, lives, world.states(named))
    return [bench.row(life, changed, fitting=fitting) for life, changed in asked]


def _airframes(world: World, airframes: Collection[int] | None, units: Collection[int] | None) -> list[int]:
    """The airframes whose plans have to be read: those asked about, and those at which another plan names one of the
    same units. In a world of the past what is done since may have been open: all that ever had a plan."""
    if world.past:
        return airframes_with_swaps(world.connection)
    found = open_plans(world.connection, as_of=world.as_of)
    asked = [
        (airframe, incoming)
        for airframe, incoming, outgoing in found
        if (airframes is None or airframe in airframes)
        and (units is None or not {incoming, outgoing}.isdisjoint(units))
    ]
    there, spares = {airframe for airframe, _ in asked}, {unit for _, unit in asked if unit is not None}
    return sorted(there | {airframe for airframe, incoming, _ in found if incoming in spares})


class _Bench:
    """The open plans and what they are judged by."""

    def __init__(
        self,
        world: World,
        lives: Iterable[SwapLife],
        states: Mapping[int, UnitStateRow],
    ) -> None:
        self.world = world
        self.lives = list(lives)
        self.states = states
        self._installed: dict[int, dict[str, UnitStateRow]] = {}

    def hanging(self, airframe: int) -> dict[str, UnitStateRow]:
        """The units at the positions of the airframe now."""
        if airframe not in self._installed:
            found = self.world.installed_on(airframe)
            self._installed[airframe] = {row.position: row for row in found if row.position is not None}
        return self._installed[airframe]

    def row(self, life: SwapLife, changed: int | None, *, fitting: bool) -> PlanRow:
        world, plan = self.world, life.plan
        target = world.as_of if plan.target_on is None else day_number(plan.target_on)
        fitted_on = max(target, world.as_of)
        incoming, outgoing = self.states.get(plan.incoming or 0), self.states.get(plan.outgoing or 0)
        gone = incoming is not None and incoming.kind not in HELD
        answer = None
        if fitting and incoming is not None and not gone:
            answer = check_fitting(
                world,
                airframe=plan.airframe,
                position=plan.position,
                unit_id=incoming.unit_id,
                fitted_on=date.fromordinal(fitted_on),
            )
        return PlanRow(
            swap=plan.swap,
            registration=world.registration(plan.airframe),
            airframe=plan.airframe,
            position=plan.position,
            entry=life.entry,
            planned_on=day_number(plan.planned_on),
            fitted_on=fitted_on,
            target=plan.target_on,
            incoming=incoming,
            outgoing=outgoing,
            hanging=self.hanging(plan.airframe).get(plan.position),
            hanging_entry=changed,
            off_at=None if outgoing is None else where_told(world, outgoing),
            on_at=None if incoming is None else where_told(world, incoming),
            gone=gone,
            stops=_stops(answer, incoming),
            rig=_rig(answer, incoming),
            asks=world.reference.position_of(plan.airframe, plan.position).harness,
            mates=() if incoming is None else self._mates(life, incoming),
            also_for=self._also_for(life),
            life=None if answer is None else days_of_life(world, plan.airframe, answer, fitted_on),
            next_ground=next_after(ground_times(world, plan.airframe), fitted_on),
            least=None if incoming is None else self._least(plan.airframe, incoming, fitted_on),
        )

    def _least(self, airframe: int, incoming: UnitStateRow, on: int) -> Least | None:
        operator = self.world.reference.airframes[airframe].operator
        return least_life(least_lives(self.world), operator=operator, part_number=incoming.part_number, on=on)

    def _mates(self, life: SwapLife, incoming: UnitStateRow) -> tuple[MateRow, ...]:
        """The other positions of the pair, with what hangs there and what is planned for them."""
        world, plan = self.world, life.plan
        place = world.reference.position_of(plan.airframe, plan.position)
        frame = world.reference.airframes[plan.airframe]
        found = []
        for other in world.reference.positions_of_type(frame.type) if place.pair else ():
            if other.pair != place.pair or other.position == place.position:
                continue
            now = self.hanging(plan.airframe).get(other.position)
            beside = next(
                (
                    each.plan
                    for each in self.lives
                    if (each.plan.airframe, each.plan.position) == (plan.airframe, other.position)
                ),
                None,
            )
            then = None if beside is None else self.states.get(beside.incoming or 0)
            found.append(
                MateRow(
                    position=other.position,
                    now=None if now is None else (name_of(now), self._together(incoming, now)),
                    planned=None if then is None else (name_of(then), self._together(incoming, then)),
                    swap=None if beside is None else beside.swap,
                )
            )
        return tuple(found)

    def _together(self, unit: UnitStateRow, mate: UnitStateRow) -> IntermixAnswer:
        parts = [self.world.reference.part(each.part_number, each.manufacturer) for each in (unit, mate)]
        families = [None if part is None else part.intermix_family for part in parts]
        return judge_intermix(
            part_number=unit.part_number,
            family=families[0],
            other_part_number=mate.part_number,
            other_family=families[1],
            rows=self.world.reference.intermix,
        )

    def _also_for(self, life: SwapLife) -> tuple[tuple[str, str, int], ...]:
        """The other open plans that are to fit the same unit."""
        if life.plan.incoming is None:
            return ()
        return tuple(
            (each.plan.swap, f"{self.world.registration(each.plan.airframe)} {each.plan.position}", each.entry)
            for each in self.lives
            if each.plan.incoming == life.plan.incoming and each.plan.swap != life.plan.swap
        )


def _stops(answer: SwapAnswer | None, incoming: UnitStateRow | None) -> tuple[str, ...]:
    """Why the unit may not go there; of one that is not in stores whether its part is eligible, and no more."""
    if answer is None or incoming is None:
        return ()
    stops = [each for each in answer.reasons if each.verdict == "stop" and each.topic not in ELSEWHERE]
    return tuple(each.text for each in stops if incoming.kind == "store" or each.topic == "eligibility")


def _rig(answer: SwapAnswer | None, incoming: UnitStateRow | None) -> Reason | None:
    """What is said of the rig; of one that is not in stores only that its part can never serve that side, because its
    harness is looked at when it is back."""
    if answer is None or incoming is None:
        return None
    rig = next((each for each in answer.reasons if each.topic == "harness"), None)
    return rig if rig is not None and (incoming.kind == "store" or rig.verdict == "stop") else None


def where_told(world: World, state: UnitStateRow) -> str:
    """Where a unit is, in a few words."""
    since = day_text(day_of(state.since_moment))
    if state.kind == "position" and state.airframe_id is not None:
        return f"at {world.registration(state.airframe_id)} {state.position} since {since}"
    if state.kind == "slot":
        return f"in slot {state.slot} of an assembly since {since}"
    return f"{state.kind}{' ' + state.place_name if state.place_name else ''} since {since}"
