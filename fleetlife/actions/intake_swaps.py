"""Rows of the work at doors as the facts they state, one function a file."""

from __future__ import annotations

from collections.abc import Callable

from fleetlife.actions.intake_desk import Desk, Values
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.swaps import (
    AirframeState,
    Authorisation,
    Deferral,
    DeferralClosed,
    GaugeReading,
    PositionWork,
    PressureBand,
    ReleaseItem,
    SwapPlan,
    SwapSignature,
    SwapStep,
)
from fleetlife.terms.number import did_you_mean, fold, position_label
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.words import OUTCOMES
from fleetlife.transfer.reading import Row

Facts = Fact | tuple[Fact, ...] | None


def position_on(desk: Desk, row: Row, v: Values, day: str) -> tuple[int, str] | None:
    """The airframe and the position that a row names on its day; None when refused."""
    airframe = desk.airframe(row, "registration", v["registration"], day)
    if airframe is None:
        return None
    try:
        return airframe, desk.reference.position_of(airframe, v["position"]).position
    except Refusal as refusal:
        desk.refuse(row, "position", v["position"], refusal.message, refusal.remedy)
        return None


def _airframe_state(desk: Desk, row: Row, v: Values) -> Facts:
    airframe = desk.airframe(row, "registration", v["registration"], v["from"])
    if airframe is None:
        return None
    return AirframeState(airframe=airframe, since_on=v["from"], state=v["state"], reference=v.get("reference"))


def _release_item(desk: Desk, row: Row, v: Values) -> Facts:
    if not desk.type_of(row, v["type"]):
        return None
    position = v.get("position")
    if position is not None and (fold(v["type"]), position_label(position)) not in desk.reference.positions:
        names = ", ".join(each.position for each in desk.reference.positions_of_type(v["type"]))
        desk.refuse(
            row,
            "position",
            position,
            f"Type {v['type']} has no position {position}; it has {names}.",
            "Correct the position, or leave it out where every position is meant.",
        )
        return None
    kinds = {fold(each.kind): each.kind for each in desk.reference.positions_of_type(v["type"]) if each.kind}
    if v.get("position_kind") is not None and fold(v["position_kind"]) not in kinds:
        near = did_you_mean(v["position_kind"], kinds.values())
        desk.refuse(
            row,
            "position_kind",
            v["position_kind"],
            f"Type {v['type']} has no position of the kind {v['position_kind']}.{near}",
            "Correct the kind (file positions, column kind), or leave it out where every kind is meant.",
        )
        return None
    if v["category"] != "test" and (v.get("runs") or v.get("expects")):
        column = "runs" if v.get("runs") else "expects"
        desk.refuse(row, column, v[column], "Only a test has runs and something to be seen.", "Leave it out.")
        return None
    if v.get("runs") == 0:
        desk.refuse(row, "runs", 0, "A test that never runs shows nothing.", "Leave it out, or say how many times.")
        return None
    return ReleaseItem(
        type=v["type"],
        position=None if position is None else position_label(position),
        position_kind=v.get("position_kind"),
        category=v["category"],
        item=v["item"],
        runs=v.get("runs"),
        expects=v.get("expects"),
        reference=v.get("reference"),
        revision=v.get("revision"),
    )


def _pressure_band(desk: Desk, row: Row, v: Values) -> Facts:
    from fleetlife.actions.intake_reference import parts_known

    if not parts_known(desk, row, v, "part_number"):
        return None
    if v["maximum"] < v["minimum"]:
        desk.refuse(row, "maximum", v["maximum"], "The most is below the least.", "Correct one of the two.")
        return None
    stated = desk.reference.pressures.get(fold(v["part_number"]), [])
    if stated and stated[0].pressure_unit != v["unit"]:
        desk.refuse(
            row,
            "unit",
            v["unit"],
            f"The table of {v['part_number']} is in {stated[0].pressure_unit}, and nothing is converted.",
            "State the whole table in one unit, as its source does.",
        )
        return None
    return PressureBand(
        part_number=v["part_number"],
        millicelsius=v["celsius"],
        minimum=v["minimum"],
        maximum=v["maximum"],
        pressure_unit=v["unit"],
        reference=v.get("reference"),
        revision=v.get("revision"),
    )


