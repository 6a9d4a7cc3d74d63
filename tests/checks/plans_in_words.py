"""From a case in the trade's words to what the checks of planned swaps judge."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from fleetlife.checks import plans
from fleetlife.checks.rows import MateRow, PlanRow
from fleetlife.dates.moment import moment_of
from fleetlife.dates.partial import day_number
from fleetlife.fit.harness import judge_harness
from fleetlife.fit.intermix import IntermixAnswer, judge_intermix
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Intermix
from fleetlife.planning.ground import Least, Period
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import Reason

Words = dict[str, Any]
VERDICT = {"fine": "clear", "condition": "condition", "stop": "stop"}


def unit(number: int, words: Words | None) -> UnitStateRow | None:
    """`at` (store, shop, position, scrap ...), `since`, `serial`, `part` and `harness` where they are said."""
    if words is None:
        return None
    return UnitStateRow(
        unit_id=words.get("unit", number),
        part_number=words.get("part", "SL-100-3"),
        serial_number=str(words.get("serial", f"0{number}")),
        manufacturer="Auk",
        kind=words.get("at", "store"),
        since_moment=moment_of(day_number(words.get("since", "2026-01-10"))),
        harness=words.get("harness", "unknown"),
    )


def row(words: Words) -> list[PlanRow]:
    """`plan`: planned on 2026-02-01 for L1 of Q-TRN by 2026-03-01; `goes on`, `comes off`, `hangs`: its units and what
    hangs there (the one to come off where nothing is said)."""
    plan = words["plan"]
    on = unit(41, plan.get("goes on"))
    off = unit(42, plan.get("comes off"))
    hangs = unit(43, plan["hangs"]) if "hangs" in plan else off
    return [
        PlanRow(
            swap="SW40",
            registration="Q-TRN",
            airframe=7,
            position="L1",
            entry=40,
            planned_on=day_number("2026-02-01"),
            fitted_on=day_number("2026-03-01"),
            target="2026-03-01",
            incoming=on,
            outgoing=off,
            hanging=hangs,
            hanging_entry=52,
            off_at=None if off is None else plan["comes off"].get("told", "at Q-TRN L1 since 2026-01-10"),
            on_at=None if on is None else plan["goes on"].get("told", "store Main since 2026-01-10"),
            gone=on is not None and on.kind not in ("store", "shop", "loan"),
        )
    ]


def _plan(judge: Callable[[list[PlanRow]], Iterator[Finding]], **gathered: Any) -> Callable[[Words], Iterator[Finding]]:
    def judged(words: Words) -> Iterator[Finding]:
        found = {name: take(words["plan"]) for name, take in gathered.items()}
        return judge([replace(each, **found) for each in row(words)])

    return judged


def _rig(plan: Words) -> Reason | None:
    """`rig` of the part; the position asks for left."""
    if "rig" not in plan:
        return None
    answer = judge_harness(
        rig=plan["rig"], harness=plan["goes on"].get("harness", "unknown"), position_harness=plan.get("asks", "left")
    )
    return Reason(topic="harness", verdict=VERDICT[answer.outcome], text=" ".join(answer.reasons))


def _mates(plan: Words) -> tuple[MateRow, ...]:
    """`beside`: the family that hangs at R1, `planned beside` the one that SW41 puts there; `forbidden`: pairs of
    families, with a reference unless `bare`."""
    bare = plan.get("bare", False)
    rows = [
        Intermix(family=one, other_family=other, permitted=False, reference=None if bare else "AMM 25-66")
        for one, other in plan.get("forbidden", ())
    ]

    def told(family: str | None) -> tuple[str, IntermixAnswer] | None:
        if family is None:
            return None
        asked = {"part_number": "SL-100-3", "other_part_number": f"SL-{family}", "rows": rows}
        return f"SL-{family} 0099", judge_intermix(family=plan.get("family", "short"), other_family=family, **asked)

    if "beside" not in plan and "planned beside" not in plan:
        return ()
    planned = told(plan.get("planned beside"))
    return (MateRow(position="R1", now=told(plan.get("beside")), planned=planned, swap="SW41" if planned else None),)


def _also(plan: Words) -> tuple[tuple[str, str, int], ...]:
    return tuple((swap, where, 50 + place) for place, (swap, where) in enumerate(plan.get("also", ())))


def _next(plan: Words) -> Period | None:
    """`next`: the first day of the airframe's next ground time."""
    if "next" not in plan:
        return None
    first = day_number(plan["next"])
    return Period(first=first, last=first + 3, station="SKA", reference="visit 7")


def _least(plan: Words) -> Least | None:
    """`asked for`: the days of the operator's rule."""
    if "asked for" not in plan:
        return None
    return Least(days=plan["asked for"], effective_from=day_number("2025-01-01"), reference="note 4")


_LASTS = {"life": lambda plan: plan.get("life"), "stops": lambda plan: tuple(plan.get("stops", ()))}
JUDGED: dict[str, Callable[[Words], Iterator[Finding]]] = {
    "PLN101": _plan(plans.due_before_next_ground_time, next_ground=_next, **_LASTS),
    "PLN106": _plan(plans.life_below_the_least, least=_least, **_LASTS),
    "PLN102": _plan(plans.planned_unit_other_rig, rig=_rig, asks=lambda plan: plan.get("asks", "left")),
    "PLN103": _plan(plans.planned_unit_may_not_go_there, stops=lambda plan: tuple(plan.get("stops", ()))),
    "PLN104": _plan(plans.pair_broken_by_a_plan, mates=_mates),
    "PLN105": _plan(plans.unit_in_two_plans, also_for=_also),
    "PLN107": _plan(plans.plan_overtaken),
}
