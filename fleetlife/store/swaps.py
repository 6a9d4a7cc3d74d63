"""Swaps by their number, and the facts of the work at doors by the airframe they were done on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import bindparam, select, text
from sqlalchemy.engine import Connection

from fleetlife.follows.place import Recorded
from fleetlife.ledger.canonical import read_back
from fleetlife.ledger.entry import MIXED, facts_of
from fleetlife.ledger.facts import Fact, Movement
from fleetlife.ledger.swaps import (
    Deferral,
    DeferralClosed,
    GaugeReading,
    PositionWork,
    SwapPlan,
    SwapSignature,
    SwapStep,
)
from fleetlife.model import ledger
from fleetlife.store.bulk import batches
from fleetlife.store.facts import LATEST
from fleetlife.store.sets import DIALECTS, among, set_value
from fleetlife.store.typed import TYPED
from fleetlife.terms.number import fold

CHUNK = 500
# What is done at doors; a movement is what carries a swap out.
DOOR_KINDS: tuple[type[Fact], ...] = (
    *(SwapPlan, SwapStep, PositionWork, GaugeReading, SwapSignature),
    *(Deferral, DeferralClosed, Movement),
)
_PLAN = TYPED[SwapPlan.KIND]
_PLANNED = select(*(_PLAN.table.c[name] for name in _PLAN.fields)).where(_PLAN.table.c.swap_fold == bindparam("swap"))
_entry, _fact, _touch = ledger.entry, ledger.fact, ledger.entry_touch_airframe


def planned_swap(connection: Connection, number: str) -> SwapPlan | None:
    """The plan of the swap of this number, case and white space apart; None when there is none."""
    row = connection.execute(_PLANNED, {"swap": fold(number)}).first()
    found = None if row is None else _PLAN.fact_of(row)
    assert found is None or isinstance(found, SwapPlan)
    return found


def _at_doors(dialect: str) -> Any:
    kinds = (*(kind.KIND for kind in DOOR_KINDS), *MIXED)
    touching = select(_touch.c.number).where(
        among(_touch.c.airframe_id, "airframes", dialect), _touch.c.number <= bindparam("known")
    )
    return (
        select(_entry.c.number, _entry.c.body)
        .where(_entry.c.number.in_(touching), _entry.c.kind.in_(kinds))
        .order_by(_entry.c.number)
    )


_AT_DOORS = {dialect: _at_doors(dialect) for dialect in DIALECTS}
_RETIRED = {
    dialect: select(_fact.c.number, _fact.c.item).where(
        among(_fact.c.number, "numbers", dialect), _fact.c.retired_by <= bindparam("known")
    )
    for dialect in DIALECTS
}


def door_facts(connection: Connection, airframes: Iterable[int], *, known: int = LATEST) -> dict[int, list[Recorded]]:
    """What is recorded of the work at the doors of each airframe, its movements among it, in the order of entries: what
    stood after entry `known`. Two statements for up to 500 airframes."""
    dialect = connection.dialect.name
    wanted = sorted(set(airframes))
    found: dict[int, list[Recorded]] = {airframe: [] for airframe in wanted}
    for chunk in batches(wanted, CHUNK):
        values = {"airframes": set_value(connection, chunk), "known": known}
        entries = connection.execute(_AT_DOORS[dialect], values).all()
        numbers = set_value(connection, [number for number, _ in entries])
        retired = {
            (row[0], row[1]) for row in connection.execute(_RETIRED[dialect], {"numbers": numbers, "known": known})
        }
        for number, stated in _stated(entries, retired):
            for airframe in stated.airframe_ids():
                if airframe in found:
                    found[airframe].append(Recorded(number, stated))
    return found


def _stated(entries: Iterable[Any], retired: set[tuple[int, int]]) -> Iterator[tuple[int, Fact]]:
    for number, body in entries:
        for item, stated in enumerate(facts_of(read_back(body))):
            if isinstance(stated, DOOR_KINDS) and (number, item) not in retired:
                yield number, stated


_AIRFRAMES = select(_PLAN.table.c.airframe).distinct().order_by(_PLAN.table.c.airframe)


def airframes_with_swaps(connection: Connection) -> list[int]:
    """The airframes of which a swap is planned, or was."""
    return [row[0] for row in connection.execute(_AIRFRAMES)]


_OPEN_PLANS = text(
    """
    SELECT p.airframe, p.incoming, p.outgoing FROM swap_plan AS p
    WHERE p.planned_on <= :as_of
    AND NOT EXISTS (SELECT 1 FROM movement AS m WHERE m.swap = p.swap AND m.moved_on <= :as_of)
    AND NOT EXISTS (
        SELECT 1 FROM swap_step AS t WHERE t.swap = p.swap AND t.step = 'given_up' AND t.stepped_on <= :as_of)
    AND NOT EXISTS (
        SELECT 1 FROM swap_signature AS s WHERE s.swap = p.swap AND s.role = 'released' AND s.signed_on <= :as_of)
    ORDER BY p.airframe, p.swap
    """
)


def open_plans(connection: Connection, *, as_of: int) -> list[tuple[int, int | None, int | None]]:
    """(airframe, unit to go on, unit to come off) of each swap that is planned by the day and neither done nor given up
    by then, as the records stand. One statement."""
    return [(row[0], row[1], row[2]) for row in connection.execute(_OPEN_PLANS, {"as_of": as_of})]


_AT_WORK = text("SELECT DISTINCT airframe FROM position_work ORDER BY airframe")


def airframes_with_work(connection: Connection) -> list[int]:
    """The airframes at whose positions something was recorded beside the units."""
    return [row[0] for row in connection.execute(_AT_WORK)]


# Where something may be open: an item last left unsettled; a swap done and not released; a release that may not be
# borne out. They may name too many; the pure rule judges.
_UNSETTLED = "('placed', 'broken', 'left', 'not_found')"
# The reading lies in the band on a straight line between the two temperatures of the table around it.
_WITHIN = """
    SELECT 1 FROM pressure_band AS p JOIN pressure_band AS q ON q.part_fold = p.part_fold
    WHERE p.part_fold = u.part_fold AND p.pressure_unit = g.pressure_unit AND q.pressure_unit = g.pressure_unit
    AND p.millicelsius <= g.millicelsius AND q.millicelsius >= g.millicelsius
    AND (g.pressure - p.minimum) * (q.millicelsius - p.millicelsius)
        >= (q.minimum - p.minimum) * (g.millicelsius - p.millicelsius)
    AND (g.pressure - p.maximum) * (q.millicelsius - p.millicelsius)
        <= (q.maximum - p.maximum) * (g.millicelsius - p.millicelsius)
    AND (p.millicelsius < q.millicelsius OR g.pressure BETWEEN p.minimum AND p.maximum)
    AND NOT EXISTS (SELECT 1 FROM pressure_band AS r WHERE r.part_fold = p.part_fold
                    AND (r.millicelsius > p.millicelsius AND r.millicelsius < q.millicelsius
                         OR r.millicelsius = g.millicelsius AND p.millicelsius < q.millicelsius))"""
_TO_JUDGE = text(
    f"""
    SELECT w.airframe FROM position_work AS w
    WHERE w.outcome IN {_UNSETTLED}
    AND NOT EXISTS (
        SELECT 1 FROM position_work AS n
        WHERE n.airframe = w.airframe AND n.position = w.position AND n.item = w.item
        AND (n.worked_on > w.worked_on OR n.worked_on = w.worked_on AND n.sequence > w.sequence))
    UNION
    SELECT p.airframe FROM swap_plan AS p
    WHERE EXISTS (SELECT 1 FROM movement AS m WHERE m.swap = p.swap)
    AND NOT EXISTS (SELECT 1 FROM swap_signature AS s WHERE s.swap = p.swap AND s.role = 'released')
    UNION
    SELECT s.airframe FROM swap_signature AS s WHERE s.exception IS NOT NULL
    UNION
    SELECT s.airframe FROM swap_signature AS s JOIN airframe AS f ON f.airframe = s.airframe
    WHERE NOT EXISTS (
        SELECT 1 FROM authorisation AS a
        WHERE a.staff = s.signed_by AND a.role = s.role AND a.position_kind IS NULL
        AND (a.type IS NULL OR a.type = f.type)
        AND a.valid_from <= s.signed_on AND (a.valid_to IS NULL OR a.valid_to >= s.signed_on))
    UNION
    SELECT s.airframe FROM swap_signature AS s
    WHERE s.role = 'released' AND (
        NOT EXISTS (SELECT 1 FROM movement AS m WHERE m.swap = s.swap)
        OR NOT EXISTS (SELECT 1 FROM swap_signature AS q WHERE q.swap = s.swap AND q.role = 'performed')
        OR EXISTS (
            SELECT 1 FROM position_work AS w WHERE w.swap = s.swap AND w.outcome IN ('failed', {_UNSETTLED[1:-1]}))
        OR EXISTS (SELECT 1 FROM swap_signature AS q JOIN swap_signature AS i ON i.swap = q.swap
                   WHERE q.swap = s.swap AND q.role = 'performed' AND i.role = 'inspected'
                   AND i.signed_by = q.signed_by)
        OR EXISTS (
            SELECT 1 FROM gauge_reading AS g JOIN unit_state AS u ON u.unit_id = g.unit
            WHERE g.swap = s.swap AND EXISTS (SELECT 1 FROM pressure_band AS p WHERE p.part_fold = u.part_fold)
            AND NOT EXISTS ({_WITHIN}))
        OR EXISTS (
            SELECT 1 FROM release_item AS r JOIN airframe AS f ON f.type = r.type
            JOIN swap_plan AS p ON p.swap = s.swap
            WHERE f.airframe = s.airframe AND r.entry_number <= s.entry_number
            AND (r.position IS NULL OR r.position = p.position)
            AND (r.category <> 'inspection' AND coalesce(r.runs, 1) > (
                    SELECT count(*) FROM position_work AS w
                    WHERE w.swap = s.swap AND w.category = r.category AND w.item = r.item
                    AND w.outcome NOT IN ('failed', {_UNSETTLED[1:-1]}))
                 OR r.category = 'inspection' AND NOT EXISTS (
                    SELECT 1 FROM swap_signature AS q WHERE q.swap = s.swap AND q.role = 'inspected'))))
    ORDER BY 1
    """
)


def airframes_to_judge(connection: Connection) -> list[int]:
    """The airframes at whose doors something may be open, as the records stand; one statement."""
    return [row[0] for row in connection.execute(_TO_JUDGE)]
