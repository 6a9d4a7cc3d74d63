"""Guided prompts for a swap: each answer is checked before the next is asked."""

from __future__ import annotations

from datetime import date
from textwrap import fill
from typing import TYPE_CHECKING

import typer

from fleetlife.cli.context import day_option, say
from fleetlife.terms import words
from fleetlife.terms.measure import parse_hours
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.swap import SwapRequest, UnitName
    from fleetlife.clocks.world import World
    from fleetlife.store.engine import Store


def ask_swap(store: Store, *, as_of: date) -> SwapRequest:
    """Ask for everything a swap needs, checking while you type; nothing is recorded here."""
    from fleetlife.actions.swap import SwapRequest
    from fleetlife.clocks.fitting import check_fitting
    from fleetlife.clocks.world import open_world

    say("An empty answer leaves a thing out. Nothing is recorded before you confirm.")
    on = _day("Date of the technical log", latest=as_of)
    with store.reading() as connection:
        world = open_world(connection, as_of=on)
        while True:
            registration = typer.prompt("Registration")
            try:
                airframe = world.reference.airframe_on(registration, on.toordinal())
                break
            except Refusal as refusal:
                told(refusal)
        while True:
            label = typer.prompt("Position")
            try:
                place = world.reference.position_of(airframe, label)
                break
            except Refusal as refusal:
                told(refusal)
        hanging = next((u for u in world.installed_on(airframe) if u.position == place.position), None)
        found = None
        if hanging is not None:
            say(f"The records hold {hanging.part_number} {hanging.serial_number} there.")
            if not typer.confirm("Is that the unit that came off?", default=True):
                found = _named_unit(world, "Unit that really hung there")
        else:
            say("The records hold no unit there.")
            if typer.confirm("Did a unit hang there?", default=False):
                found = _named_unit(world, "Unit that hung there")
        install = _unit(world, "Unit fitted")
        if install is not None:
            unit = world.unit_named(install.part_number, install.serial_number, install.manufacturer)
            answer = check_fitting(world, airframe=airframe, position=place.position, unit_id=unit)
            say(f"Swap check: {answer.outcome}.")
            for reason in answer.reasons:
                if reason.verdict in ("stop", "condition"):
                    say(f"  {reason.verdict}: {reason.text} ({reason.code})")
        minutes, cycles = _totals(world, airframe, on)
    harness = certificate = organisation = None
    if install is not None and place.harness:
        harness = word_asked(f"Rigged for which side (the position asks for {place.harness})", words.HARNESS_SIDES)
    if install is not None and (certificate := _text("Release certificate of the unit fitted")) is not None:
        organisation = _text("Who issued it")
    removed_to = removed_kind = None
    if hanging is not None or found is not None:
        removed_to = word_asked("Removed to", words.REMOVED_TO)
        removed_kind = word_asked("Removal kind", words.REMOVAL_KINDS)
    return SwapRequest(
        registration=registration,
        position=place.position,
        on=on,
        install=install,
        found=found,
        remove_only=install is None,
        harness=harness,
        certificate=certificate,
        certificate_organisation=organisation,
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
    )


def told(refusal: Refusal) -> None:
    """Why not, and what to answer instead, within the width of a page."""
    say(fill(f"{refusal.message} {refusal.remedy}", width=80))


def _text(question: str) -> str | None:
    # not every white space: a scanned message ends with a separator
    answer = str(typer.prompt(question, default="", show_default=False)).strip(" \t\r\n")
    return answer or None


def _day(question: str, *, latest: date) -> date:
    while True:
        answer = typer.prompt(question, default=latest.isoformat())
        try:
            day = day_option(answer, question)
        except typer.BadParameter as wrong:
            say(wrong.message)
            continue
        if day <= latest:
            return day
        say(f"{answer} is after {latest}: a swap is recorded when it has happened.")


