"""Units: openings, modifications, work done, operations, certificates, transfers, variations."""

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
from fleetlife.terms.words import (
    CONDITIONS,
    DATE_BASES,
    DISPOSITIONS,
    FORM_SIDES,
    HARNESSES,
    INTENTS,
    LIFE_QUALITIES,
    PLACE_KINDS,
    TRANSFER_TARGETS,
)

unit = table(
    "unit",
    whole("unit"),
    words("part_number", comment="at manufacture"),
    words("serial_number"),
    words("manufacturer", null=True),
    words("manufactured", null=True, comment="partial date"),
    words("cured", null=True, comment="partial date"),
    words("expires", null=True, comment="partial date"),
    words("first_installed", null=True, comment="partial date"),
    whole("minutes_since_new", null=True),
    whole("cycles_since_new", null=True),
    whole("operations_since_new", null=True),
    day("as_of"),
    one_of("place", PLACE_KINDS),
    names_airframe(null=True),
    words("position", null=True),
    names_unit("parent", null=True),
    words("slot", null=True),
    words("place_name", null=True),
    words("bin", null=True),
    day("placed_on", null=True),
    one_of("condition", CONDITIONS, null=True),
    words("hold", null=True),
    one_of("harness", HARNESSES, null=True),
    one_of("life_quality", LIFE_QUALITIES, null=True),
    words("owner", null=True),
    day("return_by", null=True),
    words("batch", null=True),
    words("source", null=True),
    folded("part_fold", "part_number"),
    folded("serial_fold", "serial_number"),
    folded("manufacturer_fold", "manufacturer"),
    *provenance(),
    PrimaryKeyConstraint("unit"),
    UniqueConstraint("serial_fold", "part_fold", "manufacturer_fold", name="uq_unit_identity"),
    CheckConstraint("parent is null or parent <> unit", name="parent"),
    comment="Opening statements: one a unit.",
)
Index("ix_unit_part_fold", unit.c.part_fold)
for _place in ("airframe", "parent"):
    _there = text(f"{_place} is not null")
    Index(f"ix_unit_{_place}", unit.c[_place], sqlite_where=_there, postgresql_where=_there)

unit_modification = table(
    "unit_modification",
    names_unit("unit"),
    words("modification"),
    day("embodied_on"),
    words("new_part_number", null=True),
    words("certificate", null=True),
    words("certificate_organisation", null=True),
    words("reference", null=True),
    folded("new_part_fold", "new_part_number"),
    *provenance(),
    PrimaryKeyConstraint("unit", "modification"),
    comment="Modifications of units; some give a new part number.",
)
_renamed = text("new_part_fold <> ''")
Index(
    "ix_unit_modification_new_part_fold",
    unit_modification.c.new_part_fold,
    sqlite_where=_renamed,
    postgresql_where=_renamed,
)

accomplishment = table(
    "accomplishment",
    names_unit("unit"),
    words("requirement"),
    words("done_on", comment="partial date"),
    one_of("date_basis", DATE_BASES, null=True),
    whole("minutes_since_new", null=True),
    whole("cycles_since_new", null=True),
    whole("operations_since_new", null=True),
    whole("minutes_since", null=True),
    whole("cycles_since", null=True),
    whole("operations_since", null=True),
    day("stated_due", null=True),
    words("certificate", null=True),
    words("certificate_organisation", null=True),
    whole("sequence", null=True),
    whole("expansion_total", null=True, comment="thousandths of a cubic centimetre, as the two below"),
    whole("expansion_permanent", null=True),
    whole("expansion_limit", null=True, comment="the rejection elastic expansion marked on the cylinder"),
    words("expansion_specification", null=True, comment="of the cylinder tested"),
    *provenance(),
    words("counter", null=True, comment="the counter of the two columns after it"),
    whole("counter_since_new", null=True),
    whole("counter_since", null=True),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    CheckConstraint("expansion_total > 0", name="expansion_total"),
    CheckConstraint("expansion_permanent between 0 and expansion_total", name="expansion_permanent"),
    CheckConstraint("expansion_limit > 0", name="expansion_limit"),
    CheckConstraint(
        "(expansion_total is null) = (expansion_specification is null)"
        " and (expansion_total is null) = (expansion_permanent is null)"
        " and (expansion_limit is null or expansion_total is not null)",
        name="expansion_together",
    ),
    comment="Requirements done.",
)
Index("ix_accomplishment_unit", accomplishment.c.unit, accomplishment.c.requirement, accomplishment.c.done_on)
_papered = text("certificate is not null")
Index("ix_accomplishment_certificate", accomplishment.c.certificate, sqlite_where=_papered, postgresql_where=_papered)
_expanded = text("expansion_total is not null")
Index("ix_accomplishment_expansion", accomplishment.c.unit, sqlite_where=_expanded, postgresql_where=_expanded)

