"""Elements of a page: whatever is data is made harmless and escaped, because only `Markup` is let through as it is."""

from __future__ import annotations

from html import escape

from fleetlife.reports.harmless import harmless

VOID = frozenset(("meta", "br", "hr"))


class Markup(str):
    """Text that is markup already; nothing but this module makes it from data."""

    __slots__ = ()


def element(name: str, /, *inside: str | None, **attributes: str) -> Markup:
    """`<name attribute="...">inside</name>`. Text is escaped, Markup is not; an underscore in a name stands for a
    hyphen, and one at its end is left out (`class_`)."""
    named = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(harmless(value), quote=True)}"'
        for key, value in attributes.items()
    )
    opened = f"<{name}{named}>"
    return Markup(opened if name in VOID else f"{opened}{joined(*inside)}</{name}>")


def joined(*parts: str | None) -> Markup:
    """The parts one after the other."""
    shown = (part if isinstance(part, Markup) else escape(harmless(part), quote=False) for part in parts if part)
    return Markup("".join(shown))


def whole_page(*inside: Markup, title: str, style: str) -> str:
    """A page that holds everything itself: no script, and nothing fetched from anywhere, which it also forbids."""
    policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=policy),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        element("style", Markup(style)),
    )
    return f"<!DOCTYPE html>\n{element('html', head, element('body', *inside), lang='en-GB')}\n"
