"""What is permitted and required: types, positions, parts, slots, eligibility, alternates, requirements."""

from __future__ import annotations

from sqlalchemy import Column, Index, PrimaryKeyConstraint

from fleetlife.model.columns import Whole, day, flag, one_of, provenance, table, whole, words
from fleetlife.terms.words import DIRECTIONS, HARNESS_SIDES, REQUIREMENT_KINDS, RIGS, SIDES, SOURCES, STARTS

airframe_type = table(
    "airframe_type",
    words("type"),
    words("name", null=True),
    *provenance(),
    PrimaryKeyConstraint("type"),
    comment="Airframe types.",
)

position = table(
    "position",
    words("type"),
    words("position"),
    one_of("side", SIDES),
    one_of("harness", HARNESS_SIDES, null=True, comment="the side a unit there must be rigged for"),
    words("pair", null=True),
    words("kind", null=True),
    flag("required"),
    words("retained", null=True),
    *provenance(),
    PrimaryKeyConstraint("type", "position"),
    comment="Places of an airframe type that hold one unit each.",
)

part = table(
    "part",
    words("part_number"),
    words("manufacturer", null=True),
    words("description", null=True),
    words("kind", null=True),
    one_of("rig", RIGS, null=True),
    whole("mass_grams", null=True),
    words("intermix_family", null=True),
    words("cage", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Part numbers.",
)
Index("ix_part_part_number", part.c.part_number)

slot = table(
    "slot",
    words("part_number"),
    words("slot"),
    words("child_part_number"),
    flag("required"),
    *provenance(),
    PrimaryKeyConstraint("part_number", "slot", "child_part_number"),
    comment="Named slots of an assembly and what may be in them.",
)

eligibility = table(
    "eligibility",
    words("type"),
    words("position"),
    words("part_number"),
    words("serial_from", null=True),
    words("serial_to", null=True),
    words("requires_modification", null=True),
    words("excludes_modification", null=True),
    words("requires_unit_modification", null=True),
    words("excludes_unit_modification", null=True),
    day("effective_from", null=True),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Which part may be installed at which position. No row: not eligible.",
)
Index("ix_eligibility_type_position", eligibility.c.type, eligibility.c.position)
Index("ix_eligibility_part_number", eligibility.c.part_number)

alternate = table(
    "alternate",
    words("part_number"),
    words("alternate"),
    one_of("direction", DIRECTIONS),
    words("conditions", null=True),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("part_number", "alternate"),
    comment="Which part may stand in for, or supersedes, which.",
)

intermix = table(
    "intermix",
    words("family"),
    words("other_family"),
    flag("permitted"),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("family", "other_family"),
    comment="What a door pair may carry together.",
)

requirement = table(
    "requirement",
    words("requirement"),
    words("part_number"),
    one_of("kind", REQUIREMENT_KINDS),
    one_of("source", SOURCES, null=True),
    words("programme", null=True),
    words("edition", null=True),
    day("effective_from", null=True),
    day("effective_to", null=True),
    one_of("start", STARTS, null=True),
    whole("first_months", null=True),
    whole("first_days", null=True),
    whole("first_minutes", null=True),
    whole("first_cycles", null=True),
    whole("first_operations", null=True),
    whole("repeat_months", null=True),
    whole("repeat_days", null=True),
    whole("repeat_minutes", null=True),
    whole("repeat_cycles", null=True),
    whole("repeat_operations", null=True),
    words("operation", null=True),
    one_of("whichever", ("first", "last"), null=True),
    one_of("month_rule", ("last",), null=True),
    whole("shelf_allowance_months", null=True),
    one_of("done_at", ("shop", "aircraft"), null=True),
    one_of("anchor", ("done", "due"), null=True),
    whole("window_early_days", null=True),
    whole("window_early_minutes", null=True),
    whole("window_early_cycles", null=True),
    whole("window_late_days", null=True),
    whole("window_late_minutes", null=True),
    whole("window_late_cycles", null=True),
    flag("variation_allowed"),
    one_of("at_due", ("remove", "no-refill"), null=True),
    words("resets", null=True),
    words("requires_unit_modification", null=True),
    words("reference", null=True),
    Column(
        "requirement_key",
        Whole,
        nullable=False,
        autoincrement=False,
        comment="natural key of the edition as one number",
        info={"requirement_key": True},
    ),
    *provenance(),
    words("counter", null=True, comment="the counter its limits in one axis are in"),
    PrimaryKeyConstraint("requirement_key"),
    comment="What must be done to units of a part, and when, by programme edition.",
)
Index("ix_requirement_part_number", requirement.c.part_number)

band = table(
    "band",
    words("requirement"),
    words("part_number"),
    words("programme", null=True),
    words("edition", null=True),
    whole("from_age_months"),
    whole("repeat_months", null=True),
    whole("repeat_minutes", null=True),
    whole("repeat_cycles", null=True),
    one_of("band_rule", ("cap", "basis"), null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Repeat intervals that change with age.",
)
Index("ix_band_part_number", band.c.part_number)

waiver = table(
    "waiver",
    words("finding"),
    words("subject"),
    words("reason"),
    words("approved_by"),
    day("expires_on"),
    *provenance(),
    PrimaryKeyConstraint("finding", "subject"),
    comment="Findings accepted until a day, by name and reason.",
)
