"""Rows of types, airframes, parts and programmes as the facts they state, one function a file."""

from __future__ import annotations

from fleetlife.actions.intake_desk import Desk, Values
from fleetlife.actions.intake_planning import PLANNING_CONVERTERS
from fleetlife.actions.intake_publications import PUBLICATION_CONVERTERS
from fleetlife.actions.intake_swaps import REFERENCE_OF_SWAPS
from fleetlife.follows.book import requirement_values
from fleetlife.ledger import facts as f
from fleetlife.life.values import Requirement
from fleetlife.terms.number import did_you_mean, fold, position_label
from fleetlife.terms.words import TAKEN_BY_MEASURES
from fleetlife.transfer.reading import Row


def _type(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    return f.AirframeType(type=v["type"], name=v.get("name"))


def _position(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    if not desk.type_of(row, v["type"]):
        return None
    return f.Position(
        type=v["type"],
        position=position_label(v["position"]),
        side=v["side"],
        harness=v.get("harness"),
        pair=v.get("pair"),
        kind=v.get("kind"),
        required=bool(v.get("required") or False),
        retained=v.get("retained"),
    )


def _airframe(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    if not desk.type_of(row, v["type"]):
        desk.bad_registrations[fold(v["registration"])] = (row.file, row.line)
        return None
    known = desk.reference.by_serial.get(fold(v["constructor_serial"]))
    if known is None:
        known = desk.next_airframe
        desk.next_airframe += 1
    return f.Airframe(
        airframe=known,
        registration=v["registration"],
        constructor_serial=v["constructor_serial"],
        type=v["type"],
        manufactured=v.get("manufactured"),
        operator=v.get("operator"),
        station=v.get("station"),
        programme=v.get("programme"),
        registered_from=v.get("from"),
        registered_until=v.get("until"),
        status=v.get("status"),
    )


def _registration(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    airframe = desk.reference.by_serial.get(fold(v["constructor_serial"]))
    if airframe is None:
        desk.refuse(
            row,
            "constructor_serial",
            v["constructor_serial"],
            "No airframe with this constructor's serial is in the records.",
            "State it in the airframes file first.",
        )
        return None
    return f.Registration(
        airframe=airframe,
        registration=v["registration"],
        registered_from=v["from"],
        registered_until=v.get("until"),
    )


def _modification(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    airframe = desk.airframe(row, "registration", v["registration"], v["date"])
    if airframe is None:
        return None
    return f.AirframeModification(airframe=airframe, modification=v["modification"], embodied_on=v["date"])


def _part(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    return f.Part(
        part_number=v["part_number"],
        manufacturer=v.get("manufacturer"),
        description=v.get("description"),
        kind=v.get("kind"),
        rig=v.get("rig"),
        mass_grams=v.get("mass_kg"),
        intermix_family=v.get("intermix_family"),
        cage=v.get("cage"),
    )


def _slot(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    if not parts_known(desk, row, v, "part_number", "child_part_number"):
        return None
    return f.Slot(
        part_number=v["part_number"],
        slot=v["slot"],
        child_part_number=v["child_part_number"],
        required=bool(v.get("required") or False),
    )


def parts_known(desk: Desk, row: Row, v: Values, *columns: str) -> bool:
    fine = True
    for column in columns:
        number = v[column]
        if fold(number) not in desk.reference.parts and fold(number) in desk.bad_parts:
            desk.rests_on(row, column, number, ("parts", 0))
            fine = False
        elif fold(number) not in desk.reference.parts:
            desk.refuse(
                row,
                column,
                number,
                f"No part {number} is in the records.",
                "Correct the number, or state the part in the parts file.",
            )
            fine = False
    return fine


def _eligibility(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    fine = desk.type_of(row, v["type"]) and parts_known(desk, row, v, "part_number")
    if not fine:
        return None
    label = position_label(v["position"])
    if (fold(v["type"]), label) not in desk.reference.positions:
        desk.refuse(
            row,
            "position",
            v["position"],
            f"Type {v['type']} has no position {label}.",
            "Correct it, or state it in the positions file first.",
        )
        return None
    return f.Eligibility(
        type=v["type"],
        position=label,
        part_number=v["part_number"],
        serial_from=v.get("serial_from"),
        serial_to=v.get("serial_to"),
        requires_modification=v.get("requires_modification"),
        excludes_modification=v.get("excludes_modification"),
        requires_unit_modification=v.get("requires_unit_modification"),
        excludes_unit_modification=v.get("excludes_unit_modification"),
        effective_from=v.get("effective_from"),
        reference=v.get("reference"),
    )


def _alternate(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    return f.Alternate(
        part_number=v["part_number"],
        alternate=v["alternate"],
        direction=v["direction"],
        conditions=v.get("conditions"),
        reference=v.get("reference"),
    )


def _intermix(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    return f.Intermix(
        family=v["family"],
        other_family=v["other_family"],
        permitted=bool(v["permitted"]),
        reference=v.get("reference"),
    )


def _counter(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    name = v["counter"]
    if " ".join(name.replace("_", " ").lower().split()) in TAKEN_BY_MEASURES:
        desk.refuse(
            row,
            "counter",
            name,
            "This word names what is flown, or a measure, and a counter is none of them.",
            "Flight hours and flight cycles need no counter. Call another counter by what it counts.",
        )
        return None
    return f.Counter(counter=name, measure=v["unit"], description=v.get("description"))


def _organisation(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    return f.Organisation(organisation=v["organisation"], name=v.get("name"), country=v.get("country"))


def _approval(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    known = desk.reference.organisations.get(fold(v["organisation"]))
    if known is None:
        near = did_you_mean(v["organisation"], [each.organisation for each in desk.reference.organisations.values()])
        desk.refuse(
            row,
            "organisation",
            v["organisation"],
            f"No organisation {v['organisation']} is in the records.{near}",
            "Correct the name, or state it in the organisations file first.",
        )
        return None
    start, end = v.get("from"), v.get("until")
    if start and end and end < start:
        desk.refuse(row, "until", end, f"It ends before it begins ({start}).", "Correct one of the two dates.")
        return None
    return f.Approval(
        organisation=known.organisation,
        approval=v["approval"],
        authority=v.get("authority"),
        scope=v.get("scope"),
        valid_from=start,
        valid_to=end,
    )


_HOURS_COLUMNS = {
    "first_hours": "first_minutes",
    "repeat_hours": "repeat_minutes",
    "window_early_hours": "window_early_minutes",
    "window_late_hours": "window_late_minutes",
}


def _requirement(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    if not parts_known(desk, row, v, "part_number"):
        return None
    named = {_HOURS_COLUMNS.get(name, name): value for name, value in v.items() if value is not None}
    named["variation_allowed"] = bool(named.get("variation_allowed", False))
    if named.get("counter"):
        counter = desk.counter(row, "counter", named["counter"])
        if counter is None:
            return None
        named["counter"] = counter.counter
    fact = f.Requirement(**named)
    if fact.effective_from and fact.effective_to and fact.effective_to < fact.effective_from:
        desk.refuse(
            row,
            "effective_to",
            fact.effective_to,
            f"It ends before it begins ({fact.effective_from}).",
            "Correct one of the two dates.",
        )
        return None
    desk.requirement_rows.append((row, fact))
    return fact


def check_requirements_stated(desk: Desk) -> None:
    """Every requirement of this intake, its bands known, as the rules can use it; and what they say of each other."""
    from fleetlife.life.points import check_requirement, check_requirements

    by_key = {
        (rule.requirement, fold(rule.part_number), rule.programme, rule.edition): rule
        for rules in requirement_values(
            desk.reference.requirements, desk.reference.bands, desk.reference.counter_measures
        ).values()
        for rule in rules
    }
    parts: dict[str, list[Requirement]] = {}
    for rule in by_key.values():
        parts.setdefault(fold(rule.part_number), []).append(rule)
    told: set[str] = set()
    for row, fact in desk.requirement_rows:
        stated = by_key.get((fact.requirement, fold(fact.part_number), fact.programme, fact.edition))
        if stated is None:
            continue
        part = fold(fact.part_number)
        wrong = [*check_requirement(stated), *(check_requirements(parts[part]) if part not in told else ())]
        told.add(part)
        for reason in wrong:
            desk.refuse(
                row, "requirement", fact.requirement, reason, "Correct the requirement as its source states it."
            )


def _band(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    exists = any(
        fact.requirement == v["requirement"]
        and fold(fact.part_number) == fold(v["part_number"])
        and (fact.programme or "") == (v.get("programme") or "")
        and (fact.edition or "") == (v.get("edition") or "")
        for _, fact in desk.reference.requirements
    )
    if not exists:
        desk.refuse(
            row,
            "requirement",
            v["requirement"],
            f"No requirement {v['requirement']} on part {v['part_number']} of this programme and edition is stated.",
            "State it in the requirements file, with the same programme and edition.",
        )
        return None
    return f.Band(
        requirement=v["requirement"],
        part_number=v["part_number"],
        programme=v.get("programme"),
        edition=v.get("edition"),
        from_age_months=v["from_age_months"],
        repeat_months=v.get("repeat_months"),
        repeat_minutes=v.get("repeat_hours"),
        repeat_cycles=v.get("repeat_cycles"),
        band_rule=v.get("band_rule"),
    )


REFERENCE_CONVERTERS = {
    "types": _type,
    "positions": _position,
    "airframes": _airframe,
    "registrations": _registration,
    "modifications": _modification,
    "parts": _part,
    "slots": _slot,
    "eligibility": _eligibility,
    "alternates": _alternate,
    "intermix": _intermix,
    "counters": _counter,
    "requirements": _requirement,
    "bands": _band,
    "organisations": _organisation,
    "approvals": _approval,
    **PUBLICATION_CONVERTERS,
    **PLANNING_CONVERTERS,
    **REFERENCE_OF_SWAPS,
}
