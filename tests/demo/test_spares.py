"""The choice of spares on the demo: what is read together or supposed beforehand changes no answer."""

from __future__ import annotations

from datetime import date

import pytest

from fleetlife.answers.spares_choose import chosen_in
from fleetlife.clocks.fitting import check_fitting
from fleetlife.clocks.held_spares import Need, needs_of, units_at_positions, units_in_stores
from fleetlife.clocks.spare_life import short_lives_of
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_number
from fleetlife.store.engine import Store
from tests.store.fleet import statements_of

AS_OF, UNTIL = date(2026, 11, 24), date(2027, 5, 23)


def test_read_together_it_is_the_same_choice(demo: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    with demo.reading() as connection:
        world = open_world(connection, as_of=AS_OF, kept=demo.kept)
        together = chosen_in(world, until=UNTIL, beside=False)
        assert world.ahead is not None
        assert len([row for row in together.rows if row.spare_serial_number]) > 5
        monkeypatch.setattr(World, "read_ahead", lambda self, units: None)
        alone = chosen_in(open_world(connection, as_of=AS_OF, kept=demo.kept), until=UNTIL, beside=False)
    assert together == alone


def test_a_fitting_of_what_was_read_ahead_costs_few_statements(demo: Store) -> None:
    with demo.reading() as connection:
        world = open_world(connection, as_of=AS_OF, kept=demo.kept)
        spares = units_in_stores(world)
        world.outlooks()
        place = next(need for need in _needs(world) if need.occupant is not None)
        counts = []
        for ahead in (False, True):
            if ahead:
                world.read_ahead(spare.unit_id for spare in spares)
            with statements_of(demo) as seen:
                for spare in spares:
                    check_fitting(world, airframe=place.airframe, position=place.position, unit_id=spare.unit_id)
            counts.append(len(seen) / len(spares))
    assert counts[1] <= 10 < 23 < counts[0]


@pytest.mark.parametrize("least_days", [1, 90, 400])
def test_no_spare_will_do_longer_than_the_calendar_was_said_to_leave_it(demo: Store, least_days: int) -> None:
    """Held against the fitting question, on the last day of the horizon and on the day after its own last."""
    shorter = 0
    with demo.reading() as connection:
        world = open_world(connection, as_of=AS_OF, kept=demo.kept)
        spares, needs = units_in_stores(world), _needs(world)
        programmes = world.reference.book().programmes
        lives = short_lives_of(
            world,
            spares,
            programmes={programmes.get(need.airframe) or None for need in needs},
            until_day=UNTIL.toordinal(),
            least_days=least_days,
        )
        for spare in spares:
            for programme, last in lives.get(spare.unit_id, {}).items():
                need = next(each for each in needs if (programmes.get(each.airframe) or None) == programme)
                for day in {UNTIL.toordinal(), max(last, world.as_of)}:
                    answer = check_fitting(
                        world,
                        airframe=need.airframe,
                        position=need.position,
                        unit_id=spare.unit_id,
                        fitted_on=date.fromordinal(day),
                    )
                    dues = [
                        day_number(left.due_if_fitted) - (0 if left.kind == "storage" else least_days)
                        for left in answer.life
                        if left.kind != "soft_life" and left.due_if_fitted
                    ]
                    assert min(dues) <= last
                    shorter += 1
    assert shorter > 3


def _needs(world: World) -> list[Need]:
    return needs_of(world, until_day=UNTIL.toordinal(), at_positions=units_at_positions(world))[0]
