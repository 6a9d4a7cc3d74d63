"""Rows of receipts and of decisions of holds as the facts they state."""

from __future__ import annotations

from fleetlife.actions.intake_desk import Desk, Values
from fleetlife.dates.marks import parse_mark
from fleetlife.ledger import facts as f
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.dates import StampedMark
from fleetlife.transfer.reading import Row


def receipt(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    mark = v.get("mark")
    if isinstance(mark, StampedMark):
        try:
            mark = parse_mark(mark.text, as_of=mark.as_of, manufactured=desk.manufactured(unit)).text
        except Refusal as refusal:
            desk.refuse(row, "mark", mark, refusal.message, refusal.remedy)
            return None
    if v.get("damage") and v.get("looked") is False:
        desk.refuse(
            row, "looked", "no", "Damage is told that nobody looked for.", "Write yes, or leave the column out."
        )
        return None
    return f.Receipt(
        unit=unit,
        received_on=v["date"],
        sequence=v.get("sequence") or 0,
        inspector=v["inspector"],
        result=v["result"],
        certificate=v.get("certificate"),
        certificate_organisation=v.get("certificate_organisation"),
        order=v.get("order"),
        delivery_note=v.get("delivery_note"),
        mark=mark,
        cured=v.get("cured"),
        expires=v.get("expires"),
        looked=bool(v.get("looked") or v.get("damage")),
        damage=v.get("damage"),
        reference=v.get("reference"),
    )


def hold_decision(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    return f.HoldDecision(
        unit=unit,
        decided_on=v["date"],
        sequence=v.get("sequence") or 0,
        decision=v["decision"],
        why=v["why"],
        decided_by=v["decided_by"],
        reference=v.get("reference"),
        document=v.get("document"),
    )