def word_asked(question: str, allowed: tuple[str, ...]) -> str | None:
    while True:
        answer = _text(f"{question} ({', '.join(allowed)})")
        if answer is None or answer in allowed:
            return answer
        say(f"{answer!r} is none of them.")


def _totals(world: World, airframe: int, on: date) -> tuple[int | None, int | None]:
    """Hours and cycles of the airframe then, each asked for until it lies between the readings around the day."""
    from fleetlife.actions.swap import check_totals

    def fits(minutes: int | None, cycles: int | None) -> bool:
        try:
            check_totals(world.connection, airframe=airframe, on=on, minutes=minutes, cycles=cycles)
        except Refusal as refusal:
            told(refusal)
            return False
        return True

    while not fits(minutes := _hours("Airframe hours total (HHHH:MM)"), None):
        pass
    while not fits(None, cycles := _count("Airframe cycles total")):
        pass
    return minutes, cycles


def _hours(question: str) -> int | None:
    while True:
        answer = _text(question)
        if answer is None:
            return None
        try:
            minutes = parse_hours(answer)
        except Refusal as refusal:
            told(refusal)
            continue
        if minutes >= 0:
            return minutes
        say(f"{answer!r} is below zero.")


def _count(question: str) -> int | None:
    while True:
        answer = _text(question)
        if answer is None:
            return None
        if answer.isascii() and answer.isdigit():
            return int(answer)
        say(f"{answer!r} is not a whole number.")


def _unit(world: World, question: str) -> UnitName | None:
    """One known unit, asked for until the answers name one; None for an empty part number.

    The manufacturer is asked for where two units bear the numbers. A scan of the plate names it whole. Numbers that
    mean it and are no longer its own are told beside it, as every answer tells them.
    """
    from fleetlife.actions.swap import UnitName
    from fleetlife.cli.scanning import asked_by_plate, is_scan, plate_of

    while (part := _text(f"{question}: part number, or scan the plate")) is not None:
        if is_scan(part):
            try:
                plate = plate_of(part, as_of=date.fromordinal(world.as_of))
                named = asked_by_plate(world.connection, plate)
            except Refusal as refusal:
                told(refusal)
                continue
            return UnitName(part_number=named[0], serial_number=named[1], manufacturer=named[2])
        serial = _text(f"{question}: serial number")
        if serial is None:
            continue
        manufacturer = None
        try:
            unit = _named_and_told(world, part, serial)
        except Refusal as refusal:
            told(refusal)
            if refusal.code != "unit-ambiguous":
                continue
            manufacturer = _text(f"{question}: manufacturer")
            try:
                unit = _named_and_told(world, part, serial, manufacturer)
            except Refusal as again:
                told(again)
                continue
        _tell_part_number(world, unit, part, serial)
        return UnitName(part_number=part, serial_number=serial, manufacturer=manufacturer)
    return None


def _named_and_told(world: World, part: str, serial: str, manufacturer: str | None = None) -> int:
    """The one unit; a spelling corrected since is told. Refusals: those of `World.unit_named`."""
    world.notes.clear()  # each time it is typed it is told
    unit = world.unit_named(part, serial, manufacturer)
    for note in world.notes:
        _note(note)
    return unit


def _tell_part_number(world: World, unit: int, part: str, serial: str) -> None:
    """Told where the unit bears another part number on the day than the one typed, and no note said so."""
    from fleetlife.dates.partial import day_text
    from fleetlife.terms.number import fold

    state = world.states([unit]).get(unit)
    if state is not None and not world.notes and fold(state.part_number) != fold(part):
        _note(f"{part} {serial} bears part number {state.part_number} on {day_text(world.as_of)}.")


def _note(text: str) -> None:
    say(fill(f"NOTE: {text}", width=80, subsequent_indent="   "))


def _named_unit(world: World, question: str) -> UnitName:
    """One known unit that must be named."""
    while (unit := _unit(world, question)) is None:
        say("It must be named. If nothing hung there, stop here and record first where the recorded unit went.")
    return unit
