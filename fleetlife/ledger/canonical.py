"""Canonical text (RFC 8785) of an entry, and its digest.

`json.dumps` with sorted keys equals RFC 8785 for ASCII keys and no floats; a property test holds it against
the reference package.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

from fleetlife.terms.refusal import Refusal

_encode = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode
_decode = json.JSONDecoder().raw_decode


def canonical(value: Any) -> str:
    """The canonical text. Refusal: `text-not-storable` for U+0000 and lone surrogates."""
    text = _encode(value)
    if "\\u0000" in text and not _free_of_nul(value):
        raise _not_storable()
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise _not_storable() from error
    return text


def read_back(text: str) -> Any:
    """What a canonical text of the ledger says: nothing stands before or after it."""
    return _decode(text)[0]


def digest(text: str) -> str:
    """SHA-256 of the canonical text as 64 hexadecimal characters."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def is_storable(text: str) -> bool:
    """False for text with U+0000 or a lone surrogate, which not every database keeps."""
    return "\x00" not in text and not any("\ud800" <= c <= "\udfff" for c in text)


def _free_of_nul(value: Any) -> bool:
    if isinstance(value, str):
        return "\x00" not in value
    if isinstance(value, dict):
        return all(_free_of_nul(k) and _free_of_nul(v) for k, v in value.items())
    if isinstance(value, (list, tuple)):
        return all(_free_of_nul(v) for v in value)
    return True


def _not_storable() -> Refusal:
    return Refusal(
        "text-not-storable",
        "The text holds a character that cannot be stored (U+0000 or half of a surrogate pair).",
        remedy="Remove the character and try again.",
    )
