"""Component life and interchangeability tracking for aircraft emergency-evacuation equipment.

`import fleetlife` loads neither SQLAlchemy nor pandas; what needs them imports them inside.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fleetlife.terms.version import VERSION

if TYPE_CHECKING:
    from fleetlife.answers.records import Records

__version__ = VERSION


def open(url: str) -> Records:
    """The records in a database, to be asked for pandas DataFrames. Refusals: those of `store.engine.open_store`."""
    from fleetlife.answers.records import Records

    return Records(url)
