"""The data plate's commands: what its symbol says, plate and paper and record side by side, and what somebody read."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
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
from fleetlife.cli.options import (
    CARD_FORMATS,
    AsOf,
    CardFormat,
    ClockBehind,
    Database,
    KnownAt,
    Manufacturer,
    On,
    Output,
    Part,
    Preview,
    SaysSo,
    Serial,
    Yes,
    check_format,
)
from fleetlife.cli.recording import storable
from fleetlife.cli.showing import shown_first
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.swap import UnitName
    from fleetlife.paper.symbol import Plate
    from fleetlife.store.engine import Store
    from fleetlife.terms.plate import PlateCard

SeenBy = Annotated[str, typer.Option("--seen-by", metavar="STAFF", help="Who read the plate.")]
Scan = Annotated[
    str | None,
    typer.Option(
        "--scan",
        metavar="SCAN",
        help="What the plate says: its message, - for a line from the scanner, or photo:FILE.",
        show_default=False,
    ),
]
PlatePart = Annotated[
    str | None,
    typer.Option("--plate-part", metavar="PART", help="The part number on the plate.", show_default=False),
]
PlateSerial = Annotated[
    str | None,
    typer.Option("--plate-serial", metavar="SERIAL", help="The serial number on the plate.", show_default=False),
]


def read(
    scan: Annotated[
        str, typer.Argument(metavar="SCAN", help="The plate's message, - for a line from the scanner, photo:FILE.")
    ],
    as_of: AsOf = None,
    format: CardFormat = "table",
    output: Output = None,
) -> None:
    """What a data plate's symbol says, element by element; nothing is looked up and no database is needed.

    Exit status 1 where something in it was not taken.

    \b
    Examples:
      fleetlife identity read -
      fleetlife identity read photo:plate.jpg
    """
    check_format(format, CARD_FORMATS)
    with refusals():
        from fleetlife.answers.plate import plate_says
        from fleetlife.cli.scanning import plate_of

        says = plate_says(plate_of(scan, as_of=as_of_day(as_of)))
        from fleetlife.reports.plate import plate_read

        _told(says, plate_read, format=format, output=output)
    raise typer.Exit(FINDINGS if says.remarks else CLEAN)


def plate(
    part_number: Part,
    serial_number: Serial,
    scan: Scan = None,
    plate_part: PlatePart = None,
    plate_serial: PlateSerial = None,
    manufacturer: Manufacturer = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: CardFormat = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Do plate, paper and record agree: the three side by side, with the differing characters marked.

    Name the unit and say what its plate reads; or scan the plate alone, and the unit it names is compared. Nothing is
    recorded by looking. Exit status 1 where any of the three differs.

    \b
    Examples:
      fleetlife identity plate -
      fleetlife identity plate KV-2100-3 20110 --scan photo:plate.jpg
      fleetlife identity plate KV-2100-3 20110 --plate-part KV-2100-3 --plate-serial 20011
    """
    check_format(format, CARD_FORMATS)
    with refusals():
        from fleetlife.answers.plate import plate_card
        from fleetlife.cli.scanning import SCANNED, asked_by_plate, plate_of, unit_asked

        day = as_of_day(as_of)
        asked = stated_plate(scan, plate_part, plate_serial, as_of=day)
        with open_database(database) as store:
            if asked is None and serial_number == SCANNED:
                asked = plate_of(part_number, as_of=day)
                with store.reading() as connection:
                    named = asked_by_plate(connection, asked, manufacturer, to_compare=True)
            elif asked is None:
                raise _nothing_stated()
            else:
                named = unit_asked(store, part_number, serial_number, manufacturer, as_of=day)
            card = plate_card(
                store,
                asked,
                part_number=named[0],
                serial_number=named[1],
                manufacturer=named[2],
                as_of=day,
                known_at=known_at,
            )
        from fleetlife.reports.plate import plate_card as report

        _told(card, report, format=format, output=output)
    raise typer.Exit(FINDINGS if card.differs else CLEAN)


def _told(answer: Any, report: Callable[[Any], Any], *, format: str, output: Path | None) -> None:
    """The answer as an object, or as the report shows it."""
    if format == "json":
        from fleetlife.reports.rows import card_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(card_as_dict(answer)), output)
    else:
        show(report(answer), output=output)


def stated_plate(scan: str | None, part: str | None, serial: str | None, *, as_of: date) -> Plate | None:
    """What the plate says by the options, scanned or typed; None where they say nothing of it."""
    if scan is not None and not (part is None and serial is None):
        raise typer.BadParameter("Scan the plate or type its numbers, not both.", param_hint="--scan")
    if scan is not None:
        from fleetlife.cli.scanning import plate_of

        return plate_of(scan, as_of=as_of)
    if part is None and serial is None:
        return None
    if not (part or "").strip() or not (serial or "").strip():
        raise typer.BadParameter("Both numbers on the plate: --plate-part and --plate-serial.")
    from fleetlife.paper.symbol import Plate

    return Plate(elements=(), current_part=(part or "").strip(), serial=(serial or "").strip())


