"""The `fleetlife` command: the application and its groups."""

from __future__ import annotations

import gc
from collections.abc import Mapping
from typing import Any

import typer

from fleetlife.cli.loading import Command, Group, ListsUnloaded, Loaded

COMMANDS: Mapping[str, Command | Group] = {
    "init": Command("keeping", "init", "Make the tables of a new database, or upgrade an older one."),
    "import": Command(
        "keeping", "import_files", "Take files in, whole or not at all; every bad row is listed with what to do."
    ),
    "export": Command("keeping", "export_files", "Write the records as the files that import takes."),
    "demo": Command("keeping", "demo", "Make a database of an invented island airline and walk through the main job."),
    "due": Command(
        "due",
        "due",
        "What expires, where, and by which measure; overdue and unknown on top, coverage at the end.",
    ),
    "audit": Command(
        "auditing",
        "audit",
        "Does the paper agree with the metal: every finding over the fleet or a part of it, with its evidence.",
    ),
    "unit": Command(
        "asking",
        "unit",
        "One unit: what it is, where it was and is, its paper, its work, and what falls due when and why.",
        takes_unit=True,
    ),
    "airframe": Command(
        "asking",
        "airframe",
        "One airframe: its doors, what hangs where since when, what falls due next, and open findings.",
    ),
    "certificate": Command(
        "asking",
        "certificate",
        "One release certificate by the numbered blocks of its form, each line beside the unit it is filed against, "
        "with the differing characters marked.",
    ),
    "walk-round": Command(
        "walk_round",
        "walk_round",
        "What hangs at each position of an airframe against the records: agree, other text, other unit, empty, "
        "unknown.",
    ),
    "compare": Command(
        "compare",
        "compare",
        "What changed between two states of knowledge of one day: what was believed, what is, and by which entries.",
    ),
    "retention": Command(
        "retaining",
        "retention",
        "What must be kept until when, by which published rule and edition. It lists; nothing is ever deleted.",
    ),
    "explain": Command(
        "asking",
        "explain",
        "The page of a finding: what it means, why it matters, the published rule, what to do, what it cannot see.",
    ),
    "swap": Group(
        "May this unit go on this door; and log that it did, from the plan to the release of the door.",
        {
            "check": Command(
                "asking",
                "swap_check",
                "May this unit go on this door: one of three answers, with every reason and with what was not checked.",
                takes_unit=True,
            ),
            "record": Command(
                "recording",
                "swap_record",
                "Log a swap: a removal and an installation at one position as one thing.",
                takes_unit=True,
            ),
            "plan": Command(
                "swapping",
                "plan",
                "Give a swap its number before anything is touched: which unit is to go where, by when, to which "
                "approved data.",
                takes_unit=True,
            ),
            "sheet": Command(
                "swapping",
                "sheet",
                "The sheet of a swap: one page (HTML) that goes to the door and comes back filled.",
            ),
            "checked": Command(
                "swapping",
                "checked",
                "Ask whether the planned unit may go on its door, and keep the answer with the swap.",
            ),
            "begin": Command("swapping", "begin", "Record that work on a planned swap has begun."),
            "enter": Command(
                "swapping",
                "enter",
                "Enter one thing of a swap: a device placed or removed, a lock broken or remade, a test, an item that "
                "stays.",
            ),
            "gauge": Command(
                "swapping",
                "gauge",
                "Keep what the reservoir's gauge shows at its temperature, and judge it by the part's own table.",
                takes_unit=True,
            ),
            "sign": Command(
                "swapping", "sign", "Sign that the work was performed, or that another person inspected it."
            ),
            "release": Command(
                "swapping",
                "release",
                "Record the signature that releases the door, refused while anything of the swap is open.",
            ),
            "give-up": Command(
                "swapping",
                "give_up",
                "Give a planned swap up that is not done. What was placed and not removed stays open at the position.",
            ),
            "fill": Command(
                "swapping",
                "fill",
                "Take a filled sheet: everything that was done for a swap, from one JSON file, in its order, all of it "
                "or nothing.",
            ),
            "guide": Command(
                "guided",
                "guide",
                "Ask for what is still open of a swap, one thing after the other, and record each as it is answered.",
            ),
            "show": Command(
                "swapping",
                "show_one",
                "One swap: where it stands, what is accounted for, what keeps the door from being released, what "
                "happened.",
            ),
            "rob": Command(
                "moving",
                "rob",
                "A robbery: a unit off the donor and on the receiver, as one entry, whole or not at all.",
                takes_unit=True,
            ),
            "place": Command(
                "placing",
                "place",
                "In which ground time each swap that falls due is done: the latest that begins in time, its station, "
                "its day.",
            ),
            "list": Command(
                "swapping",
                "list_swaps",
                "The swaps that are planned or under way: what is done and not released on top, and under each what "
                "can go wrong.",
            ),
        },
    ),
    "operation": Group(
        "Fillings, pressurisations, activations and deployments: log that one happened.",
        {
            "record": Command(
                "operating",
                "operation_record",
                "Log a filling, a pressurisation, an activation or a deployment of a unit.",
                takes_unit=True,
            ),
        },
    ),
    "programme": Group(
        "What a revised programme moves, before it is taken in.",
        {
            "changes": Command(
                "programme",
                "changes",
                "What moves when a revised programme is taken in: which due point, from when to when, why; the worst "
                "first.",
            ),
        },
    ),
    "publication": Group(
        "Directives and bulletins: which units they mean, and what is open on them.",
        {
            "status": Command(
                "publications",
                "status",
                "Which units a directive or bulletin means, where they are, what is open on them and what closes it.",
            ),
            "list": Command(
                "publications",
                "list_all",
                "The directives and bulletins in the records, each with how many units it means and in how many it is "
                "open.",
            ),
        },
    ),
    "identity": Group(
        "What a unit is, where the record and the data plate do not say the same.",
        {
            "correct": Command(
                "identity",
                "correct",
                "Put right what a unit is recorded as: misread or mistyped, while the unit itself is what it always "
                "was.",
                takes_unit=True,
            ),
            "merge": Command(
                "identity",
                "merge",
                "Make two records of one unit one: what the first says is stated again for the second, and the first "
                "is withdrawn.",
                takes_unit=True,
            ),
            "re-identify": Command(
                "moving",
                "re_identify",
                "A unit bears another part number by a modification; shows what moves by it before it is recorded.",
                takes_unit=True,
            ),
            "read": Command(
                "plates",
                "read",
                "What a data plate's symbol says, element by element; nothing is looked up and no database is needed.",
            ),
            "plate": Command(
                "plates",
                "plate",
                "Do plate, paper and record agree: the three side by side, with the differing characters marked.",
                takes_unit=True,
            ),
            "plate-differs": Command(
                "plates",
                "plate_differs",
                "Log that a unit's data plate was read and is not what the record says: it is on hold until that is "
                "answered.",
                takes_unit=True,
            ),
            "plate-agrees": Command(
                "plates",
                "plate_agrees",
                "Log that a unit's data plate was read and is what the record says: an earlier reading that was not "
                "was wrong.",
                takes_unit=True,
            ),
        },
    ),
    "document": Group(
        "The papers themselves, kept by the digest of their content.",
        {
            "file": Command(
                "documents",
                "document_file",
                "Keep the paper of a certificate under the digest of its content, and let the certificate name it.",
            ),
            "read": Command(
                "documents",
                "document_read",
                "Read the text of a certificate, show its blocks beside the unit, and file it when a person says that "
                "it is so.",
            ),
            "check": Command(
                "documents",
                "document_check",
                "Read every document that certificates name, and see that it is there and is what was filed.",
            ),
        },
    ),
    "stores": Group(
        "Units that come in and lie in stores: receipt, hold, suspicion, and what lies where.",
        {
            "receive": Command(
                "stores",
                "receive",
                "A unit came in: plate, paper, mark, damage and where it goes, as one entry.",
                takes_unit=True,
            ),
            "list": Command(
                "stores",
                "list_units",
                "What lies in the stores: bin, rigged side, condition, hold, and what is left; the worst of each "
                "store first.",
            ),
            "evidence-pack": Command(
                "stores",
                "evidence_pack",
                "All that the records hold of one unit, in a folder with digests: for whoever has to look into a "
                "suspicion.",
                takes_unit=True,
            ),
            "lift": Command(
                "stores",
                "lift",
                "Lift what a receipt found and a person must decide: damage, a quarantine. By name and with evidence.",
                takes_unit=True,
            ),
            "suspect": Command(
                "stores",
                "suspect",
                "Flag a unit as a suspected unapproved part: a stop of its own that no other lifting touches.",
                takes_unit=True,
            ),
            "clear": Command(
                "stores",
                "clear",
                "Clear a unit of the suspicion that it is an unapproved part. By name and with evidence.",
                takes_unit=True,
            ),
            "re-rig": Command(
                "moving",
                "re_rig",
                "The harness of a unit in hand was made for the other side, by name and by the approved data worked "
                "to.",
                takes_unit=True,
            ),
            "scrap": Command(
                "moving",
                "scrap",
                "A unit is scrapped, and how it is kept from coming back; of one that is scrapped already, that alone.",
                takes_unit=True,
            ),
        },
    ),
    "assembly": Group(
        "Children on the bench: a reservoir or a battery into its pack, or out of it.",
        {
            "fit": Command(
                "moving",
                "assembly_fit",
                "A child goes into its parent: a reservoir or a battery into its pack.",
                takes_unit=True,
            ),
            "take-out": Command(
                "moving", "assembly_take_out", "A child comes out of its parent, and where it goes.", takes_unit=True
            ),
        },
    ),
    "loan": Group(
        "Units lent out and come back, and borrowed ones gone back to their owners.",
        {
            "out": Command(
                "lending", "loan_out", "A unit in store is lent out, and by when it is to be back.", takes_unit=True
            ),
            "back": Command(
                "lending",
                "loan_back",
                "A unit that was lent out is back. Its condition and its rig are unknown unless they are stated.",
                takes_unit=True,
            ),
            "return": Command(
                "lending",
                "loan_return",
                "A borrowed unit goes back to its owner. It was borrowed with `stores receive --new --owner "
                "--return-by`.",
                takes_unit=True,
            ),
        },
    ),
    "deferral": Group(
        "Inoperative or missing items carried under a deferral, as authorised people entered them.",
        {
            "open": Command(
                "deferring",
                "open_one",
                "An inoperative or missing item at a position, as authorised people entered it.",
            ),
            "close": Command(
                "deferring",
                "close_one",
                "A deferral is over: the item has been put right. One that is not open is refused.",
            ),
            "list": Command(
                "deferring",
                "list_all",
                "What is carried under a deferral: where, since when, until when, by whom, under which conditions, as "
                "entered.",
            ),
        },
    ),
    "spares": Group(
        "Spares: which one to which position, and how long the stock lasts.",
        {
            "choose": Command(
                "spares",
                "choose",
                "Which spare to which position that falls due, so that least is left, re-rigged and thrown away.",
            ),
            "outlook": Command(
                "spares",
                "outlook",
                "How long the stock lasts: by family and rig, month by month, with the chance that it runs out.",
            ),
        },
    ),
    "shop": Group(
        "Shops: the visits that are still to come, and the order of one.",
        {
            "forecast": Command(
                "shop",
                "forecast",
                "Visits to shops that are still to come: by kind of work and part, month by month, those that come "
                "again included.",
            ),
            "order": Command(
                "shop",
                "order",
                "One unit that goes to a shop: the work that is due, and what it holds that passes before its own next "
                "date.",
                takes_unit=True,
            ),
        },
    ),
    "ledger": Group(
        "The ledger: verify, print the head, export, put right.",
        {
            "verify": Command(
                "ledger",
                "verify",
                "Walk the chain and rebuild everything that follows from it; name the first difference of each kind.",
            ),
            "head": Command("ledger", "head", "The last entry's number and digest, to be kept elsewhere."),
            "export": Command(
                "ledger",
                "export",
                "Write every entry as its canonical text, one a line; each line's SHA-256 is the next one's "
                "`previous`.",
            ),
            "correct": Command(
                "ledger",
                "correct",
                "Replace what an entry states by a new entry that names it; the old one stays in the ledger.",
            ),
            "withdraw": Command(
                "ledger",
                "withdraw",
                "Withdraw what an entry states by a new entry that names it; the old one stays in the ledger.",
            ),
            "mend": Command(
                "ledger",
                "mend",
                "Replace and withdraw together what several entries state, judged as a whole: all of it or nothing.",
            ),
            "waive": Command(
                "ledger",
                "waive",
                "Accept a finding until a day, by name and reason. It stays counted; never for what is overdue.",
            ),
        },
    ),
}


class Everything(ListsUnloaded):
    """The commands and groups of `fleetlife`."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**{**settings, "commands": Loaded(COMMANDS)})


app = typer.Typer(
    name="fleetlife",
    cls=Everything,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Component life and interchangeability records of aircraft evacuation equipment. "
    "It records and computes; it is not maintenance data and not a release.",
    epilog="Start with: fleetlife demo",
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


def run() -> None:
    """The console command. What one makes in its short life refers to itself nowhere to speak of, so the search for
    circles comes after a hundred thousand values and not after some hundreds: a tenth of the time of each command."""
    gc.set_threshold(100_000)
    app()


if __name__ == "__main__":
    run()
