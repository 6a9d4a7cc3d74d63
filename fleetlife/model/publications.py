"""Directives and bulletins, the units they apply to, how they are complied with, and modifications found missing."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, PrimaryKeyConstraint

from fleetlife.model.columns import day, flag, names_unit, one_of, provenance, table, whole, words
from fleetlife.terms.words import PUBLICATION_KINDS

publication = table(
    "publication",
    words("publication", comment="its reference"),
    words("revision", null=True),
    one_of("kind", PUBLICATION_KINDS),
    words("issuer", null=True),
    words("title", null=True),
    day("effective_on"),
    words("supersedes", null=True),
    day("cancelled_on", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    CheckConstraint("cancelled_on >= effective_on", name="cancelled_on"),
    comment="Revisions of directives, alerts and bulletins.",
)

applicability = table(
    "applicability",
    words("publication"),
    words("revision", null=True),
    words("part_number", comment="may hold * and ?"),
    words("manufacturer", null=True),
    words("serial_from", null=True),
    words("serial_to", null=True),
    words("excepted", null=True),
    words("made_from", null=True, comment="partial date"),
    words("made_to", null=True, comment="partial date"),
    words("unit_group", null=True),
    flag("excluded"),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    comment="Units that a publication names or leaves out.",
)

_LIMITS = (
    *("months_after", "days_after", "minutes_after", "cycles_after"),
    *("months_since_new", "minutes_since_new", "cycles_since_new"),
)
_REPEATS = ("repeat_months", "repeat_days", "repeat_minutes", "repeat_cycles")

compliance = table(
    "compliance",
    words("publication"),
    words("revision", null=True),
    words("action"),
    words("unit_group", null=True),
    day("comply_by", null=True),
    *(whole(name, null=True) for name in _LIMITS),
    one_of("whichever", ("first", "last"), null=True),
    *(whole(name, null=True) for name in _REPEATS),
    words("closed_by_modification", null=True),
    words("closed_by_work", null=True),
    *provenance(),
    PrimaryKeyConstraint("entry_number", "entry_item"),
    *(CheckConstraint(f"{name} >= 0", name=name) for name in _LIMITS),
    *(CheckConstraint(f"{name} > 0", name=name) for name in _REPEATS),
    CheckConstraint(
        f"coalesce(comply_by, {', '.join(_LIMITS)}) is not null",
        name="limit",
    ),
    comment="What publications ask for, and by when.",
)

not_embodied = table(
    "not_embodied",
    names_unit("unit"),
    words("modification"),
    day("read_on"),
    words("reference", null=True),
    *provenance(),
    PrimaryKeyConstraint("unit", "modification", "read_on"),
    comment="Modifications that units were found without.",
)
