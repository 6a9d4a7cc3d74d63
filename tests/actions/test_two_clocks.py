"""What was known then: a question with a moment answers as it was answered at that moment, whatever came since."""

from __future__ import annotations

from datetime import date
from typing import Any

from fleetlife.clocks.world import open_world
from fleetlife.follows.rows import DERIVED_TABLES
from fleetlife.store.engine import Store

from .fleet import SLIDE, Intake, everything, head, readings, rebuilt_differs

AS_OF = date(2024, 3, 1)
_ROWS = {
    "placement": "placements",
    "carriage": "carriages",
    "due_point": "due_points",
    "certificate_line": "certificate_lines",
}


def known(store: Store, entry: int | None) -> dict[str, Any]:
    """Every derived row, as known after an entry (None: now)."""
    with store.reading() as connection:
        world = open_world(connection, as_of=AS_OF, known_at=None if entry is None else str(entry))
        units = [row.unit_id for row in everything(store)["unit_state"]]
        found: dict[str, Any] = {"unit_state": sorted(world.states(units).values(), key=repr)}
        for table, method in _ROWS.items():
            found[table] = sorted(getattr(world, method)(units), key=repr)
        return found


def rows(store: Store) -> dict[str, Any]:
    return {table: sorted(held, key=repr) for table, held in everything(store).items() if table in DERIVED_TABLES}


class TestReadingsThatCameLater:
    def removed(self, fleet: Intake) -> None:
        """Off on 2024-02-05, total not stated, while nothing was read after January: the end is projected."""
        fleet.take(
            {
                "movements": [
                    {
                        "date": "2024-02-05",
                        "registration": "Q-AAA",
                        "position": "L1",
                        "removed_part_number": SLIDE,
                        "removed_serial_number": "0101",
                        "removed_to": "store",
                    }
                ]
            }
        )

    def test_a_boundary_is_what_it_was_before_they_came(self, fleet: Intake) -> None:
        self.removed(fleet)
        then, entry = rows(fleet.store), head(fleet.store)
        assert {row.until_basis for row in then["carriage"]} >= {"provisional"}
        fleet.take({"readings": readings("Q-AAA", "2024-02-01", 10, base=10_300)})
        assert rebuilt_differs(fleet.store) == {}
        assert {row.until_basis for row in rows(fleet.store)["carriage"]} == {"bounded", "open"}
        assert known(fleet.store, entry) == then
        assert known(fleet.store, None) == rows(fleet.store)
