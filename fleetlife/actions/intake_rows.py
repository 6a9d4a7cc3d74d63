"""From a row of a file to the fact it states, one function a file.

A row that cannot be taken is reported as a problem with its file, line, column, value, reason and remedy; all of
them, not the first. A row that rests on a bad row is reported once as such.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from fleetlife.clocks.naming import Known, UnitIndex
from fleetlife.dates.partial import day_number
from fleetlife.follows.book import requirement_values
from fleetlife.follows.reference import Reference
from fleetlife.ledger import facts as f
from fleetlife.life.values import Requirement
from fleetlife.terms.number import OWN_TRACKING_PREFIX, fold, is_own_tracking, position_label
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.problem import Problem
from fleetlife.transfer.reading import Row

Values = dict[str, Any]


class Desk:
    """The state of an intake: what is known so far, what was wrong, and the ids next to be allotted."""

    def __init__(self, reference: Reference, units: UnitIndex, *, next_airframe: int, next_unit: int) -> None:
        self.reference = reference
        self.units = units
        self.next_airframe = next_airframe
        self.next_unit = next_unit
        self.problems: list[Problem] = []
        self.bad_units: dict[tuple[str, str], tuple[str, int]] = {}
        self.bad_registrations: dict[str, tuple[str, int]] = {}
        self.bad_parts: set[str] = set()
        self.known_units: dict[tuple[str, str, str], int] = {}
        self.replacing: dict[int, str] = {}
        self.file_names: dict[str, str] = {}
        self.requirement_rows: list[tuple[Row, f.Requirement]] = []
        self.seen: dict[str, tuple[str, int, f.Fact]] = {}

    def refuse(self, row: Row, column: str, value: object, reason: str, remedy: str) -> None:
        text = "" if value is None else str(value)
        file = self.file_names.get(row.file, row.file)
        self.problems.append(Problem(file=file, line=row.line, column=column, value=text, reason=reason, remedy=remedy))

    def remember_faulty(self, file: str, keys: Iterable[tuple[object, ...]]) -> None:
        """Natural keys of rows that were left out while reading, for the rows that rest on them."""
        for key in keys:
            if file == "units" and key[0] and key[1]:
                self.bad_units.setdefault((fold(str(key[0])), fold(str(key[1]))), (file, 0))
            elif file == "parts" and key[0]:
                self.bad_parts.add(fold(str(key[0])))

    def airframe(self, row: Row, column: str, registration: str, day: str | None) -> int | None:
        """The airframe a registration means on the row's own day."""
        bad = self.bad_registrations.get(fold(registration))
        if bad is not None:
            self.rests_on(row, column, registration, bad)
            return None
        try:
            if day is None:
                return self._any_airframe(registration)
            return self.reference.airframe_on(registration, day_number(day))
        except Refusal as refusal:
            self.refuse(row, column, registration, refusal.message, refusal.remedy)
            return None

    def _any_airframe(self, registration: str) -> int:
        periods = self.reference.by_registration.get(fold(registration), [])
        found = {airframe for _, _, airframe in periods}
        if len(found) == 1:
            return found.pop()
        return self.reference.airframe_on(registration, 700_000)

    def unit(self, row: Row, prefix: str, values: Values) -> int | None:
        """The unit that `<prefix>part_number` and the columns beside it mean; None when refused."""
        part, serial = values.get(f"{prefix}part_number"), values.get(f"{prefix}serial_number")
        if part is None or serial is None:
            missing = "serial_number" if part is not None else "part_number"
            self.refuse(
                row,
                f"{prefix}{missing}",
                "",
                "A unit needs both its part number and its serial number.",
                "Fill in the missing number.",
            )
            return None
        bad = self.bad_units.get((fold(part), fold(serial)))
        if bad is not None and not self.units.matches(part, serial):
            self.rests_on(row, f"{prefix}serial_number", f"{part} {serial}", bad)
            return None
        try:
            return self.units.find(part, serial, values.get(f"{prefix}manufacturer")).unit
        except Refusal as refusal:
            self.refuse(row, f"{prefix}serial_number", f"{part} {serial}", refusal.message, refusal.remedy)
            return None

    def rests_on(self, row: Row, column: str, value: str, bad: tuple[str, int]) -> None:
        """Report a row that rests on a refused one: file and line of that one, line 0 where it is not known."""
        self.refuse(
            row,
            column,
            value,
            f"It rests on {f'line {bad[1]}' if bad[1] else 'a row'} of {bad[0]} that was refused.",
            "Mend that line first.",
        )

    def type_of(self, row: Row, name: str) -> bool:
        if fold(name) in self.reference.types:
            return True
        self.refuse(
            row, "type", name, f"No airframe type {name} is in the records.", "State it in the types file first."
        )
        return False


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
    if not _parts_known(desk, row, v, "part_number", "child_part_number"):
        return None
    return f.Slot(
        part_number=v["part_number"],
        slot=v["slot"],
        child_part_number=v["child_part_number"],
        required=bool(v.get("required") or False),
    )


