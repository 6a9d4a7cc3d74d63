"""The page of data plates names every refusal of a scan and every identifier that is used, and no others."""

from __future__ import annotations

import ast
import re

from fleetlife.paper.identifiers import MEANINGS

from .pages import ROOT

PAGE = (ROOT / "docs" / "data-plates.md").read_text(encoding="utf-8")
NAMED = set(re.findall(r"`([^`\s]+)`", PAGE))
READERS = ("paper/envelope.py", "clocks/plate.py", "transfer/photo.py", "cli/scanning.py", "cli/plates.py")
ELSEWHERE = {"unit-unknown", "unit-ambiguous", "plate-agrees"}


def codes() -> set[str]:
    """The refusals raised on the way from a scan to a unit."""
    found: set[str] = set()
    for name in READERS:
        for node in ast.walk(ast.parse((ROOT / "fleetlife" / name).read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "Refusal" and node.args:
                found |= {
                    each.value
                    for each in ast.walk(node.args[0])
                    if isinstance(each, ast.Constant) and isinstance(each.value, str) and not each.value.endswith("-")
                }
    return found


def test_every_refusal_is_on_the_page() -> None:
    assert codes() - ELSEWHERE <= NAMED


def test_every_refusal_on_the_page_is_raised() -> None:
    told = {name for name in NAMED if re.fullmatch(r"(symbol|photo|plate|extra)-[a-z-]+", name)}
    assert told <= codes() | {"plate-differs", "plate-agrees"}


def test_every_identifier_that_is_used_is_on_the_page() -> None:
    used = {name for meanings in MEANINGS.values() for name, meaning in meanings.items() if meaning.role}
    assert used <= NAMED


def test_what_is_from_memory_says_so_on_the_page() -> None:
    marked = set(re.findall(r"`([A-Z0-9]+)` \*", PAGE))
    memory = {
        name
        for meanings in MEANINGS.values()
        for name, meaning in meanings.items()
        if meaning.role and meaning.from_memory
    }
    assert marked == memory
