"""`swap plan` to `swap release`: a swap from its number to the signature that releases the door."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from fleetlife.cli.asking import write_rows
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
    AsOf,
    CardFormat,
    Database,
    FittingDay,
    Format,
    HoursReading,
    KnownAt,
    On,
    Output,
    SaysSo,
    UnitPair,
    check_format,
    text_option,
)
from fleetlife.cli.recording import storable
from fleetlife.cli.takes import RECORDED, SHOWN_FIRST, Asked, takes
from fleetlife.terms import words

if TYPE_CHECKING:
    from fleetlife.actions.swap_work import Wanted
    from fleetlife.terms.swaps import WorkRecorded

Swap = Annotated[
    str,
    typer.Argument(
        metavar="SWAP", help="The swap's number; - for a line from the scanner, from the symbol on its sheet."
    ),
]
By = Annotated[str, typer.Option("--by", metavar="STAFF", help="Who did it, by staff number.")]


@takes(*SHOWN_FIRST)
def plan(
    registration: Annotated[str, typer.Argument(metavar="REGISTRATION", help="The airframe.")],
    position: Annotated[str, typer.Argument(metavar="POSITION", help="The position: L1, 2R.")],
    by: Annotated[str, typer.Option("--by", metavar="STAFF", help="Who plans it, by staff number.")],
    install: Annotated[UnitPair, text_option("--install", "PART SERIAL", "The unit that is to go on.")] = None,
    install_manufacturer: Annotated[
        str | None, text_option("--install-manufacturer", "NAME", "Where two units bear the numbers.")
    ] = None,
    target: Annotated[str | None, text_option("--target", "DAY", "The day by which it is to be done.")] = None,
    number: Annotated[
        str | None, text_option("--number", "SWAP", "Its number; left out, it gets one of its own.")
    ] = None,
    work_order: Annotated[str | None, text_option("--work-order", "TEXT", "The work order.")] = None,
    data_reference: Annotated[
        str | None, text_option("--data-reference", "TEXT", "The approved data it is to be done to.")
    ] = None,
    data_revision: Annotated[str | None, text_option("--data-revision", "TEXT", "Its revision.")] = None,
    remarks: Annotated[str | None, text_option("--remarks", "TEXT", "Anything else.")] = None,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Give a swap its number before anything is touched: which unit is to go where, by when, to which approved data.

    The unit that hangs there now is the one to come off. Print its sheet with `fleetlife swap sheet SWAP`; ask whether
    the unit may go there with `fleetlife swap checked SWAP`. Exit status 1 where something can go wrong with the plan
    (PLN101 and up): it is recorded all the same.

    \b
    Examples:
      fleetlife swap plan Q-TRN R1 --install SP-4100-3 0417 --target 2026-12-10 --by P031
      fleetlife swap plan Q-TRN R1 --install - --by P031 --data-reference "ARM 25-66-01" --data-revision 14
    """
    check_format(asked.format, CARD_FORMATS)
    with refusals():
        from fleetlife.actions.swap import UnitName
        from fleetlife.actions.swap_plan import PlanRequest, plan_swap
        from fleetlife.cli.scanning import units_scanned

        day = as_of_day(asked.as_of)
        texts = {
            "by": by,
            "work order": work_order,
            "data reference": data_reference,
            "data revision": data_revision,
            "remarks": remarks,
            "number": number,
        }
        for name, text in texts.items():
            storable(name, text)
        with open_database(asked.database, accept_clock_behind=asked.accept_clock_behind) as store:
            unit = None
            if install is not None:
                unit = UnitName(part_number=install[0], serial_number=install[1], manufacturer=install_manufacturer)
            request = PlanRequest(
                registration=registration,
                position=position,
                on=day if on is None else day_option(on, "--on"),
                planned_by=by,
                swap=number,
                install=unit,
                target=None if target is None else day_option(target, "--target"),
                work_order=work_order,
                data_reference=data_reference,
                data_revision=data_revision,
                remarks=remarks,
            )
            request = units_scanned(store, request, as_of=day)
            _record(
                partial(plan_swap, store, request, as_of=day, recorded_by=staff()),
                asked,
                status=lambda done: FINDINGS if done.card.findings else CLEAN,
            )


