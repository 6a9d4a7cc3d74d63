"""`operation record`: a filling or an activation that happened, logged without a file."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from fleetlife.cli.asked_for import PartOrFile, SerialOrFile, record_asked, unit_said
from fleetlife.cli.context import show, write_text
from fleetlife.cli.options import (
    Manufacturer,
    On,
    SaysSo,
)
from fleetlife.cli.takes import ACCEPTING, Asked, takes


@takes(*ACCEPTING)
def operation_record(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    operation: Annotated[
        str | None,
        typer.Option(
            "--operation",
            metavar="WORD",
            help="filling, pressurisation, activation, deployment, or what a requirement counts.",
            show_default=False,
        ),
    ] = None,
    count: Annotated[
        int | None,
        typer.Option(
            "--count", help="How many times, once if left out; 0 says that there was none.", show_default=False
        ),
    ] = None,
    on: On = None,
    intended: Annotated[
        bool | None,
        typer.Option("--intended/--unintended", help="Of a deployment: whether it was meant.", show_default=False),
    ] = None,
    reference: SaysSo = None,
    sequence: Annotated[
        int | None,
        typer.Option("--sequence", help="The order within the day, where it happened again.", show_default=False),
    ] = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """Log a filling, a pressurisation, an activation or a deployment of a unit.

    A filling of a cylinder past its requalification date or past its service life, in years or in fillings, is a stop.
    If it really happened it is acknowledged by name and reason, or the entry is not made. Name the
    cylinder itself, not the pack that holds it.

    A deployment, intended or not, tells what it makes due; a unit that deployed is unserviceable until released. What
    may have to be reported of it under the authority's rules is told as a reminder: nothing is reported from here.

    \b
    Examples:
      fleetlife operation record TH-410-2 R42002 --operation filling --on 2026-11-20 --reference W-4471
      fleetlife operation record TH-410-2 R42002 --operation activation --preview
      fleetlife operation record --file filling.json --yes
      fleetlife operation record KV-2100-3 20141 --operation deployment --unintended --preview
    """
    from fleetlife.actions.operation import OperationRequest, record_operation

    record_asked(
        OperationRequest,
        record_operation,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "operation": operation,
            "on": on,
            "count": count,
            "reference": reference,
            "sequence": sequence,
            "intent": None if intended is None else "intended" if intended else "unintended",
        },
        asked,
        tell=_print,
    )


def _print(recorded: Any, *, preview: bool, format: str) -> None:
    if format == "json":
        from fleetlife.reports.rows import operation_recorded_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(operation_recorded_as_dict(recorded, preview=preview)), None)
        return
    from fleetlife.reports.operation import operation_recorded

    show(operation_recorded(recorded, preview=preview))
