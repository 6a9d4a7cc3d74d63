"""The folder of an airframe's pack: which files it holds and what stands in them."""

from __future__ import annotations

import hashlib
import re
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fleetlife.terms.story import LogCard, Pack

GAP_COLUMNS = ("place", "part_number", "serial_number", "kind", "what", "since", "until", "text", "entry")
FITTING_COLUMNS = (
    *("place", "part_number", "serial_number", "on", "event", "into_type", "into_part_number", "into_serial_number"),
    *("into_registration", "position", "hours_since_new", "cycles_since_new", "basis", "reason", "entry"),
)
CARD_COLUMNS = (
    *("place", "part_number", "serial_number", "manufacturer", "description", "condition", "hold", "hours_since_new"),
    *("cycles_since_new", "life_quality", "gaps", "findings", "card", "content_sha256"),
)
_NOT_IN_NAMES = re.compile(r"[^A-Za-z0-9.-]+")


def write_pack(pack: Pack, folder: Path) -> list[str]:
    """Write the pack, whole or not at all; the names of its files. Refusal: `folder-not-empty`."""
    from fleetlife.cli.cards import page_text
    from fleetlife.reports.pack import pack_index
    from fleetlife.transfer.folder import whole_folder

    content = pack_files(pack)
    listed = [(name, hashlib.sha256(held).hexdigest(), len(held)) for name, held in sorted(content.items())]
    content["sha256sums.txt"] = "".join(f"{sha}  {name}\n" for name, sha, _ in listed).encode()
    sums = content["sha256sums.txt"]
    listed.append(("sha256sums.txt", hashlib.sha256(sums).hexdigest(), len(sums)))
    content["index.txt"] = page_text(pack_index(pack, listed)).encode("utf-8")
    with whole_folder(folder) as beside:
        for name, held in content.items():
            path = beside / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(held)
    return sorted(content)


def pack_files(pack: Pack) -> dict[str, bytes]:
    """Every file of the pack but its index and sums, by name."""
    from fleetlife.cli.cards import card_json, digested, page_text
    from fleetlife.reports.log_card import log_card
    from fleetlife.reports.rows import about_as_dict, findings_as_dicts
    from fleetlife.terms.finding import FINDING_COLUMNS
    from fleetlife.terms.story import PackPaper
    from fleetlife.transfer.writing import answer_csv, json_text

    found: dict[str, str] = {}
    units: list[dict[str, Any]] = []
    gaps: list[dict[str, Any]] = []
    fitted: list[dict[str, Any]] = []
    for number, (card, place) in enumerate(zip(pack.units, pack.places, strict=True), start=1):
        name = f"cards/{number:03d}-{_file_name(card)}"
        sha256 = digested(card)[1]
        found[f"{name}.json"] = card_json(card)
        found[f"{name}.txt"] = page_text(log_card(card, sha256))
        address = {"place": place, "part_number": card.part_number, "serial_number": card.serial_number}
        gaps += [address | _row(hole) for hole in card.holes]
        fitted += [address | _row(each) for each in card.fitted]
        counts = {"gaps": len(card.holes), "findings": len(card.findings)}
        units.append(_row(card) | address | counts | {"card": f"{name}.txt", "content_sha256": sha256})
    papers = tuple(field.name for field in fields(PackPaper))
    found["units.csv"] = answer_csv(units, CARD_COLUMNS)
    found["fittings.csv"] = answer_csv(fitted, FITTING_COLUMNS)
    found["gaps.csv"] = answer_csv(gaps, GAP_COLUMNS)
    found["papers.csv"] = answer_csv([_row(each) for each in (*pack.papers, *pack.not_filed)], papers)
    found["findings.csv"] = answer_csv(findings_as_dicts(pack.findings), FINDING_COLUMNS)
    found["about.json"] = json_text(about_as_dict(pack.about))
    return {name: text.encode("utf-8") for name, text in found.items()}


def _row(value: Any) -> dict[str, Any]:
    return {field.name: getattr(value, field.name) for field in fields(value)}


def _file_name(card: LogCard) -> str:
    """The unit's numbers as a file name on any system; the number before it keeps two apart."""
    return _NOT_IN_NAMES.sub("_", f"{card.part_number}_{card.serial_number}")[:80]
