"""`document file`: a paper kept under its digest, and named by the certificate it is of."""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fleetlife.actions.mend import Mend, Mended, mend
from fleetlife.actions.take_in import take_in
from fleetlife.clocks.named import one_issuer
from fleetlife.store.documents import Documents, is_kept
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.store.papers import certificate_lines_stated
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import IntakeReport
from fleetlife.transfer.reading import read_folder

FILED = "the paper itself filed"


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentFiled:
    """The certificate and the document it names now; mended: None where it named it already."""

    tracking_number: str
    organisation: str
    document: str
    lines: int
    mended: Mended | None


def file_document(
    store: Store,
    documents: Documents,
    path: Path,
    *,
    tracking_number: str,
    organisation: str | None = None,
    instead: str | None = None,
    recorded_by: str,
) -> DocumentFiled:
    """Keep the file and let every line of the certificate name it.

    The document is kept first: what is recorded is there. A place named so far gives way to it; another kept document
    only with `instead`, which says why.
    Refusals: `certificate-unknown`, `certificate-ambiguous`, `document-differs`, those of `Documents.keep` and `mend`.
    """
    with store.reading() as connection:
        number, digest = head_of(connection)
        stated = [
            (entry, item, fact)
            for entry, item, fact in certificate_lines_stated(connection, tracking_number)
            if organisation is None or fold(fact.organisation) == fold(organisation)
        ]
    issuer = one_issuer(tracking_number, organisation, {fact.organisation for _, _, fact in stated})
    document = documents.keep(path)
    wanted = [(entry, item, fact) for entry, item, fact in stated if fact.document != document]
    others = sorted({fact.document for _, _, fact in wanted if fact.document is not None and is_kept(fact.document)})
    if others and instead is None:
        raise Refusal(
            "document-differs",
            f"Certificate {tracking_number} names {', '.join(others)} so far, which is not this file.",
            remedy="See which is the paper. If this one is: say why with --instead; the other stays kept.",
        )
    mended = None
    if wanted:
        mended = mend(
            store,
            [Mend(entry=entry, item=item, changes={"document": document}) for entry, item, _ in wanted],
            reason=instead or FILED,
            authorised_by=recorded_by,
            recorded_by=recorded_by,
            head=digest if number else None,
        )
    return DocumentFiled(
        tracking_number=stated[0][2].tracking_number,
        organisation=issuer,
        document=document,
        lines=len(stated),
        mended=mended,
    )


def file_read(
    store: Store,
    documents: Documents,
    path: Path,
    rows: Sequence[Mapping[str, str]],
    *,
    against: tuple[str, str] | None = None,
    recorded_by: str,
) -> IntakeReport:
    """Keep the paper and take its lines in, as a person has confirmed them; whole or not at all.

    `against`: part and serial number of the unit that every line is filed against.
    Refusals: those of `Documents.keep` and `take_in` (`rows-refused`).
    """
    document = documents.keep(path)
    more = {} if against is None else {"filed_part_number": against[0], "filed_serial_number": against[1]}
    stated = [{**row, **more, "document": document} for row in rows]
    with tempfile.TemporaryDirectory() as folder:
        with (Path(folder) / "certificates.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(dict.fromkeys(name for row in stated for name in row)))
            writer.writeheader()
            writer.writerows(stated)
        return take_in(store, read_folder(folder), recorded_by=recorded_by)
