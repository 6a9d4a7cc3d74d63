"""Ledger: what verification found. Each takes the differences it was given and tells them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import Difference
from fleetlife.terms.finding import Finding


@check("LED101", "chain-differs", "stop", waivable=False)
def chain_differs(differences: Iterable[Difference]) -> Iterator[Finding]:
    """An entry of the ledger does not follow from the one before it, or a head kept elsewhere is not on the chain.

    Why it matters: something was changed, cut or put in after it was recorded. Nothing the records say can be relied
    on until it is known what.

    Triggers: an entry whose digest is not that of its text; a number left out; a head printed on last month's sheet
    that `fleetlife ledger verify --head DIGEST` does not find.

    Does not: a correction or a withdrawal, which are entries of their own.

    What to do: stop recording, keep a copy, and compare with a backup and with heads printed before; raised by
    `fleetlife ledger verify`.

    What it cannot see: a chain rebuilt as a whole by somebody who owns the database. Only a head kept elsewhere shows
    that.
    """
    for each in differences:
        yield finding(
            "LED101",
            regards=regards(each.where),
            message=f"{each.where}: expected {each.expected}, found {each.found}.",
            hint="Stop recording and compare with a backup; fleetlife ledger verify --head DIGEST",
            expected=each.expected,
            found=each.found,
            evidence=(
                Evidence(source="computed", says=each.expected, entry=each.entry),
                Evidence(source="stored", says=each.found, entry=each.entry),
            ),
        )


@check("LED102", "derived-rows-differ", "stop", waivable=False)
def derived_rows_differ(differences: Iterable[Difference]) -> Iterator[Finding]:
    """What is stored about a unit is not what follows from the ledger.

    Why it matters: every answer is given from the stored rows; the ledger is the record.

    Triggers: a due point altered by hand in the database; a stay that an interrupted repair left behind.

    Does not: a difference that a correction explains, because a correction derives the rows anew.

    What to do: keep a copy, find out how it came about, then build the rows anew from the ledger; raised by
    `fleetlife ledger verify`.

    What it cannot see: whether the ledger itself says what happened.
    """
    for each in differences:
        yield finding(
            "LED102",
            regards=regards(each.where, each.unit),
            message=f"{each.where}{f' of {each.unit}' if each.unit else ''}: the ledger gives {each.expected}, stored "
            f"is {each.found}.",
            hint="Keep a copy before anything is rebuilt; fleetlife ledger verify",
            expected=each.expected,
            found=each.found,
            evidence=(
                Evidence(source="follows from the ledger", says=each.expected, entry=each.entry),
                Evidence(source="stored", says=each.found, entry=each.entry),
            ),
        )
