"""Retention: what must be kept until when."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import as_of_day, open_database, progress_line, refusals, settings, show
from fleetlife.cli.options import AsOf, Database, Format, KnownAt, Output, check_format
from fleetlife.terms.refusal import Refusal

REGIMES = ("eu", "us")


def retention(
    rules: Annotated[
        str | None,
        typer.Option(
            "--rules",
            metavar="RULES",
            help="eu or us, for all; else retention_operators, then retention_rules of the settings file; else all.",
            show_default=False,
        ),
    ] = None,
    part: Annotated[
        list[str] | None, typer.Option("--part", metavar="PART", help="Only this part number; may be repeated.")
    ] = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """What must be kept until when, by which published rule and edition. It lists; nothing is ever deleted.

    Which rules apply is chosen, not guessed; where none are, all are shown and the latest day counts. The settings file
    may state them by operator, in a table [retention_operators] with lines like "Tern Air" = "eu". Entries in the
    ledger stay for ever: the list is of the papers and files that belong to them.

    \b
    Examples:
      fleetlife retention
      fleetlife retention --rules eu --part SP-4100-3
      fleetlife retention --rules us --format xlsx --output keep.xlsx
    """
    check_format(format, output=output)
    if rules is not None and rules not in REGIMES:
        raise typer.BadParameter(f"{rules!r} is neither eu nor us.", param_hint="--rules")
    with refusals():
        chosen, by_operator = (rules, {}) if rules else (_settled(), _by_operator())
        from fleetlife.answers.retention import retention as ask

        with open_database(database) as store, progress_line() as tell:
            answer = ask(
                store,
                as_of=as_of_day(as_of),
                known_at=known_at,
                regimes=() if chosen is None else (chosen,),
                by_operator=by_operator,
                part_numbers=part or (),
                tell=tell,
            )
        if format == "table":
            from fleetlife.reports.retention import retention_report

            show(retention_report(answer), output=output)
            return
        from fleetlife.reports import rows as machine
        from fleetlife.terms.retained import NOTHING_DELETED, RETENTION_COLUMNS

        about: dict[str, Any] = machine.about_as_dict(answer.about)
        about |= {"rules_chosen": list(answer.chosen), "chosen": answer.stated, "published_rules": list(answer.cited)}
        about["rules_by_operator"] = [
            {"operator": each.operator, "rules": list(each.rules), "stated": each.stated} for each in answer.operators
        ]
        about["operators_not_in_records"] = list(answer.not_in_records)
        about |= {"not_listed": list(answer.not_listed), "note": NOTHING_DELETED}
        write_rows(
            about, machine.listed(answer.rows, RETENTION_COLUMNS), RETENTION_COLUMNS, format=format, output=output
        )


def _settled() -> str | None:
    """The rules that the settings file names. Refusal: `setting-not-read`."""
    stated = settings().get("retention_rules")
    if stated is not None and stated not in REGIMES:
        raise Refusal(
            "setting-not-read",
            f"The settings file says retention_rules = {stated!r}, which is neither eu nor us.",
            remedy='Write retention_rules = "eu" or "us", or leave it out for all rules.',
        )
    return None if stated is None else str(stated)


def _by_operator() -> dict[str, tuple[str, ...]]:
    """The rules that the settings file names for operators, each one or several. Refusal: `setting-not-read`."""
    stated = settings().get("retention_operators", {})
    found: dict[str, tuple[str, ...]] = {}
    for name, rules in stated.items() if isinstance(stated, dict) else ():
        words = rules if isinstance(rules, list) else [rules]
        if not words or any(word not in REGIMES for word in words):
            raise _not_read(f"retention_operators says {rules!r} of {name}")
        found[name] = tuple(words)
    if not isinstance(stated, dict):
        raise _not_read(f"retention_operators is {stated!r}")
    return found


def _not_read(what: str) -> Refusal:
    return Refusal(
        "setting-not-read",
        f"The settings file cannot be followed: {what}.",
        remedy='Write a table [retention_operators] with lines like "Tern Air" = "eu", or ["eu", "us"] for both.',
    )
