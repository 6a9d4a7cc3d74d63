"""The sheet of a swap as one page: read at the door, filled by hand, and taken in from by the clerk.

It says what the records hold and leaves blanks for what is done. It gives no procedure. Nothing on it needs colour, a
script or a connection; numbers stand in a typeface that tells O from 0, and the characters that look alike are spelled.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ppf.datamatrix import DataMatrix

from fleetlife.reports.certificate import named
from fleetlife.reports.markup import Markup, element, joined, whole_page
from fleetlife.terms.measure import thousandths_text
from fleetlife.terms.swap_sheet import SheetTable, SheetUnit, SwapSheet
from fleetlife.terms.swaps import SwapItem
from fleetlife.terms.views import LifeLeft

# Sizes it is printed on, each with the margin above and below and the size of type: letter is shorter.
PAPERS = {"A4": ("8mm", "8.3pt"), "letter": ("6mm", "7.8pt")}
LOOK_ALIKE = frozenset("O0Il1")
# What is found of a plan and stands in the answer of the fitting question, or beside the unit's rig, already.
IN_THE_ANSWER = frozenset(("PLN102", "PLN103"))
# What can hurt, for every sheet; the mass stands beside the lift where it is stated.
CAUTIONS = (
    "Stored gas: an armed or charged unit can inflate with great force.",
    "Pressurised cylinder.",
)


def swap_sheet_page(sheet: SwapSheet, *, paper: str = "A4") -> str:
    """The whole page. `paper`: one of PAPERS, the size it is printed on."""
    card = sheet.card
    margin, size = PAPERS[paper]
    return whole_page(
        element("header", *_header(sheet)),
        element("main", *_parts(sheet)),
        element("footer", element("p", _foot(sheet))),
        title=f"Swap sheet {card.swap}, {card.registration} {card.position}",
        style=STYLE.replace("PAPER", paper).replace("MARGIN", margin).replace("TYPE", size),
    )


def _header(sheet: SwapSheet) -> Iterator[Markup]:
    card = sheet.card
    rigged = f", a unit here is rigged {card.harness.upper()}" if card.harness else ""
    yield element(
        "div",
        element("h1", f"Swap sheet {card.swap}"),
        element(
            "p", element("strong", f"{card.registration} {card.position}"), f" {card.side} side{rigged}", class_="door"
        ),
        element("p", f"Type {card.type}, constructor's serial {card.constructor_serial}"),
        class_="what",
    )
    yield element("figure", _symbol(sheet.symbol), element("figcaption", f"scans as: {sheet.symbol}"))


def _symbol(text: str) -> Markup:
    """The symbol a scanner reads back, as squares; with the quiet border it needs."""
    rows = DataMatrix(text).matrix
    border = 2
    path = "".join(
        f"M{x + border} {y + border}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark
    )
    size = str(len(rows) + 2 * border)
    wide = str(len(rows[0]) + 2 * border)
    return element(
        "svg",
        element("path", d=path, fill="#000"),
        viewBox=f"0 0 {wide} {size}",
        role="img",
        aria_label=f"Symbol that a scanner reads as {text}",
    )


def _parts(sheet: SwapSheet) -> Iterator[Markup]:
    card = sheet.card
    yield element("p", f"{card.cautions[0]} This sheet gives no procedure.", class_="limits")
    yield element("ul", *(element("li", text) for text in _cautions(sheet)), class_="cautions")
    yield element(
        "div",
        _unit("Comes off", sheet.outgoing, sheet),
        _unit("Goes on", sheet.incoming, sheet),
        class_="units",
    )
    yield _data(sheet)
    yield _answer(sheet)
    yield element("section", element("h2", "To be filled in"), *_blanks(sheet))
    yield element("section", element("h2", "Signed"), _signatures(sheet), class_="signed")


def _cautions(sheet: SwapSheet) -> list[str]:
    masses = {
        unit.mass_grams for unit in (sheet.incoming, sheet.outgoing) if unit is not None and unit.mass_grams is not None
    }
    lift = "Heavy lift at an open door"
    told = f"{lift}: {' and '.join(f'{thousandths_text(mass)} kg' for mass in sorted(masses))}."
    return [*CAUTIONS, told if masses else f"{lift}: the mass of the unit is not stated in these records."]


def _unit(words: str, unit: SheetUnit | None, sheet: SwapSheet) -> Markup:
    if unit is None:
        nothing = "No unit is chosen." if words == "Goes on" else "No unit is recorded at the position."
        return element("section", element("h2", words), element("p", nothing), class_="unit")
    made = ", ".join(part for part in (unit.description, unit.manufacturer) if part)
    rows: list[tuple[str, str | Markup | None]] = [
        ("Part", _number(unit.part_number)),
        ("Serial", _number(unit.serial_number)),
        ("What", made or None),
        ("Where", unit.where),
    ]
    if words == "Goes on":
        rows += [
            ("Certificate", unit.release or "none that releases it is filed"),
            ("Rig in hand", _rig(unit, sheet)),
        ]
    looked = "Part and serial read from the data plate agree" if words == "Goes on" else "Read from the data plate"
    return element("section", element("h2", words), _facts(rows), element("p", _box(looked)), class_="unit")


def _number(text: str) -> Markup:
    """A number in the typeface that tells O from 0, with the characters that look alike spelled under it."""
    alike = [f"{place}: {named(character)}" for place, character in enumerate(text, 1) if character in LOOK_ALIKE]
    spelled = element("span", "; ".join(alike), class_="spelled") if alike else None
    return joined(element("span", text, class_="number"), spelled)


def _rig(unit: SheetUnit, sheet: SwapSheet) -> str:
    wanted = sheet.card.harness
    if unit.rig == "none":
        return "the part has no harness"
    in_hand = unit.rig_in_hand if unit.rig_in_hand in ("left", "right") else "not known: look"
    if unit.rig in ("left", "right"):
        in_hand = f"{unit.rig}, by its part"
    if wanted is None:
        return f"{in_hand}; the position states no side"
    done = "as it must be" if in_hand == wanted else f"TO BE MADE {wanted.upper()} before it is fitted"
    return f"{in_hand}; {done}"


def _data(sheet: SwapSheet) -> Markup:
    card = sheet.card
    retained = ", ".join(item.item for item in card.items if item.category == "retained")
    return _facts(
        (
            ("Approved data", card.data_reference or "not stated: look up the current one"),
            ("Its revision", card.data_revision or "not stated"),
            ("Work order", card.work_order),
            ("To be done by", card.target),
            ("Stays with the aircraft", retained or "nothing stated"),
            ("Remarks", card.remarks),
        ),
        class_="facts wide",
    )


def _answer(sheet: SwapSheet) -> Markup:
    """What the records say of the fitting and against the plan, and what is left if fitted on the day."""
    against = [
        element("li", element("strong", f"{each.severity.upper()} {each.finding} "), each.message)
        for each in sheet.card.findings
        if each.finding not in IN_THE_ANSWER
    ]
    if sheet.outcome is None:
        nothing = element("p", "No unit is chosen, or it is fitted.")
        return element(
            "section", element("h2", "In these records"), element("ul", *against) if against else None, nothing
        )
    weighty = [reason for reason in sheet.reasons if reason.verdict in ("stop", "condition")]
    said = [*against, *(element("li", element("strong", f"{r.verdict.upper()} "), r.text) for r in weighty)]
    return element(
        "section",
        element("h2", f"In these records, if fitted on {sheet.fitted_on}: {sheet.outcome}"),
        element("ul", *said) if said else None,
        _table(("Left", "Requirement", "Unit"), (_left(left) for left in sheet.life)) if sheet.life else None,
        element("p", f"Not checked: {'; '.join(sheet.not_checked)}.", class_="quiet"),
    )


def _left(left: LifeLeft) -> tuple[str, str, str]:
    return left.text, f"{left.requirement} {left.kind.replace('_', ' ')}", f"{left.part_number} {left.serial_number}"


def _blanks(sheet: SwapSheet) -> Iterator[Markup]:
    yield element(
        "div",
        *(_blank(name) for name in ("Day (UTC)", "Airframe hours", "Airframe cycles", "Technical log page", "Station")),
        class_="blanks",
    )
    rows = [row for item in sheet.card.items for row in _item_rows(item)]
    if rows:
        yield _table(("What", "Item", "Done or seen", "By"), rows, class_="fill")
    for table in sheet.tables:
        yield _gauge(table)
    if sheet.incoming is not None and not sheet.tables:
        yield element(
            "p",
            "No table of pressures is in these records for what is fitted: the gauge is judged by the current data. ",
            _blank("Gauge"),
            _blank("Temperature"),
        )


def _item_rows(item: SwapItem) -> Iterator[tuple[str | Markup, ...]]:
    """A line to fill for a thing, for a test one a run."""
    if item.category == "gauge":
        return
    words = {
        "device": ("safety device", ("placed", "removed", "not used")),
        "lock": ("lock", ("broken", "remade", "not broken")),
        "test": ("test", ("passed", "failed")),
        "retained": ("stays", ("stays with the aircraft",)),
    }
    name, boxes = words[item.category]
    told = f" ({item.expects})" if item.expects else ""
    for run in range(1, item.runs + 1):
        times = f", run {run} of {item.runs}" if item.runs > 1 else ""
        yield name, f"{item.item}{times}{told}", joined(*(_box(box) for box in boxes)), ""


def _gauge(table: SheetTable) -> Markup:
    temperatures = [f"{thousandths_text(celsius)} °C" for celsius, _, _ in table.rows]
    bands = [f"{thousandths_text(least)} to {thousandths_text(most)}" for _, least, most in table.rows]
    source = f", by {'; '.join(table.sources)}" if table.sources else ""
    return element(
        "div",
        element(
            "p",
            element("strong", f"Gauge of {table.unit}"),
            f" in {table.pressure_unit}{source}; between two temperatures on a straight line, outside them not known.",
        ),
        _table(["At", *temperatures], [["May show", *bands]], class_="gauge"),
        element("div", _blank("Gauge shows"), _blank("Temperature"), _blank("Read by"), class_="blanks"),
        class_="kept",
    )


def _signatures(sheet: SwapSheet) -> Markup:
    second = sheet.card.second_person
    roles = [
        ("Performed", ""),
        (
            "Independently inspected",
            "another person than the one who did the work" if second else "where it is asked for",
        ),
        ("Released", "certifying staff; this sheet is no release to service"),
    ]
    rows = [(role, told, "", "", "") for role, told in roles]
    return _table(("Signed", "", "Name and staff number", "Day", "Signature"), rows, class_="fill sign")


def _facts(pairs: Iterable[tuple[str, str | Markup | None]], class_: str = "facts") -> Markup:
    shown = (element("div", element("dt", name), element("dd", value)) for name, value in pairs if value)
    return element("dl", *shown, class_=class_)


def _table(header: Sequence[str], rows: Iterable[Sequence[str]], class_: str = "plain") -> Markup:
    head = element("thead", element("tr", *(element("th", name, scope="col") for name in header)))
    body = (
        element("tr", *(element("td", value, data_name=name) for name, value in zip(header, row, strict=True)))
        for row in rows
    )
    return element("table", head, element("tbody", *body), class_=class_)


def _box(words: str) -> Markup:
    return element("span", element("span", class_="square"), f" {words}", class_="box")


def _blank(words: str) -> Markup:
    return element("span", element("span", words, class_="label"), class_="blank")


def _foot(sheet: SwapSheet) -> str:
    about = sheet.card.about
    return (
        f"As of {about.as_of}. Ledger head {about.ledger_head}, entry {about.ledger_entry}. The filled sheet is "
        f"taken in by fleetlife swap fill {sheet.card.swap} FILE, or step by step: fleetlife swap enter."
    )


STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 56rem; padding: 1rem; background: #fff; color: #111;
  font: .95rem/1.35 system-ui, -apple-system, "Segoe UI", "Liberation Sans", Arial, sans-serif;
  overflow-wrap: anywhere; }
h1 { font-size: 1.5rem; margin: 0; }
h2 { font-size: 1.05rem; margin: .7rem 0 .25rem; padding-bottom: .1rem; border-bottom: 2px solid #111;
  break-after: avoid; }
p { margin: .2rem 0; }
ul { margin: .2rem 0; padding-left: 1.1rem; }
header { display: flex; justify-content: space-between; gap: 1rem; align-items: flex-start; }
.door { font-size: 1.25rem; }
.door strong { font-size: 1.5rem; }
figure { margin: 0; text-align: center; flex: none; width: 7.5rem; }
figure svg { width: 6rem; height: 6rem; display: block; margin: 0 auto; }
figcaption { font-size: .65rem; color: #333; }
.limits { border: 1px solid #111; padding: .3rem .6rem; margin: .4rem 0; }
.cautions { list-style: none; padding: .3rem .6rem; margin: .4rem 0; border: 3px double #111; font-weight: bold;
  display: flex; flex-wrap: wrap; gap: 0 1.2rem; }
.cautions li::before { content: "! "; }
.units { display: grid; grid-template-columns: 1fr 1fr; gap: 0 1.2rem; }
dl { margin: .2rem 0; }
dl div { display: grid; grid-template-columns: 6.2rem 1fr; gap: .1rem .6rem; padding: .06rem 0; }
dl.wide div { grid-template-columns: 9.6rem 1fr; }
dl.wide { display: grid; grid-template-columns: 1fr 1fr; gap: 0 1.2rem; }
dt { color: #444; }
dd { margin: 0; }
.number { font: bold 1.45rem/1.15 "DejaVu Sans Mono", ui-monospace, Menlo, Consolas, "Liberation Mono", monospace;
  font-variant-numeric: slashed-zero; }
.spelled { display: block; font-size: .75rem; color: #333; }
.quiet { color: #444; font-size: .8rem; }
table { border-collapse: collapse; width: 100%; margin: .25rem 0 .5rem; }
th, td { text-align: left; vertical-align: top; padding: .14rem .5rem .14rem 0; border-bottom: 1px solid #999; }
th { border-bottom: 2px solid #111; font-size: .85rem; }
.fill td { height: 1.7rem; }
.fill th:nth-child(1) { width: 14%; } .fill th:nth-child(2) { width: 36%; } .fill th:nth-child(3) { width: 32%; }
.sign td { height: 2.3rem; }
.sign th:nth-child(1) { width: 20%; } .sign th:nth-child(2) { width: 26%; } .sign th:nth-child(3) { width: 22%; }
.gauge td, .gauge th { text-align: center; padding-right: .2rem; }
.gauge td:first-child, .gauge th:first-child { text-align: left; }
.box { display: inline-block; margin-right: .8rem; white-space: nowrap; }
.square { display: inline-block; width: .85em; height: .85em; border: 1.5px solid #111; vertical-align: -.08em; }
.blanks { display: flex; flex-wrap: wrap; gap: .3rem 1rem; margin: .3rem 0; }
.blank { display: inline-block; flex: 1 1 8.5rem; min-width: 8.5rem; border-bottom: 1px solid #111;
  min-height: 2.1rem; }
.label { color: #444; font-size: .8rem; }
.kept, .signed, .unit, tr { break-inside: avoid; }
footer { margin-top: .6rem; font-size: .75rem; color: #333; }
@media (max-width: 36rem) {
  body { padding: .75rem; }
  .units, dl.wide { grid-template-columns: 1fr; }
  header { flex-wrap: wrap; }
  thead { position: absolute; clip-path: inset(50%); width: 1px; height: 1px; overflow: hidden; }
  table, tbody, tr, td { display: block; }
  tr { border-bottom: 1px solid #999; padding: .35rem 0; }
  td, .fill td, .sign td, .gauge td { border: 0; padding: .1rem 0; height: auto; text-align: left; display: flex;
    flex-wrap: wrap; gap: 0 .5rem; }
  td::before { content: attr(data-name); color: #444; flex: 0 0 6.5rem; }
  .fill td:last-child, .sign td:nth-child(n+3) { min-height: 1.9rem; border-bottom: 1px dotted #777; }
  td[data-name=""]::before { content: ""; }
}
@page { size: PAPER; margin: MARGIN 11mm; }
@media print {
  html { font-size: TYPE; }
  body { max-width: none; padding: 0; line-height: 1.22; }
  .fill td { height: 1.25rem; }
  .sign td { height: 1.95rem; }
  td, th { padding-top: .06rem; padding-bottom: .06rem; }
  .blank { min-height: 1.75rem; }
  .limits, .cautions { margin: .25rem 0; padding: .2rem .5rem; }
  h2 { margin: .45rem 0 .15rem; }
  h1, .door, .door strong { line-height: 1.1; }
  figure svg { width: 5.2rem; height: 5.2rem; }
  header p { margin: .05rem 0; }
}
"""
