"""Rows of ground times and of the least life to fit as the facts they state, one function a file."""

from __future__ import annotations

from collections.abc import Callable

from fleetlife.actions.intake_desk import Desk, Values
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.planning import GroundTime, LeastLife
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.transfer.reading import Row


def _ground_time(desk: Desk, row: Row, v: Values) -> Fact | None:
    airframe = desk.airframe(row, "registration", v["registration"], v["from"])
    if airframe is None:
        return None
    first, last = v["from"], v["until"]
    if last < first:
        desk.refuse(row, "until", last, f"It ends before it begins ({first}).", "Correct one of the two.")
        return None
    for _, held in desk.reference.ground_times.get(airframe, {}).values():
        if held.ground_from != first and held.ground_from <= last and first <= held.ground_to:
            desk.refuse(
                row,
                "from",
                first,
                f"It overlaps the ground time of {v['registration']} from {held.ground_from} to {held.ground_to} at "
                f"{held.station}.",
                "Correct one of the two; one that is off is withdrawn first (fleetlife ledger withdraw).",
            )
            return None
    return GroundTime(
        airframe=airframe, ground_from=first, ground_to=last, station=v["station"], reference=v.get("reference")
    )


def _least_life(desk: Desk, row: Row, v: Values) -> Fact | None:
    from fleetlife.actions.intake_reference import parts_known

    if v.get("part_number") is not None and not parts_known(desk, row, v, "part_number"):
        return None
    operator = v.get("operator")
    known = {fold(frame.operator): frame.operator for frame in desk.reference.airframes.values() if frame.operator}
    if operator is not None and fold(operator) not in known:
        near = did_you_mean(operator, known.values())
        desk.refuse(
            row,
            "operator",
            operator,
            f"No airframe in the records has operator {operator}.{near}",
            "Correct the name (file airframes, column operator), or leave it out where every operator is meant.",
        )
        return None
    if v["days"] == 0:
        desk.refuse(row, "days", 0, "A least life of no days asks for nothing.", "Say how many days, or leave it out.")
        return None
    return LeastLife(
        operator=operator,
        part_number=v.get("part_number"),
        effective_from=v["from"],
        days=v["days"],
        reference=v["reference"],
    )


PLANNING_CONVERTERS: dict[str, Callable[[Desk, Row, Values], Fact | None]] = {
    "ground_times": _ground_time,
    "least_lives": _least_life,
}
