"""Rows of units and what happened to them as the facts they state, one function a file."""

from __future__ import annotations

from collections.abc import Callable

from fleetlife.actions.intake_desk import Desk, Values
from fleetlife.actions.intake_publications import OF_UNITS, requirement_named
from fleetlife.actions.intake_receipts import hold_decision, receipt
from fleetlife.actions.intake_reference import REFERENCE_CONVERTERS, parts_known
from fleetlife.actions.intake_swaps import SWAP_CONVERTERS, swap_named
from fleetlife.clocks.naming import Known
from fleetlife.dates.marks import parse_mark
from fleetlife.ledger import facts as f
from fleetlife.life.expansion import EXPANSION_FIGURES, unfit_figures, volume
from fleetlife.terms.number import OWN_TRACKING_PREFIX, fold, is_own_tracking
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.dates import StampedMark
from fleetlife.transfer.reading import Row


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
    if unit is not None and "parent" in place and _in_itself(desk, row, unit, place["parent"], v):
        return None
    former = desk.former.get(identity) if unit is None else None
    if former is not None:
        again = _opening(former.then, maker, v, place)
        told = desk.former_told(former.name, former.unit)
        if desk.stated_before(again):
            desk.note(row, f"{told} The row says what was corrected, and is left out.")
            return again
        desk.note(row, f"{told} The row says otherwise than was said then: taken in as another unit.")
    if unit is None:
        unit = desk.next_unit
        desk.next_unit += 1
        desk.known_units[identity] = unit
    desk.units.add(Known(unit, part, serial, maker))
    desk.made[unit] = v.get("manufactured")
    return _opening(unit, maker, v, place)


