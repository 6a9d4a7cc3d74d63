"""Documents: the paper behind a certificate is there, and is what was filed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.terms.documents import DocumentRow
from fleetlife.terms.finding import Finding


def _address(row: DocumentRow) -> dict[str, Any]:
    paper = row.tracking_number if row.kind == "certificate" else None
    return {"certificate": paper, "part_number": row.part_number, "serial_number": row.serial_number}


def _back(row: DocumentRow) -> str:
    if row.kind != "certificate":
        return "Put it back from a backup, under its own name"
    return f"Put it back, or file it again: fleetlife document file FILE --certificate {row.tracking_number}"


@check("DOC101", "document-missing", "rectify", rules=("145.A.55",))
def document_missing(rows: Iterable[DocumentRow]) -> Iterator[Finding]:
    """The document filed with a certificate is no longer where documents are kept.

    Why it matters: the row says what somebody read; the paper is what can be shown. Without it nothing answers the
    auditor who asks to see it.

    Triggers: the file was moved, or the folder was not copied with the database.

    Does not: a certificate without a document, or one that names a binder or another system; those are counted.

    What to do: put the file back from a backup, under its own name; or file the paper again: `fleetlife document file`.

    What it cannot see: documents kept elsewhere. `fleetlife document check` raises it, not `audit`.
    """
    for row in rows:
        if row.state == "missing":
            yield finding(
                "DOC101",
                regards=regards(row.organisation, row.document),
                message=f"The document of {row.kind} {row.tracking_number} of {row.organisation} is not there: "
                f"{row.document}.",
                hint=_back(row),
                expected=row.document,
                evidence=(Evidence(source="the records", says=row.document, entry=row.entry),),
                **_address(row),
            )


@check("DOC102", "document-altered", "stop", waivable=False, rules=("145.A.55",))
def document_altered(rows: Iterable[DocumentRow]) -> Iterator[Finding]:
    """What stands under the name of a filed document is not what was filed.

    Why it matters: the name is the digest of the content. Another content means that somebody changed the paper after
    it was filed, or that the disk failed; either way it shows nothing.

    Triggers: a scan opened and saved again; a file cut short.

    Does not: another scan of the same paper filed beside it; a file that is gone (DOC101).

    What to do: keep the changed file aside as evidence, put the backup back, and find out who changed it. Until then
    treat what rests on the paper as not shown.

    What it cannot see: a forgery that was filed as it is. `fleetlife document check` raises it, not `audit`.
    """
    for row in rows:
        if row.state == "altered":
            yield finding(
                "DOC102",
                regards=regards(row.organisation, row.document),
                message=f"The document of {row.kind} {row.tracking_number} of {row.organisation} is not what was "
                f"filed: {row.document}.",
                hint="Keep the changed file aside and put the backup back; then fleetlife document check",
                expected=row.document,
                found="another content",
                evidence=(Evidence(source="the records", says=row.document, entry=row.entry),),
                **_address(row),
            )
