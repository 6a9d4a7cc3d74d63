"""The folder of an evidence pack: which files it holds and what stands in them."""

from __future__ import annotations

import hashlib
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fleetlife.terms.evidence import Concerned, PackDocument

if TYPE_CHECKING:
    from fleetlife.store.documents import Documents
    from fleetlife.terms.evidence import EvidencePack


def write_evidence(pack: EvidencePack, folder: Path, documents: Documents | None) -> tuple[list[str], list[str]]:
    """Write the pack, whole or not at all; the names of its files, and the documents named that are not in it.

    Refusals: `folder-not-empty`, `documents-not-reachable`."""
    from fleetlife.cli.cards import page_text
    from fleetlife.reports.evidence import evidence_index
    from fleetlife.transfer.folder import whole_folder

    content, papers = _documents(pack, documents)
    content |= {name: text.encode("utf-8") for name, text in _pages(pack, papers).items()}
    listed = [(name, hashlib.sha256(held).hexdigest(), len(held)) for name, held in sorted(content.items())]
    content["sha256sums.txt"] = "".join(f"{sha}  {name}\n" for name, sha, _ in listed).encode()
    sums = content["sha256sums.txt"]
    listed.append(("sha256sums.txt", hashlib.sha256(sums).hexdigest(), len(sums)))
    content["index.txt"] = page_text(evidence_index(pack, papers, listed)).encode("utf-8")
    with whole_folder(folder) as beside:
        for name, held in content.items():
            path = beside / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(held)
    return sorted(content), [paper.document for paper in papers if paper.file is None]


def _documents(pack: EvidencePack, documents: Documents | None) -> tuple[dict[str, bytes], list[PackDocument]]:
    """Copies of the kept documents by file name, and a row for each document that is named."""
    from fleetlife.store.documents import is_kept

    content: dict[str, bytes] = {}
    rows = []
    for document, named_by in pack.named:
        if not is_kept(document) or documents is None:
            rows.append(
                PackDocument(
                    document=document, named_by=named_by, state="elsewhere", file=None, sha256=None, bytes=None
                )
            )
            continue
        held = documents.content(document)
        file = f"documents/{document.removeprefix('sha256:')}"
        if held is not None:
            content[file] = held
        rows.append(
            PackDocument(
                document=document,
                named_by=named_by,
                state=documents.state(document) if held is None else "kept",
                file=None if held is None else file,
                sha256=None if held is None else hashlib.sha256(held).hexdigest(),
                bytes=None if held is None else len(held),
            )
        )
    return content, rows


def _pages(pack: EvidencePack, papers: list[PackDocument]) -> dict[str, str]:
    """Every file of the pack but its documents, index and sums, by name."""
    from fleetlife.cli.cards import page_text
    from fleetlife.reports.rows import about_as_dict, card_as_dict, findings_as_dicts
    from fleetlife.reports.story import unit_story
    from fleetlife.reports.unit import unit_card
    from fleetlife.terms.finding import FINDING_COLUMNS
    from fleetlife.terms.story import PackPaper
    from fleetlife.transfer.writing import answer_csv, json_text

    return {
        "card.txt": page_text(unit_card(pack.card)),
        "card.json": json_text(card_as_dict(pack.card)),
        "story.txt": page_text(unit_story(pack.story)),
        "story.json": json_text(card_as_dict(pack.story)),
        "papers.csv": answer_csv([_row(each) for each in (*pack.papers, *pack.not_filed)], _names(PackPaper)),
        "documents.csv": answer_csv([_row(each) for each in papers], _names(PackDocument)),
        "concerned.csv": answer_csv([_row(each) for each in pack.concerned], _names(Concerned)),
        "findings.csv": answer_csv(findings_as_dicts(pack.findings), FINDING_COLUMNS),
        "about.json": json_text(about_as_dict(pack.about)),
    }


def _names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _row(value: Any) -> dict[str, Any]:
    return {field.name: getattr(value, field.name) for field in fields(value)}
