"""The identity's commands: what a unit is, where record and data plate do not say the same."""

from __future__ import annotations

from functools import partial
from typing import Annotated

import typer

from fleetlife.cli.context import as_of_day, open_database, refusals, staff
from fleetlife.cli.ledger import Authorised, Reason
from fleetlife.cli.options import AsOf, ClockBehind, Database, Manufacturer, Part, Preview, Serial, Yes
from fleetlife.cli.recording import storable
from fleetlife.cli.showing import shown_first, tell_moves


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

    \b
    Examples:
      fleetlife identity correct TH-410-1 R41007 --serial R41070 --reason "misread" --authorised-by Q2
      fleetlife identity correct TH-410-1 R41007 --part TH-410-2 --reason "dash number" --authorised-by Q2 --preview
    """
    with refusals():
        from fleetlife.actions.identity import correct_identity
        from fleetlife.actions.swap import UnitName
        from fleetlife.answers.entry import ledger_head
        from fleetlife.cli.scanning import unit_scanned

        right = {"serial": serial, "part": part, "manufacturer": manufacturer}
        for what, text in (*right.items(), ("reason", reason), ("authorised-by", authorised_by)):
            storable(what, text)
        if not any((text or "").strip() for text in right.values()):
            raise typer.BadParameter("Say what is right: --serial, --part or --manufacturer.", param_hint="--serial")
        unit = UnitName(part_number=part_number, serial_number=serial_number, manufacturer=recorded_manufacturer)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _, head, _ = ledger_head(store)
            act = partial(
                correct_identity,
                store,
                unit_scanned(store, unit, as_of=as_of_day(as_of)),
                serial_number=serial,
                part_number=part,
                manufacturer=manufacturer,
                reason=reason,
                authorised_by=authorised_by,
                recorded_by=staff(),
                head=head,
            )
            done = shown_first(
                act,
                lambda it: tell_moves(it.mended),
                lambda it: f"Record {it.before} as {it.after}?",
                preview=preview,
                yes=yes,
                as_of=as_of,
            )
        if done is not None:
            typer.echo(f"Entry {done.mended.entry} corrects entry {done.corrects}: {done.before} is {done.after}.")
            typer.echo(f"Ledger head {done.mended.ledger_head}")


def merge(
    part_number: Part,
    serial_number: Serial,
    into_part: Annotated[str, typer.Argument(metavar="INTO-PART", help="Of the record that stays.")],
    into_serial: Annotated[str, typer.Argument(metavar="INTO-SERIAL", help="Of the record that stays.")],
    reason: Reason,
    authorised_by: Authorised,
    manufacturer: Manufacturer = None,
    into_manufacturer: Annotated[
        str | None,
        typer.Option("--into-manufacturer", metavar="NAME", help="The same of the one that stays.", show_default=False),
    ] = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Make two records of one unit one: what the first says is stated again for the second, and the first is withdrawn.

    The first must say nothing of places but its opening statement, or begin when the second had made its last move.
    Where the two differ in what decides a life, in a hold or in condition it is refused: correct the one that is wrong
    first. The first's numbers still find the unit.

    \b
    Example: fleetlife identity merge TH-880-1 R8895O TH-880-1 R88950 --reason "taken in twice" --authorised-by Q2
    """
    with refusals():
        from fleetlife.actions.merge import merge_units
        from fleetlife.actions.swap import UnitName
        from fleetlife.answers.entry import ledger_head
        from fleetlife.cli.scanning import unit_scanned

        for what, text in (("reason", reason), ("authorised-by", authorised_by)):
            storable(what, text)
        gone = UnitName(part_number=part_number, serial_number=serial_number, manufacturer=manufacturer)
        stays = UnitName(part_number=into_part, serial_number=into_serial, manufacturer=into_manufacturer)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _, head, _ = ledger_head(store)
            act = partial(
                merge_units,
                store,
                unit_scanned(store, gone, as_of=as_of_day(as_of)),
                unit_scanned(store, stays, as_of=as_of_day(as_of)),
                reason=reason,
                authorised_by=authorised_by,
                recorded_by=staff(),
                head=head,
            )
            done = shown_first(
                act,
                lambda it: tell_moves(it.mended),
                lambda it: f"Make {it.gone} and {it.stays} one unit?",
                preview=preview,
                yes=yes,
                as_of=as_of,
            )
        if done is not None:
            entries = done.mended.entries
            typer.echo(f"Entries {entries[0]} to {entries[-1]}: {done.gone} is {done.stays}.")
            typer.echo(f"Ledger head {done.mended.ledger_head}")
