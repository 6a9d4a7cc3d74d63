"""The findings' narrowing: for each family of checks the rows that can be found fault with, by one statement each.

A superset comes back; the pure checks judge. `Scope` narrows to some units or airframes; the number of statements does
not depend on how large the fleet is. Rows about units carry the unit's address (`Addressed`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import TextClause, text
from sqlalchemy.engine import Connection

from fleetlife.follows.rows import CertificateLineRow, UnitStateRow
from fleetlife.ledger.facts import (
    Accomplishment,
    Certificate,
    Fact,
    HoldDecision,
    Movement,
    PlateReading,
    Receipt,
    Transfer,
)
from fleetlife.store import quick
from fleetlife.store.due_query import BY_SCRAP, UNITS_COUNTED
from fleetlife.store.rows import KEPT, maker_of
from fleetlife.store.sets import DIALECTS, set_value
from fleetlife.store.typed import TYPED
from fleetlife.terms.filling import filled

STREAM = 5_000
FEW = 500
STATE_NAMES = KEPT["unit_state"].names
_LINE = KEPT["certificate_line"].names

# A unit with its address: itself, the position of the unit it hangs in, its opening statement, its present stay.
_MORE = "r.position, o.as_of, o.placed_on, o.entry_number, p.entry, o.manufactured"
_UNIT = ", ".join((*(f"s.{name}" for name in STATE_NAMES), _MORE))
_CHILD = ", ".join(f"c.{name}" for name in STATE_NAMES)
_PAPER = ", ".join(f"l.{name}" for name in _LINE)
_ADDRESS = (
    "JOIN unit AS o ON o.unit = s.unit_id"
    " JOIN placement AS p ON p.unit_id = s.unit_id AND p.until_moment IS NULL"
    " LEFT JOIN unit_state AS r ON r.unit_id = s.root_id"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """What an audit looks at. None: everything; units and airframes narrow independently of one another."""

    units: frozenset[int] | None = None
    airframes: frozenset[int] | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Addressed:
    """A unit's row with its address: position of the unit on the position, opening day and entry, entry of its stay."""

    state: UnitStateRow
    position: str | None
    as_of: int
    placed_on: int | None
    entry: int
    since_entry: int
    manufactured: str | None


def _facts(kind: type[Fact], alias: str) -> str:
    return ", ".join(f'{alias}."{name}"' for name in TYPED[kind.KIND].fields)


def _iso(expression: str, dialect: str) -> str:
    """An ordinal day as ISO text."""
    if dialect == "sqlite":
        return f"date(({expression} - 719163) * 86400, 'unixepoch')"
    return f"to_char(date '0001-01-01' + ({expression} - 1)::int, 'YYYY-MM-DD')"


def _ordinal(expression: str, dialect: str) -> str:
    """ISO text that begins with a day as an ordinal day."""
    if dialect == "sqlite":
        return f"CAST(julianday(substr({expression}, 1, 10)) - 1721424.5 AS INTEGER)"
    return f"CAST(substr({expression}, 1, 10)::date - date '0001-01-01' + 1 AS bigint)"


def _given(name: str, dialect: str, kind: str = "bigint") -> str:
    """The set bound to `name`, as what may follow IN."""
    return (
        f"(SELECT value FROM json_each(:{name}))"
        if dialect == "sqlite"
        else f"(SELECT unnest(CAST(:{name} AS {kind}[])))"
    )


def _one_of(name: str, dialect: str) -> str:
    """The condition that something is in a small set; on PostgreSQL in the form by which an index serves."""
    return f"IN {_given(name, dialect)}" if dialect == "sqlite" else f"= ANY(CAST(:{name} AS bigint[]))"


# --- the statements -----------------------------------------------------------------------------------------------
# {units:X} and {airframes:X} become a condition on X where the scope names units or airframes.

_CARRIED = f"""
    SELECT {_UNIT} FROM unit_state AS s {_ADDRESS}
    WHERE s.carried_airframe_id IS NOT NULL {{airframes:s.carried_airframe_id}}
    ORDER BY s.carried_airframe_id, s.unit_id"""
