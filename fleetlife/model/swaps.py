"""The work at doors: plans, steps, devices, tests and signatures of swaps, deferrals, and what must be so."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Index, PrimaryKeyConstraint, UniqueConstraint, text

from fleetlife.model.columns import day, folded, names_airframe, names_unit, one_of, provenance, table, whole, words
from fleetlife.terms.words import (
    AIRFRAME_STATES,
    OUTCOMES,
    PRESSURE_UNITS,
    RELEASE_CATEGORIES,
    SIGNATURE_ROLES,
    SWAP_STEPS,
    WORK_CATEGORIES,
)

_ORDER = "sequence between 0 and 9999"
_EVERY_OUTCOME = tuple(dict.fromkeys(outcome for outcomes in OUTCOMES.values() for outcome in outcomes))

release_item = table(
    "release_item",
    words("type"),
    words("position", null=True, comment="null: at every position of the type"),
    words("position_kind", null=True, comment="null: at positions of every kind"),
    one_of("category", RELEASE_CATEGORIES),
    words("item"),
    whole("runs", null=True),
    words("expects", null=True),
    words("reference", null=True),
    words("revision", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    CheckConstraint("runs > 0", name="runs"),
    comment="What must be accounted for before a door is released.",
)

pressure_band = table(
    "pressure_band",
    words("part_number"),
    whole("millicelsius"),
    whole("minimum", comment="thousandths of the unit"),
    whole("maximum", comment="thousandths of the unit"),
    one_of("pressure_unit", PRESSURE_UNITS),
    words("reference", null=True),
    words("revision", null=True),
    folded("part_fold", "part_number"),
    *provenance(),
    PrimaryKeyConstraint("part_number", "millicelsius"),
    CheckConstraint("minimum >= 0 and maximum >= minimum", name="band"),
    comment="What a gauge may show at a temperature.",
)

Index("ix_pressure_band_part_fold", pressure_band.c.part_fold, pressure_band.c.millicelsius)

authorisation = table(
    "authorisation",
    words("staff"),
    one_of("role", SIGNATURE_ROLES),
    words("type", null=True, comment="null: on every type"),
    words("position_kind", null=True, comment="null: for every kind of position"),
    day("valid_from"),
    day("valid_to", null=True),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    CheckConstraint("valid_to >= valid_from", name="valid_to"),
    comment="What persons may sign.",
)

airframe_state = table(
    "airframe_state",
    names_airframe(),
    day("since_on"),
    one_of("state", AIRFRAME_STATES),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("airframe", "since_on"),
    comment="What airframes are doing from a day on.",
)

swap_plan = table(
    "swap_plan",
    words("swap"),
    names_airframe(),
    words("position"),
    day("planned_on"),
    day("target_on", null=True),
    names_unit("incoming", null=True),
    names_unit("outgoing", null=True),
    words("planned_by"),
    words("work_order", null=True),
    words("data_reference", null=True),
    words("data_revision", null=True),
    words("remarks", null=True),
    folded("swap_fold", "swap"),
    *provenance(),
    PrimaryKeyConstraint("swap"),
    UniqueConstraint("swap_fold"),
    CheckConstraint("incoming is null or outgoing is null or incoming <> outgoing", name="units"),
    comment="Swaps by number: which unit is to go where.",
)
Index("ix_swap_plan_airframe", swap_plan.c.airframe)
for _name in ("incoming", "outgoing"):
    _there = text(f"{_name} is not null")
    Index(f"ix_swap_plan_{_name}", swap_plan.c[_name], sqlite_where=_there, postgresql_where=_there)

swap_step = table(
    "swap_step",
    words("swap"),
    names_airframe(),
    one_of("step", SWAP_STEPS),
    day("stepped_on"),
    whole("sequence"),
    words("signed_by"),
    names_unit("incoming", null=True),
    words("answer", null=True),
    whole("stops", null=True),
    whole("conditions", null=True),
    words("ledger_head", null=True),
    words("why", null=True),
    *provenance(),
    PrimaryKeyConstraint("swap", "step", "stepped_on", "sequence"),
    CheckConstraint(_ORDER, name="sequence"),
    comment="Steps of swaps: checked, begun, given up.",
)

position_work = table(
    "position_work",
    names_airframe(),
    words("position"),
    one_of("category", WORK_CATEGORIES),
    words("item"),
    one_of("outcome", _EVERY_OUTCOME),
    day("worked_on"),
    whole("sequence"),
    words("swap", null=True),
    whole("run", null=True),
    words("value", null=True),
    words("signed_by"),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("airframe", "position", "item", "worked_on", "sequence"),
    CheckConstraint(_ORDER, name="sequence"),
    CheckConstraint("run > 0", name="run"),
    comment="Safety devices, locks, tests and retained items at positions.",
)
_swapped = text("swap is not null")
Index("ix_position_work_swap", position_work.c.swap, sqlite_where=_swapped, postgresql_where=_swapped)

gauge_reading = table(
    "gauge_reading",
    names_unit("unit"),
    day("read_on"),
    whole("sequence"),
    whole("pressure", comment="thousandths of the unit"),
    one_of("pressure_unit", PRESSURE_UNITS),
    whole("millicelsius"),
    words("seen_by"),
    words("swap", null=True),
    names_airframe(null=True),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("unit", "read_on", "sequence"),
    CheckConstraint(_ORDER, name="sequence"),
    CheckConstraint("pressure >= 0", name="pressure"),
    comment="What gauges showed.",
)
Index("ix_gauge_reading_swap", gauge_reading.c.swap, sqlite_where=_swapped, postgresql_where=_swapped)

swap_signature = table(
    "swap_signature",
    words("swap"),
    names_airframe(),
    one_of("role", SIGNATURE_ROLES),
    day("signed_on"),
    whole("sequence"),
    words("signed_by"),
    words("exception", null=True, comment="why one person inspected their own work"),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("swap", "role", "signed_on", "sequence"),
    CheckConstraint(_ORDER, name="sequence"),
    comment="Signatures for swaps.",
)

deferral = table(
    "deferral",
    names_airframe(),
    words("position"),
    day("opened_on"),
    words("item"),
    day("expires_on", null=True),
    words("log_page", null=True),
    words("conditions", null=True),
    words("authorised_by"),
    *provenance(),
    PrimaryKeyConstraint("airframe", "position", "opened_on"),
    CheckConstraint("expires_on >= opened_on", name="expires_on"),
    comment="Inoperative items carried under the operator's provisions.",
)

deferral_closed = table(
    "deferral_closed",
    names_airframe(),
    words("position"),
    day("opened_on"),
    day("closed_on"),
    words("closed_by"),
    *provenance(),
    PrimaryKeyConstraint("airframe", "position", "opened_on"),
    CheckConstraint("closed_on >= opened_on", name="closed_on"),
    comment="Deferrals that are over.",
)
