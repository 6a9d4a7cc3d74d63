"""What a record would move is shown first; then it is asked for and recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Protocol, TypeVar

from fleetlife.cli.context import as_of_day, confirmed, say, show

if TYPE_CHECKING:
    # a start would make the classes of every answer for one annotation
    from fleetlife.terms.views import DifferenceRow

Done = TypeVar("Done")


class Moved(Protocol):
    """What came of a record: what moves, and how many units were derived again."""

    @property
    def moved(self) -> Sequence[DifferenceRow]: ...

    @property
    def units(self) -> int: ...


def shown_first(
    act: Callable[..., Done],
    told: Callable[[Done], None],
    question: Callable[[Done], str],
    *,
    preview: bool,
    yes: bool,
    as_of: str | None,
) -> Done | None:
    """`act` asked for a preview, `told` of it, the question, then `act` itself. None where it was only shown.

    `act` knows the ledger head of before, so that nothing is recorded that was shown on another one.
    """
    shown = act(moves_on=as_of_day(as_of), preview=True)
    told(shown)
    if preview:
        say("Nothing was recorded.")
        return None
    confirmed(question(shown), yes=yes)
    return act()


def tell_moves(done: Moved) -> None:
    """The units of which something else will be believed, on the screen."""
    from fleetlife.reports.compare import moved_report

    show(moved_report(done.moved, units=done.units))