@takes(*RECORDED)
def checked(
    swap: Swap,
    by: Annotated[str, typer.Option("--by", metavar="STAFF", help="Who asks, by staff number.")],
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Ask whether the planned unit may go on its door, and keep the answer with the swap.

    Kept are the answer, how many stops and conditions it names, and the ledger head it was given against. The whole
    answer: fleetlife swap check. An answer is not a release.

    \b
    Example: fleetlife swap checked SW1276 --by S204
    """
    from fleetlife.actions.swap_work import Step

    _work(
        swap,
        lambda day: [Step(step="checked", on=day, by=by)],
        asked,
        {"by": by},
        on=on,
    )


@takes(*RECORDED)
def begin(
    swap: Swap,
    by: By,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Record that work on a planned swap has begun.

    \b
    Example: fleetlife swap begin SW1276 --by M117
    """
    from fleetlife.actions.swap_work import Step

    _work(
        swap,
        lambda day: [Step(step="begun", on=day, by=by)],
        asked,
        {"by": by},
        on=on,
    )


@takes(*RECORDED)
def enter(
    swap: Swap,
    item: Annotated[str, typer.Argument(metavar="ITEM", help="The safety device, lock, test or retained item.")],
    outcome: Annotated[
        str,
        typer.Argument(
            metavar="OUTCOME",
            help="placed, removed, not_used; broken, remade, not_broken; passed, failed; stayed, left, not_found.",
        ),
    ],
    by: By,
    value: Annotated[str | None, text_option("--value", "TEXT", "Of a test: what was read or seen.")] = None,
    unlisted: Annotated[bool, typer.Option("--unlisted", help="Record an item that no data asks for.")] = False,
    reference: SaysSo = None,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Enter one thing of a swap: a device placed or removed, a lock broken or remade, a test, an item that stays.

    What is to be accounted for at the position is the data of the file release_items, and of positions (column
    retained). The door is not released while a device is in, a lock is broken, a test has not passed, or an item is not
    accounted for.

    \b
    Examples:
      fleetlife swap enter SW1276 "inflation pin" placed --by M117
      fleetlife swap enter SW1276 "door indication" passed --value "armed and disarmed shown" --by M117
      fleetlife swap enter SW1276 "girt bar" stayed --by M117
    """
    from fleetlife.actions.swap_work import Work

    _work(
        swap,
        lambda day: [
            Work(
                item=item,
                outcome=_word(outcome),
                on=day,
                by=by,
                value=value,
                reference=reference,
                unlisted=unlisted,
            )
        ],
        asked,
        {"by": by, "item": item, "value": value, "reference": reference},
        on=on,
    )


@takes(*RECORDED)
def gauge(
    swap: Swap,
    pressure: Annotated[str, typer.Argument(metavar="PRESSURE", help="What the gauge shows.")],
    pressure_unit: Annotated[str, typer.Argument(metavar="UNIT", help="psi, bar, kPa or MPa.")],
    by: By,
    celsius: Annotated[str, typer.Option("--celsius", metavar="DEGREES", help="The temperature of the unit.")],
    unit: Annotated[
        UnitPair, text_option("--unit", "PART SERIAL", "Whose gauge, where more than one is fitted.")
    ] = None,
    manufacturer: Annotated[
        str | None, text_option("--manufacturer", "NAME", "Where two units bear the numbers.")
    ] = None,
    reference: SaysSo = None,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Keep what the reservoir's gauge shows at its temperature, and judge it by the part's own table.

    Between two temperatures of the table the bounds lie on a straight line; outside it nothing is known, nothing is
    extrapolated and nothing is converted. The reading is kept whatever it says.

    \b
    Example: fleetlife swap gauge SW1276 2950 psi --celsius 18.5 --by M117
    """
    from fleetlife.actions.swap import UnitName
    from fleetlife.actions.swap_work import Gauge
    from fleetlife.terms.measure import parse_thousandths
    from fleetlife.terms.words import PRESSURE_UNITS

    known = {each.lower(): each for each in PRESSURE_UNITS}
    if pressure_unit.lower() not in known:
        raise typer.BadParameter(f"{pressure_unit!r} is none of {', '.join(PRESSURE_UNITS)}.", param_hint="UNIT")

    def wanted(day: Any) -> list[Wanted]:
        shown = parse_thousandths(pressure)
        if shown < 0:
            raise typer.BadParameter("A gauge shows no pressure below zero.", param_hint="PRESSURE")
        named = (
            None if unit is None else UnitName(part_number=unit[0], serial_number=unit[1], manufacturer=manufacturer)
        )
        return [
            Gauge(
                pressure=shown,
                pressure_unit=known[pressure_unit.lower()],
                millicelsius=parse_thousandths(celsius),
                on=day,
                by=by,
                unit=named,
                reference=reference,
            )
        ]

    _work(
        swap,
        wanted,
        asked,
        {"by": by, "reference": reference},
        on=on,
    )


@takes(*RECORDED)
def sign(
    swap: Swap,
    role: Annotated[str, typer.Argument(metavar="ROLE", help="performed or inspected.")],
    by: Annotated[str, typer.Option("--by", metavar="STAFF", help="Who signs, by staff number.")],
    alone: Annotated[
        str | None,
        text_option("--alone", "WHY", "Why the one who did the work inspects it: recorded as the published exception."),
    ] = None,
    reference: SaysSo = None,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Sign that the work was performed, or that another person inspected it.

    Refused outside what the person may sign on that day (file authorisations), and where the one who did the work
    inspects it without an exception.

    \b
    Examples:
      fleetlife swap sign SW1276 performed --by M117
      fleetlife swap sign SW1276 inspected --by M204
    """
    from fleetlife.actions.swap_work import Sign

    if role not in ("performed", "inspected"):
        raise typer.BadParameter("Say performed or inspected; a release is fleetlife swap release.", param_hint="ROLE")
    _work(
        swap,
        lambda day: [Sign(role=role, on=day, by=by, alone=alone, reference=reference)],
        asked,
        {"by": by, "why": alone, "reference": reference},
        on=on,
    )


@takes(*RECORDED)
def release(
    swap: Swap,
    by: Annotated[str, typer.Option("--by", metavar="STAFF", help="Who releases, by staff number.")],
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The log page or release.")] = None,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Record the signature that releases the door, refused while anything of the swap is open.

    The record is no release to service: certifying staff issue that.

    \b
    Example: fleetlife swap release SW1276 --by C009 --reference TL-40213
    """
    from fleetlife.actions.swap_work import Sign

    _work(
        swap,
        lambda day: [Sign(role="released", on=day, by=by, reference=reference)],
        asked,
        {"by": by, "reference": reference},
        on=on,
    )


@takes(*RECORDED)
def give_up(
    swap: Swap,
    by: By,
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="Why it is not done.")],
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """Give a planned swap up that is not done. What was placed and not removed stays open at the position.

    \b
    Example: fleetlife swap give-up SW1276 --by P031 --why "the unit failed its inspection"
    """
    from fleetlife.actions.swap_work import Step

    _work(
        swap,
        lambda day: [Step(step="given_up", on=day, by=by, why=why)],
        asked,
        {"by": by, "why": why},
        on=on,
    )


@takes(*RECORDED)
def fill(
    swap: Swap,
    file: Annotated[Path, typer.Argument(metavar="JSON", help="The filled sheet; - reads it here.")],
    hours: HoursReading = None,
    *,
    asked: Asked,
) -> None:
    """Take a filled sheet: everything that was done for a swap, from one JSON file, in its order, all of it or nothing.

    Each object of `done` is one thing: {"step": "begun"}, {"item": "inflation pin", "outcome": "placed"}, {"gauge":
    "2950", "unit": "psi", "celsius": "18.5"}, {"sign": "performed"}, or {"record": {...}} with the fields of
    swap record --file. `on` and `by` stand in each, or once for all of them at the top.

    \b
    Example: fleetlife swap fill SW1276 sheet.json
    """
    from fleetlife.cli.filled_sheet import wanted_from

    _work(
        swap,
        lambda day: wanted_from(json_object(file), str(file), day=day, hours=hours),
        asked,
        {},
    )


def sheet(
    swap: Swap,
    on: FittingDay = None,
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="A4 or letter, when it is printed.")] = "A4",
    as_of: AsOf = None,
    output: Output = None,
    database: Database = None,
) -> None:
    """The sheet of a swap: one page (HTML) that goes to the door and comes back filled.

    Both units in type that tells O from 0, certificate, what is left if fitted, the rig to be made and in hand, mass
    and cautions, what stays, the approved data, blanks for what is done, tested and signed, the ledger head, and a
    symbol that a scanner reads back. It gives no procedure.

    \b
    Examples:
      fleetlife swap sheet SW1276 --output SW1276.html
      fleetlife swap sheet SW1276 --paper letter --on 2026-12-10 -o SW1276.html
    """
    sizes = {"a4": "A4", "letter": "letter"}
    if paper.lower() not in sizes:
        raise typer.BadParameter(f"{paper!r} is neither A4 nor letter.", param_hint="--paper")
    with refusals():
        from fleetlife.answers.swap_sheet import swap_sheet
        from fleetlife.reports.swap_sheet import swap_sheet_page

        with open_database(database) as store:
            answer = swap_sheet(
                store,
                scanned(swap),
                as_of=as_of_day(as_of),
                fitted_on=None if on is None else day_option(on, "--on"),
            )
        write_text(swap_sheet_page(answer, paper=sizes[paper.lower()]), output)


