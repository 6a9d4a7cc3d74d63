"""What follows from the facts: stays, carriage, due points, what a unit is now, verdicts on certificate lines.

Written as differences and rebuilt at will. Field by field the rows of `follows/rows.py`. Columns that name
ledger entries are provenance.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import CheckConstraint, Column, Index, PrimaryKeyConstraint, text

from fleetlife.model.columns import Whole, day, flag, folded, one_of, table, whole, words
from fleetlife.terms.words import CONDITIONS, FORM_SIDES, HARNESSES, MEASURES, PLACE_KINDS

START_BASES = ("stated", "bounded", "provisional", "opening", "doubtful", "open")
STANDINGS = ("known", "waiting", "unknown", "complete", "no_programme")


def _entry(name: str, *, null: bool = False) -> Column[int]:
    return Column(name, Whole, nullable=null, autoincrement=False, info={"provenance": True})


def _where(condition: str) -> dict[str, Any]:
    return {"sqlite_where": text(condition), "postgresql_where": text(condition)}


placement = table(
    "placement",
    whole("unit_id"),
    whole("from_moment", comment="day * 10000 + sequence"),
    whole("until_moment", null=True, comment="open when null"),
    one_of("kind", PLACE_KINDS),
    whole("place_key", null=True, comment="natural key of a position or slot"),
    whole("airframe_id", null=True),
    words("position", null=True),
    whole("parent_id", null=True),
    words("slot", null=True),
    words("place_name", null=True),
    words("bin", null=True),
    one_of("condition", CONDITIONS, null=True),
    words("hold", null=True),
    one_of("harness", HARNESSES, null=True),
    words("removal_kind", null=True),
    day("expected_back", null=True),
    flag("until_known"),
    _entry("entry"),
    _entry("until_entry", null=True),
    PrimaryKeyConstraint("unit_id", "from_moment"),
    CheckConstraint("until_moment is null or until_moment > from_moment", name="lasts"),
    CheckConstraint("(place_key is not null) = (kind in ('position', 'slot'))", name="place_key"),
    CheckConstraint("(kind = 'position') = (airframe_id is not null)", name="airframe_id"),
    CheckConstraint("(kind = 'slot') = (parent_id is not null)", name="parent_id"),
    CheckConstraint("parent_id is null or parent_id <> unit_id", name="not_in_itself"),
    comment="Stays of units at places.",
    with_rowid=False,
)
Index("ix_placement_one_open_a_unit", placement.c.unit_id, unique=True, **_where("until_moment is null"))
Index(
    "ix_placement_one_open_a_place",
    placement.c.place_key,
    unique=True,
    **_where("until_moment is null and place_key is not null"),
)
Index(
    "ix_placement_place", placement.c.place_key, placement.c.from_moment, unique=True, **_where("place_key is not null")
)
Index("ix_placement_airframe", placement.c.airframe_id, placement.c.from_moment, **_where("airframe_id is not null"))
Index("ix_placement_parent", placement.c.parent_id, placement.c.from_moment, **_where("parent_id is not null"))

carriage = table(
    "carriage",
    whole("unit_id"),
    whole("from_moment"),
    whole("until_moment", null=True),
    whole("airframe_id"),
    whole("root_id", comment="the unit on the position"),
    whole("from_minutes", null=True, comment="airframe total"),
    whole("from_cycles", null=True, comment="airframe total"),
    whole("until_minutes", null=True, comment="airframe total"),
    whole("until_cycles", null=True, comment="airframe total"),
    one_of("from_basis", START_BASES),
    one_of("until_basis", START_BASES),
    _entry("entry"),
    PrimaryKeyConstraint("unit_id", "from_moment"),
    CheckConstraint("until_moment is null or until_moment > from_moment", name="lasts"),
    CheckConstraint("until_minutes >= from_minutes and until_cycles >= from_cycles", name="never_falls"),
    comment="Times during which an airframe carried a unit, in itself or in its parent.",
    with_rowid=False,
)
Index("ix_carriage_airframe", carriage.c.airframe_id, carriage.c.from_moment)
Index("ix_carriage_one_open_a_unit", carriage.c.unit_id, unique=True, **_where("until_moment is null"))
Index(
    "ix_carriage_not_stated",
    carriage.c.airframe_id,
    carriage.c.unit_id,
    **_where("from_basis in ('bounded', 'provisional') or until_basis in ('bounded', 'provisional', 'doubtful')"),
)

due_point = table(
    "due_point",
    whole("unit_id"),
    whole("requirement_key", comment="0 with no programme"),
    day("in_force_from"),
    day("in_force_until"),
    one_of("standing", STANDINGS),
    whole("airframe_id", null=True, comment="the airframe that carries the unit"),
    one_of("whichever", ("first", "last")),
    one_of("gate", ("any", *MEASURES), comment="the measure that finds the row"),
    day("calendar_due", null=True),
    whole("due_minutes", null=True, comment="airframe total at which it falls due"),
    whole("due_cycles", null=True, comment="airframe total at which it falls due"),
    whole("left_minutes", null=True, comment="when not carried"),
    whole("left_cycles", null=True, comment="when not carried"),
    whole("operations_left", null=True),
    flag("passed"),
    flag("charged"),
    day("varied_calendar", null=True),
    whole("varied_minutes", null=True),
    whole("varied_cycles", null=True),
    words("variation", null=True),
    whole("if_fitted_months", null=True),
    whole("if_fitted_days", null=True),
    flag("estimated"),
    words("basis", null=True),
    day("basis_day", null=True),
    day("last_done", null=True),
    words("unknown", null=True, comment="JSON list of measure and cause"),
    flag("no_programme_in_part"),
    _entry("entry"),
    words("counter", null=True, comment="the counter of the three columns after it"),
    whole("due_counter", null=True, comment="the airframe's total of the counter at which it falls due"),
    whole("left_counter", null=True, comment="when not carried"),
    whole("varied_counter", null=True),
    PrimaryKeyConstraint("unit_id", "requirement_key", "in_force_from"),
    CheckConstraint("in_force_from < in_force_until", name="in_force"),
    CheckConstraint("(standing = 'no_programme') = (requirement_key = 0)", name="no_programme"),
    CheckConstraint("standing <> 'unknown' or unknown is not null", name="cause"),
    comment="When one edition of one requirement falls due on one unit.",
    with_rowid=False,
)
# The due list asks for what is in force on a day. Nearly always that is an edition with no end in sight, so the indexes
# it goes by hold only those; the few that end, or ended, have their own.
OPEN_ENDED = "in_force_until = 3652059"
ENDING = "in_force_until < 3652059"
# Due at nothing left, overdue below: both are found here.
NOTHING_LEFT = "(passed = 1 or left_minutes <= 0 or left_cycles <= 0 or left_counter <= 0 or operations_left <= 0)"
MINUTES = "standing = 'known' and airframe_id is not null and due_minutes is not null and gate in ('any', 'hours')"
CYCLES = "standing = 'known' and airframe_id is not null and due_cycles is not null and gate in ('any', 'cycles')"
# A threshold in a counter stands in a column of its own: it is never compared with what was flown.
COUNTER = "airframe_id is not null and counter is not null"
CALENDAR = "standing = 'known' and calendar_due is not null and gate in ('any', 'calendar')"
UNKNOWN = "unknown is not null"
NO_PROGRAMME = "standing = 'no_programme'"
Index("ix_due_point_minutes", due_point.c.airframe_id, due_point.c.due_minutes, **_where(f"{MINUTES} and {OPEN_ENDED}"))
Index("ix_due_point_cycles", due_point.c.airframe_id, due_point.c.due_cycles, **_where(f"{CYCLES} and {OPEN_ENDED}"))
Index(
    "ix_due_point_counter",
    due_point.c.airframe_id,
    due_point.c.counter,
    due_point.c.due_counter,
    **_where(f"{COUNTER} and {OPEN_ENDED}"),
)
Index("ix_due_point_calendar", due_point.c.calendar_due, **_where(f"{CALENDAR} and {OPEN_ENDED}"))
Index("ix_due_point_nothing_left", due_point.c.unit_id, **_where(f"{NOTHING_LEFT} and {OPEN_ENDED}"))
Index("ix_due_point_unknown", due_point.c.unit_id, **_where(f"{UNKNOWN} and {OPEN_ENDED}"))
Index("ix_due_point_no_programme", due_point.c.unit_id, **_where(f"{NO_PROGRAMME} and {OPEN_ENDED}"))
Index("ix_due_point_ending", due_point.c.airframe_id, due_point.c.in_force_until, **_where(ENDING))
Index("ix_due_point_airframe", due_point.c.airframe_id, **_where("airframe_id is not null"))
Index("ix_due_point_requirement", due_point.c.requirement_key)

unit_state = table(
    "unit_state",
    whole("unit_id"),
    words("part_number", comment="the current one"),
    words("serial_number"),
    words("manufacturer", null=True),
    one_of("kind", PLACE_KINDS),
    whole("since_moment"),
    whole("airframe_id", null=True),
    words("position", null=True),
    whole("parent_id", null=True),
    words("slot", null=True),
    words("place_name", null=True),
    words("bin", null=True),
    whole("carried_airframe_id", null=True),
    whole("root_id", null=True),
    one_of("condition", CONDITIONS),
    words("hold", null=True),
    one_of("harness", HARNESSES),
    whole("minutes_since_new", null=True),
    whole("cycles_since_new", null=True),
    day("released_on", null=True),
    words("release_status", null=True),
    words("release_certificate", null=True),
    whole("covered_by", null=True),
    day("removed_on", null=True),
    words("life_quality", null=True),
    folded("part_fold", "part_number"),
    folded("serial_fold", "serial_number"),
    words("plate", null=True, comment="what its data plate reads, where that is not what is recorded"),
    words("receipt", null=True, comment="what holds it since it was received"),
    words("suspected", null=True, comment="why it is a suspected unapproved part"),
    PrimaryKeyConstraint("unit_id"),
    comment="What a unit is now.",
)
Index("ix_unit_state_plate", unit_state.c.unit_id, **_where("plate is not null"))
Index("ix_unit_state_receipt", unit_state.c.unit_id, **_where("receipt is not null"))
Index("ix_unit_state_suspected", unit_state.c.unit_id, **_where("suspected is not null"))
Index("ix_unit_state_scrap", unit_state.c.unit_id, **_where("kind = 'scrap'"))
Index("ix_unit_state_carried", unit_state.c.carried_airframe_id, **_where("carried_airframe_id is not null"))
Index("ix_unit_state_airframe", unit_state.c.airframe_id, unit_state.c.position, **_where("airframe_id is not null"))
Index("ix_unit_state_parent", unit_state.c.parent_id, **_where("parent_id is not null"))
Index("ix_unit_state_part", unit_state.c.part_fold, unit_state.c.kind)
Index("ix_unit_state_serial", unit_state.c.serial_fold)

certificate_line = table(
    "certificate_line",
    words("organisation"),
    words("tracking_number"),
    words("item"),
    words("serial_number", comment="as printed"),
    words("part_number", comment="as printed"),
    whole("unit_id", null=True, comment="the unit it is filed against"),
    words("status"),
    one_of("side", FORM_SIDES, null=True),
    day("dated_on"),
    words("verdict"),
    words("part_verdict"),
    words("serial_verdict"),
    words("expected_part_number", null=True),
    words("expected_serial_number", null=True),
    _entry("entry"),
    PrimaryKeyConstraint("organisation", "tracking_number", "item", "serial_number"),
    comment="Certificate lines with the verdict kept when the paper was filed.",
)
Index("ix_certificate_line_unit", certificate_line.c.unit_id, certificate_line.c.dated_on)
Index("ix_certificate_line_not_exact", certificate_line.c.unit_id, **_where("verdict <> 'exact'"))
Index("ix_certificate_line_tracking_number", certificate_line.c.tracking_number)
