"""`swap record`: from options, from a JSON file, or by guided prompts that check while you type."""

from __future__ import annotations

import json
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, day_option, open_database, refusals, say, show, staff
from fleetlife.cli.options import AsOf, Database, Format, Yes, check_format
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.swap import Acknowledgement, SwapRequest
    from fleetlife.store.engine import Store

UnitPair = tuple[str, str] | None


def swap_record(
    registration: Annotated[str | None, typer.Argument(metavar="REGISTRATION")] = None,
    position: Annotated[str | None, typer.Argument(metavar="POSITION")] = None,
    install: Annotated[
        UnitPair, typer.Option("--install", metavar="PART SERIAL", help="The unit fitted.", show_default=False)
    ] = None,
    remove: Annotated[
        UnitPair,
        typer.Option(
            "--remove", metavar="PART SERIAL", help="The unit removed; else the one recorded.", show_default=False
        ),
    ] = None,
    found: Annotated[
        UnitPair,
        typer.Option(
            "--found",
            metavar="PART SERIAL",
            help="The unit that really hung there, when the records hold another.",
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
    acknowledge: Annotated[
        list[str] | None,
        typer.Option("--acknowledge", metavar="CODE", help="A stop accepted by name and reason; may be repeated."),
    ] = None,
    reason: Annotated[str | None, typer.Option("--reason", metavar="TEXT", help="Why.", show_default=False)] = None,
    name: Annotated[
        str | None, typer.Option("--name", metavar="STAFF", help="Who accepts it.", show_default=False)
    ] = None,
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
    preview: Annotated[bool, typer.Option("--preview", help="Show what it would change; record nothing.")] = False,
    yes: Yes = False,
    as_of: AsOf = None,
    format: Format = "table",
    database: Database = None,
) -> None:
    """Log a swap: a removal and an installation at one position as one thing.

    Shows before and after, the new due dates and the findings, then asks. Stop findings are acknowledged by name and
    reason, or the entry is not made; acknowledged they stay open on the airframe. Without REGISTRATION it asks for
    everything.

    Examples:
      fleetlife swap record Q-TRN L1 --install SP-4100-3 0417 --harness left --hours-total 21344:10 --signed-by C117
      fleetlife swap record Q-TRN L1 --found SP-4100-3 0993 --install SP-4100-3 0417
      fleetlife swap record Q-TRN R2 --remove-only --removed-to shop --removal-kind scheduled
      fleetlife swap record --file swap.json --yes
    """
    check_format(format, ("table", "json"))
    with refusals():
        from fleetlife.actions.swap import Acknowledgement

        day = as_of_day(as_of)
        with open_database(database) as store:
            if file is not None:
                request, accepted = _from_file(file)
            elif registration is None or position is None:
                from fleetlife.cli.prompts import ask_swap

                if not sys.stdin.isatty():
                    raise typer.BadParameter("Name the airframe and the position, or give --file.")
                request, accepted = ask_swap(store, as_of=day)
            else:
                values = {
                    "registration": registration,
                    "position": position,
                    "on": on or day.isoformat(),
                    "install": _pair(install, install_manufacturer),
                    "remove": _pair(remove, remove_manufacturer),
                    "found": _pair(found, remove_manufacturer),
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
                }
                request = request_from(values, hours=hours)
                if acknowledge and not (reason and name):
                    raise typer.BadParameter(
                        "An acknowledgement needs --reason and --name.", param_hint="--acknowledge"
                    )
                accepted = [
                    Acknowledgement(finding=code.upper(), name=name or "", reason=reason or "")
                    for code in acknowledge or ()
                ]
            _record(
                store, request, accepted, as_of=day, request_key=request_key, preview=preview, yes=yes, format=format
            )


def _pair(pair: UnitPair, manufacturer: str | None) -> list[str | None] | None:
    if pair is None:
        return None
    return [pair[0], pair[1], manufacturer]


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

    who = staff()
    ask = not (preview or yes) and sys.stdin.isatty() and sys.stdout.isatty()
    if preview or ask:
        foreseen = record_swap(store, request, as_of=as_of, recorded_by=who, acknowledged=accepted, preview=True)
        _print(foreseen, preview=True, format=format)
        if preview:
            say("Nothing was recorded.")
            raise typer.Exit(FINDINGS if foreseen.findings else CLEAN)
        if foreseen.findings and not accepted:
            accepted = _acknowledge_by_prompt(foreseen.findings)
        if not typer.confirm("Record this?", default=False):
            say("Nothing was recorded.")
            raise typer.Exit(FINDINGS)
    recorded = record_swap(store, request, as_of=as_of, recorded_by=who, acknowledged=accepted, request_key=request_key)
    if recorded.already:
        say(f"Recorded before under this request key: entry {recorded.entry}. Nothing was added.")
        raise typer.Exit(CLEAN)
    _print(recorded, preview=False, format=format)
    raise typer.Exit(FINDINGS if recorded.findings else CLEAN)


def _print(recorded: Any, *, preview: bool, format: str) -> None:
    if format == "json":
        from fleetlife.reports.rows import swap_recorded_as_dict
        from fleetlife.transfer.writing import json_text

        typer.echo(json_text(swap_recorded_as_dict(recorded, preview=preview)))
        return
    from fleetlife.reports.swap import swap_recorded

    show(swap_recorded(recorded, preview=preview))


def _acknowledge_by_prompt(findings: Any) -> list[Acknowledgement]:
    from fleetlife.actions.swap import Acknowledgement

    codes = sorted({finding.code for finding in findings})
    say(f"These stops must be accepted by name and reason, or nothing is recorded: {', '.join(codes)}.")
    if not typer.confirm("Did it really happen so, and do you accept them?", default=False):
        say("Nothing was recorded.")
        raise typer.Exit(FINDINGS)
    name = typer.prompt("Your staff id")
    reason = typer.prompt("Reason")
    return [Acknowledgement(finding=code, name=name, reason=reason) for code in codes]


def request_from(values: dict[str, Any], *, hours: str | None = None) -> SwapRequest:
    """A request from named values as options and JSON files give them. Refusals: `word-not-known`, `hours-*`."""
    from fleetlife.actions.swap import SwapRequest, UnitName
    from fleetlife.terms import words
    from fleetlife.terms.measure import parse_hours
    from fleetlife.terms.number import nearest

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
            near = nearest(str(value), known)
            raise Refusal(
                "word-not-known",
                f"{value!r} is no word for {name.replace('_', ' ')}." + (f" Did you mean {near}?" if near else ""),
                remedy=f"Allowed are {', '.join(known)}.",
            )
    total = fields.pop("hours_total", None)
    fields["minutes_total"] = None if total is None else parse_hours(str(total), reading=hours)
    fields["on"] = day_option(str(fields["on"]), "--on")
    for name in ("install", "remove", "found"):
        pair = fields.get(name)
        if pair is not None:
            fields[name] = UnitName(
                part_number=str(pair[0]), serial_number=str(pair[1]), manufacturer=pair[2] if len(pair) > 2 else None
            )
    return SwapRequest(**fields)


def _from_file(path: Path) -> tuple[SwapRequest, list[Acknowledgement]]:
    """A swap from a JSON object. Units are objects with part_number, serial_number and manufacturer."""
    from fleetlife.actions.swap import Acknowledgement, SwapRequest
    from fleetlife.terms.number import nearest

    try:
        text = sys.stdin.read() if str(path) == "-" else path.read_text(encoding="utf-8")
        body = json.loads(text)
    except (OSError, UnicodeDecodeError, json.JSONDecodeError, RecursionError) as error:
        raise Refusal(
            "file-not-read", f"{path} cannot be read as JSON: {error}.", remedy="Give a file with one JSON object."
        ) from error
    if not isinstance(body, dict):
        raise Refusal("file-not-read", f"{path} holds no JSON object.", remedy="Give a file with one JSON object.")
    accepted = body.pop("acknowledged", [])
    known = {*SwapRequest.__dataclass_fields__, "hours_total"} - {"minutes_total"}
    for name in body:
        if name not in known:
            near = nearest(name, known)
            raise Refusal(
                "field-not-known",
                f"{path} has a field {name!r} that a swap does not have." + (f" Did you mean {near}?" if near else ""),
                remedy=f"Fields are {', '.join(sorted(known))}, acknowledged.",
            )
    for name in ("registration", "position", "on"):
        if not isinstance(body.get(name), str):
            raise Refusal("field-missing", f"{path} has no {name} (text).", remedy="Add it.")
    for name in ("install", "remove", "found"):
        unit = body.get(name)
        if unit is None:
            continue
        if not isinstance(unit, dict) or not {"part_number", "serial_number"} <= set(unit):
            raise Refusal(
                "field-missing",
                f"{name} in {path} is no object with part_number and serial_number.",
                remedy="Name the unit by both numbers.",
            )
        body[name] = [unit["part_number"], unit["serial_number"], unit.get("manufacturer")]
    try:
        notes = [
            Acknowledgement(finding=str(a["finding"]).upper(), name=str(a["name"]), reason=str(a["reason"]))
            for a in accepted
        ]
    except (TypeError, KeyError) as error:
        raise Refusal(
            "field-missing",
            f"An acknowledgement in {path} lacks finding, name or reason.",
            remedy="Give all three for each.",
        ) from error
    return request_from(body), notes