def _authorisation(desk: Desk, row: Row, v: Values) -> Facts:
    if v.get("type") is not None and not desk.type_of(row, v["type"]):
        return None
    if v.get("until") and v["until"] < v["from"]:
        desk.refuse(row, "until", v["until"], f"It ends before it begins ({v['from']}).", "Correct one of the two.")
        return None
    return Authorisation(
        staff=v["staff"],
        role=v["role"],
        type=v.get("type"),
        position_kind=v.get("position_kind"),
        valid_from=v["from"],
        valid_to=v.get("until"),
        reference=v.get("reference"),
    )


def _swap_plan(desk: Desk, row: Row, v: Values) -> Facts:
    before = len(desk.problems)
    place = position_on(desk, row, v, v["date"])
    incoming, outgoing = _unit(desk, row, "incoming_", v), _unit(desk, row, "outgoing_", v)
    if len(desk.problems) > before or place is None:
        return None
    if incoming is not None and incoming == outgoing:
        desk.refuse(
            row,
            "incoming_serial_number",
            v["incoming_serial_number"],
            "The same unit is to come off and to go on.",
            "Name the unit that goes on.",
        )
        return None
    plan = SwapPlan(
        swap=v["swap"],
        airframe=place[0],
        position=place[1],
        planned_on=v["date"],
        target_on=v.get("target"),
        incoming=incoming,
        outgoing=outgoing,
        planned_by=v["planned_by"],
        work_order=v.get("work_order"),
        data_reference=v.get("data_reference"),
        data_revision=v.get("data_revision"),
        remarks=v.get("remarks"),
    )
    desk.planned[fold(plan.swap)] = plan
    return plan


def swap_named(desk: Desk, row: Row, v: Values) -> SwapPlan | None:
    """The swap that a row names by its number; None when refused, with the nearest."""
    plan = desk.swap(v["swap"])
    if plan is None:
        near = did_you_mean(fold(v["swap"]), desk.planned)
        desk.refuse(
            row,
            "swap",
            v["swap"],
            f"No swap {v['swap']} is planned.{near}",
            "Correct the number, or state the swap in the swap_plans file first.",
        )
    return plan


def _swap_step(desk: Desk, row: Row, v: Values) -> Facts:
    plan = swap_named(desk, row, v)
    before = len(desk.problems)
    incoming = _unit(desk, row, "incoming_", v)
    if plan is None or len(desk.problems) > before:
        return None
    if v["step"] == "given_up" and not v.get("why"):
        desk.refuse(row, "why", "", "Why it was given up is not said.", "Say why.")
        return None
    return SwapStep(
        swap=plan.swap,
        airframe=plan.airframe,
        step=v["step"],
        stepped_on=v["date"],
        sequence=v.get("sequence") or 0,
        signed_by=v["signed_by"],
        incoming=incoming,
        answer=v.get("answer"),
        stops=v.get("stops"),
        conditions=v.get("conditions"),
        ledger_head=v.get("ledger_head"),
        why=v.get("why"),
    )


def _position_work(desk: Desk, row: Row, v: Values) -> Facts:
    place = position_on(desk, row, v, v["date"])
    if place is None:
        return None
    allowed = OUTCOMES[v["category"]]
    if v["outcome"] not in allowed:
        desk.refuse(
            row,
            "outcome",
            v["outcome"],
            f"This cannot be said of a {v['category']}.",
            f"Allowed are {', '.join(allowed)}.",
        )
        return None
    swap = None
    if v.get("swap"):
        plan = swap_named(desk, row, v)
        if plan is None:
            return None
        if (plan.airframe, plan.position) != place:
            desk.refuse(
                row,
                "swap",
                v["swap"],
                f"That swap is at position {plan.position} of another row's airframe or position.",
                "Correct the swap, the registration or the position.",
            )
            return None
        swap = plan.swap
    return PositionWork(
        airframe=place[0],
        position=place[1],
        category=v["category"],
        item=v["item"],
        outcome=v["outcome"],
        worked_on=v["date"],
        sequence=v.get("sequence") or 0,
        swap=swap,
        run=v.get("run") or None,
        value=v.get("value"),
        signed_by=v["signed_by"],
        reference=v.get("reference"),
    )


