"""The questions: swap check, cards, explain; and answers in rows."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from fleetlife.cli.context import (
    CLEAN,
    FINDINGS,
    as_of_day,
    day_option,
    open_database,
    progress_line,
    refusals,
    say,
    show,
    write_text,
)
from fleetlife.cli.options import (
    CARD_FORMATS,
    AsOf,
    CardFormat,
    Database,
    FittingDay,
    KnownAt,
    Manufacturer,
    Output,
    Part,
    Serial,
    check_format,
)

if TYPE_CHECKING:
    from fleetlife.store.engine import Store


def write_rows(
    about: dict[str, Any], rows: list[dict[str, Any]], columns: tuple[str, ...], *, format: str, output: Path | None
) -> None:
    from fleetlife.transfer import writing

    if format == "json":
        write_text(writing.answer_json(about, rows, columns), output)
    elif format == "csv":
        write_text(writing.answer_csv(rows, columns), output)
        say(_head_of(about))
    else:
        assert output is not None
        writing.write_bytes(output, writing.answer_xlsx(rows, columns, about=_flat(about)))
        say(f"Written to {output}.")


def _head_of(about: dict[str, Any]) -> str:
    """The head of an answer in one line, for a format that has no place for it."""
    editions = "; ".join(about["editions"]) or "none in force"
    files = "; ".join(f"{each['states']} as in {each['file']} (SHA-256 {each['sha256']})" for each in about["what_if"])
    fitted = about.get("fitted_on", about["as_of"])
    supposed = f"What if: {files}. Not recorded. " if files else ""
    supposed += f"If fitted on {fitted}. " if fitted != about["as_of"] else ""
    return supposed + (
        f"As of {about['as_of']}, known at {about['known_at'] or 'now'}, ledger head {about['ledger_head']}, "
        f"entry {about['ledger_entry']}, editions {editions}, oldest reading {about['oldest_reading'] or 'none'}."
    )


def _flat(about: dict[str, Any]) -> dict[str, Any]:
    """The head as one line a value, as the second sheet of a workbook shows it."""
    flat: dict[str, Any] = {}
    for name, value in about.items():
        if isinstance(value, dict):
            flat |= {f"{name}: {key}": each for key, each in _flat(value).items()}
        elif isinstance(value, (list, tuple)) and any(isinstance(each, dict) for each in value):
            for number, each in enumerate(value, start=1):
                flat |= {f"{name} {number}: {key}": part for key, part in _flat(each).items()}
        else:
            flat[name] = value
    return flat


def swap_check(
    registration: Annotated[str, typer.Argument(metavar="REGISTRATION")],
    position: Annotated[str, typer.Argument(metavar="POSITION")],
    part: Part,
    serial: Serial,
    manufacturer: Manufacturer = None,
    on: FittingDay = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: CardFormat = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """May this unit go on this door: one of three answers, with every reason and with what was not checked.

    Exit status 0 no objection in these records, 1 conditions to meet first or do not fit. An answer is not a release.

    \b
    Examples:
      fleetlife swap check Q-TRN L1 SP-4100-3 0417
      fleetlife swap check Q-TRN L1 SP-4100-3 0417 --on 2027-03-01
      fleetlife swap check Q-TRN L1 photo:plate.jpg
    """
    check_format(format, CARD_FORMATS)
    with refusals():
        from fleetlife.answers.swap_check import swap_check as ask
        from fleetlife.cli.scanning import unit_asked
        from fleetlife.terms.views import OUTCOMES

        day = as_of_day(as_of)
        with open_database(database) as store:
            fitted = None if on is None else day_option(on, "--on")
            named = unit_asked(store, part, serial, manufacturer, as_of=day, fitted_on=fitted or day)
            answer = ask(
                store,
                registration=registration,
                position=position,
                part_number=named[0],
                serial_number=named[1],
                manufacturer=named[2],
                as_of=day,
                known_at=known_at,
                fitted_on=fitted,
            )
        if format == "json":
            from fleetlife.reports.rows import swap_answer_as_dict
            from fleetlife.transfer.writing import json_text

            write_text(json_text(swap_answer_as_dict(answer)), output)
        else:
            from fleetlife.reports.swap import swap_answer

            show(swap_answer(answer), output=output)
    raise typer.Exit(CLEAN if answer.outcome == OUTCOMES[0] else FINDINGS)


def unit(
    part: Part,
    serial: Serial,
    requirement: Annotated[
        str | None,
        typer.Argument(metavar="REQUIREMENT", help="With --explain: this requirement alone.", show_default=False),
    ] = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Unfold each due date into the sentences and figures it rests on.")
    ] = False,
    story: Annotated[
        bool, typer.Option("--story", help="Its life from birth to the day asked, oldest first, with every gap named.")
    ] = False,
    log_card: Annotated[
        bool, typer.Option("--log-card", help="The card that goes with it at a transfer, with its digest.")
    ] = False,
    manufacturer: Manufacturer = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: CardFormat = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """One unit: what it is, where it was and is, its paper, its work, and what falls due when and why.

    --story and --log-card end with exit status 1 where something is open: a gap, an overlap, an unknown or a finding.

    \b
    Examples:
      fleetlife unit SP-4100-3 0417
      fleetlife unit SP-4100-3 0417 --explain OVH
      fleetlife unit SP-4100-3 0417 --explain --format json
      fleetlife unit SP-4100-3 0417 --story
      fleetlife unit SP-4100-3 0417 --log-card --output 0417.txt
      fleetlife unit -
    """
    check_format(format, CARD_FORMATS)
    if requirement is not None and not explain:
        raise typer.BadParameter("A requirement is named to be explained: add --explain.", param_hint="REQUIREMENT")
    if explain + story + log_card > 1:
        raise typer.BadParameter("Ask for --explain, --story or --log-card, not for two of them.")
    asked = (("--explain", explain), ("--story", story), ("--log-card", log_card))
    what = next((f"unit {name}" for name, on in asked if on), "unit")
    named: dict[str, Any] = {"as_of": as_of_day(as_of), "known_at": known_at}
    with refusals():
        from fleetlife.cli.scanning import unit_asked

        with open_database(database) as store:
            asked_for = unit_asked(store, part, serial, manufacturer, as_of=named["as_of"])
            named |= dict(zip(("part_number", "serial_number", "manufacturer"), asked_for, strict=True))
            card, bad = _unit_asked(store, what, named, requirement)
        _write_card(card, what, format=format, output=output)
    raise typer.Exit(FINDINGS if bad else CLEAN)


def _unit_asked(store: Store, what: str, named: dict[str, Any], requirement: str | None) -> tuple[Any, bool]:
    """The answer about a unit, and whether something in it is open."""
    card: Any
    if what == "unit --explain":
        from fleetlife.answers.unfold import unfolded

        card = unfolded(store, **named, requirement=requirement)
        return card, not card.due or any(each.row.state in ("overdue", "unknown") for each in card.due)
    if what == "unit --story":
        from fleetlife.answers.story import unit_story

        card = unit_story(store, **named)
        return card, bool(card.holes)
    if what == "unit --log-card":
        from fleetlife.answers.log_card import log_card

        card = log_card(store, **named)
        return card, bool(card.holes or card.findings)
    from fleetlife.answers.unit import unit_card

    card = unit_card(store, **named)
    return card, bool(card.findings)


def airframe(
    registration: Annotated[str, typer.Argument(metavar="REGISTRATION")],
    pack: Annotated[
        Path | None,
        typer.Option(
            "--pack",
            metavar="FOLDER",
            help="Write what goes with it at a transfer into a new or empty folder, whole or not at all.",
            show_default=False,
        ),
    ] = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: CardFormat = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """One airframe: its doors, what hangs where since when, what falls due next, and open findings.

    With --pack: an index with what is open on top, a log card for every unit carried, the papers (named and not filed
    ones too), gaps and findings, as readable text and as csv, each file with its SHA-256. Exit status 1 where a gap, a
    paper that is not filed or a finding is open.

    \b
    Examples:
      fleetlife airframe Q-TRN
      fleetlife airframe Q-TRN --pack return-Q-TRN --as-of 2026-11-25
    """
    check_format(format, CARD_FORMATS)
    if pack is not None:
        if format != "table" or output is not None:
            raise typer.BadParameter("A pack is a folder of its own: leave --format and --output out.")
        _packed(pack, registration, as_of=as_of_day(as_of), known_at=known_at, database=database)
    with refusals():
        from fleetlife.answers.airframe import airframe_card as ask

        with open_database(database) as store:
            card = ask(store, registration=registration, as_of=as_of_day(as_of), known_at=known_at)
        _write_card(card, "airframe", format=format, output=output)
    raise typer.Exit(FINDINGS if card.findings else CLEAN)


def _packed(folder: Path, registration: str, *, as_of: date, known_at: str | None, database: str | None) -> NoReturn:
    """Write the pack and leave, with the status of what is open in it."""
    with refusals():
        from fleetlife.answers.pack import airframe_pack
        from fleetlife.cli.packing import write_pack
        from fleetlife.transfer.folder import check_empty

        check_empty(folder)
        with open_database(database) as store, progress_line() as tell:
            pack = airframe_pack(store, registration=registration, as_of=as_of, known_at=known_at, tell=tell)
            tell("writing", 0)
            names = write_pack(pack, folder)
        gaps = sum(len(card.holes) for card in pack.units)
        write_text(
            f"{len(names):,} files in {folder}: {len(pack.units):,} log cards, {len(pack.papers):,} certificates, "
            f"{len(pack.not_filed):,} papers named but not filed, {gaps:,} gaps, overlaps and unknowns, "
            f"{len(pack.findings):,} open findings. Begin with index.txt. Ledger head {pack.about.ledger_head}.",
            None,
        )
    raise typer.Exit(FINDINGS if gaps or pack.not_filed or pack.findings else CLEAN)


def certificate(
    tracking_number: Annotated[str, typer.Argument(metavar="TRACKING-NUMBER")],
    organisation: Annotated[
        str | None,
        typer.Option("--organisation", metavar="NAME", help="Where two issued the number.", show_default=False),
    ] = None,
    who_else: Annotated[
        str | None,
        typer.Option(
            "--who-else",
            metavar="WHAT",
            help="The other units whose papers share its batch, visit, signatory, organisation, or all of these.",
            show_default=False,
        ),
    ] = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: CardFormat = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """One release certificate by the numbered blocks of its form, each line beside the unit it is filed against, with
    the differing characters marked.

    With --who-else: where the other units with such papers are now, installed ones first, and what stands against
    them.

    \b
    Examples:
      fleetlife certificate FR-22-0871
      fleetlife certificate FR-22-0871 --who-else signatory
    """
    check_format(format, CARD_FORMATS)
    if who_else is not None:
        _who_else(
            tracking_number,
            organisation,
            who_else,
            as_of=as_of,
            known_at=known_at,
            output=output,
            format=format,
            database=database,
        )
    with refusals():
        from fleetlife.answers.certificate import certificate_card as ask

        with open_database(database) as store:
            card = ask(
                store,
                tracking_number=tracking_number,
                organisation=organisation,
                as_of=as_of_day(as_of),
                known_at=known_at,
            )
        _write_card(card, "certificate", format=format, output=output)
    raise typer.Exit(FINDINGS if card.findings else CLEAN)


def _who_else(
    tracking_number: str,
    organisation: str | None,
    what: str,
    *,
    as_of: str | None,
    known_at: str | None,
    format: str,
    output: Path | None,
    database: str | None,
) -> NoReturn:
    with refusals():
        from fleetlife.answers.who_else import who_else as ask
        from fleetlife.terms.shared import SHARED

        with open_database(database) as store:
            answer = ask(
                store,
                tracking_number=tracking_number,
                organisation=organisation,
                by=SHARED if what == "all" else [word.strip() for word in what.split(",")],
                as_of=as_of_day(as_of),
                known_at=known_at,
            )
        if format == "json":
            from fleetlife.reports.rows import card_as_dict
            from fleetlife.transfer.writing import json_text

            write_text(json_text(card_as_dict(answer)), output)
        else:
            from fleetlife.reports.who_else import who_else_report

            show(who_else_report(answer), output=output)
    raise typer.Exit(FINDINGS if any(unit.findings for unit in answer.units) else CLEAN)


def _write_card(card: Any, what: str, *, format: str, output: Path | None) -> None:
    if what == "unit --log-card":
        from fleetlife.cli.cards import card_json, digested
        from fleetlife.reports.log_card import log_card

        if format == "json":
            write_text(card_json(card), output)
        else:
            show(log_card(card, digested(card)[1]), output=output)
        return
    if format == "json":
        from fleetlife.reports.rows import card_as_dict
        from fleetlife.transfer.writing import json_text

        write_text(json_text(card_as_dict(card)), output)
        return
    if what == "unit":
        from fleetlife.reports.unit import unit_card

        show(unit_card(card), output=output)
    elif what == "unit --explain":
        from fleetlife.reports.unfold import unfolded_unit

        show(unfolded_unit(card), output=output)
    elif what == "unit --story":
        from fleetlife.reports.story import unit_story

        show(unit_story(card), output=output)
    elif what == "airframe":
        from fleetlife.reports.airframe import airframe_card

        show(airframe_card(card), output=output)
    else:
        from fleetlife.reports.certificate import certificate_card

        show(certificate_card(card), output=output)


def explain(
    code: Annotated[
        str | None,
        typer.Argument(
            metavar="CODE|RULE|ENTRY",
            help="A finding's code or name, a published rule, or the number of a ledger entry.",
        ),
    ] = None,
    database: Database = None,
) -> None:
    """The page of a finding: what it means, why it matters, the published rule, what to do, what it cannot see.

    Without a code: the list of all findings, and of the published rules applied with their editions. With a rule: what
    it says and what is done by it. With a number: that ledger entry.

    \b
    Examples:
      fleetlife explain LIF103
      fleetlife explain serial-number-differs
      fleetlife explain M.A.501
      fleetlife explain 1204
    """
    with refusals():
        if code is not None and code.isdigit():
            from fleetlife.answers.entry import entry_text

            with open_database(database) as store:
                write_text(entry_text(store, int(code)), None)
            return
        from fleetlife.answers.explain import Page, all_codes, all_rules, pages_named
        from fleetlife.reports.findings import codes_table, finding_page
        from fleetlife.reports.published import rule_pages, rules_table

        if code is None:
            show(codes_table(all_codes()))
            write_text("", None)
            show(rules_table(all_rules()))
            return
        page = pages_named(code)
        show(finding_page(page) if isinstance(page, Page) else rule_pages(page))
