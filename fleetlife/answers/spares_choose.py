"""`spares choose`: which spare to which position that falls due, so that least is left, re-rigged and thrown away."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from fleetlife.answers.due import airframes_asked
from fleetlife.checks.fitting import NO
from fleetlife.clocks.fitting import check_fitting
from fleetlife.clocks.ground import days_of_life
from fleetlife.clocks.held_spares import Need, needs_of, told_of, units_at_positions, units_in_stores
from fleetlife.clocks.places import name_of
from fleetlife.clocks.spare_life import short_lives_of
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_number, day_text
from fleetlife.fit.eligibility import judge_eligibility
from fleetlife.fit.harness import judge_harness
from fleetlife.follows.rows import UnitStateRow
from fleetlife.planning.choosing import Cost, Kind, Offers, Pair, choose_asking, first_come, second_best, total
from fleetlife.store.engine import Store
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.spares import ChoiceTotals, SpareChoice, SparesChosen
from fleetlife.terms.views import SwapAnswer

Tell = Callable[[str, int], None]
MOST_ASKED = 500  # pairs after which nothing more is asked for telling; the choice itself has no bound
MOST_PAIRS = 50_000  # above which no second best is sought: each takes a solution of its own
MOST_STOPS = 8  # spares whose stop is told at a position without one
CHOSEN = "chosen"
LONGEST = "first-come, the spare that has lain there longest"
ALONE = "first-come, the spare that is best for that position alone"
# What stops a unit at every position alike.
OF_THE_UNIT = frozenset(("place", "condition", "release", "paper", "assembly"))


def spares_choose(
    store: Store,
    *,
    as_of: date,
    until: date,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    stations: Collection[str] = (),
    least_days: int = 0,
    tell: Tell = lambda what, count: None,
) -> SparesChosen:
    """The choice for every position that wants a spare by `until`, beside first-come; nothing is written.

    Each pair is judged by the fitting question on the day the position falls due, or on the last day before it on
    which the spare still has its life. `least_days`: the life a spare must have left when fitted.
    Refusals: `horizon-in-the-past`, `registration-*`, `station-unknown`, those of `world.open_world`.
    """
    check_horizon(until, as_of=as_of)
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        airframes = airframes_asked(world, registrations, {"station": stations})
        return chosen_in(world, until=until, airframes=airframes, least_days=least_days, tell=tell)


def check_horizon(until: date, *, as_of: date) -> None:
    """Refusal: `horizon-in-the-past`."""
    if until < as_of:
        raise Refusal(
            "horizon-in-the-past",
            f"The horizon {until.isoformat()} lies before {as_of.isoformat()}, the day asked about.",
            remedy="Name that day or a later one; or ask as of the earlier day (--as-of).",
            status=2,
        )


def chosen_in(
    world: World,
    *,
    until: date,
    airframes: Collection[int] | None = None,
    least_days: int = 0,
    beside: bool = True,
    tell: Tell = lambda what, count: None,
) -> SparesChosen:
    """The choice in an open world; see `spares_choose`. `beside`: with first-come and the second best, which take three
    times as long."""
    hanging = units_at_positions(world, airframes)
    needs, unknown = needs_of(world, until_day=until.toordinal(), airframes=airframes, at_positions=hanging)
    world.keep_installed(hanging, airframes)
    counter = _Counter(world, needs, units_in_stores(world), least_days, until.toordinal(), tell)
    offers = counter.offers
    given = choose_asking(offers, counter.ask, expect=counter.expect)
    ways = {CHOSEN: given}
    if beside:
        ways[LONGEST] = first_come(offers, counter.ask, longest=True)
        ways[ALONE] = first_come(offers, counter.ask, longest=False)
    rows = [counter.row(number, given, ways.get(LONGEST, {})) for number in offers.positions]
    if beside:
        rows = [counter.with_second(number, row, given) for number, row in enumerate(rows)]
    return SparesChosen(
        about=world.about("spares choose", airframes=airframes),
        until=until.isoformat(),
        least_days=least_days,
        rows=tuple(rows),
        totals=tuple(_totals(way, total(offers, pairs)) for way, pairs in ways.items()),
        spares=len(counter.spares),
        asked=counter.asked,
        unknown=unknown,
    )


def _totals(way: str, cost: Cost) -> ChoiceTotals:
    return ChoiceTotals(way=way, without=cost.without, late=cost.late, rigs=cost.rigs, days=cost.days)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Verdict:
    """A pair as the fitting question judged it. stop: in one line why it is none; everywhere: at no position; spent: at
    none of the programme, for its life is over before the day asked about."""

    cost: Cost | None
    answer: SwapAnswer
    fit_on: int
    life: int | None = None
    stop: str = ""
    everywhere: bool = False
    spent: bool = False


class _Counter:
    """The stores' counter: what each pair costs at the least, and the fitting question for those that are chosen."""

    def __init__(
        self,
        world: World,
        needs: Sequence[Need],
        spares: Sequence[UnitStateRow],
        least_days: int,
        until: int,
        tell: Tell,
    ) -> None:
        self.world = world
        self.needs = needs
        # The one that has lain there longest in front: of equals first-come takes it.
        self.spares = sorted(spares, key=lambda unit: (unit.since_moment, unit.unit_id))
        self.least_days = max(least_days, 1)  # one that falls due on the day of its fitting serves nobody
        self.until = until
        self.tell = tell
        self.asked = 0
        self.verdicts: dict[Pair, _Verdict] = {}
        self.stopped: dict[int, str] = {}
        self._eligible: dict[str, dict[int, Need]] = {}
        self._alike: dict[tuple[str, str | None, str], dict[int, Cost]] = {}
        programmes = world.reference.book().programmes
        self.programmes = [programmes.get(need.airframe) or None for need in needs]
        self.harnesses = [world.reference.position_of(need.airframe, need.position).harness for need in needs]
        self.last = short_lives_of(
            world,
            self.spares,
            programmes=set(self.programmes),
            until_day=until,
            least_days=self.least_days,
        )
        alike: dict[tuple[object, ...], list[int]] = {}
        for spare, unit in enumerate(self.spares):
            short = sorted((str(of), day) for of, day in self.last.get(unit.unit_id, {}).items())
            alike.setdefault((unit.part_number, unit.manufacturer, unit.harness, *short), []).append(spare)
        self.offers = Offers(
            positions={number: Cost(without=1, late=until + 1 - need.by) for number, need in enumerate(needs)},
            kinds=[self._kind(spares) for spares in alike.values()],
        )

    def _kind(self, spares: list[int]) -> Kind:
        """Spares of one part and rig that will do as long as one another, of which the same is supposed; the longest in
        stores in front. One whose life is over serves nowhere."""
        unit = self.spares[spares[0]]
        costs = dict(self._costs_of(unit))
        last = self.last.get(unit.unit_id, {})
        for number in list(costs) if last else ():
            need = self.needs[number]
            day = last.get(self.programmes[number], need.by)
            if day < self.world.as_of:
                del costs[number]
            elif day < need.by and need.row is not None and need.due > day:
                costs[number] = Cost(rigs=costs[number].rigs, days=need.due - day)
        return Kind(spares, costs)

    def _costs_of(self, unit: UnitStateRow) -> Mapping[int, Cost]:
        """What units of the part and rig cost at the positions that may take them, however long they will do."""
        key = (unit.part_number, unit.manufacturer, unit.harness)
        if key not in self._alike:
            by_harness = {harness: self._supposed(harness, unit) for harness in set(self.harnesses)}
            self._alike[key] = {
                number: cost
                for number in self._eligible_needs(unit)
                if isinstance(cost := by_harness[self.harnesses[number]], Cost)
            }
        return self._alike[key]

    def _eligible_needs(self, unit: UnitStateRow) -> Mapping[int, Need]:
        """The positions at which the part is eligible, whatever the unit itself: asked once a part."""
        key = fold(unit.part_number)
        if key not in self._eligible:
            self._eligible[key] = {
                number: need for number, need in enumerate(self.needs) if self._is_eligible(need, unit.part_number)
            }
        return self._eligible[key]

    def _is_eligible(self, need: Need, part_number: str) -> bool:
        frame = self.world.reference.airframes[need.airframe]
        answer = judge_eligibility(
            part_number=part_number,
            serial_number="",
            unit_modifications=(),
            type=frame.type,
            position=need.position,
            airframe_serial=frame.constructor_serial,
            airframe_modifications=self.world.reference.modifications.get(need.airframe),
            rows=self.world.reference.eligibility.get((fold(frame.type), need.position), []),
            alternates=self.world.reference.alternates,
            on=need.by,
        )
        return answer.outcome != "not-eligible"

    def _supposed(self, wanted: str | None, unit: UnitStateRow) -> Cost | str:
        """What its harness costs at a position that wants one, known without asking; else why its rig is none there."""
        part = self.world.reference.part(unit.part_number, unit.manufacturer)
        if wanted is None and (part is None or part.rig in (None, "none")):
            return Cost()
        answer = judge_harness(rig=part.rig if part else None, harness=unit.harness, position_harness=wanted)
        if answer.outcome == "stop":
            return " ".join(answer.reasons)
        return Cost(rigs=int(answer.outcome == "condition"))

    def expect(self, pairs: Sequence[Pair]) -> None:
        """Read together what the questions about the pairs will need."""
        if len(pairs) > 1:
            self.world.read_ahead(self.spares[spare].unit_id for _, spare in pairs)

    def ask(self, number: int, spare: int) -> Cost | None:
        """The pair by the fitting question; a unit that is stopped everywhere is taken out of all pairs."""
        if spare in self.stopped:
            return None
        if (number, spare) not in self.verdicts:
            self.verdicts[number, spare] = verdict = self._judged(number, spare)
            if verdict.everywhere:
                self.stopped[spare] = verdict.stop
                self.offers.take_out(spare)
            elif verdict.spent:
                self._spent(number, spare, verdict)
        return self.verdicts[number, spare].cost

    def _spent(self, number: int, spare: int, verdict: _Verdict) -> None:
        """The life that the programme leaves it is over at every other position of that programme too."""
        for other, programme in enumerate(self.programmes):
            if programme == self.programmes[number] and other != number and self.offers.cost(other, spare) is not None:
                if not self.offers.was_asked(other, spare):
                    self.verdicts[other, spare] = verdict
                    self.offers.answered(other, spare, None)

    def _judged(self, number: int, spare: int) -> _Verdict:
        """Judged on the day the position falls due; where the spare's life does not reach it, on its own last day."""
        need = self.needs[number]
        verdict = self._on(number, spare, need.by)
        if verdict.cost is not None or verdict.everywhere:
            return verdict
        dues = [
            day_number(left.due_if_fitted) - (0 if left.kind == "storage" else self.least_days)
            for left in verdict.answer.life
            if left.kind != "soft_life" and left.due_if_fitted
        ]
        last = min(dues, default=need.by)
        if last < self.world.as_of:
            # A later fitting leaves no more: the date stands, or counts from where an allowance ended.
            return replace(verdict, spent=True)
        if last >= need.by:
            return verdict
        earlier = self._on(number, spare, last)
        return earlier if earlier.cost is not None else verdict

    def _on(self, number: int, spare: int, day: int) -> _Verdict:
        need, unit = self.needs[number], self.spares[spare]
        self.asked += 1
        self.tell("pairs asked", self.asked)
        answer = check_fitting(
            self.world,
            airframe=need.airframe,
            position=need.position,
            unit_id=unit.unit_id,
            fitted_on=date.fromordinal(day),
        )
        life = days_of_life(self.world, need.airframe, answer, day)
        stops = [reason for reason in answer.reasons if reason.verdict == "stop"]
        if answer.outcome == NO:
            stop = next((reason for reason in stops if reason.topic in OF_THE_UNIT), stops[0])
            everywhere = stop.topic in OF_THE_UNIT
            return _Verdict(cost=None, answer=answer, fit_on=day, life=life, stop=stop.text, everywhere=everywhere)
        if life is not None and life < self.least_days:
            stop_text = (
                f"{life:,} days of life if fitted on {day_text(day)}, fewer than the {self.least_days:,} wanted."
            )
            return _Verdict(cost=None, answer=answer, fit_on=day, life=life, stop=stop_text)
        rerig = any(reason.topic == "harness" and reason.verdict == "condition" for reason in answer.reasons)
        # What is overdue already has no life left to throw away, and an empty position has none either.
        thrown = 0 if need.row is None else max(need.due - day, 0)
        return _Verdict(cost=Cost(rigs=int(rerig), days=thrown), answer=answer, fit_on=day, life=life)

    # -- telling -------------------------------------------------------------------------------------------

    def row(self, number: int, given: dict[int, int], early: dict[int, int]) -> SpareChoice:
        """The position with its choice, or with why there is none."""
        need = self.needs[number]
        row = SpareChoice(
            **told_of(self.world, need),
            station=self.world.reference.airframes[need.airframe].station,
            first_come_spare=name_of(self.spares[early[number]]) if number in early else None,
        )
        if number not in given:
            return replace(row, stops=self._stops(number, given))
        unit, verdict = self.spares[given[number]], self.verdicts[number, given[number]]
        assert verdict.cost is not None, "every chosen pair was asked"
        return replace(
            row,
            spare_part_number=unit.part_number,
            spare_serial_number=unit.serial_number,
            spare_manufacturer=unit.manufacturer,
            store=unit.place_name,
            bin=unit.bin,
            fit_on=day_text(verdict.fit_on),
            outcome=verdict.answer.outcome,
            rerig=bool(verdict.cost.rigs),
            days_thrown_away=verdict.cost.days,
            days_of_life=verdict.life,
            again_on=self._again(verdict),
            conditions=tuple(reason.text for reason in verdict.answer.reasons if reason.verdict == "condition"),
        )

    def _again(self, verdict: _Verdict) -> str | None:
        """The day on which the spare itself falls due, where that lies inside the horizon."""
        again = None if verdict.life is None else verdict.fit_on + verdict.life
        return None if again is None or again > self.until else day_text(again)

    def with_second(self, number: int, row: SpareChoice, given: dict[int, int]) -> SpareChoice:
        """The row with what the position would get instead; as it is where too many pairs have been asked already."""
        if number not in given or self.asked >= MOST_ASKED or self.offers.pairs() > MOST_PAIRS:
            return row
        spare, more = second_best(self.offers, number, given, self.ask)
        return replace(
            row,
            second_spare=None if spare is None else name_of(self.spares[spare]),
            second_without=more.without,
            second_late=more.late,
            second_rigs=more.rigs,
            second_days=more.days,
        )

    def _stops(self, number: int, given: dict[int, int]) -> tuple[str, ...]:
        """Why the position gets none: of each spare of an eligible part what stops it, or where it goes."""
        goes = {spare: at for at, spare in given.items()}
        lines: list[str] = []
        more = others = 0
        for spare, unit in enumerate(self.spares):
            if number not in self._eligible_needs(unit):
                others += 1
            elif len(lines) == MOST_STOPS:
                more += 1
            else:
                lines.append(f"{name_of(unit)}: {self._stop(number, spare, goes)}")
        if more:
            lines.append(f"{more:,} more spares of eligible parts are not told one by one.")
        lines.append(f"{others:,} spares in stores are of parts that are not eligible there.")
        return tuple(lines)

    def _stop(self, number: int, spare: int, goes: dict[int, int]) -> str:
        if spare in goes:
            other = self.needs[goes[spare]]
            return f"goes to {self.world.registration(other.airframe)} {other.position}."
        supposed = self._supposed(self.harnesses[number], self.spares[spare])
        if not isinstance(supposed, Cost):
            return supposed
        if spare not in self.stopped and (number, spare) not in self.verdicts and self.asked >= MOST_ASKED:
            return f"was not asked, for {self.asked:,} pairs have been."
        if self.ask(number, spare) is None:
            return self.stopped.get(spare) or self.verdicts[number, spare].stop
        return "may be fitted."
