"""A filled sheet as a JSON file: everything that was done for a swap, in its order."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fleetlife.cli.context import day_option
from fleetlife.cli.recording import request_of_body, storable, unit_of
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.swap_work import Wanted

# What each kind of thing may say beside `on` and `by`; the first is what makes it one.
FIELDS: dict[str, tuple[str, ...]] = {
    "step": ("step", "why"),
    "item": ("item", "outcome", "value", "reference", "unlisted"),
    "gauge": ("gauge", "unit", "celsius", "of", "reference"),
    "sign": ("sign", "alone", "reference"),
    "record": ("record",),
}


def wanted_from(body: dict[str, Any], path: str, *, day: date, hours: str | None) -> list[Wanted]:
    """What a filled sheet says was done. `day` where it states none.

    Refusals: `field-not-known`, `field-missing`, `field-not-read`, those of `recording.request_of_body`.
    """
    unknown = set(body) - {"done", "on", "by", "swap"}
    if unknown:
        raise _not_known(path, sorted(unknown)[0], ("done", "on", "by", "swap"))
    done = body.get("done")
    if not isinstance(done, list) or not done or not all(isinstance(each, dict) for each in done):
        raise Refusal(
            "field-missing",
            f"{path} has no list `done` of objects, each one thing that was done.",
            remedy='Write {"done": [{"step": "begun"}, ...]}.',
        )
    common: dict[str, Any] = {name: body[name] for name in ("on", "by") if name in body}
    return [_one({**common, **each}, f"{path}, done {place}", day, hours) for place, each in enumerate(done, 1)]


def _one(each: dict[str, Any], where: str, day: date, hours: str | None) -> Wanted:
    kinds = [kind for kind in FIELDS if kind in each]
    if len(kinds) != 1:
        raise Refusal(
            "field-missing",
            f"{where} is not one thing: it has {' and '.join(kinds) if kinds else 'none of ' + ', '.join(FIELDS)}.",
            remedy="Give each its own object.",
        )
    kind = kinds[0]
    unknown = set(each) - {*FIELDS[kind], "on", "by"}
    if unknown:
        raise _not_known(where, sorted(unknown)[0], (*FIELDS[kind], "on", "by"))
    for name, value in each.items():
        if name not in ("record", "of", "unlisted") and value is not None and not isinstance(value, str):
            raise Refusal(
                "field-not-read", f"{name} in {where} is no text.", remedy="Put it in quotation marks, numbers too."
            )
        storable(name, value)
    on = day_option(each["on"], f"on in {where}") if each.get("on") else day
    if kind == "record":
        return _change(each, where, on, hours)
    by = each.get("by")
    if not by:
        raise Refusal("field-missing", f"{where} has no by.", remedy="Say who did it, by staff number.")
    return _said(kind, each, where, on, by)


def _said(kind: str, each: dict[str, Any], where: str, on: date, by: str) -> Wanted:
    from fleetlife.actions.swap import UnitName
    from fleetlife.actions.swap_work import Gauge, Sign, Step, Work
    from fleetlife.terms.measure import parse_thousandths
    from fleetlife.terms.words import PRESSURE_UNITS, SWAP_STEPS

    if kind == "step":
        if each["step"] not in SWAP_STEPS:
            raise _not_a_word(where, "step", each["step"], SWAP_STEPS)
        return Step(step=each["step"], on=on, by=by, why=each.get("why"))
    if kind == "item":
        if not each.get("outcome"):
            raise Refusal("field-missing", f"{where} has no outcome.", remedy="Say what was done with it.")
        unlisted = each.get("unlisted", False)
        if not isinstance(unlisted, bool):
            raise Refusal(
                "field-not-read", f"unlisted in {where} is neither true nor false.", remedy="Give true or false."
            )
        return Work(
            item=each["item"],
            outcome=each["outcome"],
            on=on,
            by=by,
            value=each.get("value"),
            reference=each.get("reference"),
            unlisted=unlisted,
        )
    if kind == "sign":
        return Sign(role=each["sign"], on=on, by=by, alone=each.get("alone"), reference=each.get("reference"))
    for name in ("unit", "celsius"):
        if not each.get(name):
            raise Refusal("field-missing", f"{where} has no {name}.", remedy="Add it.")
    if each["unit"] not in PRESSURE_UNITS:
        raise _not_a_word(where, "unit", each["unit"], PRESSURE_UNITS)
    of = None if each.get("of") is None else unit_of(Path(where), "of", each["of"])
    return Gauge(
        pressure=parse_thousandths(each["gauge"]),
        pressure_unit=each["unit"],
        millicelsius=parse_thousandths(each["celsius"]),
        on=on,
        by=by,
        unit=None if of is None else UnitName(part_number=of[0] or "", serial_number=of[1] or "", manufacturer=of[2]),
        reference=each.get("reference"),
    )


def _change(each: dict[str, Any], where: str, on: date, hours: str | None) -> Wanted:
    """The change of the unit. Airframe, position and swap are those of the plan, filled in when it is recorded."""
    from fleetlife.actions.swap_work import Change

    body = each["record"]
    if not isinstance(body, dict):
        raise Refusal("field-not-read", f"record in {where} is no object.", remedy="Give the fields of swap record.")
    body = dict(body)
    body.setdefault("on", on.isoformat())
    if each.get("by"):
        body.setdefault("signed_by", each["by"])
    body.setdefault("registration", "")
    body.setdefault("position", "")
    request, accepted = request_of_body(Path(where), body, hours=hours)
    return Change(request=request, acknowledged=tuple(accepted))


def _not_known(where: str, name: str, known: tuple[str, ...]) -> Refusal:
    from fleetlife.terms.number import did_you_mean

    return Refusal(
        "field-not-known",
        f"{where} has a field {name!r} that is not known there." + did_you_mean(name, known),
        remedy=f"Fields are {', '.join(known)}.",
    )


def _not_a_word(where: str, name: str, value: str, known: tuple[str, ...]) -> Refusal:
    from fleetlife.terms.number import did_you_mean

    return Refusal(
        "word-not-known",
        f"{value!r} in {where} is no word for {name}." + did_you_mean(value, known),
        remedy=f"Allowed are {', '.join(known)}.",
    )
