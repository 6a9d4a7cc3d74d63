"""The stores inspector's commands: a unit came in, what holds it, what lies where."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import (
    CLEAN,
    FINDINGS,
    as_of_day,
    day_option,
    open_database,
    refusals,
    show,
    staff,
    will_ask,
    write_text,
)
from fleetlife.cli.documents import Place, place_of_documents
from fleetlife.cli.options import (
    CARD_FORMATS,
    AsOf,
    CardFormat,
    ClockBehind,
    Database,
    FittedOn,
    Format,
    KnownAt,
    Manufacturer,
    On,
    Output,
    Part,
    Preview,
    Serial,
    Yes,
    check_format,
    text_option,
)
from fleetlife.cli.plates import PlatePart, PlateSerial, Scan, stated_plate
from fleetlife.cli.recording import storable
from fleetlife.cli.showing import shown_first
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from datetime import date

    from fleetlife.actions.receive import NewUnit
    from fleetlife.actions.swap import UnitName
    from fleetlife.paper.symbol import Plate
    from fleetlife.store.engine import Store

NONE_SEEN, NOT_LOOKED = ("none seen", "none"), ("not looked", "not looked for")
By = Annotated[str, typer.Option("--by", metavar="STAFF", help="Who decided.")]
Reference = Annotated[
    str | None,
    typer.Option("--reference", metavar="TEXT", help="The document that shows it, by its number.", show_default=False),
]
Paper = Annotated[
    Path | None,
    typer.Option(
        "--document", metavar="FILE", help="The document itself: kept by its digest, and named.", show_default=False
    ),
]


def receive(
    part_number: Part,
    serial_number: Serial,
    inspector: Annotated[str, typer.Option("--inspector", metavar="STAFF", help="Who looked.")],
    result: Annotated[str, typer.Option("--result", metavar="WORD", help="accepted or quarantined.")],
    store: Annotated[str | None, text_option("--store", "NAME", "The store it goes to.")] = None,
    bin: Annotated[str | None, text_option("--bin", "NAME", "The bin there.")] = None,
    scan: Scan = None,
    plate_part: PlatePart = None,
    plate_serial: PlateSerial = None,
    certificate: Annotated[
        str | None, text_option("--certificate", "NUMBER", "The release certificate that came.")
    ] = None,
    organisation: Annotated[str | None, text_option("--organisation", "NAME", "Who issued the certificate.")] = None,
    order: Annotated[str | None, text_option("--order", "NUMBER", "The order it came on.")] = None,
    delivery_note: Annotated[str | None, text_option("--delivery-note", "NUMBER", "The delivery note.")] = None,
    mark: Annotated[str | None, text_option("--mark", "MARK", "The last test mark: as stamped, or YYYY-MM.")] = None,
    cured: Annotated[str | None, text_option("--cured", "DATE", "The date of cure that stands on it.")] = None,
    expires: Annotated[str | None, text_option("--expires", "DATE", "The expiry that stands on it.")] = None,
    damage: Annotated[
        str, typer.Option("--damage", metavar="TEXT", help="What was seen, or: none seen, not looked.")
    ] = NOT_LOOKED[0],
    condition: Annotated[
        str | None, text_option("--condition", "WORD", "Its condition, where the paper states one; else as it was.")
    ] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The document of the inspection.")] = None,
    new: Annotated[bool, typer.Option("--new", help="The records do not know it: introduce it.")] = False,
    manufactured: Annotated[
        str | None, text_option("--manufactured", "DATE", "New: when it was made, by its paper.")
    ] = None,
    paper_cured: Annotated[str | None, text_option("--paper-cured", "DATE", "New: date of cure, by its paper.")] = None,
    paper_expires: Annotated[str | None, text_option("--paper-expires", "DATE", "New: expiry, by its paper.")] = None,
    hours: Annotated[
        str | None, text_option("--hours-since-new", "HHHH:MM", "New: hours since new, by its paper.")
    ] = None,
    cycles: Annotated[
        int | None, text_option("--cycles-since-new", "N", "New: cycles since new, by its paper.")
    ] = None,
    life_quality: Annotated[
        str | None, text_option("--life-quality", "WORD", "New: documented, rebuilt or estimated.")
    ] = None,
    batch: Annotated[str | None, text_option("--batch", "NAME", "New: its batch.")] = None,
    owner: Annotated[str | None, text_option("--owner", "NAME", "New: whose it is.")] = None,
    return_by: Annotated[
        str | None, text_option("--return-by", "DAY", "New: borrowed, and to go back to its owner by then.")
    ] = None,
    on: On = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    format: CardFormat = "table",
    database: Database = None,
) -> None:
    """A unit came in: plate, paper, mark, damage and where it goes, as one entry.

    Whatever does not agree with the record puts it on hold, and the hold goes by itself when that is put right: the
    paper filed, the record corrected. Damage and a quarantine are lifted by name and evidence (stores lift). What was
    not looked at is told. With --new the unit is introduced by what its paper states; a count it does not state stays
    unknown. Exit status 1 where it is on hold.

    \b
    Examples:
      fleetlife stores receive KV-2100-3 20110 --inspector S-204 --result accepted --store Main --certificate HB-1
      fleetlife stores receive KV-2100-3 20110 --scan - --inspector S-204 --result quarantined --damage "torn cover"
    """
    from fleetlife.terms import words

    check_format(format, CARD_FORMATS)
    _one_of("--result", result, words.RECEIPT_RESULTS)
    _one_of("--condition", condition, words.CONDITIONS)
    _one_of("--life-quality", life_quality, words.LIFE_QUALITIES)
    paper = {
        "manufactured": manufactured,
        "cured": paper_cured,
        "expires": paper_expires,
        "hours": hours,
        "cycles": cycles,
        "life_quality": life_quality,
        "batch": batch,
        "owner": owner,
        "return_by": None if return_by is None else day_option(return_by, "--return-by").isoformat(),
    }
    if return_by is not None and not owner:
        raise typer.BadParameter("A borrowed unit has an owner: say whose it is with --owner.", param_hint="--owner")
    if not new and any(value is not None for value in paper.values()):
        raise typer.BadParameter("What its paper states of its life is taken with --new alone.", param_hint="--new")
    with refusals():
        from fleetlife.actions.receive import ReceiptSeen, record_receipt
        from fleetlife.answers.entry import ledger_head
        from fleetlife.terms.stores import UnitReceived

        day = as_of_day(as_of)
        seen_on = day if on is None else day_option(on, "--on")
        texts = {
            "inspector": inspector,
            "store": store,
            "bin": bin,
            "certificate": certificate,
            "certificate_organisation": organisation,
            "order": order,
            "delivery_note": delivery_note,
            "reference": reference,
        }
        for what, text in {**texts, **paper, "damage": damage, "plate-part": plate_part}.items():
            storable(what, text)
        looked, seen_damage = _damage(damage)
        introduced = _new_unit(paper) if new else None

        def told(it: UnitReceived) -> None:
            if preview or will_ask(yes):
                _show_received(it, preview=True, format=format)

        with open_database(database, accept_clock_behind=accept_clock_behind) as kept:
            _, head, _ = ledger_head(kept)
            plate = stated_plate(scan, plate_part, plate_serial, as_of=day)
            name, plate = _unit(kept, (part_number, serial_number, manufacturer), plate, new=new, as_of=day)
            seen = ReceiptSeen(
                unit=name,
                on=seen_on,
                result=result,
                plate=_numbers(plate),
                mark=_mark(mark, as_of=seen_on),
                cured=_partial("--cured", cured),
                expires=_partial("--expires", expires),
                looked=looked,
                damage=seen_damage,
                condition=condition,
                new=introduced,
                **texts,  # type: ignore[arg-type]
            )
            done = shown_first(
                partial(record_receipt, kept, seen, as_of=day, recorded_by=staff(), head=head),
                told,
                lambda it: f"Record the receipt of {it.name}?",
                preview=preview,
                yes=yes,
                as_of=as_of,
            )
        if done is None:
            raise typer.Exit(CLEAN)
        _show_received(done, preview=False, format=format)
    raise typer.Exit(FINDINGS if done.hold else CLEAN)


def _show_received(done: Any, *, preview: bool, format: str) -> None:
    if format == "json":
        from fleetlife.reports.rows import card_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(card_as_dict(done) | {"preview": preview}), None)
        return
    from fleetlife.reports.stores import unit_received

    show(unit_received(done, preview=preview))


def _one_of(option: str, word: str | None, allowed: tuple[str, ...]) -> None:
    if word is not None and word not in allowed:
        raise typer.BadParameter(f"{word!r} is none of {', '.join(allowed)}.", param_hint=option)


def _damage(text: str) -> tuple[bool, str | None]:
    """Whether somebody looked, and what was seen."""
    said = text.strip()
    if said.casefold() in NOT_LOOKED:
        return False, None
    if said.casefold() in NONE_SEEN:
        return True, None
    if not said:
        raise typer.BadParameter("Say what was seen, or: none seen, not looked.", param_hint="--damage")
    return True, said


def _partial(option: str, text: str | None) -> str | None:
    """A date, as much as is known, in its canonical text. Refusal: `date-not-read`."""
    from fleetlife.dates.partial import parse_partial

    try:
        return None if text is None else parse_partial(text).text
    except Refusal as refusal:
        raise typer.BadParameter(f"{refusal.message} {refusal.remedy}", param_hint=option) from None


def _mark(text: str | None, *, as_of: date) -> str | None:
    """The month of the mark, as stamped or as YYYY-MM. Refusals: `mark-not-read`, `date-not-read`."""
    from fleetlife.dates.marks import looks_like_mark, parse_mark
    from fleetlife.dates.partial import parse_partial

    if text is None:
        return None
    return (parse_mark(text, as_of=as_of) if looks_like_mark(text) else parse_partial(text)).text


def _new_unit(paper: dict[str, Any]) -> NewUnit:
    """What the paper states. Refusals: `hours-*`, `total-negative`."""
    from fleetlife.actions.receive import NewUnit
    from fleetlife.terms.measure import parse_hours

    minutes = None if paper["hours"] is None else parse_hours(str(paper["hours"]))
    for what, value in (("hours", minutes), ("cycles", paper["cycles"])):
        if value is not None and value < 0:
            raise Refusal("total-negative", f"{what} since new is below zero.", remedy="Correct it.", status=2)
    return NewUnit(
        manufactured=_partial("--manufactured", paper["manufactured"]),
        cured=_partial("--paper-cured", paper["cured"]),
        expires=_partial("--paper-expires", paper["expires"]),
        minutes_since_new=minutes,
        cycles_since_new=paper["cycles"],
        life_quality=paper["life_quality"],
        batch=paper["batch"],
        owner=paper["owner"],
        return_by=paper["return_by"],
    )


def _unit(
    store: Store, named: tuple[str, str, str | None], plate: Plate | None, *, new: bool, as_of: date
) -> tuple[UnitName, Plate | None]:
    """The unit as typed or as its scan names it, and what its plate says; a scan in the place of the numbers is the
    plate. Refusals: `plate-names-no-part`, `plate-names-no-serial`, those of `unit_asked`."""
    from fleetlife.actions.swap import UnitName
    from fleetlife.cli.scanning import SCANNED, asked_by_plate, plate_of

    part, serial, maker = named
    if serial == SCANNED:
        plate = plate_of(part, as_of=as_of)
        if new:
            part, serial = _numbers(plate) or ("", "")
        else:
            with store.reading() as connection:
                part, serial, maker = asked_by_plate(connection, plate, maker)
    for what, text in (("part number", part), ("serial number", serial), ("manufacturer", maker)):
        storable(what, text)
    return UnitName(part_number=part, serial_number=serial, manufacturer=maker), plate


def _numbers(plate: Plate | None) -> tuple[str, str] | None:
    """Part and serial number as the plate reads. Refusals: `plate-names-no-part`, `plate-names-no-serial`."""
    if plate is None:
        return None
    for what, number in (("part", plate.part), ("serial", plate.serial)):
        if number is None:
            raise Refusal(
                f"plate-names-no-{what}",
                f"The plate's symbol states no one {what} number.",
                remedy="Type the unit's numbers, and both as they are on the plate: --plate-part and --plate-serial.",
            )
    return plate.part or "", plate.serial or ""


# --- decisions ------------------------------------------------------------------------------------------------------


def lift(
    part_number: Part,
    serial_number: Serial,
    by: By,
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="What shows that it may go.")],
    reference: Reference = None,
    document: Paper = None,
    on: On = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    documents: Place = None,
    database: Database = None,
) -> None:
    """Lift what a receipt found and a person must decide: damage, a quarantine. By name and with evidence.

    Refused while something does not agree: that is put right, not lifted. A suspicion stays; it is cleared by stores
    clear.

    \b
    Example: fleetlife stores lift KV-2100-3 20110 --by Q-11 --why "cover replaced by the shop" --reference HB-2
    """
    _decide(
        "lifted",
        (part_number, serial_number, manufacturer),
        {"by": by, "why": why, "reference": reference},
        document=document,
        documents=documents,
        on=on,
        asked=(preview, yes, as_of),
        accept_clock_behind=accept_clock_behind,
        database=database,
    )


def suspect(
    part_number: Part,
    serial_number: Serial,
    by: By,
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="What is suspected.")],
    reference: Reference = None,
    document: Paper = None,
    on: On = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    documents: Place = None,
    database: Database = None,
) -> None:
    """Flag a unit as a suspected unapproved part: a stop of its own that no other lifting touches.

    Nothing is reported to anybody by it: whom to tell, how and by when follows the rules of your authority. What the
    records hold of it is gathered by stores evidence-pack.

    \b
    Example: fleetlife stores suspect KV-2100-3 20110 --by S-204 --why "serial number re-stamped"
    """
    _decide(
        "suspected",
        (part_number, serial_number, manufacturer),
        {"by": by, "why": why, "reference": reference},
        document=document,
        documents=documents,
        on=on,
        asked=(preview, yes, as_of),
        accept_clock_behind=accept_clock_behind,
        database=database,
    )


def clear(
    part_number: Part,
    serial_number: Serial,
    by: By,
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="What shows that it is good.")],
    reference: Reference = None,
    document: Paper = None,
    on: On = None,
    manufacturer: Manufacturer = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    documents: Place = None,
    database: Database = None,
) -> None:
    """Clear a unit of the suspicion that it is an unapproved part. By name and with evidence.

    \b
    Example: fleetlife stores clear KV-2100-3 20110 --by Q-11 --why "maker confirms it" --document letter.pdf
    """
    _decide(
        "cleared",
        (part_number, serial_number, manufacturer),
        {"by": by, "why": why, "reference": reference},
        document=document,
        documents=documents,
        on=on,
        asked=(preview, yes, as_of),
        accept_clock_behind=accept_clock_behind,
        database=database,
    )


def _decide(
    decision: str,
    unit: tuple[str, str, str | None],
    stated: dict[str, str | None],
    *,
    document: Path | None,
    documents: str | None,
    on: str | None,
    asked: tuple[bool, bool, str | None],
    accept_clock_behind: bool,
    database: str | None,
) -> None:
    """Show what a decision leaves of the hold; then ask, and record it. The paper is kept before: what is recorded is
    there."""
    preview, yes, as_of = asked
    with refusals():
        from fleetlife.actions.hold_decision import Decided, record_decision
        from fleetlife.actions.swap import UnitName
        from fleetlife.answers.entry import ledger_head
        from fleetlife.cli.scanning import unit_scanned
        from fleetlife.reports.stores import decision_recorded
        from fleetlife.store.documents import Documents

        day = as_of_day(as_of)
        for what, text in stated.items():
            storable(what, text)
        paper = None
        if document is not None:
            place = Documents(place_of_documents(documents, database))
            # shown only, nothing is kept either
            paper = str(document) if preview else place.keep(document)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _, head, _ = ledger_head(store)
            name = UnitName(part_number=unit[0], serial_number=unit[1], manufacturer=unit[2])
            decided = Decided(
                unit=unit_scanned(store, name, as_of=day),
                decision=decision,
                why=stated["why"] or "",
                decided_by=stated["by"] or "",
                on=day if on is None else day_option(on, "--on"),
                reference=stated["reference"],
                document=paper,
            )
            done = shown_first(
                partial(record_decision, store, decided, as_of=day, recorded_by=staff(), head=head),
                lambda it: show(decision_recorded(it, preview=True)) if preview or will_ask(yes) else None,
                lambda it: f"Record this of {it.name}?",
                preview=preview,
                yes=yes,
                as_of=as_of,
            )
        if done is not None:
            show(decision_recorded(done))


# --- what lies where ------------------------------------------------------------------------------------------------


def list_units(
    store: Annotated[
        list[str] | None, typer.Option("--store", metavar="NAME", help="Only this store; may be repeated.")
    ] = None,
    part: Annotated[
        list[str] | None, typer.Option("--part", metavar="PART", help="Only this part number; may be repeated.")
    ] = None,
    side: Annotated[
        str | None,
        text_option("--side", "SIDE", "left or right: what is rigged for it, and parts made for it alone."),
    ] = None,
    fitted_on: FittedOn = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """What lies in the stores: bin, rigged side, condition, hold, and what is left; the worst of each store first.

    What a unit holds counts with it. Exit status 1 where something is on hold, overdue or not known.

    \b
    Examples:
      fleetlife stores list
      fleetlife stores list --store "Main store" --side left --part KV-2100-3
      fleetlife stores list --format xlsx --output stores.xlsx
    """
    from fleetlife.terms import words

    check_format(format, output=output)
    _one_of("--side", side, words.HARNESS_SIDES)
    with refusals():
        from fleetlife.answers.stores import stores_list

        with open_database(database) as kept:
            answer = stores_list(
                kept,
                as_of=as_of_day(as_of),
                known_at=known_at,
                part_numbers=part or (),
                stores=store or (),
                side=side,
                fitted_on=None if fitted_on is None else day_option(fitted_on, "--fitted-on"),
            )
        if format == "table":
            from fleetlife.reports.stores import stores_list as report

            show(report(answer), output=output)
        else:
            from fleetlife.reports.rows import STORES_COLUMNS, stores_about_as_dict, stores_as_dicts

            about = stores_about_as_dict(answer)
            write_rows(about, stores_as_dicts(answer), STORES_COLUMNS, format=format, output=output)
    bad = any(row.hold or row.state in (None, "overdue", "no refill", "unknown") for row in answer.rows)
    raise typer.Exit(FINDINGS if bad else CLEAN)


def evidence_pack(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A new or an empty folder.")],
    part_number: Part,
    serial_number: Serial,
    manufacturer: Manufacturer = None,
    as_of: AsOf = None,
    documents: Place = None,
    database: Database = None,
) -> None:
    """All that the records hold of one unit, in a folder with digests: for whoever has to look into a suspicion.

    Card, story, certificates with copies of their documents, receipts, findings, and the other units of the same
    certificate, batch, delivery or organisation. Written whole or not at all. Nothing is reported to anybody by it.
    Exit status 1 where something named is not in the pack.

    \b
    Example: fleetlife stores evidence-pack evidence-20110 KV-2100-3 20110
    """
    with refusals():
        from fleetlife.answers.evidence_pack import evidence_pack as ask
        from fleetlife.cli.evidence import write_evidence
        from fleetlife.cli.scanning import unit_asked
        from fleetlife.store.documents import Documents, is_kept

        day = as_of_day(as_of)
        with open_database(database) as store:
            part, serial, maker = unit_asked(store, part_number, serial_number, manufacturer, as_of=day)
            pack = ask(store, part_number=part, serial_number=serial, manufacturer=maker, as_of=day)
        kept = any(is_kept(document) for document, _ in pack.named)
        place = Documents(place_of_documents(documents, database)) if kept else None
        names, lacking = write_evidence(pack, folder, place)
        typer.echo(
            f"{len(names):,} files in {folder}: {len(pack.papers):,} certificates, {len(pack.not_filed):,} papers "
            f"named but not filed, {len(lacking):,} documents not in it, {len(pack.concerned):,} lines of other units, "
            f"{len(pack.findings):,} open findings. Begin with index.txt. Ledger head {pack.about.ledger_head}."
        )
    raise typer.Exit(FINDINGS if lacking or pack.not_filed else CLEAN)