def _parts_known(desk: Desk, row: Row, v: Values, *columns: str) -> bool:
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
    fine = desk.type_of(row, v["type"]) and _parts_known(desk, row, v, "part_number")
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


_HOURS_COLUMNS = {
    "first_hours": "first_minutes",
    "repeat_hours": "repeat_minutes",
    "window_early_hours": "window_early_minutes",
    "window_late_hours": "window_late_minutes",
}


def _requirement(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    if not _parts_known(desk, row, v, "part_number"):
        return None
    named = {_HOURS_COLUMNS.get(name, name): value for name, value in v.items() if value is not None}
    named["variation_allowed"] = bool(named.get("variation_allowed", False))
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
        for rules in requirement_values(desk.reference.requirements, desk.reference.bands).values()
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


def _unit(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    part, serial = v["part_number"], v["serial_number"]
    before = len(desk.problems)
    rows = desk.reference.parts.get(fold(part), [])
    if not rows and fold(part) in desk.bad_parts:
        desk.rests_on(row, "part_number", part, ("parts", 0))
    elif not rows:
        desk.refuse(
            row, "part_number", part, f"No part {part} is in the records.", "State the part in the parts file first."
        )
    maker = v.get("manufacturer")
    if maker is None:
        makers = sorted({p.manufacturer for p in rows if p.manufacturer})
        if len(makers) == 1:
            maker = makers[0]
        elif len(makers) > 1:
            desk.refuse(
                row,
                "manufacturer",
                "",
                f"Part {part} is made by {' and by '.join(makers)}.",
                "Say which manufacturer made this unit.",
            )
    if fold(serial) in ("N/A", "NA", "NIL", "NONE", "-"):
        desk.refuse(
            row,
            "serial_number",
            serial,
            "An item without a serial number needs the operator's own tracking number.",
            f"Write {OWN_TRACKING_PREFIX} and your number, and its batch in column batch.",
        )
    elif is_own_tracking(serial) and not v.get("batch"):
        desk.refuse(
            row,
            "batch",
            "",
            "An item under an own tracking number is known by its batch.",
            "Fill in the batch it came from.",
        )
    if not v.get("as_of"):
        desk.refuse(
            row,
            "as_of",
            "",
            "The opening statement has no day.",
            "Say as of which day the counts and the place were so.",
        )
    place = _opening_place(desk, row, v) if len(desk.problems) == before else None
    if place is None:
        desk.bad_units.setdefault((fold(part), fold(serial)), (row.file, row.line))
        return None
    identity = (fold(part), fold(serial), fold(maker))
    unit = desk.known_units.get(identity)
    if unit is None:
        unit = desk.next_unit
        desk.next_unit += 1
        desk.known_units[identity] = unit
    desk.units.add(Known(unit, part, serial, maker))
    return f.Opening(
        unit=unit,
        part_number=part,
        serial_number=serial,
        manufacturer=maker,
        manufactured=v.get("manufactured"),
        cured=v.get("cured"),
        expires=v.get("expires"),
        first_installed=v.get("first_installed"),
        minutes_since_new=v.get("hours_since_new"),
        cycles_since_new=v.get("cycles_since_new"),
        operations_since_new=v.get("operations_since_new"),
        as_of=v["as_of"],
        placed_on=v.get("installed"),
        condition=v.get("condition"),
        hold=v.get("hold"),
        harness=v.get("harness"),
        life_quality=v.get("life_quality"),
        owner=v.get("owner"),
        return_by=v.get("return_by"),
        batch=v.get("batch"),
        source=v.get("source"),
        **place,
    )


def _opening_place(desk: Desk, row: Row, v: Values) -> Values | None:
    """Where the opening statement says the unit is; None when refused."""
    stated = [name for name in ("position", "slot", "store") if v.get(name)]
    if len(stated) > 1:
        desk.refuse(
            row,
            stated[1],
            v[stated[1]],
            f"A unit is in one place; columns {' and '.join(stated)} name two.",
            "Keep the one where it really is.",
        )
        return None
    if v.get("installed") and v["installed"] > v["as_of"]:
        desk.refuse(
            row,
            "installed",
            v["installed"],
            f"It is later than the opening statement's own day ({v['as_of']}).",
            "Correct one of the two dates, or record the later change as a movement.",
        )
        return None
    if v.get("position"):
        if not v.get("registration"):
            desk.refuse(row, "registration", "", "A position without its airframe.", "Fill in the registration.")
            return None
        airframe = desk.airframe(row, "registration", v["registration"], v["as_of"])
        if airframe is None:
            return None
        try:
            position = desk.reference.position_of(airframe, v["position"])
        except Refusal as refusal:
            desk.refuse(row, "position", v["position"], refusal.message, refusal.remedy)
            return None
        return {"place": "position", "airframe": airframe, "position": position.position}
    if v.get("slot") or v.get("parent_part_number"):
        parent = desk.unit(row, "parent_", v)
        if parent is None:
            return None
        if not v.get("slot"):
            desk.refuse(row, "slot", "", "In which slot of its parent it is is not said.", "Fill in the slot.")
            return None
        if not _slot_known(desk, row, v["parent_part_number"], v["slot"]):
            return None
        return {"place": "slot", "parent": parent, "slot": v["slot"]}
    if v.get("store"):
        return {"place": "store", "place_name": v["store"], "bin": v.get("bin")}
    return {"place": "unknown"}


def _slot_known(desk: Desk, row: Row, part_number: str, slot: str) -> bool:
    rows = desk.reference.slots.get(fold(part_number), [])
    if any(r.slot == slot for r in rows):
        return True
    names = ", ".join(sorted({r.slot for r in rows})) or "none"
    desk.refuse(
        row,
        "slot",
        slot,
        f"Part {part_number} has no slot {slot}; it has {names}.",
        "Correct the slot, or state it in the slots file.",
    )
    return False


def _unit_modification(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    new = v.get("new_part_number")
    if new:
        if not _parts_known(desk, row, v, "new_part_number"):
            return None
        desk.units.add(Known(unit, new, v["serial_number"], v.get("manufacturer")))
    return f.UnitModification(
        unit=unit,
        modification=v["modification"],
        embodied_on=v["date"],
        new_part_number=new,
        certificate=v.get("certificate"),
        certificate_organisation=v.get("certificate_organisation"),
        reference=v.get("reference"),
    )


def _accomplishment(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    names = {fact.requirement for _, fact in desk.reference.requirements}
    if v["requirement"] not in names:
        from fleetlife.terms.number import nearest

        near = nearest(v["requirement"], names)
        desk.refuse(
            row,
            "requirement",
            v["requirement"],
            "No requirement of this name is stated." + (f" Did you mean {near}?" if near else ""),
            "Correct the name, or state the requirement in the requirements file.",
        )
        return None
    return f.Accomplishment(
        unit=unit,
        requirement=v["requirement"],
        done_on=v["date"],
        date_basis=v.get("date_basis"),
        minutes_since_new=v.get("hours_since_new"),
        cycles_since_new=v.get("cycles_since_new"),
        operations_since_new=v.get("operations_since_new"),
        minutes_since=v.get("hours_since"),
        cycles_since=v.get("cycles_since"),
        operations_since=v.get("operations_since"),
        stated_due=v.get("stated_due"),
        certificate=v.get("certificate"),
        certificate_organisation=v.get("certificate_organisation"),
        sequence=v.get("sequence"),
    )


def _operation(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    return f.Operation(
        unit=unit,
        operated_on=v["date"],
        operation=v["operation"],
        count=v["count"],
        reference=v.get("reference"),
        sequence=v.get("sequence"),
    )


def _certificate(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit: int | None
    stated = bool(v.get("filed_part_number") or v.get("filed_serial_number"))
    if stated:
        unit = desk.unit(row, "filed_", v)
        if unit is None:
            return None
    else:
        matches = desk.units.matches(v["part_number"], v["serial_number"], v.get("filed_manufacturer"))
        if len(matches) > 1:
            makers = " and ".join(sorted(m.manufacturer or "no manufacturer stated" for m in matches))
            desk.refuse(
                row,
                "filed_manufacturer",
                "",
                f"Two units bear these numbers: by {makers}.",
                "Say which unit the paper is filed against (filed_part_number, filed_serial_number, "
                "filed_manufacturer).",
            )
            return None
        unit = matches[0].unit if matches else None
    return f.Certificate(
        tracking_number=v["tracking_number"],
        organisation=v["organisation"],
        part_number=v["part_number"],
        serial_number=v["serial_number"],
        status=v["status"],
        dated_on=v["date"],
        form=v.get("form"),
        side=v.get("side"),
        item=v.get("item"),
        authority=v.get("authority"),
        approval=v.get("approval"),
        work_order=v.get("work_order"),
        description=v.get("description"),
        quantity=v.get("quantity"),
        batch=v.get("batch"),
        remarks=v.get("remarks"),
        signatory=v.get("signatory"),
        minutes_since_new=v.get("hours_since_new"),
        cycles_since_new=v.get("cycles_since_new"),
        corrects=v.get("corrects"),
        document=v.get("document"),
        unit=unit,
        filed_stated=stated,
    )


def _movement(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    before = len(desk.problems)
    airframe = desk.airframe(row, "registration", v["registration"], v["date"])
    position = None
    if airframe is not None:
        try:
            position = desk.reference.position_of(airframe, v["position"]).position
        except Refusal as refusal:
            desk.refuse(row, "position", v["position"], refusal.message, refusal.remedy)
    removed = installed = None
    if v.get("removed_part_number") or v.get("removed_serial_number"):
        removed = desk.unit(row, "removed_", v)
    if v.get("installed_part_number") or v.get("installed_serial_number"):
        installed = desk.unit(row, "installed_", v)
    if len(desk.problems) > before or airframe is None or position is None:
        return None
    if removed is None and installed is None:
        desk.refuse(
            row,
            "removed_part_number",
            "",
            "A movement that neither removes nor installs a unit.",
            "Name the unit removed, the unit installed, or both.",
        )
        return None
    if removed is not None and removed == installed:
        desk.refuse(
            row,
            "installed_serial_number",
            v["installed_serial_number"],
            "The same unit is removed and installed in one movement.",
            "Record a removal and, as another row, the refitting.",
        )
        return None
    return f.Movement(
        airframe=airframe,
        position=position,
        moved_on=v["date"],
        sequence=v.get("sequence") or 0,
        time_utc=v.get("time_utc"),
        station=v.get("station"),
        removed=removed,
        removed_to=v.get("removed_to"),
        removed_to_name=v.get("removed_to_name"),
        removed_condition=v.get("removed_condition"),
        removal_kind=v.get("removal_kind"),
        defect=v.get("defect"),
        installed=installed,
        found=bool(v.get("found") or False),
        minutes_total=v.get("hours_total"),
        cycles_total=v.get("cycles_total"),
        certificate=v.get("certificate"),
        certificate_organisation=v.get("certificate_organisation"),
        harness=v.get("harness"),
        technical_log=v.get("technical_log"),
        work_order=v.get("work_order"),
        data_reference=v.get("data_reference"),
        data_revision=v.get("data_revision"),
        signed_by=v.get("signed_by"),
        inspected_by=v.get("inspected_by"),
        released_by=v.get("released_by"),
    )


def _transfer(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    parent = None
    if v["to"] == "parent":
        parent = desk.unit(row, "parent_", v)
        if parent is None or unit is None:
            return None
        if not v.get("slot"):
            desk.refuse(row, "slot", "", "Into which slot is not said.", "Fill in the slot.")
            return None
        if not _slot_known(desk, row, v["parent_part_number"], v["slot"]):
            return None
    if unit is None:
        return None
    return f.Transfer(
        unit=unit,
        moved_on=v["date"],
        sequence=v.get("sequence") or 0,
        target=v["to"],
        organisation=v.get("organisation"),
        store=v.get("store"),
        bin=v.get("bin"),
        parent=parent,
        slot=v.get("slot") if parent is not None else None,
        condition=v.get("condition"),
        hold=v.get("hold"),
        harness=v.get("harness"),
        order=v.get("order"),
        expected_back=v.get("expected_back"),
        certificate=v.get("certificate"),
        certificate_organisation=v.get("certificate_organisation"),
        reference=v.get("reference"),
        signed_by=v.get("signed_by"),
    )


def _utilisation(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    airframe = desk.airframe(row, "registration", v["registration"], v["from"])
    if airframe is None:
        return None
    if v["to"] < v["from"]:
        desk.refuse(row, "to", v["to"], "The period ends before it begins.", "Correct one of the two dates.")
        return None
    return f.Utilisation(
        airframe=airframe,
        planned_from=v["from"],
        planned_to=v["to"],
        minutes_per_day=v["hours_per_day"],
        millicycles_per_day=v["cycles_per_day"],
    )


def _variation(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    rules = [fact for _, fact in desk.reference.requirements if fact.requirement == v["requirement"]]
    if not any(fact.variation_allowed for fact in rules):
        desk.refuse(
            row,
            "requirement",
            v["requirement"],
            "This requirement allows no variation." if rules else "No requirement of this name is stated.",
            "Only a requirement whose source allows it may be varied; see its column variation_allowed.",
        )
        return None
    if not v.get("approved_on"):
        desk.refuse(row, "approved_on", "", "A variation without its day of approval.", "Fill in the day.")
        return None
    if not (v.get("until") or v.get("until_hours") or v.get("until_cycles")):
        desk.refuse(row, "until", "", "A variation to no date, hours or cycles.", "Say until when it holds.")
        return None
    return f.Variation(
        unit=unit,
        requirement=v["requirement"],
        until_on=v.get("until"),
        until_minutes=v.get("until_hours"),
        until_cycles=v.get("until_cycles"),
        approved_on=v["approved_on"],
        approved_by=v.get("approved_by"),
        reference=v.get("reference"),
    )


Converter = Callable[[Desk, Row, Values], f.Fact | None]

# In the order in which files rest on one another.
CONVERTERS: dict[str, Converter] = {
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
    "requirements": _requirement,
    "bands": _band,
    "units": _unit,
    "unit_modifications": _unit_modification,
    "certificates": _certificate,
    "accomplishments": _accomplishment,
    "operations": _operation,
    "movements": _movement,
    "transfers": _transfer,
    "utilisation": _utilisation,
    "variations": _variation,
}
