"""What planning is stated from: ground times of airframes, and the least life to fit."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, PrimaryKeyConstraint

from fleetlife.model.columns import day, names_airframe, provenance, table, whole, words

ground_time = table(
    "ground_time",
    names_airframe(),
    day("ground_from"),
    day("ground_to"),
    words("station"),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("airframe", "ground_from"),
    CheckConstraint("ground_to >= ground_from", name="ground_to"),
    comment="Periods on the ground long enough for work.",
)

least_life = table(
    "least_life",
    words("operator", null=True, comment="null: of every operator"),
    words("part_number", null=True, comment="null: of every part"),
    day("effective_from"),
    whole("days"),
    words("reference"),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    CheckConstraint("days > 0", name="days"),
    comment="The days of life a unit must have left when it is fitted.",
)