def show_one(
    swap: Swap,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: CardFormat = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """One swap: where it stands, what is accounted for, what keeps the door from being released, what happened.

    Exit status 0 when it is released or given up, 1 while anything is open.

    \b
    Examples:
      fleetlife swap show SW1276
      fleetlife swap show -
    """
    check_format(format, CARD_FORMATS)
    with refusals():
        from fleetlife.answers.swaps import swap_show

        with open_database(database) as store:
            card = swap_show(store, scanned(swap), as_of=as_of_day(as_of), known_at=known_at)
        if format == "json":
            from fleetlife.reports.rows import card_as_dict
            from fleetlife.transfer.writing import json_text

            write_text(json_text(card_as_dict(card)), output)
        else:
            from fleetlife.reports.swap_card import swap_card

            show(swap_card(card), output=output)
    raise typer.Exit(CLEAN if card.state in words.SWAPS_OVER else FINDINGS)


def list_swaps(
    airframe: Annotated[
        list[str] | None,
        typer.Option("--airframe", metavar="REGISTRATION", help="Only this airframe; may be repeated."),
    ] = None,
    over_too: Annotated[bool, typer.Option("--all", help="Those released or given up too.")] = False,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """The swaps that are planned or under way: what is done and not released on top, and under each what can go wrong.

    Exit status 1 where one is done and not released, or something can go wrong with a plan (PLN101 and up).

    \b
    Examples:
      fleetlife swap list
      fleetlife swap list --airframe Q-TRN --all --format csv
    """
    check_format(format, output=output)
    with refusals():
        from fleetlife.answers.swaps import swap_list

        with open_database(database) as store:
            answer = swap_list(
                store, as_of=as_of_day(as_of), known_at=known_at, registrations=airframe or (), over_too=over_too
            )
        if format == "table":
            from fleetlife.reports.swap_card import swap_list as report

            show(report(answer), output=output)
        else:
            from fleetlife.reports.rows import about_as_dict, listed
            from fleetlife.terms.swaps import SwapLine

            columns = tuple(SwapLine.__dataclass_fields__)
            write_rows(about_as_dict(answer.about), listed(answer.rows, columns), columns, format=format, output=output)
    raise typer.Exit(FINDINGS if answer.findings or any(row.state == "done" for row in answer.rows) else CLEAN)


# --- what they share ------------------------------------------------------------------------------------------------


def scanned(swap: str) -> str:
    """A swap's number as typed, or a line from the scanner."""
    from fleetlife.clocks.swaps import swap_number

    if swap != "-":
        return swap_number(swap)
    if sys.stdin.isatty():
        say("Scan the symbol on the sheet.")
    return swap_number(sys.stdin.readline())


def _word(outcome: str) -> str:
    """An outcome as it is kept: `not used` and `not-used` are one word."""
    return outcome.strip().lower().replace("-", "_").replace(" ", "_")


def _work(
    swap: str,
    make: Callable[[date], Sequence[Wanted]],
    asked: Asked,
    texts: dict[str, str | None],
    *,
    on: str | None = None,
) -> None:
    """Record what was done for a swap, shown first and asked for at a terminal. `make` gets the day it was done on."""
    check_format(asked.format, CARD_FORMATS)
    with refusals():
        from fleetlife.actions.swap_work import Change, record_work
        from fleetlife.cli.scanning import units_scanned

        day = as_of_day(asked.as_of)
        for name, text in texts.items():
            storable(name, text)
        wanted = make(day_option(on, "--on") if on else day)
        number = scanned(swap)
        with open_database(asked.database, accept_clock_behind=asked.accept_clock_behind) as store:
            named = [
                replace(each, request=units_scanned(store, each.request, as_of=day))
                if isinstance(each, Change)
                else units_scanned(store, each, as_of=day)
                for each in wanted
            ]
            _record(
                partial(
                    record_work,
                    store,
                    number,
                    named,
                    as_of=day,
                    recorded_by=staff(),
                    request_key=asked.request_key,
                ),
                asked,
            )


def _status(done: WorkRecorded) -> int:
    return FINDINGS if done.card.state == "done" else CLEAN


def _record(
    record: Callable[..., WorkRecorded], asked: Asked, *, status: Callable[[WorkRecorded], int] = _status
) -> NoReturn:
    """Record, or at a terminal show first and ask; the exit status by `status`, else 1 while something of a swap that
    is done is open."""
    if asked.preview or will_ask(asked.yes):
        foreseen = record(preview=True)
        _print(foreseen, preview=True, format=asked.format)
        if asked.preview:
            say("Nothing was recorded.")
            raise typer.Exit(status(foreseen))
        confirmed("Record this?", yes=asked.yes)
    done = record(preview=False)
    _print(done, preview=False, format=asked.format)
    raise typer.Exit(status(done))


def _print(done: WorkRecorded, *, preview: bool, format: str) -> None:
    if format == "json":
        from fleetlife.reports.rows import card_as_dict
        from fleetlife.transfer.writing import json_text

        found = {"preview": preview, **card_as_dict(done)}
        if preview:
            found["first_entry"] = found["ledger_head"] = None
        write_text(json_text(found), None)
        return
    from fleetlife.reports.swap_card import work_recorded

    show(work_recorded(done, preview))