operation = table(
    "operation",
    names_unit("unit"),
    day("operated_on"),
    words("operation"),
    whole("count"),
    words("reference", null=True),
    whole("sequence", null=True),
    *provenance(),
    one_of("intent", INTENTS, null=True, comment="of a deployment"),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Fillings, pressurisations, activations counted on a unit.",
)
Index("ix_operation_unit", operation.c.unit, operation.c.operated_on)

certificate = table(
    "certificate",
    words("tracking_number"),
    words("organisation"),
    words("part_number", comment="as printed"),
    words("serial_number", comment="as printed"),
    words("status"),
    day("dated_on"),
    words("form", null=True),
    one_of("side", FORM_SIDES, null=True),
    words("item", null=True),
    words("authority", null=True),
    words("approval", null=True),
    words("work_order", null=True),
    words("description", null=True),
    whole("quantity", null=True),
    words("batch", null=True),
    words("remarks", null=True),
    words("signatory", null=True),
    whole("minutes_since_new", null=True),
    whole("cycles_since_new", null=True),
    words("corrects", null=True),
    words("document", null=True),
    names_unit("unit", null=True),
    flag("filed_stated"),
    *provenance(),
    words("second_authority", null=True, comment="of a release under two authorities"),
    words("second_approval", null=True),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Lines of release certificates.",
)
Index("ix_certificate_tracking_number", certificate.c.tracking_number, certificate.c.organisation)
_filed = text("unit is not null")
Index("ix_certificate_unit", certificate.c.unit, sqlite_where=_filed, postgresql_where=_filed)

transfer = table(
    "transfer",
    names_unit("unit"),
    day("moved_on"),
    whole("sequence"),
    one_of("target", TRANSFER_TARGETS),
    words("organisation", null=True),
    words("store", null=True),
    words("bin", null=True),
    names_unit("parent", null=True),
    words("slot", null=True),
    one_of("condition", CONDITIONS, null=True),
    words("hold", null=True),
    one_of("harness", HARNESSES, null=True),
    words("order", null=True),
    day("expected_back", null=True),
    words("certificate", null=True),
    words("certificate_organisation", null=True),
    words("reference", null=True),
    words("signed_by", null=True),
    *provenance(),
    one_of("disposition", DISPOSITIONS, null=True, comment="of a part that is scrapped"),
    PrimaryKeyConstraint("unit", "moved_on", "sequence"),
    CheckConstraint("sequence between 0 and 9999", name="sequence"),
    CheckConstraint("parent is null or parent <> unit", name="parent"),
    comment="Changes of place that are no movement at a position.",
)
_in_parent = text("parent is not null")
Index("ix_transfer_parent", transfer.c.parent, sqlite_where=_in_parent, postgresql_where=_in_parent)

plate_reading = table(
    "plate_reading",
    names_unit("unit"),
    day("read_on"),
    whole("sequence"),
    words("part_number", comment="as on the plate"),
    words("serial_number", comment="as on the plate"),
    words("seen_by"),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("unit", "read_on", "sequence"),
    CheckConstraint("sequence between 0 and 9999", name="sequence"),
    comment="What somebody read on the data plates of units.",
)

variation = table(
    "variation",
    names_unit("unit"),
    words("requirement"),
    day("until_on", null=True),
    whole("until_minutes", null=True),
    whole("until_cycles", null=True),
    day("approved_on", null=True),
    words("approved_by", null=True),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Permitted variations: approved one-time extensions.",
)
Index("ix_variation_unit", variation.c.unit, variation.c.requirement)
