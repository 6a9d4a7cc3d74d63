"""Log cards as they leave the house: the card's content, its digest, and the card for reading."""

from __future__ import annotations

from io import StringIO
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fleetlife.terms.story import LogCard


def digested(card: LogCard) -> tuple[dict[str, Any], str]:
    """The card's content as an object, and the SHA-256 of its canonical text."""
    from fleetlife.ledger.canonical import canonical, digest
    from fleetlife.reports.rows import card_as_dict

    content = card_as_dict(card)
    return content, digest(canonical(content))


def card_json(card: LogCard) -> str:
    """The card as a JSON object: `content`, its `sha256`, and how that is checked."""
    from fleetlife.reports.log_card import CHECK
    from fleetlife.transfer.writing import json_text

    content, sha256 = digested(card)
    return json_text({"sha256": sha256, "check": CHECK, "content": content})


def page_text(renderable: Any) -> str:
    """A report as it is written to a file: width 100 (or COLUMNS), no colour."""
    from fleetlife.cli.context import console

    text = StringIO()
    console(file=text).print(renderable)
    return text.getvalue()
