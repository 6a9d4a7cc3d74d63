"""The ledger itself: its head, one entry, all entries as a file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries, entry
from fleetlife.store.heads import retirements, whole_head
from fleetlife.transfer.writing import write_lines


def ledger_head(store: Store) -> tuple[int, str, str]:
    """Number, digest and recording time of the last entry."""
    with store.reading() as connection:
        return whole_head(connection)


def entry_text(store: Store, number: int) -> str:
    """One entry for reading: its canonical content laid out, its digest, and what has become of it.

    Refusal: `entry-not-known`.
    """
    with store.reading() as connection:
        found = entry(connection, number)
        retired = retirements(connection, number)
    lines = [f"entry {number}, digest {found.digest}"]
    for item, standing, by in retired:
        lines.append(f"item {item}: {standing} by entry {by}")
    body: dict[str, Any] = json.loads(found.text)
    lines.append(json.dumps(body, ensure_ascii=True, indent=2))
    return "\n".join(lines)


def export_ledger(store: Store, path: Path) -> tuple[int, str]:
    """Every entry's canonical text, one a line; how many, and the head's digest. Whole or not at all."""
    with store.reading() as connection:
        _, digest, _ = whole_head(connection)
        count = write_lines(path, (found.text for found in all_entries(connection)))
    return count, digest
