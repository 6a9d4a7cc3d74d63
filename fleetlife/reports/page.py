"""The frame of a page that is handed on: its head, its parts and tables, and how it looks on paper and on a phone.

Nothing on such a page needs colour, a script or a connection.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fleetlife.reports.markup import Markup, element, whole_page
from fleetlife.terms.views import About

LIMITS = (
    "These records compute; they are not maintenance data and not a release. Follow the current approved maintenance "
    "data; certifying staff decide."
)


def framed_page(heading: str, scope: str, *parts: Markup, about: About, style: str = "") -> str:
    """The whole page: its heading and scope, what it is not, its parts, and the ledger head to keep. `style` goes on
    from the frame's own."""
    return whole_page(
        element("header", element("h1", heading), element("p", scope, class_="scope")),
        element("main", element("p", LIMITS, class_="limits"), *parts),
        element("footer", element("p", foot(about))),
        title=f"{heading}, {scope}, {about.as_of}",
        style=STYLE + style,
    )


def part(words: str, *inside: Markup, class_: str = "part") -> Markup:
    """A part of the page under its heading."""
    return element("section", element("h2", words), *inside, class_=class_)


def pairs(told: Iterable[tuple[str, str | Markup | None]], class_: str = "facts") -> Markup:
    """Names and what is told of each; those of which nothing is are left out."""
    shown = (element("div", element("dt", name), element("dd", value)) for name, value in told if value)
    return element("dl", *shown, class_=class_)


def table(header: Sequence[str], rows: Iterable[Sequence[str | None]]) -> Markup:
    """On a narrow screen each cell stands under the other and bears its column's name."""
    head = element("thead", element("tr", *(element("th", name, scope="col") for name in header)))
    body = (
        element("tr", *(element("td", value, data_name=name) for name, value in zip(header, row, strict=True)))
        for row in rows
    )
    return element("table", head, element("tbody", *body))


def clocks(about: About) -> list[tuple[str, str | Markup | None]]:
    """Under which clocks and on which ledger: the pairs every page's head has."""
    reading = about.oldest_reading or "none"
    if about.oldest_reading and about.oldest_reading_airframe:
        reading += f" ({about.oldest_reading_airframe})"
    return [
        ("As of", about.as_of),
        ("Known at", about.known_at or "now, every entry counted"),
        ("Ledger head", element("code", about.ledger_head)),
        ("Last entry", str(about.ledger_entry)),
        ("Oldest reading", reading),
    ]


def foot(about: About) -> str:
    """What to keep of the page."""
    return (
        f"As of {about.as_of}. Ledger head {about.ledger_head}, entry {about.ledger_entry}: keep it elsewhere, and "
        "compare it later with fleetlife ledger verify --head."
    )


STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 60rem; padding: 1.25rem 1rem; background: #fff; color: #111;
  font: 1rem/1.45 system-ui, -apple-system, "Segoe UI", "Liberation Sans", Arial, sans-serif;
  overflow-wrap: anywhere; }
h1 { font-size: 1.8rem; margin: 0; }
h2 { font-size: 1.25rem; margin: 2rem 0 .6rem; padding-bottom: .2rem; border-bottom: 2px solid #111; }
h3 { font-size: 1.1rem; margin: 1.5rem 0 .3rem; }
h4 { font-size: 1rem; margin: 1.2rem 0 .2rem; }
p { margin: .3rem 0; }
ul { margin: .2rem 0; padding-left: 1.2rem; }
code { font-family: ui-monospace, "Liberation Mono", Menlo, Consolas, monospace; font-size: .9em; }
.scope { font-size: 1.1rem; }
.limits { border: 1px solid #111; padding: .5rem .7rem; margin: 1rem 0; }
.quiet { font-weight: normal; color: #444; }
dl { margin: .3rem 0; }
dl div { display: grid; grid-template-columns: 9rem 1fr; gap: .2rem .8rem; padding: .1rem 0; }
dt { color: #444; }
dd { margin: 0; }
dd ul { padding-left: 1rem; }
table { border-collapse: collapse; width: 100%; margin: .5rem 0 1rem; }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0; border-bottom: 1px solid #999; }
th { border-bottom: 2px solid #111; }
footer { margin-top: 2rem; font-size: .85rem; color: #444; }
@media (max-width: 36rem) {
  body { padding: 1rem .75rem; }
  dl div { grid-template-columns: 1fr; gap: 0; padding: .2rem 0; }
  thead { position: absolute; clip-path: inset(50%); width: 1px; height: 1px; overflow: hidden; }
  table, tbody, tr, td { display: block; }
  tr { border-bottom: 1px solid #999; padding: .35rem 0; }
  td { border: 0; padding: .05rem 0; display: grid; grid-template-columns: 7.5rem 1fr; gap: .5rem; }
  td::before { content: attr(data-name); color: #444; }
  td:empty { display: none; }
}
@page { margin: 16mm 14mm; }
@media print {
  html { font-size: 9.5pt; }
  body { max-width: none; padding: 0; line-height: 1.35; }
  h2, h3, .kind { break-after: avoid; break-inside: avoid; }
  h2 { margin-top: 1.4rem; }
  th, td { padding-top: .12rem; padding-bottom: .12rem; }
  tr, li { break-inside: avoid; }
  thead { display: table-header-group; }
}
"""
