"""What a correction states is held against what a row of a file is held against: places that are, units that are."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from fleetlife.follows.publications import work_names
from fleetlife.follows.reference import Reference
from fleetlife.ledger.facts import (
    UNIT_FIELDS,
    Accomplishment,
    Airframe,
    Fact,
    Movement,
    Opening,
    Transfer,
    UnitModification,
)
from fleetlife.store.reference import facts_of_units, unit_facts
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal

LARGEST = 2**63 - 1


def checked(connection: Any, reference: Reference, old: Fact, new: Fact) -> Fact:
    """The fact as it is to be recorded, its position written as the type has it.

    Refusals: `field-not-read`, `unit-unknown`, `airframe-unknown`, `position-unknown`, `slot-unknown`,
    `place-incomplete`, `requirement-unknown`.
    """
    _refuse_too_large(new)
    _refuse_other_id(old, new)
    _refuse_unknown_ids(connection, reference, new)
    if isinstance(new, (Opening, Transfer)) and (new.parent, new.slot) != _slot(old):
        _refuse_unknown_slot(connection, reference, new)
    if isinstance(new, Movement):
        return replace(new, position=reference.position_of(new.airframe, new.position).position)
    if isinstance(new, Opening):
        _refuse_incomplete(new.place, new.parent, new.slot)
        if new.place == "position":
            if new.airframe is None or new.position is None:
                raise _incomplete("A position is named with its airframe.")
            return replace(new, position=reference.position_of(new.airframe, new.position).position)
    elif isinstance(new, Transfer):
        _refuse_incomplete("slot" if new.target == "parent" else new.target, new.parent, new.slot)
    elif isinstance(new, Accomplishment):
        names = {*(fact.requirement for _, fact in reference.requirements), *work_names(reference).values()}
        if new.requirement not in names:
            raise Refusal(
                "requirement-unknown",
                f"No requirement {new.requirement} is stated." + did_you_mean(new.requirement, names),
                remedy="Correct the name, or state the requirement or publication first (requirements, publications).",
            )
    return new


def _refuse_too_large(fact: Fact) -> None:
    for each in fields(fact):
        value = getattr(fact, each.name)
        if isinstance(value, int) and abs(value) > LARGEST:
            raise Refusal("field-not-read", f"{each.name} is too large.", remedy="Correct the figure.")


def _refuse_other_id(old: Fact, new: Fact) -> None:
    """The entry that introduces a unit or an airframe gives it its id, which nothing changes."""
    if isinstance(old, (Opening, Airframe)):
        name = "unit" if isinstance(old, Opening) else "airframe"
        if getattr(old, name) != getattr(new, name):
            raise Refusal(
                "field-not-read",
                f"{name} is the id that this entry gives, and stays.",
                remedy="Two records of one unit are made one with fleetlife identity merge.",
            )


def _refuse_unknown_ids(connection: Any, reference: Reference, fact: Fact) -> None:
    units = {unit for name in UNIT_FIELDS if (unit := getattr(fact, name, None)) is not None}
    if missing := sorted(units - set(unit_facts(connection, units))):
        raise Refusal(
            "unit-unknown",
            f"No unit has the id {missing[0]}.",
            remedy="Name the unit by part_number and serial_number.",
        )
    if not isinstance(fact, Airframe):
        for airframe in fact.airframe_ids():
            if airframe not in reference.airframes:
                raise Refusal(
                    "airframe-unknown", f"No airframe has the id {airframe}.", remedy="Name it by its registration."
                )


def _slot(fact: Fact) -> tuple[int | None, str | None]:
    return getattr(fact, "parent", None), getattr(fact, "slot", None)


def _refuse_unknown_slot(connection: Any, reference: Reference, fact: Opening | Transfer) -> None:
    """A part that the parent has been has the slot."""
    if fact.parent is None or not fact.slot:
        return
    borne = [opening.part_number for opening in unit_facts(connection, [fact.parent]).values()]
    for _, modified in facts_of_units(connection, UnitModification, [fact.parent]):
        if isinstance(modified, UnitModification) and modified.new_part_number:
            borne.append(modified.new_part_number)
    slots = sorted({row.slot for number in borne for row in reference.slots.get(fold(number), [])})
    if fact.slot not in slots:
        raise Refusal(
            "slot-unknown",
            f"Part {' or '.join(borne)} has no slot {fact.slot}; it has {', '.join(slots) or 'none'}.",
            remedy="Correct the slot or the unit that holds it, or state the slot first (slots file).",
        )


def _refuse_incomplete(place: str, parent: int | None, slot: str | None) -> None:
    """A slot is named with its parent, and no other place with one."""
    if place == "slot" and (parent is None or not slot):
        raise _incomplete("A slot is named with the unit that holds it.")
    if place != "slot" and (parent is not None or slot):
        raise _incomplete(f"A place of kind {place} has no slot.")


def _incomplete(message: str) -> Refusal:
    return Refusal(
        "place-incomplete", message, remedy="State the fields that belong together in one correction, null for none."
    )