def _opening(unit: int, maker: str | None, v: Values, place: Values) -> f.Opening:
    return f.Opening(
        unit=unit,
        part_number=v["part_number"],
        serial_number=v["serial_number"],
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
        if not _slot_known(desk, row, parent, v["slot"]):
            return None
        return {"place": "slot", "parent": parent, "slot": v["slot"]}
    if v.get("store"):
        return {"place": "store", "place_name": v["store"], "bin": v.get("bin")}
    return {"place": "unknown"}


def _in_itself(desk: Desk, row: Row, unit: int, parent: int, v: Values) -> bool:
    """True where the row would have a unit hold itself, which is refused."""
    if unit != parent:
        return False
    desk.refuse(
        row, "parent_serial_number", v.get("parent_serial_number"), "A unit cannot hold itself.", "Name another parent."
    )
    return True


def _slot_known(desk: Desk, row: Row, parent: int, slot: str) -> bool:
    """True when a part that the parent has been has the slot, whichever of its numbers the row quotes."""
    borne = desk.units.part_numbers_of(parent)
    rows = [r for number in borne for r in desk.reference.slots.get(fold(number), [])]
    if any(r.slot == slot for r in rows):
        return True
    names = ", ".join(sorted({r.slot for r in rows})) or "none"
    desk.refuse(
        row,
        "slot",
        slot,
        f"Part {' or '.join(borne)} has no slot {slot}; it has {names}.",
        "Correct the slot, or state it in the slots file.",
    )
    return False


def _unit_modification(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    new = v.get("new_part_number")
    if new:
        if not parts_known(desk, row, v, "new_part_number"):
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
    requirement = requirement_named(desk, row, v["requirement"])
    if requirement is None:
        return None
    done_on = _done_on(desk, row, v, unit)
    before = len(desk.problems)
    in_counter = _in_counter(desk, row, v, unit)
    if done_on is None or len(desk.problems) > before or not _expansion_fits(desk, row, v):
        return None
    return f.Accomplishment(
        unit=unit,
        requirement=requirement,
        done_on=done_on,
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
        expansion_total=v.get("expansion_total"),
        expansion_permanent=v.get("expansion_permanent"),
        expansion_limit=v.get("expansion_limit"),
        expansion_specification=v.get("expansion_specification"),
        **in_counter,
    )


def _expansion_fits(desk: Desk, row: Row, v: Values) -> bool:
    """Whether the figures of an expansion test can be, and stand with a requalification; none stated fit always."""
    stated = {figure: v.get(f"expansion_{figure}") for figure in EXPANSION_FIGURES}
    if all(value is None for value in stated.values()):
        return True
    kinds = {fact.kind for _, fact in desk.reference.requirements if fact.requirement == v["requirement"]}
    if "requalification" not in kinds:
        desk.refuse(
            row,
            "requirement",
            v["requirement"],
            "The figures of an expansion test stand with a requalification, and this requirement is none.",
            "Record the test under the cylinder's requalification, or leave the figures out.",
        )
        return False
    unfit = unfit_figures(**stated)
    if unfit is None:
        return True
    column = f"expansion_{unfit.figure}"
    value = stated[unfit.figure]
    told = volume(value) if isinstance(value, int) else value
    desk.refuse(row, column, told, unfit.reason, unfit.remedy)
    return False


def _in_counter(desk: Desk, row: Row, v: Values, unit: int) -> Values:
    """The counter of a piece of work and its two counts; empty where the row states none, or was refused."""
    if v.get("counter"):
        counter = desk.counter(row, "counter", v["counter"])
    elif v.get("counter_since_new") or v.get("counter_since"):
        counter = _counter_of(desk, row, v, unit)
    else:
        return {}
    if counter is None:
        return {}
    return {
        "counter": counter.counter,
        **{n: desk.counter_total(row, n, counter, v.get(n)) for n in ("counter_since_new", "counter_since")},
    }


def _counter_of(desk: Desk, row: Row, v: Values, unit: int) -> f.Counter | None:
    """The one counter in which the requirement limits the parts the unit has been; None when refused."""
    borne = {fold(number) for number in desk.units.part_numbers_of(unit)}
    names = sorted(
        {
            fact.counter
            for _, fact in desk.reference.requirements
            if fact.requirement == v["requirement"] and fact.counter and fold(fact.part_number) in borne
        }
    )
    if len(names) == 1:
        return desk.counter(row, "counter", names[0])
    column = "counter_since_new" if v.get("counter_since_new") else "counter_since"
    told = f"counts in {' and in '.join(names)}" if names else "names no counter"
    desk.refuse(
        row,
        column,
        v[column],
        f"The requirement {told} for this part, so in which counter this is cannot be told.",
        "Name the counter in column counter, or leave the count out.",
    )
    return None


def _unit_counter(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    counter = desk.counter(row, "counter", v["counter"])
    if unit is None or counter is None:
        return None
    since_new = desk.counter_total(row, "since_new", counter, v["since_new"])
    return None if since_new is None else f.UnitCounter(unit=unit, counter=counter.counter, since_new=since_new)


def _done_on(desk: Desk, row: Row, v: Values, unit: int) -> str | None:
    """The date of the work as canonical text; a mark as stamped is read where the date is a mark. None when refused."""
    stated = v["date"]
    if not isinstance(stated, StampedMark):
        return str(stated)
    if (v.get("date_basis") or _basis_of(desk, unit, v["requirement"])) != "mark":
        desk.refuse(
            row,
            "date",
            stated,
            "It has the form of a mark stamped on a cylinder, which says neither the day nor, with a year of two "
            "digits, the century; and the date of this row is no mark.",
            "Write YYYY-MM-DD; if it is the mark on the cylinder, say so with date_basis mark.",
        )
        return None
    try:
        return parse_mark(stated.text, as_of=stated.as_of, manufactured=desk.manufactured(unit)).text
    except Refusal as refusal:
        desk.refuse(row, "date", stated, refusal.message, refusal.remedy)
        return None


def _basis_of(desk: Desk, unit: int, requirement: str) -> str | None:
    """`mark` where the requirement is a requalification for every part the unit has been; None where it is not."""
    borne = {fold(number) for number in desk.units.part_numbers_of(unit)}
    stated = [fact for _, fact in desk.reference.requirements if fact.requirement == requirement]
    kinds = {fact.kind for fact in stated if fold(fact.part_number) in borne}
    return "mark" if kinds == {"requalification"} else None


def _operation(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    if v.get("intent") and fold(v["operation"]) != fold("deployment"):
        desk.refuse(row, "intent", v["intent"], "Only a deployment is meant or not.", "Leave it out.")
        return None
    return f.Operation(
        unit=unit,
        intent=v.get("intent"),
        operated_on=v["date"],
        operation=v["operation"],
        count=v["count"],
        reference=v.get("reference"),
        sequence=v.get("sequence"),
    )


def _plate_reading(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    return f.PlateReading(
        unit=unit,
        read_on=v["date"],
        sequence=v.get("sequence") or 0,
        part_number=v["plate_part_number"],
        serial_number=v["plate_serial_number"],
        seen_by=v["seen_by"],
        reference=v.get("reference"),
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
        unit = desk.found(row, v["part_number"], v["serial_number"], matches[0]) if matches else None
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
        second_authority=v.get("second_authority"),
        second_approval=v.get("second_approval"),
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
    plan = swap_named(desk, row, v) if v.get("swap") else None
    if v.get("swap") and plan is None:
        return None
    if plan is not None and (plan.airframe, plan.position) != (airframe, position):
        desk.refuse(
            row,
            "swap",
            v["swap"],
            f"That swap is planned for position {plan.position} of another airframe, or for another position.",
            "Correct the swap, the registration or the position.",
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
        swap=None if plan is None else plan.swap,
    )


def _transfer(desk: Desk, row: Row, v: Values) -> f.Fact | None:
    unit = desk.unit(row, "", v)
    parent = None
    if v["to"] == "parent":
        parent = desk.unit(row, "parent_", v)
        if parent is None or unit is None:
            return None
        if _in_itself(desk, row, unit, parent, v):
            return None
        if not v.get("slot"):
            desk.refuse(row, "slot", "", "Into which slot is not said.", "Fill in the slot.")
            return None
        if not _slot_known(desk, row, parent, v["slot"]):
            return None
    if unit is None:
        return None
    if v.get("disposition") and v["to"] != "scrap":
        desk.refuse(
            row,
            "disposition",
            v["disposition"],
            "Only a part that is scrapped has one.",
            "Leave it out, or write scrap in column to.",
        )
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
        disposition=v.get("disposition"),
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


Converter = Callable[[Desk, Row, Values], f.Fact | tuple[f.Fact, ...] | None]

# In the order in which files rest on one another.
CONVERTERS: dict[str, Converter] = {
    **REFERENCE_CONVERTERS,
    "units": _unit,
    "unit_counters": _unit_counter,
    "unit_modifications": _unit_modification,
    "certificates": _certificate,
    "accomplishments": _accomplishment,
    "operations": _operation,
    "movements": _movement,
    "transfers": _transfer,
    "utilisation": _utilisation,
    "variations": _variation,
    "plate_readings": _plate_reading,
    "receipts": receipt,
    "hold_decisions": hold_decision,
    **OF_UNITS,
    **SWAP_CONVERTERS,
}
