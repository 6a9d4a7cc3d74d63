"""What was seen when units came in, and what was decided of holds."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, PrimaryKeyConstraint

from fleetlife.model.columns import day, flag, names_unit, one_of, provenance, table, whole, words
from fleetlife.terms.words import HOLD_DECISIONS, RECEIPT_RESULTS

receipt = table(
    "receipt",
    names_unit("unit"),
    day("received_on"),
    whole("sequence"),
    words("inspector"),
    one_of("result", RECEIPT_RESULTS),
    words("certificate", null=True),
    words("certificate_organisation", null=True),
    words("order", null=True),
    words("delivery_note", null=True),
    words("mark", null=True, comment="as on the unit"),
    words("cured", null=True, comment="as on the unit"),
    words("expires", null=True, comment="as on the unit"),
    flag("looked"),
    words("damage", null=True),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("unit", "received_on", "sequence"),
    CheckConstraint("sequence between 0 and 9999", name="sequence"),
    comment="What an inspector saw when a unit came in.",
)

hold_decision = table(
    "hold_decision",
    names_unit("unit"),
    day("decided_on"),
    whole("sequence"),
    one_of("decision", HOLD_DECISIONS),
    words("why"),
    words("decided_by"),
    words("reference", null=True),
    words("document", null=True, comment="of a kept paper"),
    *provenance(),
    PrimaryKeyConstraint("unit", "decided_on", "sequence"),
    CheckConstraint("sequence between 0 and 9999", name="sequence"),
    comment="What a person decided of a hold.",
)
