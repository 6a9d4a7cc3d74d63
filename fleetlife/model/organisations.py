"""Organisations that sign release certificates, and their approvals with the time of their validity."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, PrimaryKeyConstraint

from fleetlife.model.columns import day, provenance, table, words

organisation = table(
    "organisation",
    words("organisation", comment="as certificates name it"),
    words("name", null=True),
    words("country", null=True),
    *provenance(),
    PrimaryKeyConstraint("organisation"),
    comment="Organisations that sign release certificates.",
)

approval = table(
    "approval",
    words("organisation", comment="as in the table organisation"),
    words("approval"),
    words("authority", null=True),
    words("scope", null=True),
    day("valid_from", null=True),
    day("valid_to", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    CheckConstraint("valid_to >= valid_from", name="valid_to"),
    comment="Approvals of organisations; both days of their validity are included.",
)