_LOOSE = f"""
    SELECT {_UNIT} FROM unit_state AS s {_ADDRESS}
    WHERE s.carried_airframe_id IS NULL AND (s.kind = 'unknown' OR s.kind = 'store' AND s.part_fold IN {{parts}})
    {{units:s.unit_id}}"""
_LOOSE_CHILDREN = f"""
    SELECT {_CHILD} FROM unit_state AS s JOIN unit_state AS c ON c.parent_id = s.unit_id
    WHERE s.carried_airframe_id IS NULL AND s.kind = 'store' AND s.part_fold IN {{parts}} {{units:s.unit_id}}"""
_IN_STORES = f"""
    SELECT {", ".join(f"s.{name}" for name in STATE_NAMES)} FROM unit_state AS s WHERE s.kind = 'store'
    ORDER BY s.unit_id"""
_AT_POSITIONS = f"""
    SELECT {", ".join(f"s.{name}" for name in STATE_NAMES)} FROM unit_state AS s
    WHERE s.airframe_id IS NOT NULL AND s.position IS NOT NULL {{airframes:s.airframe_id}}
    ORDER BY s.airframe_id, s.unit_id"""
_DIFFERING = f"""
    SELECT {_PAPER}, {_UNIT} FROM certificate_line AS l
    JOIN unit_state AS s ON s.unit_id = l.unit_id {_ADDRESS}
    WHERE l.verdict <> 'exact' AND l.verdict <> 'formatting' {{units:l.unit_id}}"""
_UNFILED = f"""
    SELECT {_PAPER} FROM certificate_line AS l
    WHERE l.unit_id IS NULL AND l.verdict <> 'exact' AND l.dated_on <= :as_of AND l.entry <= :known"""
_SAME_PAPER = f"""
    SELECT {_PAPER}, {_UNIT} FROM
    (SELECT tracking_number FROM certificate_line WHERE unit_id IS NOT NULL
     GROUP BY tracking_number HAVING min(unit_id) <> max(unit_id)) AS g
    JOIN certificate_line AS l ON l.tracking_number = g.tracking_number
    JOIN unit_state AS s ON s.unit_id = l.unit_id {_ADDRESS}"""
_SAME_PAPER_OF_UNITS = f"""
    SELECT {_PAPER}, {_UNIT} FROM certificate_line AS l
    JOIN unit_state AS s ON s.unit_id = l.unit_id {_ADDRESS}
    WHERE l.tracking_number IN (SELECT q.tracking_number FROM certificate_line AS q WHERE q.unit_id IN {{ids}})"""
_REFITTED = """
    SELECT s.unit_id FROM unit_state AS s
    WHERE s.carried_airframe_id IS NOT NULL AND s.released_on < s.removed_on {units:s.unit_id}"""
# Off an airframe of `ids` since the last release, and on one again.
_OFF_DONORS = """
    SELECT DISTINCT s.unit_id FROM carriage AS c JOIN unit_state AS s ON s.unit_id = c.unit_id
    WHERE c.airframe_id IN {ids} AND c.until_moment IS NOT NULL AND s.carried_airframe_id IS NOT NULL
    AND (s.released_on IS NULL OR s.released_on < c.until_moment / 10000) {units:s.unit_id}"""
_DEPLOYED = f"""
    SELECT a.operated_on, a.intent, a.entry_number, {_UNIT} FROM operation AS a
    JOIN unit_state AS s ON s.unit_id = a.unit {_ADDRESS}
    WHERE lower(a.operation) = 'deployment' AND a.count > 0 AND a.operated_on <= :as_of
    AND s.carried_airframe_id IS NOT NULL AND (s.released_on IS NULL OR s.released_on < a.operated_on)
    {{units:a.unit}} ORDER BY a.unit, a.operated_on, a.entry_number"""
_LENT_OUT = f"""
    SELECT p.expected_back, s.place_name, {_UNIT} FROM unit_state AS s {_ADDRESS}
    WHERE s.kind = 'loan' AND p.expected_back < :as_of {{units:s.unit_id}}"""
