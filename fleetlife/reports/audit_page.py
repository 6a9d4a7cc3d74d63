"""The audit as one page to read, print and sign: nothing on it needs colour, a script or a connection."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from fleetlife.reports.lines import counted
from fleetlife.reports.markup import Markup, element, joined
from fleetlife.reports.page import clocks, framed_page, pairs, part, table
from fleetlife.terms.audited import SAMPLE_RULE, Sample
from fleetlife.terms.finding import SEVERITY_ORDER, Evidence, Finding
from fleetlife.terms.published import PublishedRule
from fleetlife.terms.views import AuditReport

MEANS = {
    "stop": "not to be released with it",
    "rectify": "to be put right",
    "note": "to be known",
}


def audit_page(report: AuditReport, *, rules: Iterable[PublishedRule]) -> str:
    """The whole page. Waived findings stand apart, where the report holds them; see `answers.audit`."""
    standing = [found for found in report.findings if not _waived(found)]
    waived = [found for found in report.findings if _waived(found)]
    parts = _parts(report, standing, waived, tuple(rules))
    return framed_page("Audit report", report.scope, *parts, about=report.about, style=STYLE)


def _parts(
    report: AuditReport, standing: Sequence[Finding], waived: Sequence[Finding], rules: Sequence[PublishedRule]
) -> Iterator[Markup]:
    yield part("What was asked", _asked(report))
    if report.sample is not None:
        yield part("Sample", *_sampled(report.sample))
    if report.organisations:
        worst = sorted(report.organisations, key=lambda each: (-each.differing, -each.lines, each.organisation))
        listed = ((each.organisation, f"{each.lines:,}", f"{each.differing:,}") for each in worst)
        yield part("Papers by organisation", table(("Organisation", "Lines filed", "Disagree"), listed))
    yield part("Counts", *_counts(report, standing, waived))
    yield part("Findings", *_listed(standing, nothing="Nothing found in these records."))
    yield part("Waived, counted apart", *_listed(waived, nothing="None."))
    yield part("Not checked", element("ul", *(element("li", text) for text in report.not_checked)))
    yield part("Rules and editions applied", *_rules(report, rules))
    yield part("Signed", _signature(), class_="signed")


def _waived(found: Finding) -> bool:
    return found.status.startswith("waived")


def _asked(report: AuditReport) -> Markup:
    about = report.about
    return pairs(
        (
            ("Scope", report.scope),
            *clocks(about),
            ("Units examined", f"{report.units_examined:,}"),
            ("Note", "; ".join((*about.notes, *about.rules))),
        )
    )


def _sampled(sample: Sample) -> Iterator[Markup]:
    drawn = f"{len(sample.units):,} of {counted(sample.population, 'unit')} drawn with the seed {sample.seed}"
    yield element("p", f"{drawn}: {SAMPLE_RULE}. The same seed and the same records draw the same units.")
    rows = (
        (str(place), f"{unit.part_number} {unit.serial_number}", unit.manufacturer, unit.place, str(unit.findings), "")
        for place, unit in enumerate(sample.units, start=1)
    )
    yield table(("No.", "Unit", "Manufacturer", "Where", "Findings", "Seen"), rows)


def _counts(report: AuditReport, standing: Sequence[Finding], waived: Sequence[Finding]) -> Iterator[Markup]:
    counts = dict(report.counts)
    yield table(
        ("Severity", "Findings", "Means"),
        ((name.upper(), f"{counts.get(name, 0):,}", MEANS[name]) for name in SEVERITY_ORDER),
    )
    apart_told = f"{counted(report.waived, 'waived finding')} counted beside, listed apart below."
    yield element("p", apart_told if report.waived else "None waived.")
    if not standing and not waived:
        return
    open_, apart = Counter(_key(found) for found in standing), Counter(_key(found) for found in waived)
    # One row a code: a code may come with two severities, and each is counted under its own.
    rows = (
        (
            severity.upper(),
            code,
            name,
            f"{open_[rank, severity, code, name]:,}",
            f"{apart[rank, severity, code, name]:,}",
        )
        for rank, severity, code, name in sorted({*open_, *apart})
    )
    yield table(("Severity", "Code", "Name", "Findings", "Waived"), rows)


def _key(found: Finding) -> tuple[int, str, str, str]:
    return SEVERITY_ORDER[found.severity], found.severity, found.code, found.name


def _listed(findings: Sequence[Finding], *, nothing: str) -> Iterator[Markup]:
    if not findings:
        yield element("p", nothing)
        return
    for severity in SEVERITY_ORDER:
        mine = sorted((found for found in findings if found.severity == severity), key=Finding.sort_key)
        if not mine:
            continue
        words = f"{severity.upper()}: {MEANS[severity]}"
        yield element("h3", words, element("span", f" ({len(mine):,})", class_="quiet"))
        for (code, name), group in groupby(mine, key=lambda found: (found.code, found.name)):
            same = list(group)
            rule = same[0].published_rule
            yield element(
                "div",
                element("h4", f"{code} {name}", element("span", f" ({len(same):,})", class_="quiet")),
                element("p", f"Rule: {rule}", class_="rule") if rule else None,
                class_="kind",
            )
            yield from (_finding(found) for found in same)


def _finding(found: Finding) -> Markup:
    where = " ".join(part for part in (found.registration, found.position) if part)
    unit = " ".join(part for part in (found.part_number, found.serial_number) if part)
    paper = f"certificate {found.certificate}" if found.certificate else ""
    subject = ", ".join(part for part in (where, unit, paper, found.organisation) if part) or "the records as a whole"
    told = {evidence.says for evidence in found.evidence}
    return element(
        "article",
        element(
            "p",
            element("span", found.severity.upper(), class_=f"mark {found.severity}"),
            element("strong", subject),
            element("code", found.number),
            class_="subject",
        ),
        element("p", f"Status: {found.status}", class_="status") if found.status != "open" else None,
        element("p", found.message),
        pairs(
            (
                ("Expected", found.expected if found.expected not in told else None),
                ("Found", found.found if found.found not in told else None),
                ("Evidence", _evidence(found.evidence)),
                ("What to do", found.hint),
            ),
            class_="sides",
        ),
        class_=f"finding {found.severity}",
    )


def _evidence(evidence: Sequence[Evidence]) -> Markup | None:
    if not evidence:
        return None
    return element("ul", *(element("li", f"{each.source}: {each.says}{_entry(each)}") for each in evidence))


def _entry(evidence: Evidence) -> str:
    return f" (entry {evidence.entry})" if evidence.entry is not None else ""


def _rules(report: AuditReport, rules: Sequence[PublishedRule]) -> Iterator[Markup]:
    yield pairs(
        (
            ("Programme editions", "; ".join(report.about.editions) or "none in force"),
            ("Checks run", ", ".join(report.checks_run)),
        )
    )
    yield table(
        ("Published rule", "Edition", "Text"),
        ((rule.name, rule.edition, "cited from memory" if rule.from_memory else "read") for rule in rules),
    )


def _signature() -> Markup:
    blanks = ("Auditor's name", "Organisation", "Date", "Signature")
    return joined(
        element("p", "I have looked at the findings above, and at what was not checked."),
        element("div", element("p", "Remarks", class_="label"), class_="remarks"),
        element("div", *(element("p", element("span", name, class_="label"), class_="blank") for name in blanks)),
    )


STYLE = """
.rule { color: #444; font-size: .9rem; }
.finding { border: 1px solid #777; border-left: .25rem solid #777; padding: .5rem .7rem; margin: .6rem 0;
  break-inside: avoid; }
.finding.stop { border-left: .6rem double #111; }
.finding.rectify { border-left: .35rem solid #111; }
.subject { display: flex; flex-wrap: wrap; gap: .2rem .7rem; align-items: baseline; margin-top: 0; }
.subject code { margin-left: auto; }
.mark { font-size: .8rem; font-weight: bold; border: 2px solid #111; padding: 0 .35rem; }
.mark.stop { background: #111; color: #fff; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.mark.note { border: 1px dashed #555; }
.status { font-weight: bold; }
.sides { font-size: .92rem; }
.signed { break-inside: avoid; }
.label { color: #444; }
.remarks { border: 1px solid #111; min-height: 6rem; padding: .3rem .6rem; margin: .8rem 0; }
.blank { border-bottom: 1px solid #111; min-height: 2.6rem; margin: .4rem 0; padding-top: 1.1rem; }
@media (max-width: 36rem) {
  .subject code { margin-left: 0; }
}
@media print {
  .finding { padding: .3rem .6rem; margin: .4rem 0; }
}
"""
