"""`operation record`: a filling or an activation that happened, logged without a file."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Annotated, Any

import typer

from fleetlife.cli.context import (
    as_of_day,
    day_option,
    open_database,
    refusals,
    show,
    staff,
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
    Manufacturer,
    On,
    Part,
    Preview,
    SaysSo,
    Serial,
    Yes,
    check_format,
)
from fleetlife.cli.recording import show_and_record, storable


def operation_record(
    part_number: Part,
    serial_number: Serial,
    operation: Annotated[
        str,
        typer.Option(
            "--operation", metavar="WORD", help="filling, pressurisation, activation, or what a requirement counts."
        ),
    ],
    count: Annotated[int, typer.Option("--count", help="How many times; 0 says that there was none.")] = 1,
    on: On = None,
    reference: SaysSo = None,
    sequence: Annotated[
        int | None,
        typer.Option("--sequence", help="The order within the day, where it happened again.", show_default=False),
    ] = None,
    manufacturer: Manufacturer = None,
    acknowledge: Acknowledge = None,
    reason: AcceptedWhy = None,
    name: AcceptedBy = None,
    request_key: Annotated[
        str | None,
        typer.Option(
            "--request-key", metavar="TEXT", help="Asked again with the same key: same answer, no second entry."
        ),
    ] = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    format: CardFormat = "table",
    database: Database = None,
) -> None:
    """Log a filling, a pressurisation or an activation of a unit.

    A filling of a cylinder past its requalification date or past its service life, in years or in fillings, is a stop.
    If it really happened it is acknowledged by name and reason, or the entry is not made. Name the
    cylinder itself, not the pack that holds it.

    \b
    Examples:
      fleetlife operation record TH-410-2 R42002 --operation filling --on 2026-11-20 --reference W-4471
      fleetlife operation record TH-410-2 R42002 --operation activation --preview
    """
    check_format(format, CARD_FORMATS)
    if acknowledge and not ((reason or "").strip() and (name or "").strip()):
        raise typer.BadParameter("An acknowledgement needs --reason and --name.", param_hint="--acknowledge")
    with refusals():
        from fleetlife.actions.acknowledge import Acknowledgement
        from fleetlife.actions.operation import OperationRequest, record_operation
        from fleetlife.actions.swap import UnitName
        from fleetlife.cli.scanning import unit_scanned

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
            request = replace(request, unit=unit_scanned(store, request.unit, as_of=day))
            record = partial(record_operation, store, request, as_of=day, recorded_by=staff(), request_key=request_key)
            show_and_record(record, partial(_print, format=format), accepted, preview=preview, yes=yes)


def _print(recorded: Any, *, preview: bool, format: str) -> None:
    if format == "json":
        from fleetlife.reports.rows import operation_recorded_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(operation_recorded_as_dict(recorded, preview=preview)), None)
        return
    from fleetlife.reports.operation import operation_recorded

    show(operation_recorded(recorded, preview=preview))