_BORROWED = f"""
    SELECT o.return_by, o.owner, {_UNIT} FROM unit_state AS s {_ADDRESS}
    WHERE o.return_by < :as_of AND s.kind <> 'loan' AND s.kind <> 'scrap' {{units:s.unit_id}}"""
_SCRAPPED = f"""
    SELECT {_UNIT} FROM unit_state AS s {_ADDRESS}
    WHERE s.kind = 'scrap' AND s.part_fold IN {{parts}} AND NOT EXISTS
    (SELECT 1 FROM transfer AS t WHERE t.unit = s.unit_id AND t.disposition IS NOT NULL
     AND t.moved_on * 10000 + t.sequence = s.since_moment) {{units:s.unit_id}}"""
_NAMED_PAPER = f"""
    SELECT m.moved_on, m.entry_number, {_PAPER}, {_UNIT} FROM movement AS m
    JOIN certificate_line AS l ON l.unit_id = m.installed AND l.tracking_number = m.certificate
    JOIN unit_state AS s ON s.unit_id = m.installed {_ADDRESS}
    WHERE m.certificate IS NOT NULL AND l.dated_on > m.moved_on
    AND (m.certificate_organisation IS NULL OR m.certificate_organisation = l.organisation) {{units:m.installed}}"""
_CHILD_PAPER = f"""
    SELECT m.moved_on, m.entry_number, {_PAPER}, {_UNIT} FROM transfer AS m
    JOIN certificate_line AS l ON l.unit_id = m.unit AND l.tracking_number = m.certificate
    JOIN unit_state AS s ON s.unit_id = m.unit {_ADDRESS}
    WHERE m.parent IS NOT NULL AND m.certificate IS NOT NULL AND l.dated_on > m.moved_on
    AND (m.certificate_organisation IS NULL OR m.certificate_organisation = l.organisation) {{units:m.unit}}"""
_LATER_RELEASE = f"""
    SELECT s.since_moment, {_PAPER}, {_UNIT} FROM unit_state AS s {_ADDRESS}
    JOIN certificate_line AS l ON l.unit_id = s.unit_id
    WHERE s.kind = 'position' AND s.released_on > s.since_moment / 10000 {{units:s.unit_id}}
    ORDER BY s.unit_id, l.dated_on"""
_BEFORE_MANUFACTURE = f"""
    SELECT {_PAPER}, {_UNIT} FROM certificate_line AS l
    JOIN unit_state AS s ON s.unit_id = l.unit_id {_ADDRESS}
    WHERE o.manufactured IS NOT NULL AND {{iso:l.dated_on}} < o.manufactured {{units:l.unit_id}}"""
_CLAIMED = f"""
    SELECT {_facts(Accomplishment, "a")}, a.entry_number, {_PAPER}, {_UNIT}
    FROM accomplishment AS a
    JOIN certificate_line AS l ON l.unit_id = a.unit AND l.tracking_number = a.certificate
    JOIN unit_state AS s ON s.unit_id = a.unit {_ADDRESS}
    WHERE a.certificate IS NOT NULL AND (a.date_basis IS NULL OR a.date_basis <> 'log')
    AND (a.certificate_organisation IS NULL OR a.certificate_organisation = l.organisation)
    AND EXISTS (SELECT 1 FROM requirement AS q WHERE q.requirement = a.requirement
                AND q.kind || '|' || lower(trim(l.status)) NOT IN {{proven}}) {{units:a.unit}}"""
_FORMER_DUE = f"""
    SELECT {_facts(Accomplishment, "a")}, a.entry_number, d.calendar_due, d.basis, d.last_done, q.edition, {_UNIT}
    FROM accomplishment AS a
    JOIN due_point AS d ON d.unit_id = a.unit AND d.calendar_due IS NOT NULL AND d.calendar_due <> a.stated_due
    AND d.in_force_from <= :as_of AND d.in_force_until > :as_of
    JOIN requirement AS q ON q.requirement_key = d.requirement_key AND q.requirement = a.requirement
    JOIN unit_state AS s ON s.unit_id = a.unit {_ADDRESS}
    WHERE a.stated_due IS NOT NULL {{units:a.unit}}"""
