"""The identity's commands: what a unit is, where record and data plate do not say the same."""

from __future__ import annotations

from functools import partial
from typing import Annotated

import typer

from fleetlife.cli.context import as_of_day, day_option, open_database, refusals, say, show, staff
from fleetlife.cli.ledger import Authorised, Reason
from fleetlife.cli.options import AsOf, ClockBehind, Database, Manufacturer, Preview, Yes
from fleetlife.cli.recording import storable
from fleetlife.cli.showing import shown_first, tell_moves

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
        from fleetlife.actions.identity import correct_identity
        from fleetlife.actions.swap import UnitName
        from fleetlife.answers.entry import ledger_head

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
                UnitName(part_number=part_number, serial_number=serial_number, manufacturer=recorded_manufacturer),
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

    Example: fleetlife identity merge TH-880-1 R8895O TH-880-1 R88950 --reason "taken in twice" --authorised-by Q2
    """
    with refusals():
        from fleetlife.actions.merge import merge_units
        from fleetlife.actions.swap import UnitName
        from fleetlife.answers.entry import ledger_head

        for what, text in (("reason", reason), ("authorised-by", authorised_by)):
            storable(what, text)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _, head, _ = ledger_head(store)
            act = partial(
                merge_units,
                store,
                UnitName(part_number=part_number, serial_number=serial_number, manufacturer=manufacturer),
                UnitName(part_number=into_part, serial_number=into_serial, manufacturer=into_manufacturer),
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


On = Annotated[str | None, typer.Option("--on", metavar="DAY", help="When; today if left out.", show_default=False)]
SeenBy = Annotated[str, typer.Option("--seen-by", metavar="STAFF", help="Who read the plate.")]
Document = Annotated[
    str | None, typer.Option("--reference", metavar="TEXT", help="The document that says so.", show_default=False)
]


def plate_differs(
    part_number: Part,
    serial_number: Serial,
    plate_part: Annotated[str, typer.Option("--plate-part", metavar="PART", help="The part number on the plate.")],
    plate_serial: Annotated[
        str, typer.Option("--plate-serial", metavar="SERIAL", help="The serial number on the plate.")
    ],
    seen_by: SeenBy,
    on: On = None,
    reference: Document = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Log that a unit's data plate was read and is not what the record says: it is on hold until that is answered.

    The answer is either that the record was wrong (identity correct) or that the plate was misread (plate-agrees).

    Examples:
      fleetlife identity plate-differs KV-2100-3 20110 --plate-part KV-2100-3 --plate-serial 20011 --seen-by S-204
      fleetlife identity plate-differs KV-2100-3 20110 --plate-part KV-2100-1 --plate-serial 20110 --seen-by S-204
    """
    _plate(
        (part_number, serial_number, manufacturer),
        (plate_part, plate_serial),
        seen_by=seen_by,
        on=on,
        reference=reference,
        preview=preview,
        yes=yes,
        as_of=as_of,
        accept_clock_behind=accept_clock_behind,
        database=database,
    )


def plate_agrees(
    part_number: Part,
    serial_number: Serial,
    seen_by: SeenBy,
    on: On = None,
    reference: Document = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Log that a unit's data plate was read and is what the record says: an earlier reading that was not was wrong.

    Example: fleetlife identity plate-agrees KV-2100-3 20110 --seen-by S-204 --reference "second look, W-4480"
    """
    _plate(
        (part_number, serial_number, manufacturer),
        None,
        seen_by=seen_by,
        on=on,
        reference=reference,
        preview=preview,
        yes=yes,
        as_of=as_of,
        accept_clock_behind=accept_clock_behind,
        database=database,
    )


def _plate(
    unit: tuple[str, str, str | None],
    plate: tuple[str, str] | None,
    *,
    seen_by: str,
    on: str | None,
    reference: str | None,
    preview: bool,
    yes: bool,
    as_of: str | None,
    accept_clock_behind: bool,
    database: str | None,
) -> None:
    """Show what a reading of a plate moves; then ask, and record it."""
    with refusals():
        from fleetlife.actions.plate import PlateRecorded, PlateSeen, record_plate
        from fleetlife.actions.swap import UnitName
        from fleetlife.answers.entry import ledger_head
        from fleetlife.reports.compare import moved_report

        day = as_of_day(as_of)
        for what, text in (("plate", " ".join(plate or ())), ("seen-by", seen_by), ("reference", reference)):
            storable(what, text)
        seen = PlateSeen(
            unit=UnitName(part_number=unit[0], serial_number=unit[1], manufacturer=unit[2]),
            plate=plate,
            on=day if on is None else day_option(on, "--on"),
            seen_by=seen_by,
            reference=reference,
        )

        def told(it: PlateRecorded) -> None:
            show(moved_report(it.moved, units=1))
            for line in it.told:
                say(line)

        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _, head, _ = ledger_head(store)
            done = shown_first(
                partial(record_plate, store, seen, as_of=day, recorded_by=staff(), head=head),
                told,
                lambda it: f"Record that the data plate of {it.name} reads {it.plate}?",
                preview=preview,
                yes=yes,
                as_of=as_of,
            )
        if done is not None:
            typer.echo(f"Entry {done.entry}: the data plate of {done.name} reads {done.plate}.")
            typer.echo(f"On hold: {done.hold}." if done.hold else "It is not on hold.")
            typer.echo(f"Ledger head {done.ledger_head}")
