"""Counters beyond flight hours and cycles: the register, the airframes' readings, what units had run before.

A table of their own, so that a fleet without counters reads and writes nothing more than before.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, PrimaryKeyConstraint

from fleetlife.model.columns import Words, day, names_airframe, names_unit, one_of, provenance, table, whole, words
from fleetlife.terms.words import COUNTER_MEASURES

counter = table(
    "counter",
    words("counter"),
    one_of("measure", COUNTER_MEASURES),
    words("description", null=True),
    *provenance(),
    PrimaryKeyConstraint("counter"),
    comment="Counters beyond flight hours and cycles, named by the operator.",
)


def _names_counter() -> Column[str]:
    """A counter as the register spells it. Deferred, because a corrected one takes its row away and puts it back."""
    key = ForeignKey("counter.counter", deferrable=True, initially="DEFERRED")
    return Column("counter", Words, key, nullable=False)


counter_reading = table(
    "counter_reading",
    names_airframe(),
    _names_counter(),
    day("read_on"),
    whole("total", comment="a whole number, or minutes"),
    *provenance(),
    PrimaryKeyConstraint("airframe", "counter", "read_on"),
    CheckConstraint("total >= 0", name="total"),
    comment="An airframe's own total of a counter at the end of a day.",
    with_rowid=False,
)

unit_counter = table(
    "unit_counter",
    names_unit("unit"),
    _names_counter(),
    whole("since_new", comment="a whole number, or minutes"),
    *provenance(),
    PrimaryKeyConstraint("unit", "counter"),
    CheckConstraint("since_new >= 0", name="since_new"),
    comment="What a unit had run in a counter since new at its opening statement.",
)