_TESTED = f"""
    SELECT {_facts(Accomplishment, "a")}, a.entry_number, {_UNIT} FROM accomplishment AS a
    JOIN unit_state AS s ON s.unit_id = a.unit {_ADDRESS}
    WHERE a.expansion_total IS NOT NULL
    AND (a.expansion_permanent * 10 > a.expansion_total OR upper(a.expansion_specification) LIKE '%3HT%')
    {{units:a.unit}}"""
_PLATES = f"""
    SELECT {_facts(PlateReading, "a")}, a.entry_number, {_UNIT} FROM unit_state AS s
    JOIN plate_reading AS a ON a.unit = s.unit_id {_ADDRESS}
    WHERE s.plate IS NOT NULL AND NOT EXISTS
    (SELECT 1 FROM plate_reading AS b WHERE b.unit = a.unit
     AND (b.read_on > a.read_on OR b.read_on = a.read_on AND b.sequence > a.sequence)) {{units:s.unit_id}}"""
_RECEIVED = f"""
    SELECT {_facts(Receipt, "a")}, a.entry_number, {_UNIT} FROM unit_state AS s
    JOIN receipt AS a ON a.unit = s.unit_id {_ADDRESS}
    WHERE s.receipt IS NOT NULL AND NOT EXISTS
    (SELECT 1 FROM receipt AS b WHERE b.unit = a.unit
     AND (b.received_on > a.received_on OR b.received_on = a.received_on AND b.sequence > a.sequence))
    {{units:s.unit_id}}"""
_SUSPECTED = f"""
    SELECT {_facts(HoldDecision, "a")}, a.entry_number, {_UNIT} FROM unit_state AS s
    JOIN hold_decision AS a ON a.unit = s.unit_id AND a.decision = 'suspected' {_ADDRESS}
    WHERE s.suspected IS NOT NULL AND NOT EXISTS
    (SELECT 1 FROM hold_decision AS b WHERE b.unit = a.unit AND b.decision = 'suspected'
     AND (b.decided_on > a.decided_on OR b.decided_on = a.decided_on AND b.sequence > a.sequence))
    {{units:s.unit_id}}"""
# Whole certificates in order; the day of recording is looked up only where a paper is dated after the day asked.
_PAPERS_OF = f"""
    SELECT {_facts(Certificate, "c")}, c.entry_number,
    CASE WHEN c.dated_on > :as_of
    THEN (SELECT {{ordinal:e.recorded_at}} FROM entry AS e WHERE e.number = c.entry_number) END
    FROM certificate AS c WHERE c.entry_number <= :known"""
_IN_PAPERS = " ORDER BY c.organisation, c.tracking_number, c.entry_number, c.entry_item"
_PAPERS = _PAPERS_OF + _IN_PAPERS
_PAPERS_OF_UNITS = (
    f"{_PAPERS_OF} AND c.tracking_number IN"
    f" (SELECT q.tracking_number FROM certificate AS q WHERE q.unit IN {{ids}}){_IN_PAPERS}"
)
_PAPERS_NUMBERED = f"{_PAPERS_OF} AND c.tracking_number IN {{named}}{_IN_PAPERS}"
_CORRECTED = """
    SELECT c.organisation, c.tracking_number, min(c.dated_on) FROM certificate AS c
    WHERE c.entry_number <= :known AND c.tracking_number IN {named} GROUP BY c.organisation, c.tracking_number"""
