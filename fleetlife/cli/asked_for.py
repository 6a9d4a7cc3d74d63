"""A request from options, or from a JSON file with the same fields, and what every command that records one does.

The fields, their types and their words are those of the request's class: hours are HHHH:MM, a unit is an object with
part_number and serial_number or `{"scan": ...}`, a day is YYYY-MM-DD.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, fields
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn, TypeVar

import typer

from fleetlife.cli.context import (
    FINDINGS,
    as_of_day,
    day_option,
    json_object,
    open_database,
    refusals,
    say,
    show,
    staff,
    write_text,
)
from fleetlife.cli.options import CARD_FORMATS, check_format
from fleetlife.cli.recording import acknowledgements, not_read, show_and_record, storable, unit_of
from fleetlife.cli.takes import Asked
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.acknowledge import Acknowledgement
    from fleetlife.terms.moves import MoveRecorded

R = TypeVar("R")
STOP = "stop"
PartOrFile = Annotated[
    str | None,
    typer.Argument(
        metavar="PART",
        help="Or one scan for both: the plate's message, - for a line from the scanner, photo:FILE.",
        show_default=False,
    ),
]
SerialOrFile = Annotated[
    str | None, typer.Argument(metavar="SERIAL", help="Left out after a scan, or with --file.", show_default=False)
]
OrderInDay = Annotated[
    int | None,
    typer.Option("--sequence", metavar="N", help="The order within the day, where it matters.", show_default=False),
]


def unit_said(part: str | None, serial: str | None, manufacturer: str | None) -> list[str | None] | None:
    """The unit that two arguments name; None where neither is given."""
    if part is None:
        return None
    if serial is None:
        raise typer.BadParameter("Name the unit by part number and serial number.", param_hint="SERIAL")
    return [part, serial, manufacturer]


def record_asked(
    kind: type[R],
    record: Callable[..., Any],
    values: Mapping[str, Any],
    asked: Asked,
    *,
    tell: Callable[..., None] | None = None,
) -> NoReturn:
    """Read the request, look up what was scanned, show it first where somebody is there, record it and leave with the
    exit status. `tell` prints what came of it; None: as of a movement."""
    check_format(asked.format, CARD_FORMATS)
    if asked.hours not in (None, "decimal", "minutes"):
        raise typer.BadParameter("Say decimal or minutes.", param_hint="--hours")
    stated = {name: value for name, value in values.items() if value not in (None, False)}
    if asked.file is not None and (stated or asked.acknowledge):
        raise typer.BadParameter("With --file everything is in the file; leave the rest out.", param_hint="--file")
    if asked.acknowledge and not ((asked.reason or "").strip() and (asked.name or "").strip()):
        raise typer.BadParameter("An acknowledgement needs --reason and --name.", param_hint="--acknowledge")
    with refusals():
        from fleetlife.actions.acknowledge import Acknowledgement
        from fleetlife.cli.scanning import units_scanned

        day = as_of_day(asked.as_of)
        with open_database(asked.database, accept_clock_behind=asked.accept_clock_behind) as store:
            accepted: list[Acknowledgement] = []
            if asked.file is not None:
                request, accepted = request_of_file(kind, asked.file, hours=asked.hours)
            elif not stated and sys.stdin.isatty():
                request = request_at_terminal(kind, hours=asked.hours, today=day)
            else:
                storable("reason", asked.reason)
                storable("name", asked.name)
                request = request_of(kind, stated, hours=asked.hours, today=day)
                accepted = [
                    Acknowledgement(finding=code.upper(), name=asked.name or "", reason=asked.reason or "")
                    for code in asked.acknowledge or ()
                ]
            request = units_scanned(store, request, as_of=day)
            act = partial(record, store, request, as_of=day, recorded_by=staff(), request_key=asked.request_key)
            told = partial(tell or tell_move, format=asked.format)
            show_and_record(act, told, accepted, preview=asked.preview, yes=asked.yes)


def tell_move(recorded: MoveRecorded, *, preview: bool, format: str) -> None:
    """What came of it, on the screen or as JSON."""
    if format == "json":
        from fleetlife.reports.rows import move_recorded_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(move_recorded_as_dict(recorded, preview=preview)), None)
        return
    from fleetlife.reports.moves import move_recorded

    show(move_recorded(recorded, preview=preview))


def request_of(kind: type[R], values: Mapping[str, Any], *, hours: str | None, today: date) -> R:
    """A request from options; the day is today where it is left out.

    Refusals: `field-missing`, `word-not-known`, `hours-*`, `total-negative`, `text-not-storable`.
    """
    made: dict[str, Any] = {}
    for each in fields(kind):  # type: ignore[arg-type]
        name = _asked_as(each)
        if name in values:
            made[each.name] = _value(each, values[name], hours=hours, option=f"--{name.replace('_', '-')}")
        elif each.name == "on":
            made["on"] = today
        elif _needed(each):
            raise typer.BadParameter(f"{name.replace('_', ' ')} is not said; say it, or give --file.")
    return kind(**made)


def request_at_terminal(kind: type[R], *, hours: str | None, today: date) -> R:
    """A request asked for field by field, each answer checked as it is given; `stop` leaves with nothing recorded."""
    say(f"An empty answer leaves a thing out; {STOP} ends. Nothing is recorded before you confirm.")
    made: dict[str, Any] = {}
    for each in fields(kind):  # type: ignore[arg-type]
        value = _asked_at_terminal(each, hours=hours, today=today)
        if value is not None:
            made[each.name] = value
    return kind(**made)


def _asked_at_terminal(each: Field[Any], *, hours: str | None, today: date) -> Any:
    """A field's value; None where it is left out."""
    name, wanted = _asked_as(each), str(each.type)
    question = name.replace("_", " ").capitalize()
    if wanted.startswith("UnitName"):
        question += ": PART SERIAL, or scan the plate"
    elif allowed := each.metadata.get("words"):
        question += f" ({', '.join(allowed)})"
    elif wanted.startswith("bool"):
        question += " (yes, no)"
    default = today.isoformat() if each.name == "on" else ""
    while True:
        answer = str(typer.prompt(question, default=default, show_default=bool(default))).strip(" \t\r\n")
        if answer == STOP:
            say("Nothing was recorded.")
            raise typer.Exit(FINDINGS)
        if not answer and not _needed(each):
            return None
        try:
            return _value(each, _typed("hours" if name != each.name else wanted, answer), hours=hours, option=question)
        except Refusal as refusal:
            say(f"{refusal.message} {refusal.remedy}")
        except (typer.BadParameter, ValueError) as wrong:
            say(str(wrong) or f"{answer!r} cannot be read.")


