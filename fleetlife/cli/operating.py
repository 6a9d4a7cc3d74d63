"""`operation record`: a filling or an activation that happened, logged without a file."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.context import (
    CLEAN,
    FINDINGS,
    as_of_day,
    day_option,
    open_database,
    refusals,
    say,
    show,
    staff,
    write_text,
)
from fleetlife.cli.options import AsOf, ClockBehind, Database, Format, Manufacturer, Yes, check_format
from fleetlife.cli.recording import acknowledge_by_prompt, storable

if TYPE_CHECKING:
    from fleetlife.actions.acknowledge import Acknowledgement
    from fleetlife.actions.operation import OperationRequest
    from fleetlife.store.engine import Store


def operation_record(
    part_number: Annotated[str, typer.Argument(metavar="PART")],
    serial_number: Annotated[str, typer.Argument(metavar="SERIAL")],
    operation: Annotated[
        str,
        typer.Option(
            "--operation", metavar="WORD", help="filling, pressurisation, activation, or what a requirement counts."
        ),
    ],
    count: Annotated[int, typer.Option("--count", help="How many times; 0 says that there was none.")] = 1,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DAY", help="When; today if left out.", show_default=False)
    ] = None,
    reference: Annotated[
        str | None,
        typer.Option("--reference", metavar="TEXT", help="The document that says so.", show_default=False),
    ] = None,
    sequence: Annotated[
        int | None,
        typer.Option("--sequence", help="The order within the day, where it happened again.", show_default=False),
    ] = None,
    manufacturer: Manufacturer = None,
    acknowledge: Annotated[
        list[str] | None,
        typer.Option("--acknowledge", metavar="CODE", help="A stop accepted by name and reason; may be repeated."),
    ] = None,
    reason: Annotated[str | None, typer.Option("--reason", metavar="TEXT", help="Why.", show_default=False)] = None,
    name: Annotated[
        str | None, typer.Option("--name", metavar="STAFF", help="Who accepts it.", show_default=False)
    ] = None,
    request_key: Annotated[
        str | None,
        typer.Option(
            "--request-key", metavar="TEXT", help="Asked again with the same key: same answer, no second entry."
        ),
    ] = None,
    preview: Annotated[bool, typer.Option("--preview", help="Show what it would change; record nothing.")] = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    format: Format = "table",
    database: Database = None,
) -> None:
    """Log a filling, a pressurisation or an activation of a unit.

    A filling of a cylinder past its requalification date or past its service life, in years or in fillings, is a stop.
    If it really happened it is acknowledged by name and reason, or the entry is not made. Name the
    cylinder itself, not the pack that holds it.

    Examples:
      fleetlife operation record TH-410-2 R42002 --operation filling --on 2026-11-20 --reference W-4471
      fleetlife operation record TH-410-2 R42002 --operation activation --preview
    """
    check_format(format, ("table", "json"))
    if acknowledge and not ((reason or "").strip() and (name or "").strip()):
        raise typer.BadParameter("An acknowledgement needs --reason and --name.", param_hint="--acknowledge")
    with refusals():
        from fleetlife.actions.acknowledge import Acknowledgement
        from fleetlife.actions.operation import OperationRequest
        from fleetlife.actions.swap import UnitName

        day = as_of_day(as_of)
        for what, text in (("reason", reason), ("operation", operation), ("reference", reference), ("name", name)):
            storable(what, text)
        request = OperationRequest(
            unit=UnitName(part_number=part_number, serial_number=serial_number, manufacturer=manufacturer),
            operation=operation,
            on=day if on is None else day_option(on, "--on"),
            count=count,
            reference=reference,
            sequence=sequence,
        )
        accepted = [
            Acknowledgement(finding=code.upper(), name=name or "", reason=reason or "") for code in acknowledge or ()
        ]
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _record(
                store, request, accepted, as_of=day, request_key=request_key, preview=preview, yes=yes, format=format
            )


def _record(
    store: Store,
    request: OperationRequest,
    accepted: list[Acknowledgement],
    *,
    as_of: date,
    request_key: str | None,
    preview: bool,
    yes: bool,
    format: str,
) -> None:
    from fleetlife.actions.operation import record_operation

    who = staff()
    if preview or (not yes and sys.stdin.isatty() and sys.stdout.isatty()):
        foreseen = record_operation(
            store,
            request,
            as_of=as_of,
            recorded_by=who,
            acknowledged=accepted,
            request_key=request_key,
            preview=True,
        )
        _print(foreseen, preview=True, format=format)
        if foreseen.already:
            raise typer.Exit(CLEAN)
        if preview:
            say("Nothing was recorded.")
            raise typer.Exit(FINDINGS if foreseen.findings else CLEAN)
        if foreseen.findings and not accepted:
            accepted = acknowledge_by_prompt(foreseen.findings)
        if not typer.confirm("Record this?", default=False):
            say("Nothing was recorded.")
            raise typer.Exit(FINDINGS)
    recorded = record_operation(
        store, request, as_of=as_of, recorded_by=who, acknowledged=accepted, request_key=request_key
    )
    _print(recorded, preview=False, format=format)
    raise typer.Exit(FINDINGS if recorded.findings else CLEAN)


def _print(recorded: Any, *, preview: bool, format: str) -> None:
    if format == "json":
        from fleetlife.reports.rows import operation_recorded_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(operation_recorded_as_dict(recorded, preview=preview)), None)
        return
    from fleetlife.reports.operation import operation_recorded

    show(operation_recorded(recorded, preview=preview))