_COUNTED = f"""
    SELECT {_facts(Certificate, "c")}, c.entry_number, o.as_of, o.minutes_since_new, o.cycles_since_new,
    (SELECT count(*) FROM carriage AS r WHERE r.unit_id = c.unit AND r.from_moment < (c.dated_on + 1) * 10000
     AND (r.until_moment IS NULL OR r.until_moment >= c.dated_on * 10000)),
    (SELECT coalesce(sum(r.until_minutes - r.from_minutes), 0) FROM carriage AS r
     WHERE r.unit_id = c.unit AND r.until_moment < (c.dated_on + 1) * 10000),
    (SELECT coalesce(sum(r.until_cycles - r.from_cycles), 0) FROM carriage AS r
     WHERE r.unit_id = c.unit AND r.until_moment < (c.dated_on + 1) * 10000),
    (SELECT max(a.minutes_since_new) FROM accomplishment AS a WHERE a.unit = c.unit
     AND a.certificate = c.tracking_number AND coalesce(a.certificate_organisation, c.organisation) = c.organisation),
    (SELECT max(a.cycles_since_new) FROM accomplishment AS a WHERE a.unit = c.unit
     AND a.certificate = c.tracking_number AND coalesce(a.certificate_organisation, c.organisation) = c.organisation)
    FROM certificate AS c JOIN unit AS o ON o.unit = c.unit
    WHERE (c.minutes_since_new IS NOT NULL OR c.cycles_since_new IS NOT NULL) {{units:c.unit}}
    ORDER BY c.unit, c.dated_on, c.entry_number"""
_LIFE_PAPER = f"""
    SELECT {_facts(Certificate, "c")}, c.entry_number, {_UNIT} FROM unit_state AS s
    JOIN certificate AS c ON c.unit = s.unit_id AND c.tracking_number = s.release_certificate
    AND c.dated_on = s.released_on {_ADDRESS}
    WHERE s.part_fold IN {{parts}} AND (c.minutes_since_new IS NULL OR c.cycles_since_new IS NULL)
    AND s.kind <> 'scrap' {{units:s.unit_id}}"""
_LATE = f"""
    SELECT {_facts(Movement, "m")}, m.entry_number, {{ordinal:e.recorded_at}}, {{ordinal:f.recorded_at}}
    FROM movement AS m JOIN entry AS e ON e.number = m.entry_number
    JOIN entry AS f ON f.number = (SELECT min(t.number) FROM entry_touch_airframe AS t WHERE t.airframe_id = m.airframe)
    WHERE {{ordinal:e.recorded_at}} - m.moved_on > :within AND m.moved_on >= {{ordinal:f.recorded_at}}
    AND m.moved_on <= :as_of AND m.entry_number <= :known {{airframes:m.airframe}}"""
_SIGNED = "m.signed_by IS NOT NULL AND m.moved_on <= :as_of AND m.entry_number <= :known {airframes:m.airframe}"
_MANY_DOORS = f"""
    SELECT {_facts(Movement, "m")}, m.entry_number FROM movement AS m
    WHERE {_SIGNED} AND (
        (m.airframe, m.signed_by, m.moved_on) IN (
            SELECT m.airframe, m.signed_by, m.moved_on FROM movement AS m WHERE {_SIGNED}
            GROUP BY m.airframe, m.signed_by, m.moved_on HAVING count(DISTINCT m.position) > :doors)
        OR (m.airframe, m.signed_by, m.work_order) IN (
            SELECT m.airframe, m.signed_by, m.work_order FROM movement AS m
            WHERE m.work_order IS NOT NULL AND {_SIGNED}
            GROUP BY m.airframe, m.signed_by, m.work_order HAVING count(DISTINCT m.position) > :doors))"""
_PROMISED = f"""
    SELECT {_facts(Transfer, "t")}, t.entry_number, {_UNIT} FROM unit_state AS s {_ADDRESS}
    JOIN transfer AS t ON t.unit = s.unit_id
    WHERE s.kind = 'store' AND t."order" IS NOT NULL
    AND t.moved_on * 10000 + t.sequence >= coalesce((SELECT max(q.until_moment) FROM placement AS q
                                                     WHERE q.unit_id = s.unit_id AND q.kind <> 'store'), 0)
    AND (SELECT count(DISTINCT u."order") FROM transfer AS u WHERE u.unit = s.unit_id) > 1 {{units:s.unit_id}}
    ORDER BY t.unit, t.moved_on, t.sequence"""
