"""Tables only: columns, constraints, comments. No rows are read or written here."""

from fleetlife.model import (
    airframes,
    counters,
    derived,
    ledger,
    organisations,
    planning,
    publications,
    receiving,
    reference,
    swaps,
    units,
)
from fleetlife.model.columns import metadata

__all__ = [
    "airframes",
    "counters",
    "derived",
    "ledger",
    "metadata",
    "organisations",
    "planning",
    "publications",
    "receiving",
    "reference",
    "swaps",
    "units",
]
