"""Making many values at once."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def made_in_bulk() -> Iterator[None]:
    """While many values are made that refer to each other in no circle, the search for circles waits.

    The interpreter looks for them each time some hundreds of values were made, over all that were made before: an
    intake of a fleet spends an eighth of its time on that and finds none. What nothing refers to any longer goes at
    once, as always.
    """
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