_DONE = """
    SELECT w.unit, w.requirement, w.day, w.date_basis, w.minutes, w.cycles, w.entry_number, w.part_fold, w.as_of,
    w.manufactured, w.opening_minutes, w.opening_cycles,
    CASE WHEN w.day > w.as_of THEN (SELECT max(c.until_moment) FROM carriage AS c
        WHERE c.unit_id = w.unit AND c.until_moment < (w.day + 1) * 10000) END,
    CASE WHEN w.day > w.as_of THEN (SELECT count(*) FROM carriage AS c WHERE c.unit_id = w.unit
        AND c.from_moment < (w.day + 1) * 10000
        AND (c.until_moment IS NULL OR c.until_moment >= (w.day + 1) * 10000)) END,
    CASE WHEN w.day > w.as_of THEN (SELECT coalesce(sum(c.until_minutes - c.from_minutes), 0) FROM carriage AS c
        WHERE c.unit_id = w.unit AND c.until_moment < (w.day + 1) * 10000) END,
    CASE WHEN w.day > w.as_of THEN (SELECT coalesce(sum(c.until_cycles - c.from_cycles), 0) FROM carriage AS c
        WHERE c.unit_id = w.unit AND c.until_moment < (w.day + 1) * 10000) END,
    (SELECT count(*) FROM variation AS v WHERE v.unit = w.unit AND v.requirement = w.requirement)
    FROM (SELECT a.unit, a.requirement, {first:a.done_on} AS day, a.date_basis, a.minutes_since_new AS minutes,
          a.cycles_since_new AS cycles, a.entry_number, s.part_fold, o.as_of, o.manufactured,
          o.minutes_since_new AS opening_minutes, o.cycles_since_new AS opening_cycles
          FROM accomplishment AS a JOIN unit_state AS s ON s.unit_id = a.unit JOIN unit AS o ON o.unit = a.unit
          WHERE 1 = 1 {units:a.unit}) AS w
    ORDER BY w.unit, w.requirement, w.day, w.entry_number"""
_IDENTITIES = """
    SELECT unit_id, part_number, serial_number FROM unit_state"""
_LIKE = """
    SELECT DISTINCT s.unit_id, s.part_number, s.serial_number FROM {patterns} AS g
    JOIN unit_state AS s
    ON ltrim(replace(replace(replace(s.serial_fold, '-', ''), '/', ''), '.', ''), '0OQ') LIKE g.value"""
_ACKNOWLEDGED = """
    SELECT m.installed, m.moved_on * 10000 + m.sequence, e.number, e.body
    FROM movement AS m JOIN entry AS e ON e.number = m.entry_number
    WHERE m.installed IN {ids} AND e.kind IN ('movement', 'robbery') AND substr(e.body, 1, 16) = '{{"acknowledged":'
    AND e.number <= :known
    UNION ALL
    SELECT q.unit, q.moved_on * 10000 + q.sequence, e.number, e.body
    FROM transfer AS q JOIN entry AS e ON e.number = q.entry_number
    WHERE q.unit IN {ids} AND q.target = 'parent' AND substr(e.body, 1, 16) = '{{"acknowledged":'
    AND e.number <= :known"""
_WAIVERS = """
    SELECT e.number, e.body,
    (SELECT {joined} FROM fact AS f WHERE f.number = e.number AND f.retired_by <= :known)
    FROM entry AS e
    WHERE e.kind IN ('waiver', 'correction') AND e.number <= :known
    AND (e.kind = 'waiver' OR e.body LIKE '%"fact":"waiver"%')
    ORDER BY e.number"""
_RECORDED = """
    SELECT e.number, {ordinal:e.recorded_at} FROM entry AS e WHERE e.number IN {ids}"""
_KEPT_SINCE = """
    SELECT t.airframe_id, {ordinal:e.recorded_at} FROM
    (SELECT airframe_id, min(number) AS number FROM entry_touch_airframe GROUP BY airframe_id) AS t
    JOIN entry AS e ON e.number = t.number"""
_MODIFICATIONS = """
    SELECT q.unit, q.modification FROM unit_modification AS q WHERE q.unit IN {ids} ORDER BY q.unit, q.embodied_on"""
_UNITS = f"""
    SELECT {_UNIT} FROM unit_state AS s {_ADDRESS} WHERE s.unit_id IN {{ids}}"""
_ROOTS = """
    SELECT DISTINCT s.root_id FROM unit_state AS s WHERE s.unit_id IN {ids}"""
