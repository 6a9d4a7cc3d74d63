"""Tables only: columns, constraints, comments. No rows are read or written here."""

from fleetlife.model import airframes, derived, ledger, reference, units
from fleetlife.model.columns import metadata

__all__ = ["airframes", "derived", "ledger", "metadata", "reference", "units"]
