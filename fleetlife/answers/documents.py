"""`document check`: is every document that certificates name there, and is it what was filed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from fleetlife.checks.documents import document_altered, document_missing
from fleetlife.clocks.world import open_world
from fleetlife.ledger.facts import HoldDecision
from fleetlife.store.documents import Documents, is_kept
from fleetlife.store.engine import Store
from fleetlife.store.papers import documents_named, papers_without_document
from fleetlife.store.reference import facts_of_kind, unit_facts
from fleetlife.terms.documents import DocumentReport, DocumentRow
from fleetlife.terms.finding import Finding

_ORDER = ("altered", "missing", "elsewhere", "there")


def documents_checked(
    store: Store, documents: Documents, *, as_of: date, tell: Callable[[str, int], None] | None = None
) -> DocumentReport:
    """Every document that a standing certificate names, read whole and compared with its name.

    One row for each certificate and document. Refusal: `documents-not-reachable`.
    """
    with store.reading() as connection:
        about = open_world(connection, as_of=as_of, kept=store.kept).about("document check")
        named = documents_named(connection)
        without = papers_without_document(connection)
        decided = _decided(connection)
    found: dict[tuple[str, str, str], DocumentRow] = {}
    states: dict[str, str] = {}

    def state_of(document: str) -> str:
        """What became of it, read once however many name it."""
        if document not in states:
            states[document] = documents.state(document) if is_kept(document) else "elsewhere"
            if tell is not None:
                tell("documents", len(states))
        return states[document]

    for number, organisation, part, serial, document, entry in named:
        key = (number, organisation, document)
        if key in found:
            found[key] = replace(found[key], lines=found[key].lines + 1)
            continue
        found[key] = DocumentRow(
            tracking_number=number,
            organisation=organisation,
            part_number=part,
            serial_number=serial,
            document=document,
            state=state_of(document),
            lines=1,
            entry=entry,
        )
    for row in decided:
        found["decision", str(row.entry), row.document] = replace(row, state=state_of(row.document))
    rows = sorted(found.values(), key=lambda row: (_ORDER.index(row.state), row.tracking_number, row.organisation))
    return DocumentReport(
        about=about,
        place=documents.place,
        rows=tuple(rows),
        without=without,
        unnamed=tuple(name for name in documents.names() if name not in states),
        findings=tuple(sorted(_findings(rows), key=Finding.sort_key)),
    )


def _findings(rows: list[DocumentRow]) -> Iterator[Finding]:
    yield from document_missing(rows)
    yield from document_altered(rows)


def _decided(connection: Any) -> list[DocumentRow]:
    """The documents that decisions of holds name, not yet looked into."""
    decided = [
        (number, fact)
        for number, fact in facts_of_kind(connection, HoldDecision)
        if isinstance(fact, HoldDecision) and fact.document is not None
    ]
    openings = unit_facts(connection, {fact.unit for _, fact in decided})
    return [
        DocumentRow(
            tracking_number=f"{fact.decision} on {fact.decided_on}",
            organisation=fact.decided_by,
            part_number=openings[fact.unit].part_number,
            serial_number=openings[fact.unit].serial_number,
            document=fact.document or "",
            state="there",
            lines=1,
            entry=number,
            kind="decision",
        )
        for number, fact in decided
    ]