_TWO_PROGRAMMES = """
    SELECT DISTINCT s.unit_id FROM unit_state AS s
    JOIN airframe AS a ON a.airframe = s.carried_airframe_id
    JOIN carriage AS c ON c.unit_id = s.unit_id AND c.until_moment IS NOT NULL
    JOIN airframe AS b ON b.airframe = c.airframe_id
    WHERE coalesce(a.programme, '') <> coalesce(b.programme, '') {units:s.unit_id} ORDER BY s.unit_id"""
_FILED = """
    SELECT l.organisation, count(*) FROM certificate_line AS l WHERE l.unit_id IS NOT NULL GROUP BY l.organisation"""
_FILED_OF_UNITS = """
    SELECT l.organisation, count(*) FROM certificate_line AS l WHERE l.unit_id IN {ids} GROUP BY l.organisation"""
_POPULATION = """
    SELECT s.unit_id, s.manufacturer, s.part_number, s.serial_number FROM unit_state AS s
    WHERE s.kind <> 'scrap' {units:s.unit_id}"""
_COUNT = """
    SELECT count(*) FROM unit_state AS s WHERE s.kind <> 'scrap' {units:s.unit_id}"""


_TEXTS = {
    "carried": _CARRIED,
    "loose": _LOOSE,
    "loose children": _LOOSE_CHILDREN,
    "differing": _DIFFERING,
    "unfiled": _UNFILED,
    "same paper": _SAME_PAPER,
    "same paper of units": _SAME_PAPER_OF_UNITS,
    "refitted": _REFITTED,
    "off donors": _OFF_DONORS,
    "deployed": _DEPLOYED,
    "lent out": _LENT_OUT,
    "borrowed": _BORROWED,
    "scrapped": _SCRAPPED,
    "named paper": _NAMED_PAPER,
    "child's paper": _CHILD_PAPER,
    "later release": _LATER_RELEASE,
    "before manufacture": _BEFORE_MANUFACTURE,
    "claimed": _CLAIMED,
    "former due": _FORMER_DUE,
    "tested": _TESTED,
    "plates": _PLATES,
    "in stores": _IN_STORES,
    "at positions": _AT_POSITIONS,
    "received": _RECEIVED,
    "suspected": _SUSPECTED,
    "papers": _PAPERS,
    "papers of units": _PAPERS_OF_UNITS,
    "papers numbered": _PAPERS_NUMBERED,
    "corrected papers": _CORRECTED,
    "counted papers": _COUNTED,
    "life papers": _LIFE_PAPER,
    "late": _LATE,
    "many doors": _MANY_DOORS,
    "promised": _PROMISED,
    "done": _DONE,
    "identities": _IDENTITIES,
    "like": _LIKE,
    "acknowledged": _ACKNOWLEDGED,
    "waivers": _WAIVERS,
    "recorded": _RECORDED,
    "kept since": _KEPT_SINCE,
    "modifications": _MODIFICATIONS,
    "units": _UNITS,
    "roots": _ROOTS,
    "two programmes": _TWO_PROGRAMMES,
    "filed lines": _FILED,
    "filed lines of units": _FILED_OF_UNITS,
    "population": _POPULATION,
    "count": _COUNT,
    "count all": UNITS_COUNTED,
}


class _Filled:
    """Fills a name of a statement's text: what follows the colon is given to the function."""

    def __init__(self, fill: Callable[[str], str]) -> None:
        self.fill = fill

    def __format__(self, spec: str) -> str:
        return self.fill(spec)


def _statement(body: str, dialect: str, *, units: bool, airframes: bool) -> TextClause:
    joined = "group_concat(f.item, ',')" if dialect == "sqlite" else "string_agg(f.item::text, ',')"
    return text(
        body.format(
            units=_Filled(lambda of: f"AND {of} {_one_of('units', dialect)}" if units else ""),
            airframes=_Filled(lambda of: f"AND {of} {_one_of('airframes', dialect)}" if airframes else ""),
            iso=_Filled(lambda of: _iso(of, dialect)),
            ordinal=_Filled(lambda of: _ordinal(of, dialect)),
            first=_Filled(lambda of: _ordinal(_FIRST_DAY.format(of=of), dialect)),
            ids=_given("ids", dialect),
            parts=_given("parts", dialect, "text"),
            proven=_given("proven", dialect, "text"),
            named=_given("named", dialect, "text"),
            joined=joined,
            scrap=BY_SCRAP[dialect],
            patterns="json_each(:patterns)"
            if dialect == "sqlite"
            else "(SELECT unnest(CAST(:patterns AS text[])) AS value)",
        )
    )