def _gauge_reading(desk: Desk, row: Row, v: Values) -> Facts:
    unit = desk.unit(row, "", v)
    plan = swap_named(desk, row, v) if v.get("swap") else None
    if unit is None or (v.get("swap") and plan is None):
        return None
    return GaugeReading(
        unit=unit,
        read_on=v["date"],
        sequence=v.get("sequence") or 0,
        pressure=v["pressure"],
        pressure_unit=v["unit"],
        millicelsius=v["celsius"],
        seen_by=v["seen_by"],
        swap=None if plan is None else plan.swap,
        airframe=None if plan is None else plan.airframe,
        reference=v.get("reference"),
    )


def _swap_signature(desk: Desk, row: Row, v: Values) -> Facts:
    plan = swap_named(desk, row, v)
    if plan is None:
        return None
    if v.get("exception") and v["role"] != "inspected":
        desk.refuse(
            row,
            "exception",
            v["exception"],
            "Only an inspection may be signed by the one who did the work.",
            "Leave it out, or say inspected.",
        )
        return None
    return SwapSignature(
        swap=plan.swap,
        airframe=plan.airframe,
        role=v["role"],
        signed_on=v["date"],
        sequence=v.get("sequence") or 0,
        signed_by=v["signed_by"],
        exception=v.get("exception"),
        reference=v.get("reference"),
    )


def _deferral(desk: Desk, row: Row, v: Values) -> Facts:
    place = position_on(desk, row, v, v["opened"])
    if place is None:
        return None
    for column in ("expires", "closed"):
        if v.get(column) and v[column] < v["opened"]:
            desk.refuse(row, column, v[column], f"It is before the day it was opened ({v['opened']}).", "Correct it.")
            return None
    if bool(v.get("closed")) != bool(v.get("closed_by")):
        missing = "closed_by" if v.get("closed") else "closed"
        desk.refuse(row, missing, "", "A deferral is closed on a day and by somebody.", "Fill in both, or neither.")
        return None
    opened = Deferral(
        airframe=place[0],
        position=place[1],
        opened_on=v["opened"],
        item=v["item"],
        expires_on=v.get("expires"),
        log_page=v.get("log_page"),
        conditions=v.get("conditions"),
        authorised_by=v["authorised_by"],
    )
    if not v.get("closed"):
        return opened
    closed = DeferralClosed(
        airframe=place[0],
        position=place[1],
        opened_on=v["opened"],
        closed_on=v["closed"],
        closed_by=v["closed_by"],
    )
    return opened, closed


def _unit(desk: Desk, row: Row, prefix: str, v: Values) -> int | None:
    """The unit that the row names with this prefix; None where it names none, or was refused."""
    named = v.get(f"{prefix}part_number") or v.get(f"{prefix}serial_number")
    return desk.unit(row, prefix, v) if named else None


Converter = Callable[[Desk, Row, Values], Facts]
# Files whose rows name no unit, and those whose rows may.
REFERENCE_OF_SWAPS: dict[str, Converter] = {
    "airframe_states": _airframe_state,
    "release_items": _release_item,
    "pressures": _pressure_band,
    "authorisations": _authorisation,
}
SWAP_CONVERTERS: dict[str, Converter] = {
    "swap_plans": _swap_plan,
    "swap_steps": _swap_step,
    "position_work": _position_work,
    "gauge_readings": _gauge_reading,
    "swap_signatures": _swap_signature,
    "deferrals": _deferral,
}
