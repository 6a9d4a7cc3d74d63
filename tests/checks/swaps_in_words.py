"""From a case in the trade's words to what the checks of the work at doors judge."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from fleetlife.checks import swaps
from fleetlife.checks.rows import LeftRow, SwapRow
from fleetlife.ledger.swaps import PositionWork
from fleetlife.terms.finding import Finding
from fleetlife.terms.words import OUTCOMES

Words = dict[str, Any]
CATEGORY = {outcome: category for category, outcomes in OUTCOMES.items() for outcome in outcomes}


def left(words: Words) -> list[LeftRow]:
    """`last`: the last entry of each item at L1 of Q-TRN: item, outcome, and by, swap where they are said."""
    return [
        LeftRow(
            registration="Q-TRN",
            position="L1",
            entry=40 + place,
            work=PositionWork(
                airframe=7,
                position="L1",
                category=CATEGORY[each["outcome"]],
                item=each["item"],
                outcome=each["outcome"],
                worked_on=each.get("on", "2026-02-10"),
                signed_by=each.get("by", "M117"),
                swap=each.get("swap"),
            ),
        )
        for place, each in enumerate(words["last"])
    ]


def swap(words: Words) -> list[SwapRow]:
    """`swap`: its state, and done, released, by, open, alone, gauges, refused where they are said."""
    said = words["swap"]
    return [
        SwapRow(
            swap="SW40",
            registration="Q-TRN",
            airframe=7,
            position="L1",
            state=said["state"],
            entry=40,
            last_entry=52,
            done_on=said.get("done"),
            released_on=said.get("released"),
            released_by=said.get("by"),
            open=tuple(said.get("open", ())),
            exceptions=tuple(
                (each["by"], each["on"], each["why"], 50 + place) for place, each in enumerate(said.get("alone", ()))
            ),
            gauges_wrong=tuple(("TH-1 R1", each, 48) for each in said.get("gauges", ())),
            release_refused=said.get("refused"),
        )
    ]


def _left(judge: Callable[[list[LeftRow]], Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    return lambda words: judge(left(words))


def _swap(judge: Callable[[list[SwapRow]], Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    return lambda words: judge(swap(words))


JUDGED: dict[str, Callable[[Words], Iterator[Finding]]] = {
    "SWP101": _left(swaps.safety_device_still_in),
    "SWP102": _left(swaps.lock_not_remade),
    "SWP103": _swap(swaps.swap_not_released),
    "SWP104": _left(swaps.retained_item_gone),
    "SWP105": _swap(swaps.released_with_something_open),
    "SWP106": _swap(swaps.released_outside_authorisation),
    "SWP107": _swap(swaps.own_work_inspected),
    "SWP108": _swap(swaps.gauge_outside_its_band),
}
