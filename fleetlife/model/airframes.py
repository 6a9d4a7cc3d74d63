"""Airframes: registrations, modifications, readings, movements, planned utilisation."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Index, PrimaryKeyConstraint, UniqueConstraint, text

from fleetlife.model.columns import (
    day,
    flag,
    folded,
    names_airframe,
    names_unit,
    one_of,
    provenance,
    table,
    whole,
    words,
)
from fleetlife.terms.words import AIRFRAME_STATUSES, CONDITIONS, HARNESSES, REMOVAL_KINDS, REMOVED_TO

airframe = table(
    "airframe",
    whole("airframe"),
    words("registration"),
    words("constructor_serial"),
    words("type"),
    words("manufactured", null=True, comment="partial date"),
    words("operator", null=True),
    words("station", null=True),
    words("programme", null=True),
    day("registered_from", null=True),
    day("registered_until", null=True),
    one_of("status", AIRFRAME_STATUSES, null=True),
    folded("registration_fold", "registration"),
    *provenance(),
    PrimaryKeyConstraint("airframe"),
    UniqueConstraint("constructor_serial"),
    comment="Airframes. The constructor's serial never changes.",
)
Index("ix_airframe_registration_fold", airframe.c.registration_fold)

registration = table(
    "registration",
    names_airframe(),
    words("registration"),
    day("registered_from"),
    day("registered_until", null=True),
    folded("registration_fold", "registration"),
    *provenance(),
    PrimaryKeyConstraint("airframe", "registered_from"),
    comment="Registrations by period.",
)
Index("ix_registration_registration_fold", registration.c.registration_fold)

airframe_modification = table(
    "airframe_modification",
    names_airframe(),
    words("modification"),
    day("embodied_on"),
    *provenance(),
    PrimaryKeyConstraint("airframe", "modification"),
    comment="Modifications embodied on airframes.",
)

reading = table(
    "reading",
    whole("airframe"),
    day("read_on"),
    whole("minutes"),
    whole("cycles"),
    *provenance(),
    PrimaryKeyConstraint("airframe", "read_on"),
    CheckConstraint("minutes >= 0", name="minutes"),
    CheckConstraint("cycles >= 0", name="cycles"),
    comment="Totals of an airframe at the end of a day.",
    with_rowid=False,
)

reading_history = table(
    "reading_history",
    whole("airframe"),
    day("read_on"),
    whole("minutes"),
    whole("cycles"),
    *provenance(),
    one_of("standing", ("replaced", "withdrawn")),
    whole("retired_by", comment="the entry that replaced or withdrew it"),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Readings that no longer stand.",
)
Index("ix_reading_history_airframe_read_on", reading_history.c.airframe, reading_history.c.read_on)

movement = table(
    "movement",
    names_airframe(),
    words("position"),
    day("moved_on"),
    whole("sequence"),
    words("time_utc", null=True),
    words("station", null=True),
    names_unit("removed", null=True),
    one_of("removed_to", REMOVED_TO, null=True),
    words("removed_to_name", null=True),
    one_of("removed_condition", CONDITIONS, null=True),
    one_of("removal_kind", REMOVAL_KINDS, null=True),
    words("defect", null=True),
    names_unit("installed", null=True),
    flag("found"),
    names_unit("displaced", null=True),
    whole("minutes_total", null=True),
    whole("cycles_total", null=True),
    words("certificate", null=True),
    words("certificate_organisation", null=True),
    one_of("harness", HARNESSES, null=True),
    words("technical_log", null=True),
    words("work_order", null=True),
    words("data_reference", null=True),
    words("data_revision", null=True),
    words("signed_by", null=True),
    words("inspected_by", null=True),
    words("released_by", null=True),
    *provenance(),
    words("swap", null=True, comment="the planned swap that it carries out"),
    PrimaryKeyConstraint("airframe", "position", "moved_on", "sequence"),
    CheckConstraint("removed is not null or installed is not null", name="names_a_unit"),
    CheckConstraint("sequence between 0 and 9999", name="sequence"),
    CheckConstraint("minutes_total >= 0 and cycles_total >= 0", name="totals"),
    comment="Removals, installations and swaps at a position.",
)
Index("ix_movement_airframe_moved_on", movement.c.airframe, movement.c.moved_on)
for _measure in ("minutes_total", "cycles_total"):
    _stated = text(f"{_measure} is not null")
    Index(
        f"ix_movement_{_measure}",
        movement.c.airframe,
        movement.c.moved_on,
        movement.c.sequence,
        movement.c[_measure],
        sqlite_where=_stated,
        postgresql_where=_stated,
    )
for _who in ("removed", "installed", "displaced"):
    _named = text(f"{_who} is not null")
    Index(f"ix_movement_{_who}", movement.c[_who], sqlite_where=_named, postgresql_where=_named)
_swapped = text("swap is not null")
Index("ix_movement_swap", movement.c.swap, sqlite_where=_swapped, postgresql_where=_swapped)

utilisation = table(
    "utilisation",
    names_airframe(),
    day("planned_from"),
    day("planned_to"),
    whole("minutes_per_day"),
    whole("millicycles_per_day", comment="thousandths of a cycle a day"),
    *provenance(),
    PrimaryKeyConstraint("airframe", "planned_from"),
    CheckConstraint("planned_from <= planned_to", name="period"),
    CheckConstraint("minutes_per_day >= 0 and millicycles_per_day >= 0", name="rates"),
    comment="Planned utilisation of a period, both days included.",
)
