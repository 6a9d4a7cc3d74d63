"""The `fleetlife` command: the application and its groups."""

from __future__ import annotations

import typer

from fleetlife.cli import (
    asking,
    auditing,
    compare,
    documents,
    identity,
    keeping,
    ledger,
    operating,
    plates,
    programme,
    publications,
    recording,
    retaining,
    stores,
    swapping,
    walk_round,
)
from fleetlife.cli.scanning import TakesUnit

app = typer.Typer(
    name="fleetlife",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Component life and interchangeability records of aircraft evacuation equipment. "
    "It records and computes; it is not maintenance data and not a release.",
    epilog="Start with: fleetlife demo",
)
swap = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="May this unit go on this door; and log that it did."
)
operation = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Fillings, pressurisations and activations: log that one happened.",
)
programmes = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="What a revised programme moves, before it is taken in."
)
notices = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Directives and bulletins: which units they mean, and what is open on them.",
)
identities = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="What a unit is, where the record and the data plate do not say the same.",
)
papers = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="The papers themselves, kept by the digest of their content."
)
receiving = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Units that come in and lie in stores: receipt, hold, suspicion, and what lies where.",
)
chain = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="The ledger: verify, print the head, export, put right.",
)


def _version(wanted: bool) -> None:
    if wanted:
        import fleetlife

        typer.echo(f"fleetlife {fleetlife.__version__}")
        raise typer.Exit


@app.callback()
def everything(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Print the version and leave."
    ),
) -> None:
    """Component life and interchangeability records of aircraft evacuation equipment.

    It records and computes; it is not maintenance data and not a release.
    """


app.command("init")(keeping.init)
app.command("import")(keeping.import_files)
app.command("export")(keeping.export_files)
app.command("demo")(keeping.demo)
app.command("due")(asking.due)
app.add_typer(swap, name="swap")
swap.command("check", cls=TakesUnit)(asking.swap_check)
swap.command("record", cls=TakesUnit)(recording.swap_record)
swap.command("plan", cls=TakesUnit)(swapping.plan)
swap.command("sheet")(swapping.sheet)
swap.command("checked")(swapping.checked)
swap.command("begin")(swapping.begin)
swap.command("enter")(swapping.enter)
swap.command("gauge", cls=TakesUnit)(swapping.gauge)
swap.command("sign")(swapping.sign)
swap.command("release")(swapping.release)
swap.command("give-up")(swapping.give_up)
swap.command("fill")(swapping.fill)
swap.command("show")(swapping.show_one)
swap.command("list")(swapping.list_swaps)
app.add_typer(operation, name="operation")
operation.command("record", cls=TakesUnit)(operating.operation_record)
app.command("audit")(auditing.audit)
app.command("unit", cls=TakesUnit)(asking.unit)
app.command("airframe")(asking.airframe)
app.command("certificate")(asking.certificate)
app.command("walk-round")(walk_round.walk_round)
app.add_typer(programmes, name="programme")
programmes.command("changes")(programme.changes)
app.add_typer(notices, name="publication")
notices.command("status")(publications.status)
notices.command("list")(publications.list_all)
app.command("compare")(compare.compare)
app.command("retention")(retaining.retention)
app.command("explain")(asking.explain)
app.add_typer(identities, name="identity")
identities.command("correct", cls=TakesUnit)(identity.correct)
identities.command("merge", cls=TakesUnit)(identity.merge)
identities.command("read")(plates.read)
identities.command("plate", cls=TakesUnit)(plates.plate)
identities.command("plate-differs", cls=TakesUnit)(plates.plate_differs)
identities.command("plate-agrees", cls=TakesUnit)(plates.plate_agrees)
app.add_typer(papers, name="document")
papers.command("file")(documents.document_file)
papers.command("read")(documents.document_read)
papers.command("check")(documents.document_check)
app.add_typer(receiving, name="stores")
receiving.command("receive", cls=TakesUnit)(stores.receive)
receiving.command("list")(stores.list_units)
receiving.command("evidence-pack", cls=TakesUnit)(stores.evidence_pack)
receiving.command("lift", cls=TakesUnit)(stores.lift)
receiving.command("suspect", cls=TakesUnit)(stores.suspect)
receiving.command("clear", cls=TakesUnit)(stores.clear)
app.add_typer(chain, name="ledger")
chain.command("verify")(ledger.verify)
chain.command("head")(ledger.head)
chain.command("export")(ledger.export)
chain.command("correct")(ledger.correct)
chain.command("withdraw")(ledger.withdraw)
chain.command("mend")(ledger.mend)
chain.command("waive")(ledger.waive)


def run() -> None:
    """The console command."""
    app()


if __name__ == "__main__":
    run()
