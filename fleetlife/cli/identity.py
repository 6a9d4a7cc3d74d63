"""The identity's commands: what a unit is, where record and data plate do not say the same."""

from __future__ import annotations

from functools import partial
from typing import Annotated

import typer

from fleetlife.cli.context import as_of_day, confirmed, open_database, refusals, say, show, staff
from fleetlife.cli.ledger import Authorised, Reason
from fleetlife.cli.options import AsOf, ClockBehind, Database, Preview, Yes
from fleetlife.cli.recording import storable

Part = Annotated[str, typer.Argument(metavar="PART", help="As recorded.")]
Serial = Annotated[str, typer.Argument(metavar="SERIAL", help="As recorded.")]


def correct(
    part_number: Part,
    serial_number: Serial,
    reason: Reason,
    authorised_by: Authorised,
    serial: Annotated[
        str | None, typer.Option("--serial", metavar="SERIAL", help="The serial number it has.", show_default=False)
    ] = None,
    part: Annotated[
        str | None,
        typer.Option("--part", metavar="PART", help="The part number it was made under.", show_default=False),
    ] = None,
    manufacturer: Annotated[
        str | None, typer.Option("--manufacturer", metavar="NAME", help="Who made it.", show_default=False)
    ] = None,
    recorded_manufacturer: Annotated[
        str | None,
        typer.Option(
            "--recorded-manufacturer", metavar="NAME", help="Where two units bear the numbers.", show_default=False
        ),
    ] = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Put right what a unit is recorded as: misread or mistyped, while the unit itself is what it always was.

    What moves is shown before it is recorded; every paper is judged again against the new numbers. The old ones are
    still found, and the answer says what they are recorded as since. A number that was changed on the unit itself is a
    modification, and no correction.

    Examples:
      fleetlife identity correct TH-410-1 R41007 --serial R41070 --reason "misread" --authorised-by Q2
      fleetlife identity correct TH-410-1 R41007 --part TH-410-2 --reason "dash number" --authorised-by Q2 --preview
    """
    with refusals():
        from fleetlife.actions.identity import Named, correct_identity
        from fleetlife.answers.entry import ledger_head
        from fleetlife.reports.compare import moved_report

        right = {"serial": serial, "part": part, "manufacturer": manufacturer}
        for what, text in (*right.items(), ("reason", reason), ("authorised-by", authorised_by)):
            storable(what, text)
        if not any((text or "").strip() for text in right.values()):
            raise typer.BadParameter("Say what is right: --serial, --part or --manufacturer.", param_hint="--serial")
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _, head, _ = ledger_head(store)
            act = partial(
                correct_identity,
                store,
                Named(part_number=part_number, serial_number=serial_number, manufacturer=recorded_manufacturer),
                serial_number=serial,
                part_number=part,
                manufacturer=manufacturer,
                reason=reason,
                authorised_by=authorised_by,
                recorded_by=staff(),
                head=head,
            )
            shown = act(moves_on=as_of_day(as_of), preview=True)
            show(moved_report(shown.mended.moved, units=shown.mended.units))
            if preview:
                say("Nothing was recorded.")
                return
            confirmed(f"Record {shown.before} as {shown.after}?", yes=yes)
            done = act()
        typer.echo(f"Entry {done.mended.entry} corrects entry {done.corrects}: {done.before} is {done.after}.")
        typer.echo(f"Ledger head {done.mended.ledger_head}")
