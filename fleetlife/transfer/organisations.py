"""The files of who may sign: organisations and their approvals."""

from __future__ import annotations

from fleetlife.transfer.column import File
from fleetlife.transfer.column import col as _col
from fleetlife.transfer.column import must as _must

ORGANISATIONS = File(
    name="organisations",
    meaning="Organisations that sign release certificates.",
    key=("organisation",),
    columns=(
        _must("organisation", "name", "Its name as certificates bear it."),
        _col("name", "name", "Its name in full."),
        _col("country", "name", "The state it is in."),
    ),
)

APPROVALS = File(
    name="approvals",
    meaning="Approvals of organisations, each with the time of its validity; renewed after a gap it is another row.",
    key=("organisation", "approval", "from"),
    columns=(
        _must("organisation", "name", "The organisation, as in organisations."),
        _must("approval", "identifier", "The approval's number."),
        _col("authority", "name", "The authority that gave it."),
        _col("scope", "text", "Its rating or scope, as printed; kept and not judged."),
        _col("from", "day", "First day of its validity; empty: not stated, no earlier day is found fault with."),
        _col("until", "day", "Last day of its validity; empty: no end is known."),
    ),
)
