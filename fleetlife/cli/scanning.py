"""A scan in the place of PART SERIAL: the plate's message itself, `-` for a line from the scanner, `photo:FILE`.

A scan is one word where two are asked for. So that every command takes it alike, a word that is one is given a mark for
its second before the command is parsed; the command asks here which unit is meant.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from typer.core import TyperCommand

from fleetlife.cli.context import say
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.swap import UnitName
    from fleetlife.paper.symbol import Plate
    from fleetlife.store.engine import Store

FROM_SCANNER = "-"
PHOTO = "photo:"
# Stands for the serial number where one scan names both. No number is a control character.
SCANNED = "\x04"
R = TypeVar("R")
_LINE_ENDS = "\r\n"


class TakesUnit(TyperCommand):
    """A command whose PART SERIAL, in arguments and in options of two values, may be one scan."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        return super().parse_args(ctx, _doubled(self.get_params(ctx), args))


def is_scan(word: str) -> bool:
    """Whether a word stands for part and serial number both."""
    from fleetlife.paper.envelope import is_message

    return word == FROM_SCANNER or word.startswith(PHOTO) or is_message(word)


def _doubled(parameters: Sequence[Any], args: Sequence[str]) -> list[str]:
    """The words with a mark behind each scan. The value of an option that takes one is left alone."""
    values = {
        name: 0 if getattr(parameter, "is_flag", False) else parameter.nargs
        for parameter in parameters
        for name in (*parameter.opts, *parameter.secondary_opts)
        if name.startswith("-")
    }
    words: list[str] = []
    waiting = iter(args)
    options = True
    for word in waiting:
        words.append(word)
        if options and word == "--":
            options = False
        elif options and word.startswith("-") and word != FROM_SCANNER:
            taken = 0 if "=" in word else values.get(word, 0)
            for place in range(taken):
                value = next(waiting, None)
                if value is None:
                    break
                words.append(value)
                if taken == 2 and place == 0 and is_scan(value):
                    words.append(SCANNED)
                    break
        elif is_scan(word):
            words.append(SCANNED)
    return words


def text_of(word: str) -> str:
    """What was scanned: the word itself, a line from the scanner, or the symbol of a photograph.

    Refusals: `photo-two-symbols`, those of `transfer.photo.texts_in_photo`.
    """
    if word == FROM_SCANNER:
        if sys.stdin.isatty():
            say("Scan the plate.")
        return sys.stdin.readline().rstrip(_LINE_ENDS)
    if not word.startswith(PHOTO):
        return word
    from fleetlife.paper.envelope import is_message
    from fleetlife.transfer.photo import REMEDY, texts_in_photo

    path = Path(word.removeprefix(PHOTO))
    found = texts_in_photo(path)
    messages = [text for text in found if is_message(text)] or list(found)
    if len(messages) > 1:
        raise Refusal("photo-two-symbols", f"{path} shows {len(messages)} different symbols.", remedy=REMEDY)
    return messages[0]


def plate_of(word: str, *, as_of: date) -> Plate:
    """What the scanned plate says. Refusals: those of `text_of` and of `paper.symbol.read_symbol`."""
    from fleetlife.paper.symbol import read_symbol

    return read_symbol(text_of(word), as_of=as_of)


def unit_asked(
    store: Store,
    part: str,
    serial: str,
    manufacturer: str | None = None,
    *,
    as_of: date,
    fitted_on: date | None = None,
) -> tuple[str, str, str | None]:
    """Part number, serial number and manufacturer as typed, or as the scan names them; what was read is said.
    fitted_on: as of `clocks.plate.unit_on_plate`.

    Refusals: those of `plate_of` and of `clocks.plate.unit_on_plate`.
    """
    if serial != SCANNED:
        return part, serial, manufacturer
    plate = plate_of(part, as_of=as_of)
    with store.reading() as connection:
        return asked_by_plate(connection, plate, manufacturer, fitted_on=fitted_on)


def asked_by_plate(
    connection: Any,
    plate: Plate,
    manufacturer: str | None = None,
    *,
    to_compare: bool = False,
    fitted_on: date | None = None,
) -> tuple[str, str, str | None]:
    """The numbers of the unit that a plate names; what was read is said. Refusals: `clocks.plate.unit_on_plate`."""
    from fleetlife.clocks.plate import unit_on_plate

    found = unit_on_plate(connection, plate, manufacturer=manufacturer, to_compare=to_compare, fitted_on=fitted_on)
    maker = f" by {found.manufacturer}" if found.manufacturer else ""
    say(f"Scanned: {found.part_number} {found.serial_number}{maker}.")
    for note in found.notes:
        say(note)
    return found.part_number, found.serial_number, found.manufacturer


def unit_scanned(store: Store, unit: UnitName, *, as_of: date) -> UnitName:
    """The unit as typed, or as its scan names it. Refusals: those of `unit_asked`."""
    part, serial, manufacturer = unit_asked(store, unit.part_number, unit.serial_number, unit.manufacturer, as_of=as_of)
    return replace(unit, part_number=part, serial_number=serial, manufacturer=manufacturer)


def units_scanned(store: Store, request: R, *, as_of: date) -> R:
    """The request with every unit that was scanned named by its numbers. Refusals: those of `unit_asked`."""
    units: dict[str, Any] = {}
    for each in fields(request):  # type: ignore[arg-type]
        unit = getattr(request, each.name)
        if str(each.type).startswith("UnitName") and unit is not None and unit.serial_number == SCANNED:
            units[each.name] = unit_scanned(store, unit, as_of=as_of)
    return replace(request, **units) if units else request  # type: ignore[type-var]