def _nothing_stated() -> typer.BadParameter:
    return typer.BadParameter("Say what the plate reads: --scan, or --plate-part and --plate-serial.")


def plate_differs(
    part_number: Part,
    serial_number: Serial,
    seen_by: SeenBy,
    scan: Scan = None,
    plate_part: PlatePart = None,
    plate_serial: PlateSerial = None,
    on: On = None,
    reference: SaysSo = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Log that a unit's data plate was read and is not what the record says: it is on hold until that is answered.

    The answer is either that the record was wrong (identity correct) or that the plate was misread (plate-agrees).

    \b
    Examples:
      fleetlife identity plate-differs KV-2100-3 20110 --plate-part KV-2100-3 --plate-serial 20011 --seen-by S-204
      fleetlife identity plate-differs KV-2100-3 20110 --scan - --seen-by S-204 --reference W-4480
    """
    _plate(
        (part_number, serial_number, manufacturer),
        (scan, plate_part, plate_serial),
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
    reference: SaysSo = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Log that a unit's data plate was read and is what the record says: an earlier reading that was not was wrong.

    \b
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
    stated: tuple[str | None, str | None, str | None] | None,
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
    """Show what a reading of a plate moves; then ask, and record it. stated: scan, part and serial number; None: what
    the record says."""
    with refusals():
        from fleetlife.actions.plate import PlateRecorded, PlateSeen, record_plate
        from fleetlife.actions.swap import UnitName
        from fleetlife.answers.entry import ledger_head
        from fleetlife.cli.scanning import SCANNED, asked_by_plate, plate_of, unit_scanned
        from fleetlife.reports.compare import moved_report

        day = as_of_day(as_of)
        for what, text in (("seen-by", seen_by), ("reference", reference)):
            storable(what, text)
        asked = None if stated is None else stated_plate(*stated, as_of=day)
        if stated is not None and asked is None:
            raise _nothing_stated()

        def told(it: PlateRecorded) -> None:
            show(moved_report(it.moved, units=1))
            for line in it.told:
                say(line)

        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _, head, _ = ledger_head(store)
            name = UnitName(part_number=unit[0], serial_number=unit[1], manufacturer=unit[2])
            if stated is None and name.serial_number == SCANNED:
                scanned = plate_of(name.part_number, as_of=day)
                with store.reading() as connection:
                    named = asked_by_plate(connection, scanned, name.manufacturer)
                name = UnitName(part_number=named[0], serial_number=named[1], manufacturer=named[2])
                _refuse_unless_read_alike(store, scanned, name, as_of=day)
            name = unit_scanned(store, name, as_of=day)
            seen = PlateSeen(
                unit=name,
                plate=None if asked is None else _reads(store, asked, name, as_of=day),
                on=day if on is None else day_option(on, "--on"),
                seen_by=seen_by,
                reference=reference,
            )
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


def _reads(store: Store, plate: Plate, unit: UnitName, *, as_of: date) -> tuple[str, str]:
    """Part and serial number as the plate reads. Refusals: `plate-agrees`, `plate-names-no-part`,
    `plate-names-no-serial`, those of `answers.plate.plate_card`."""
    for what, number in (("part", plate.part), ("serial", plate.serial)):
        if number is None:
            raise Refusal(
                f"plate-names-no-{what}",
                f"The plate's symbol states no one {what} number.",
                remedy="Type both as they are on the plate: --plate-part and --plate-serial.",
            )
    part, serial = plate.part or "", plate.serial or ""
    for what, text in (("plate", part), ("plate", serial)):
        storable(what, text)
    if plate.current_part is None and _beside(store, plate, unit, as_of=as_of).numbers_agree:
        raise Refusal(
            "plate-agrees",
            f"The plate reads what is recorded, {part} {serial}.",
            remedy="If that is to be recorded, say so with fleetlife identity plate-agrees.",
        )
    return part, serial


def _refuse_unless_read_alike(store: Store, plate: Plate, unit: UnitName, *, as_of: date) -> None:
    """A scanned plate is not said to read what is recorded unless it does. Refusal: `plate-reads-otherwise`."""
    card = _beside(store, plate, unit, as_of=as_of)
    if not card.numbers_agree:
        raise Refusal(
            "plate-reads-otherwise",
            f"The plate scanned does not read what is recorded of {card.part_number} {card.serial_number}: "
            f"part number {plate.part or 'not stated'}, serial number {plate.serial}.",
            remedy="Compare them with fleetlife identity plate. What it reads is recorded with identity plate-differs; "
            "a part number that is on the plate and not in its symbol is typed.",
        )


def _beside(store: Store, plate: Plate, unit: UnitName, *, as_of: date) -> PlateCard:
    from fleetlife.answers.plate import plate_card

    return plate_card(
        store,
        plate,
        part_number=unit.part_number,
        serial_number=unit.serial_number,
        manufacturer=unit.manufacturer,
        as_of=as_of,
    )
