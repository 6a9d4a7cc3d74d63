"""The audit's page and workbook: well formed, self-contained, and nothing in the data becomes markup or a formula."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import openpyxl
import pytest

from fleetlife.reports.audit_page import MEANS, audit_page
from fleetlife.reports.audit_sheets import EVIDENCE, FINDINGS, audit_sheets
from fleetlife.reports.markup import Markup, element, joined
from fleetlife.terms.audited import Sample, SampledUnit
from fleetlife.terms.finding import SEVERITY_ORDER, Evidence, Finding
from fleetlife.terms.published import RULES
from fleetlife.terms.views import AuditReport
from fleetlife.transfer.writing import answer_book

from . import invented as given
from .invented_audit import PATTERNS
from .pages_read import read

RULES_GIVEN = tuple(RULES.values())
HOSTILE = '</p><script>alert(1)</script><img src=x onerror="a()"> & \'"\x1b[31m\u202e'
SAMPLE = Sample(
    seed=HOSTILE,
    asked=2,
    population=40,
    units=(SampledUnit(part_number=HOSTILE, serial_number="1", manufacturer=HOSTILE, place=HOSTILE, findings=3),),
)


def hostile() -> AuditReport:
    """Every text of the report is hostile."""
    evidence = (Evidence(source=HOSTILE, says=HOSTILE, entry=3),)
    texts = ("message", "hint", "registration", "position", "part_number", "serial_number", "manufacturer")
    wrong = dict.fromkeys((*texts, "certificate", "expected", "found", "published_rule", "status"), HOSTILE)
    first = Finding(code="PAP102", name=HOSTILE, severity="stop", evidence=evidence, **wrong)
    waived = replace(first, severity="note", status=f"waived until {HOSTILE}")
    about = replace(given.AUDIT.about, known_at=HOSTILE, editions=(HOSTILE,), rules=(HOSTILE,), notes=(HOSTILE,))
    return replace(
        given.AUDIT, about=about, scope=HOSTILE, findings=(first, waived), not_checked=(HOSTILE,), sample=SAMPLE
    )


PAGES = {
    "given": given.AUDIT,
    "clean": given.AUDIT_CLEAN,
    "sampled": replace(given.AUDIT, sample=SAMPLE),
    "hostile": hostile(),
    "patterns": PATTERNS,
}


class TestPage:
    @pytest.mark.parametrize("report", PAGES.values(), ids=PAGES)
    def test_it_is_well_formed_and_fetches_nothing(self, report: AuditReport) -> None:
        page = audit_page(report, rules=RULES_GIVEN)
        reader = read(page)
        assert page.startswith("<!DOCTYPE html>\n<html lang=")
        assert not {"script", "link", "img", "iframe", "object", "embed", "form", "a", "base"} & set(reader.names)
        names = {name for _, name, _ in reader.attributes}
        assert not {name for name in names if name.startswith("on") or name in ("src", "href", "style", "srcset")}
        assert "url(" not in page
        assert "@import" not in page
        policy = [value for tag, name, value in reader.attributes if (tag, name) == ("meta", "content")]
        assert any(value and value.startswith("default-src 'none'") for value in policy)

    def test_headings_go_down_one_by_one(self) -> None:
        levels = [int(name[1]) for name in read(audit_page(given.AUDIT, rules=RULES_GIVEN)).names if name[0] == "h"
                  and name[1:].isdigit()]  # fmt: skip
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))

    def test_hostile_text_is_shown_and_is_no_markup(self) -> None:
        page = audit_page(hostile(), rules=RULES_GIVEN)
        reader = read(page)
        text = "".join(reader.words)
        assert "<script" not in page
        assert "<img" not in page
        assert "\x1b" not in page
        assert "\u202e" not in page
        # message, scope twice, sample, waived, not checked, evidence and the rest
        assert text.count("<script>alert(1)</script>") > 20
        assert "\\u202e" in text

    def test_every_finding_stands_with_its_number_evidence_and_action(self) -> None:
        text = " ".join(read(audit_page(given.AUDIT, rules=RULES_GIVEN)).words)
        for found in given.AUDIT.findings:
            assert text.count(found.number) == 1
            assert found.message in text
            assert found.hint in text
            for each in found.evidence:
                assert f"{each.source}: {each.says}" in text

    def test_waived_ones_stand_apart_after_the_others(self) -> None:
        page = audit_page(given.AUDIT, rules=RULES_GIVEN)
        apart = page.index("Waived, counted apart")
        for found in given.AUDIT.findings:
            assert (page.index(found.number) > apart) == found.status.startswith("waived")
        assert page.index("Status: waived until 2027-01-31") > apart

    def test_the_head_the_clocks_the_rules_and_what_was_not_checked(self) -> None:
        text = " ".join(read(audit_page(given.AUDIT, rules=RULES_GIVEN)).words)
        about = given.AUDIT.about
        for words in (about.as_of, about.ledger_head, *about.editions, *given.AUDIT.not_checked, "4,120"):
            assert words in text
        for rule in RULES_GIVEN:
            assert rule.name in text
            assert rule.edition in text
        assert text.count("cited from memory") == sum(rule.from_memory for rule in RULES_GIVEN)

    def test_there_is_room_for_name_date_and_signature(self) -> None:
        text = " ".join(read(audit_page(given.AUDIT_CLEAN, rules=())).words)
        assert "Nothing found in these records." in text
        assert "None waived." in text
        for words in ("Auditor's name", "Date", "Signature", "Remarks"):
            assert words in text

    def test_severity_is_told_in_words(self) -> None:
        words = read(audit_page(given.AUDIT, rules=())).words
        for severity in {found.severity for found in given.AUDIT.findings}:
            assert severity.upper() in words
        assert set(MEANS) == set(SEVERITY_ORDER)

    def test_the_same_report_gives_the_same_bytes(self) -> None:
        assert audit_page(given.AUDIT, rules=RULES_GIVEN) == audit_page(given.AUDIT, rules=RULES_GIVEN)


class TestMarkup:
    def test_text_and_attributes_are_escaped_and_markup_is_not(self) -> None:
        inner = element("b", "<&>")
        assert inner == "<b>&lt;&amp;&gt;</b>"
        assert element("p", inner, 'x"', class_='"><i>') == '<p class="&quot;&gt;&lt;i&gt;"><b>&lt;&amp;&gt;</b>x"</p>'
        assert joined("<", None, Markup("<br>")) == "&lt;<br>"

    def test_taking_markup_apart_gives_text_again(self) -> None:
        assert element("p", element("b", "x").replace("x", "<i>")) == "<p>&lt;b&gt;&lt;i&gt;&lt;/b&gt;</p>"


class TestWorkbook:
    def _book(self, report: AuditReport) -> openpyxl.Workbook:
        return openpyxl.load_workbook(io.BytesIO(answer_book(audit_sheets(report, rules=RULES_GIVEN))))

    def test_its_sheets(self) -> None:
        book = self._book(given.AUDIT)
        assert book.sheetnames == ["about", "findings", "evidence", "not checked", "rules"]
        assert [cell.value for cell in book["findings"][1]] == list(FINDINGS)
        assert [cell.value for cell in book["evidence"][1]] == list(EVIDENCE)
        assert book["findings"].max_row == len(given.AUDIT.findings) + 1
        assert book["evidence"].max_row == sum(len(found.evidence) for found in given.AUDIT.findings) + 1
        assert book["not checked"].max_row == len(given.AUDIT.not_checked) + 1

    def test_days_are_dates_and_counts_are_numbers(self) -> None:
        rows = {row[0].value: row[1].value for row in self._book(given.AUDIT)["about"].iter_rows(min_row=2)}
        assert rows["as of"] == datetime.fromisoformat(given.AUDIT.about.as_of)
        assert rows["findings: stop"] == 4
        assert rows["findings: waived, counted beside"] == 1
        assert rows["last entry"] == given.AUDIT.about.ledger_entry

    @pytest.mark.parametrize("text", ["=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1"])
    def test_text_that_looks_like_a_formula_stays_text(self, text: str) -> None:
        found = replace(given.STALE, message=text, evidence=(Evidence(source=text, says=text),))
        book = self._book(replace(given.AUDIT, findings=(found,), not_checked=(text,)))
        for sheet, row in (("findings", 2), ("evidence", 2), ("not checked", 2)):
            cells = [cell for cell in book[sheet][row] if cell.value == text]
            assert cells
            assert all(cell.data_type == "s" and cell.number_format == "@" for cell in cells)

    def test_patterns_bring_the_papers_by_organisation(self) -> None:
        rows = list(self._book(PATTERNS)["organisations"].iter_rows(min_row=2, values_only=True))
        assert rows == [("Fulmar Repair", 260, 2), ("Gannet Repair", 9, 3)]
        page = audit_page(PATTERNS, rules=())
        assert page.index("Gannet Repair") < page.index("Fulmar Repair")

    def test_a_sample_has_a_sheet_to_fill_in(self) -> None:
        book = self._book(hostile())
        assert book.sheetnames[-1] == "sample"
        assert [cell.value for cell in book["sample"][1]][-2:] == ["seen", "remarks"]
        assert re.search("script", str(book["sample"][2][1].value))
