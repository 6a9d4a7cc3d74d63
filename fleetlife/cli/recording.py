"""`swap record`: from options, from a JSON file, or by guided prompts that check while you type."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from fleetlife.cli.context import (
    CLEAN,
    FINDINGS,
    as_of_day,
    confirmed,
    day_option,
    json_object,
    open_database,
    refusals,
    say,
    show,
    staff,
    will_ask,
    write_text,
)
from fleetlife.cli.options import (
    CARD_FORMATS,
    AcceptedBy,
    AcceptedWhy,
    Acknowledge,
    AsOf,
    CardFormat,
    ClockBehind,
    Database,
    Preview,
    UnitPair,
    Yes,
    check_format,
)
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.acknowledge import Acknowledgement
    from fleetlife.actions.swap import SwapRequest
    from fleetlife.store.engine import Store


def swap_record(
    registration: Annotated[str | None, typer.Argument(metavar="REGISTRATION")] = None,
    position: Annotated[str | None, typer.Argument(metavar="POSITION")] = None,
    install: Annotated[
        UnitPair,
        typer.Option("--install", metavar="PART SERIAL", help="The unit fitted; or one scan.", show_default=False),
    ] = None,
    remove: Annotated[
        UnitPair,
        typer.Option(
            "--remove",
            metavar="PART SERIAL",
            help="The unit removed, or one scan; else the one recorded.",
            show_default=False,
        ),
    ] = None,
    found: Annotated[
        UnitPair,
        typer.Option(
            "--found",
            metavar="PART SERIAL",
            help="The unit that really hung there, or one scan, when the records hold another.",
            show_default=False,
        ),
    ] = None,
    remove_only: Annotated[bool, typer.Option("--remove-only", help="Nothing is fitted.")] = False,
    install_manufacturer: Annotated[str | None, typer.Option(metavar="NAME", show_default=False)] = None,
    remove_manufacturer: Annotated[str | None, typer.Option(metavar="NAME", show_default=False)] = None,
    on: Annotated[
        str | None,
        typer.Option("--on", metavar="DAY", help="The technical log's date; today if left out.", show_default=False),
    ] = None,
    sequence: Annotated[
        int | None, typer.Option("--sequence", help="The order within the day, where it matters.", show_default=False)
    ] = None,
    hours_total: Annotated[
        str | None,
        typer.Option("--hours-total", metavar="HHHH:MM", help="The airframe's hours then.", show_default=False),
    ] = None,
    hours: Annotated[
        str | None,
        typer.Option("--hours", metavar="READING", help="decimal or minutes, for 1234.30.", show_default=False),
    ] = None,
    cycles_total: Annotated[
        int | None, typer.Option("--cycles-total", help="Its cycles then.", show_default=False)
    ] = None,
    removed_to: Annotated[
        str | None,
        typer.Option("--removed-to", metavar="PLACE", help="store, shop, loan, scrap or unknown.", show_default=False),
    ] = None,
    removed_to_name: Annotated[
        str | None, typer.Option("--removed-to-name", metavar="NAME", help="Which store or shop.", show_default=False)
    ] = None,
    removed_condition: Annotated[
        str | None,
        typer.Option("--removed-condition", metavar="WORD", help="unserviceable if left out.", show_default=False),
    ] = None,
    removal_kind: Annotated[
        str | None,
        typer.Option("--removal-kind", metavar="WORD", help="scheduled, unscheduled, access ...", show_default=False),
    ] = None,
    defect: Annotated[str | None, typer.Option(metavar="TEXT", show_default=False)] = None,
    harness: Annotated[
        str | None,
        typer.Option("--harness", metavar="SIDE", help="The side it was rigged for: left, right.", show_default=False),
    ] = None,
    certificate: Annotated[str | None, typer.Option(metavar="NUMBER", show_default=False)] = None,
    organisation: Annotated[
        str | None,
        typer.Option("--organisation", metavar="NAME", help="Who issued the certificate.", show_default=False),
    ] = None,
    technical_log: Annotated[str | None, typer.Option(metavar="PAGE", show_default=False)] = None,
    work_order: Annotated[str | None, typer.Option(metavar="NUMBER", show_default=False)] = None,
    data_reference: Annotated[
        str | None, typer.Option(metavar="TEXT", help="The approved data worked to.", show_default=False)
    ] = None,
    data_revision: Annotated[str | None, typer.Option(metavar="TEXT", show_default=False)] = None,
    station: Annotated[str | None, typer.Option(metavar="NAME", show_default=False)] = None,
    signed_by: Annotated[str | None, typer.Option(metavar="STAFF", show_default=False)] = None,
    inspected_by: Annotated[str | None, typer.Option(metavar="STAFF", show_default=False)] = None,
    released_by: Annotated[str | None, typer.Option(metavar="STAFF", show_default=False)] = None,
    swap: Annotated[
        str | None,
        typer.Option(
            "--swap",
            metavar="SWAP",
            help="The planned swap that it carries out; airframe, position and unit are the plan's where left out.",
            show_default=False,
        ),
    ] = None,
    acknowledge: Acknowledge = None,
    reason: AcceptedWhy = None,
    name: AcceptedBy = None,
    file: Annotated[
        Path | None,
        typer.Option(
            "--file", metavar="JSON", help="Take it all from a JSON file; - reads it here.", show_default=False
        ),
    ] = None,
    request_key: Annotated[
        str | None,
        typer.Option(
            "--request-key", metavar="TEXT", help="Asked again with the same key: same answer, no second swap."
        ),
    ] = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    format: CardFormat = "table",
    database: Database = None,
) -> None:
    """Log a swap: a removal and an installation at one position as one thing.

    Shows before and after, the new due dates and the findings, then asks. Stop findings are acknowledged by name and
    reason, or the entry is not made; acknowledged they stay open on the airframe. Without REGISTRATION it asks for
    everything.

    \b
    Examples:
      fleetlife swap record Q-TRN L1 --install SP-4100-3 0417 --harness left --hours-total 21344:10 --signed-by C117
      fleetlife swap record Q-TRN L1 --found SP-4100-3 0993 --install SP-4100-3 0417
      fleetlife swap record Q-TRN R2 --remove-only --removed-to shop --removal-kind scheduled
      fleetlife swap record Q-TRN L1 --install - --harness left --signed-by C117
      fleetlife swap record --swap SW1276 --harness right --signed-by M117
      fleetlife swap record --file swap.json --yes
    """
    check_format(format, CARD_FORMATS)
    if hours not in (None, "decimal", "minutes"):
        raise typer.BadParameter("Say decimal or minutes.", param_hint="--hours")
    values = {
        "registration": registration,
        "position": position,
        "on": on,
        "install": pair(install, install_manufacturer),
        "remove": pair(remove, remove_manufacturer),
        "found": pair(found, remove_manufacturer),
        "remove_only": remove_only,
        "sequence": sequence,
        "removed_to": removed_to,
        "removed_to_name": removed_to_name,
        "removed_condition": removed_condition,
        "removal_kind": removal_kind,
        "defect": defect,
        "hours_total": hours_total,
        "cycles_total": cycles_total,
        "certificate": certificate,
        "certificate_organisation": organisation,
        "harness": harness,
        "technical_log": technical_log,
        "work_order": work_order,
        "data_reference": data_reference,
        "data_revision": data_revision,
        "station": station,
        "signed_by": signed_by,
        "inspected_by": inspected_by,
        "released_by": released_by,
        "swap": swap,
    }
    stated = [name for name, value in values.items() if value is not None and value is not False] + (acknowledge or [])
    if file is not None and stated:
        raise typer.BadParameter("With --file everything is in the file; leave the rest out.", param_hint="--file")
    if file is None and stated and swap is None and (registration is None or position is None):
        raise typer.BadParameter("Name the airframe and the position, or give --file.")
    if acknowledge and not (reason and name):
        raise typer.BadParameter("An acknowledgement needs --reason and --name.", param_hint="--acknowledge")
    with refusals():
        from fleetlife.actions.acknowledge import Acknowledgement
        from fleetlife.cli.scanning import units_scanned

        day = as_of_day(as_of)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            if file is not None:
                request, accepted = _from_file(file, hours=hours)
            elif not stated:
                from fleetlife.cli.prompts import ask_swap

                if not sys.stdin.isatty():
                    raise typer.BadParameter("Name the airframe and the position, or give --file.")
                request, accepted = ask_swap(store, as_of=day), []
            else:
                values["on"] = on or day.isoformat()
                if swap is not None:
                    from fleetlife.answers.swaps import with_plan

                    values = with_plan(store, values, as_of=day)
                request = request_from(values, hours=hours)
                accepted = [
                    Acknowledgement(finding=code.upper(), name=name or "", reason=reason or "")
                    for code in acknowledge or ()
                ]
            request = units_scanned(store, request, as_of=day)
            _record(
                store, request, accepted, as_of=day, request_key=request_key, preview=preview, yes=yes, format=format
            )


def pair(numbers: UnitPair, manufacturer: str | None = None) -> list[str | None] | None:
    """A unit as an option of two words names it."""
    return None if numbers is None else [*numbers, manufacturer]


def _record(
    store: Store,
    request: SwapRequest,
    accepted: list[Acknowledgement],
    *,
    as_of: date,
    request_key: str | None,
    preview: bool,
    yes: bool,
    format: str,
) -> None:
    from fleetlife.actions.swap import record_swap

    record = partial(record_swap, store, request, as_of=as_of, recorded_by=staff(), request_key=request_key)
    show_and_record(record, partial(_print, format=format), accepted, preview=preview, yes=yes)


def show_and_record(
    record: Callable[..., Any], tell: Callable[..., None], accepted: list[Acknowledgement], *, preview: bool, yes: bool
) -> NoReturn:
    """Record, and leave with the exit status; with `preview`, or at a terminal without `yes`, first show what it would
    change. At the terminal the stops are accepted there and the record is confirmed.

    `record` takes the stops accepted (`acknowledged`) and `preview`; `tell` prints what it gave.
    """
    if preview or will_ask(yes):
        foreseen = record(acknowledged=accepted, preview=True)
        tell(foreseen, preview=True)
        if foreseen.already:
            raise typer.Exit(CLEAN)
        if preview:
            say("Nothing was recorded.")
            raise typer.Exit(FINDINGS if foreseen.findings else CLEAN)
        if foreseen.findings and not accepted:
            accepted = _acknowledge_by_prompt(foreseen.findings)
        confirmed("Record this?", yes=yes)
    recorded = record(acknowledged=accepted, preview=False)
    tell(recorded, preview=False)
    raise typer.Exit(FINDINGS if recorded.findings else CLEAN)


def _print(recorded: Any, *, preview: bool, format: str) -> None:
    if format == "json":
        from fleetlife.reports.rows import swap_recorded_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(swap_recorded_as_dict(recorded, preview=preview)), None)
        return
    from fleetlife.reports.swap import swap_recorded

    show(swap_recorded(recorded, preview=preview))


def _acknowledge_by_prompt(findings: Any) -> list[Acknowledgement]:
    """The stops accepted at the terminal by name and reason; a no leaves with nothing recorded."""
    from fleetlife.actions.acknowledge import Acknowledgement

    codes = sorted({finding.code for finding in findings})
    say(f"These stops must be accepted by name and reason, or nothing is recorded: {', '.join(codes)}.")
    if not typer.confirm("Did it really happen so, and do you accept them?", default=False):
        say("Nothing was recorded.")
        raise typer.Exit(FINDINGS)
    name = _said("Your staff id")
    reason = _said("Reason")
    return [Acknowledgement(finding=code, name=name, reason=reason) for code in codes]


def _said(question: str) -> str:
    """An answer that is not blank."""
    while not (answer := str(typer.prompt(question)).strip()):
        say("It must be said, or nothing is recorded.")
    return answer


def request_from(values: dict[str, Any], *, hours: str | None = None) -> SwapRequest:
    """A request from named values as options and JSON files give them.

    Refusals: `word-not-known`, `hours-*`, `total-negative`, `text-not-storable`.
    """
    from fleetlife.actions.swap import SwapRequest, UnitName
    from fleetlife.terms import words
    from fleetlife.terms.measure import parse_hours
    from fleetlife.terms.number import did_you_mean

    allowed = {
        "removed_to": words.REMOVED_TO,
        "removed_condition": words.CONDITIONS,
        "removal_kind": words.REMOVAL_KINDS,
        "harness": words.HARNESS_SIDES,
    }
    fields = dict(values)
    for name, known in allowed.items():
        value = fields.get(name)
        if value is not None and value not in known:
            raise Refusal(
                "word-not-known",
                f"{value!r} is no word for {name.replace('_', ' ')}." + did_you_mean(str(value), known),
                remedy=f"Allowed are {', '.join(known)}.",
            )
    total = fields.pop("hours_total", None)
    fields["minutes_total"] = None if total is None else parse_hours(str(total), reading=hours)
    for name in ("minutes_total", "cycles_total", "sequence"):
        if fields.get(name) is not None and fields[name] < 0:
            raise Refusal(
                "total-negative",
                f"{name.replace('minutes', 'hours').replace('_', ' ')} is below zero.",
                remedy="Correct it.",
            )
    fields["on"] = day_option(str(fields["on"]), "--on")
    for name in ("install", "remove", "found"):
        pair = fields.get(name)
        if pair is not None:
            fields[name] = UnitName(part_number=pair[0], serial_number=pair[1], manufacturer=pair[2])
    for name, value in fields.items():
        storable(name, value)
    return SwapRequest(**fields)


def storable(name: str, value: Any) -> None:
    """Text that no entry can hold is refused before anything is looked up with it."""
    if isinstance(value, str) and any(c == "\0" or "\ud800" <= c <= "\udfff" for c in value):
        raise Refusal(
            "text-not-storable",
            f"{name.replace('_', ' ')} holds a character that is not text.",
            remedy="Type it again, in UTF-8.",
        )


def _from_file(path: Path, *, hours: str | None) -> tuple[SwapRequest, list[Acknowledgement]]:
    """A swap from a JSON object. Units are objects with part_number, serial_number and manufacturer.

    Refusals: `file-not-read`, `field-not-known`, `field-missing`, `field-not-read`, and those of `request_from`.
    """
    return request_of_body(path, json_object(path), hours=hours)


def request_of_body(
    path: Path, body: dict[str, Any], *, hours: str | None
) -> tuple[SwapRequest, list[Acknowledgement]]:
    """A swap from the JSON object read at `path`. Refusals: those of `_from_file` but the first."""
    accepted = acknowledgements(path, body.pop("acknowledged", []))
    _check_fields(path, body)
    for name in ("install", "remove", "found"):
        if body.get(name) is not None:
            body[name] = unit_of(path, name, body[name])
    try:
        date.fromisoformat(body["on"])
    except ValueError:
        raise not_read(path, "on", "is not a day", "Write it as YYYY-MM-DD.") from None
    return request_from(body, hours=hours), accepted


def _check_fields(path: Path, body: dict[str, Any]) -> None:
    """Every field known and of its type, the three that must be there there."""
    from fleetlife.actions.swap import SwapRequest
    from fleetlife.terms.number import did_you_mean

    types = {name: str(field.type) for name, field in SwapRequest.__dataclass_fields__.items()}
    types["hours_total"] = "str | None"
    del types["minutes_total"]
    for name, value in body.items():
        if name not in types:
            raise Refusal(
                "field-not-known",
                f"{path} has a field {name!r} that a swap does not have." + did_you_mean(name, types),
                remedy=f"Fields are {', '.join(sorted(types))}, acknowledged.",
            )
        wanted = types[name]
        if value is None and "None" in wanted:
            continue
        if wanted.startswith("int") and (isinstance(value, bool) or not isinstance(value, int)):
            raise not_read(path, name, "is no whole number", "Give it without quotation marks and without a point.")
        if wanted.startswith("bool") and not isinstance(value, bool):
            raise not_read(path, name, "is neither true nor false", "Give true or false.")
        if wanted.startswith(("str", "date")) and not isinstance(value, str):
            raise not_read(path, name, "is no text", "Put it in quotation marks.")
    for name in ("registration", "position", "on"):
        if name not in body:
            raise Refusal("field-missing", f"{path} has no {name}.", remedy="Add it.")


def unit_of(path: Path, name: str, unit: Any) -> list[str | None]:
    if isinstance(unit, dict) and set(unit) == {"scan"} and isinstance(unit["scan"], str):
        return _scan_of(path, name, unit["scan"])
    known = {"part_number", "serial_number", "manufacturer"}
    if not isinstance(unit, dict) or not {"part_number", "serial_number"} <= set(unit) <= known:
        raise Refusal(
            "field-missing",
            f"{name} in {path} is no object with part_number and serial_number (and manufacturer, if it must be said).",
            remedy='Name the unit by both numbers, or as {"scan": "[)>..."} by what the scanner sent.',
        )
    values = [unit["part_number"], unit["serial_number"], unit.get("manufacturer")]
    if not all(isinstance(value, str) for value in values[:2]) or not isinstance(values[2], (str, type(None))):
        raise not_read(path, name, "has a number that is no text", "Put part and serial number in quotation marks.")
    for value in values:
        storable(name, value)
    return values


def _scan_of(path: Path, name: str, scan: str) -> list[str | None]:
    """A unit by the message on its plate. In a file a scan is a message, and no scanner or photograph to be read."""
    from fleetlife.cli.scanning import SCANNED
    from fleetlife.paper.envelope import is_message

    if not is_message(scan):
        raise not_read(path, name, "has a scan that is no plate's message", "Give what the scanner sent, from [)> on.")
    return [scan, SCANNED, None]


def acknowledgements(path: Path, accepted: Any) -> list[Acknowledgement]:
    from fleetlife.actions.acknowledge import Acknowledgement

    wanted = ("finding", "name", "reason")
    found = []
    for each in accepted if isinstance(accepted, list) else [None]:
        texts = [str(each[name]) for name in wanted if isinstance(each, dict) and isinstance(each.get(name), str)]
        if len(texts) < len(wanted) or not all(text.strip() for text in texts):
            raise Refusal(
                "field-missing",
                f"acknowledged in {path} is no list of objects with finding, name and reason, all of them text.",
                remedy="Give all three for each.",
            )
        for name, text in zip(wanted, texts, strict=True):
            storable(name, text)
        found.append(Acknowledgement(finding=texts[0].upper(), name=texts[1], reason=texts[2]))
    return found


def not_read(path: Path, name: str, what: str, remedy: str) -> Refusal:
    return Refusal("field-not-read", f"{name} in {path} {what}.", remedy=remedy)
