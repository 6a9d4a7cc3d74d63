"""`swap guide`: asks for what is still open of a swap, one thing after the other, and records each as it is answered.

It can be left at any question and begun again: what was answered is recorded, what is open is asked for anew. It asks
what was done; it says nothing of how.
"""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, open_database, refusals, say, show, staff
from fleetlife.cli.options import AsOf, ClockBehind, Database
from fleetlife.cli.prompts import told, word_asked
from fleetlife.cli.swapping import Swap, scanned
from fleetlife.terms import words
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.store.engine import Store
    from fleetlife.terms.swaps import SwapCard, SwapItem

STOP = "stop"


class _Left(Exception):
    """Somebody typed that it is enough."""


def guide(
    swap: Swap,
    by: Annotated[str, typer.Option("--by", metavar="STAFF", help="Who answers, by staff number.")],
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Ask for what is still open of a swap, one thing after the other, and record each as it is answered.

    An empty answer leaves a thing open, `stop` ends; begun again, it asks for what is open then. It needs a terminal.
    Everything can be recorded without it: swap record, enter, gauge, sign and release, or a filled sheet with swap
    fill. Exit status 0 when the door is released, 1 while anything is open.

    \b
    Example: fleetlife swap guide SW1276 --by M117
    """
    with refusals():
        if not sys.stdin.isatty():
            raise Refusal(
                "nobody-to-ask",
                "Nobody is there to ask what was done.",
                remedy="Give it as a file: fleetlife swap fill SWAP FILE.",
                status=2,
            )
        from fleetlife.answers.swaps import swap_show
        from fleetlife.reports.swap_card import swap_card

        day = as_of_day(as_of)
        number = scanned(swap)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            card = swap_show(store, number, as_of=day)
            show(swap_card(card))
            if card.state not in words.SWAPS_OVER:
                say(f"An empty answer leaves a thing open; {STOP} ends. Each answer is recorded at once.")
                try:
                    card = _asked(store, card, by, day)
                except _Left:
                    card = swap_show(store, number, as_of=day)
                say(f"Swap {card.swap} is {card.state}; {len(card.open)} points are open.")
    raise typer.Exit(CLEAN if card.state in words.SWAPS_OVER else FINDINGS)


def _asked(store: Store, card: SwapCard, by: str, day: date) -> SwapCard:
    """Once through everything that is open, in the order of a swap."""
    from fleetlife.actions.swap_work import Sign, Step

    if card.state in ("planned", "checked") and _yes(f"Has work on {card.registration} {card.position} begun?"):
        card = _recorded(store, card, Step(step="begun", on=day, by=by), day) or card
    for category in ("device", "lock"):
        card = _items(store, card, category, by, day)
    card = _gauges(store, card, by, day)
    if not card.done_on:
        card = _change(store, card, by, day)
    for category in ("device", "lock", "test", "retained"):
        card = _items(store, card, category, by, day)
    if not card.done_on:
        return card
    for role, asked in (("performed", "Performed by"), ("inspected", "Inspected by"), ("released", "Released by")):
        open_points = {point.what for point in card.open}
        wanted = {"performed": "not-signed", "inspected": "not-inspected"}.get(role)
        if (wanted is not None and wanted not in open_points) or (wanted is None and open_points):
            continue
        who = _answer(f"{asked} (staff number)", default=by if role == "performed" else "")
        if who:
            card = _recorded(store, card, Sign(role=role, on=day, by=who), day) or card
    return card


def _items(store: Store, card: SwapCard, category: str, by: str, day: date) -> SwapCard:
    """The items of a category that are not settled, each asked for until it is, or left open."""
    from fleetlife.actions.swap_work import Work

    if category == "test" and not card.done_on:
        return card
    for item in [each for each in card.items if each.category == category and not each.settled]:
        for place in range(item.passed, item.runs):
            outcome = _outcome(item, place)
            if outcome is None:
                break
            value = _answer("Read or seen", default="") if category == "test" else ""
            done = Work(item=item.item, outcome=outcome, on=day, by=by, value=value or None, unlisted=not item.asked)
            after = _recorded(store, card, done, day)
            if after is None:
                break
            card = after
            if outcome not in ("passed",):
                break
    return card


def _outcome(item: SwapItem, place: int) -> str | None:
    times = f", run {place + 1} of {item.runs}" if item.runs > 1 else ""
    expects = f" ({item.expects})" if item.expects else ""
    say(f"{item.item}{times}{expects}: {item.told}.")
    answer = word_asked(item.item, (*words.OUTCOMES[item.category], STOP))
    if answer == STOP:
        raise _Left
    return answer


def _gauges(store: Store, card: SwapCard, by: str, day: date) -> SwapCard:
    from fleetlife.actions.swap import UnitName
    from fleetlife.actions.swap_work import Gauge
    from fleetlife.terms.measure import parse_thousandths

    for item in [each for each in card.items if each.category == "gauge" and not each.settled]:
        say(f"Gauge of {item.item}: {item.told}.")
        shown = _answer("It shows", default="")
        if not shown:
            continue
        unit = word_asked("In", words.PRESSURE_UNITS)
        celsius = _answer("At how many degrees Celsius", default="")
        part, _, serial = item.item.rpartition(" ")
        try:
            done = Gauge(
                pressure=parse_thousandths(shown),
                pressure_unit=unit or "",
                millicelsius=parse_thousandths(celsius),
                on=day,
                by=by,
                unit=UnitName(part_number=part, serial_number=serial),
            )
        except Refusal as refusal:
            told(refusal)
            continue
        if unit:
            card = _recorded(store, card, done, day) or card
    return card


def _change(store: Store, card: SwapCard, by: str, day: date) -> SwapCard:
    """The change of the unit itself, as planned. What is found otherwise is recorded with swap record."""
    from fleetlife.actions.swap import SwapRequest
    from fleetlife.actions.swap_work import Change

    on = card.incoming.name if card.incoming else "nothing"
    off = card.outgoing.name if card.outgoing else "nothing"
    if not _yes(f"Was the unit changed as planned: {off} off, {on} on?"):
        say(f"If another unit hung there, or another was fitted: fleetlife swap record --swap {card.swap}.")
        return card
    request = SwapRequest(
        registration="",
        position="",
        on=day,
        remove_only=card.incoming is None,
        harness=word_asked("Rigged for which side", words.HARNESS_SIDES) if card.harness and card.incoming else None,
        removed_to=word_asked("Removed to", words.REMOVED_TO) if card.outgoing else None,
        removal_kind=word_asked("Removal kind", words.REMOVAL_KINDS) if card.outgoing else None,
        signed_by=by,
    )
    return _recorded(store, card, Change(request=request), day) or card


def _recorded(store: Store, card: SwapCard, wanted: Any, day: date) -> SwapCard | None:
    """The swap after it; None where it was refused, and told why."""
    from fleetlife.actions.swap_work import record_work

    try:
        done = record_work(store, card.swap, [wanted], as_of=day, recorded_by=staff())
    except Refusal as refusal:
        told(refusal)
        for detail in refusal.details:
            say(f"  {detail}")
        return None
    for text in done.told:
        say(f"  {text}")
    return done.card


def _answer(question: str, *, default: str) -> str:
    answer = str(typer.prompt(question, default=default, show_default=bool(default))).strip()
    if answer == STOP:
        raise _Left
    return answer


def _yes(question: str) -> bool:
    answer = word_asked(question, ("yes", "no", STOP))
    if answer == STOP:
        raise _Left
    return answer == "yes"
