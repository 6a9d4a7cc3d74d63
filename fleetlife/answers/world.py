"""The world is in `clocks`; this name is kept while the answers move over."""

from fleetlife.clocks.world import STALE_DAYS, World, changed_rows, open_world

__all__ = ["STALE_DAYS", "World", "changed_rows", "open_world"]