def _typed(wanted: str, answer: str) -> Any:
    """What was typed as an option would give it. Raises ValueError with why it cannot be."""
    from fleetlife.cli.scanning import SCANNED, is_scan

    if not answer:
        raise ValueError("It must be said.")
    if wanted.startswith("UnitName"):
        if is_scan(answer):
            return [answer, SCANNED, None]
        part, _, serial = answer.partition(" ")
        if not serial.strip():
            raise ValueError("A unit is named by its part number and its serial number, with a space between.")
        return [part, serial.strip(), None]
    if wanted.startswith("int"):
        if not (answer.isascii() and answer.isdigit()):
            raise ValueError(f"{answer!r} is not a whole number.")
        return int(answer)
    if wanted.startswith("bool"):
        if answer not in ("yes", "no"):
            raise ValueError("Say yes or no.")
        return answer == "yes"
    return answer


def request_of_file(kind: type[R], path: Path, *, hours: str | None) -> tuple[R, list[Acknowledgement]]:
    """A request from a JSON object with the fields of its class, and `acknowledged`.

    Refusals: `file-not-read`, `field-not-known`, `field-missing`, `field-not-read`, and those of `request_of`.
    """
    from fleetlife.terms.number import did_you_mean

    body = json_object(path)
    accepted = acknowledgements(path, body.pop("acknowledged", []))
    known = {_asked_as(each): each for each in fields(kind)}  # type: ignore[arg-type]
    made: dict[str, Any] = {}
    for name, value in body.items():
        if name not in known:
            raise Refusal(
                "field-not-known",
                f"{path} has a field {name!r} that is not known here." + did_you_mean(name, known),
                remedy=f"Fields are {', '.join(sorted(known))}, acknowledged.",
            )
        if value is None and not _needed(known[name]):
            continue
        made[known[name].name] = _value(known[name], _of_file(path, known[name], value), hours=hours, option=name)
    for name, each in known.items():
        if _needed(each) and each.name not in made:
            raise Refusal("field-missing", f"{path} has no {name}.", remedy="Add it.")
    return kind(**made), accepted


def _asked_as(each: Field[Any]) -> str:
    return each.name.replace("minutes", "hours")


def _needed(each: Field[Any]) -> bool:
    return each.default is MISSING and each.default_factory is MISSING


def _of_file(path: Path, each: Field[Any], value: Any) -> Any:
    """The value as an option would give it, of its type. Refusals: `field-not-read`, `field-missing`."""
    wanted, name = str(each.type), _asked_as(each)
    if wanted.startswith("UnitName"):
        return unit_of(path, name, value)
    if name != each.name or wanted.startswith(("str", "date")):
        if not isinstance(value, str):
            raise not_read(path, name, "is no text", "Put it in quotation marks.")
        if wanted.startswith("date"):
            try:
                date.fromisoformat(value)
            except ValueError:
                raise not_read(path, name, "is not a day", "Write it as YYYY-MM-DD.") from None
    elif wanted.startswith("int") and (isinstance(value, bool) or not isinstance(value, int)):
        raise not_read(path, name, "is no whole number", "Give it without quotation marks and without a point.")
    elif wanted.startswith("bool") and not isinstance(value, bool):
        raise not_read(path, name, "is neither true nor false", "Give true or false.")
    return value


def _value(each: Field[Any], value: Any, *, hours: str | None, option: str) -> Any:
    """A field's value from what was said."""
    from fleetlife.actions.swap import UnitName
    from fleetlife.terms.measure import parse_hours
    from fleetlife.terms.number import did_you_mean

    wanted, name = str(each.type), _asked_as(each)
    if wanted.startswith("UnitName"):
        for part in value:
            storable(name, part)
        return UnitName(part_number=value[0], serial_number=value[1], manufacturer=value[2])
    storable(name, value)
    allowed = each.metadata.get("words")
    if allowed is not None and value not in allowed:
        raise Refusal(
            "word-not-known",
            f"{value!r} is no word for {name.replace('_', ' ')}." + did_you_mean(str(value), allowed),
            remedy=f"Allowed are {', '.join(allowed)}.",
        )
    if wanted.startswith("date"):
        return day_option(str(value), option)
    if name != each.name:
        value = parse_hours(str(value), reading=hours)
    if isinstance(value, int) and not isinstance(value, bool) and value < 0:
        raise Refusal("total-negative", f"{name.replace('_', ' ')} is below zero.", remedy="Correct it.")
    return value
