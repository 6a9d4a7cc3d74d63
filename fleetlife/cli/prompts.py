"""Guided prompts for a swap: each answer is checked before the next is asked."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import typer

from fleetlife.cli.context import say
from fleetlife.terms import words
from fleetlife.terms.measure import parse_hours
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.swap import Acknowledgement, SwapRequest
    from fleetlife.store.engine import Store


def ask_swap(store: Store, *, as_of: date) -> tuple[SwapRequest, list[Acknowledgement]]:
    """Ask for everything a swap needs, checking while you type; nothing is recorded here."""
    from fleetlife.actions.swap import SwapRequest, UnitName
    from fleetlife.clocks.fitting import check_fitting
    from fleetlife.clocks.world import open_world

    say("An empty answer leaves a thing out. Nothing is recorded before you confirm.")
    on = _day("Date of the technical log", default=as_of)
    with store.reading() as connection:
        world = open_world(connection, as_of=on)
        while True:
            registration = typer.prompt("Registration")
            try:
                airframe = world.reference.airframe_on(registration, on.toordinal())
                break
            except Refusal as refusal:
                say(str(refusal))
        while True:
            label = typer.prompt("Position")
            try:
                place = world.reference.position_of(airframe, label)
                break
            except Refusal as refusal:
                say(str(refusal))
        hanging = next((u for u in world.installed_on(airframe) if u.position == place.position), None)
        found = None
        if hanging is not None:
            say(f"The records hold {hanging.part_number} {hanging.serial_number} there.")
            if not typer.confirm("Is that the unit that came off?", default=True):
                pair = _unit(world, "Unit that really hung there")
                found = None if pair is None else UnitName(part_number=pair[0], serial_number=pair[1])
        else:
            say("The records hold no unit there.")
            if typer.confirm("Did a unit hang there?", default=False):
                pair = _unit(world, "Unit that hung there")
                found = None if pair is None else UnitName(part_number=pair[0], serial_number=pair[1])
        pair = _unit(world, "Unit fitted")
        install = None
        if pair is not None:
            install = UnitName(part_number=pair[0], serial_number=pair[1])
            answer = check_fitting(world, airframe=airframe, position=place.position, unit_id=world.unit_named(*pair))
            say(f"Swap check: {answer.outcome}.")
            for reason in answer.reasons:
                if reason.verdict in ("stop", "condition"):
                    say(f"  {reason.verdict}: {reason.text} ({reason.code})")
    harness = None
    if install is not None and place.harness:
        harness = _word(f"Rigged for which side (the position asks for {place.harness})", words.HARNESS_SIDES)
    minutes = _hours("Airframe hours total (HHHH:MM)")
    cycles = _count("Airframe cycles total")
    removed_to = removed_kind = None
    if hanging is not None or found is not None:
        removed_to = _word("Removed to", words.REMOVED_TO)
        removed_kind = _word("Removal kind", words.REMOVAL_KINDS)
    return (
        SwapRequest(
            registration=registration,
            position=place.position,
            on=on,
            install=install,
            found=found,
            remove_only=install is None,
            harness=harness,
            minutes_total=minutes,
            cycles_total=cycles,
            removed_to=removed_to,
            removal_kind=removed_kind,
            technical_log=_text("Technical log page"),
            work_order=_text("Work order"),
            data_reference=_text("Approved data worked to"),
            data_revision=_text("Its revision"),
            signed_by=_text("Performed by (staff id)"),
            inspected_by=_text("Inspected by (staff id)"),
            released_by=_text("Released by (staff id)"),
        ),
        [],
    )


def _text(question: str) -> str | None:
    answer = str(typer.prompt(question, default="", show_default=False)).strip()
    return answer or None


def _day(question: str, *, default: date) -> date:
    while True:
        answer = typer.prompt(question, default=default.isoformat())
        try:
            return date.fromisoformat(answer)
        except ValueError:
            say(f"{answer!r} is not a day; write YYYY-MM-DD.")


def _word(question: str, allowed: tuple[str, ...]) -> str | None:
    while True:
        answer = _text(f"{question} ({', '.join(allowed)})")
        if answer is None or answer in allowed:
            return answer
        say(f"{answer!r} is none of them.")


def _hours(question: str) -> int | None:
    while True:
        answer = _text(question)
        if answer is None:
            return None
        try:
            return parse_hours(answer)
        except Refusal as refusal:
            say(str(refusal))


def _count(question: str) -> int | None:
    while True:
        answer = _text(question)
        if answer is None:
            return None
        if answer.isdigit():
            return int(answer)
        say(f"{answer!r} is not a whole number.")


def _unit(world: object, question: str) -> tuple[str, str] | None:
    """Part and serial number of one known unit, asked until they name one; empty for none."""
    from fleetlife.clocks.world import World

    assert isinstance(world, World)
    while True:
        part = _text(f"{question}: part number")
        if part is None:
            return None
        serial = _text(f"{question}: serial number")
        if serial is None:
            continue
        try:
            world.unit_named(part, serial)
        except Refusal as refusal:
            say(str(refusal))
            continue
        return part, serial