# The first day that a partial date may mean; a quarter's is taken from its year, which is early enough to narrow by.
_FIRST_DAY = (
    "(CASE WHEN length({of}) = 4 OR substr({of}, 6, 1) = 'Q' THEN substr({of}, 1, 4) || '-01-01'"
    " WHEN length({of}) = 7 THEN {of} || '-01' ELSE {of} END)"
)

STATEMENTS: dict[tuple[str, str, bool, bool], TextClause] = {
    (dialect, name, units, airframes): _statement(body, dialect, units=units, airframes=airframes)
    for dialect in DIALECTS
    for name, body in _TEXTS.items()
    for units in (False, True)
    for airframes in (False, True)
}


# --- asking -------------------------------------------------------------------------------------------------------


def ask(connection: Connection, name: str, scope: Scope | None = None, **values: Any) -> Iterator[tuple[Any, ...]]:
    """The rows of one statement, as a stream. Collections among the values become sets."""
    where = scope or Scope()
    if (where.units is not None and "{units:" in _TEXTS[name] and not where.units) or (
        where.airframes is not None and "{airframes:" in _TEXTS[name] and not where.airframes
    ):
        return
    parameters: dict[str, Any] = {
        key: set_value(connection, sorted(value)) if isinstance(value, (set, frozenset)) else value
        for key, value in values.items()
    }
    by_units = where.units is not None and "{units:" in _TEXTS[name]
    by_airframes = where.airframes is not None and "{airframes:" in _TEXTS[name]
    if by_units:
        parameters["units"] = set_value(connection, sorted(where.units or ()))
    if by_airframes:
        parameters["airframes"] = set_value(connection, sorted(where.airframes or ()))
    statement = STATEMENTS[connection.dialect.name, name, by_units, by_airframes]
    asked_for = [where.units] if by_units else [each for each in values.values() if isinstance(each, (set, frozenset))]
    few = any(each is not None and len(each) <= FEW for each in asked_for)
    # SQLite's driver streams by itself. PostgreSQL's has to be asked to, which is five ways to the server and back: not
    # for what is said of some units.
    if few or connection.dialect.name == "sqlite":
        yield from quick.stream(connection, statement, parameters, STREAM)
        return
    result = connection.execute(statement, parameters, execution_options={"yield_per": STREAM})
    for rows in result.partitions(STREAM):
        for row in rows:
            yield tuple(row)


_make_state, _make_line = maker_of(UnitStateRow), maker_of(CertificateLineRow)
LINE_WIDTH = len(_LINE)


def addressed(values: Sequence[Any]) -> Addressed:
    """The unit that the last columns of a row hold."""
    cut = len(STATE_NAMES)
    position, as_of, placed_on, entry, since_entry, manufactured = values[cut:]
    return Addressed(
        state=_make_state(values[:cut]),
        position=position,
        as_of=as_of,
        placed_on=placed_on,
        entry=entry,
        since_entry=since_entry,
        manufactured=manufactured,
    )


def state_of(values: Sequence[Any]) -> UnitStateRow:
    return _make_state(values)


def line_of(values: Sequence[Any]) -> CertificateLineRow:
    return _make_line(values)


def fact_of(kind: type[Fact], values: Sequence[Any]) -> Any:
    """The fact that the first columns of a row hold, and how many they are."""
    return TYPED[kind.KIND].fact_of(values)


def fact_width(kind: type[Fact], field: str) -> int:
    """The place of a field among the first columns of a row that hold a fact."""
    return TYPED[kind.KIND].fields.index(field)


def width_of(kind: type[Fact]) -> int:
    return len(TYPED[kind.KIND].fields)
