"""`document check`: is every document that certificates name there, and is it what was filed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from fleetlife.checks.documents import document_altered, document_missing
from fleetlife.clocks.world import open_world
from fleetlife.store.documents import Documents, is_kept
from fleetlife.store.engine import Store
from fleetlife.store.papers import documents_named, papers_without_document
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
    found: dict[tuple[str, str, str], DocumentRow] = {}
    states: dict[str, str] = {}
    for number, organisation, part, serial, document, entry in named:
        key = (number, organisation, document)
        if key in found:
            held = found[key]
            found[key] = DocumentRow(**{n: getattr(held, n) for n in held.__slots__} | {"lines": held.lines + 1})
            continue
        if document not in states:
            states[document] = documents.state(document) if is_kept(document) else "elsewhere"
            if tell is not None:
                tell("documents", len(states))
        found[key] = DocumentRow(
            tracking_number=number,
            organisation=organisation,
            part_number=part,
            serial_number=serial,
            document=document,
            state=states[document],
            lines=1,
            entry=entry,
        )
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
