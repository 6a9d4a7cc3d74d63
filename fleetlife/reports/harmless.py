"""Data made harmless before it is shown: what cannot be seen, or would steer a terminal, is written out.

A serial number with an invisible character in it must not look like one without, so every control, format,
unassigned and private character, every space but the plain one, is shown as its escape (`\\x1b`, `\\u200b`).
"""

from __future__ import annotations

import unicodedata

from rich.text import Text

# Stands for a space at which no line may break. A private character, which `harmless` never lets through from data.
TIE = "\ue000"
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp", "Zs"))


def harmless(text: str | None) -> str:
    """The text with everything unseen written out; empty for None."""
    if not text:
        return ""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character == " " or unicodedata.category(character) not in _UNSEEN:
        return character
    number = ord(character)
    if number <= 0xFF:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number <= 0xFFFF else f"\\U{number:08x}"


def said(text: str | None, style: str = "") -> Text:
    """Data as Text that may be folded at its spaces."""
    return Text(harmless(text), style=style, end="")


def whole(text: str | None, style: str = "") -> Text:
    """Data as Text that is kept on one line: part and serial numbers, dates."""
    return Text(harmless(text).replace(" ", TIE), style=style, end="")


def tied(*parts: str | None, style: str = "") -> Text:
    """Several pieces of data that belong together on one line, one space between them; absent ones are left out."""
    return Text(TIE.join(harmless(part).replace(" ", TIE) for part in parts if part), style=style, end="")
