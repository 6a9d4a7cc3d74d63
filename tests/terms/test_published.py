"""The published rules stand once, each with its edition, and nothing cites one that is not in their register."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from fleetlife.answers.explain import Page, all_rules, pages_named, rules_of
from fleetlife.checks.every import REGISTER
from fleetlife.follows.rule_told import CHARGED_RULE, MONTH_RULE
from fleetlife.terms.published import RULES, cite, rules_applied, rules_named
from fleetlife.terms.refusal import Refusal

PACKAGE = Path(__file__).resolve().parents[2] / "fleetlife"
A_RULE = re.compile(r"\bCFR\b|\bM\.A\.\d|\b145\.A\.|\bPHMSA\b|\bEASA\b|\bFAA\b|\bORS9\b|\bTGL\b|\bILT\b|MIL-HDBK")
BARE = (  # nobody has read these
    "GS1 century",
    *("JAA TGL 26", "M.A.504", "14 CFR 43.2(b)", "M.A.305(e) detailed records", "M.A.305(e) life-limited"),
    *("14 CFR 91.417(b)(1)", "14 CFR 91.417(b)(2)", "14 CFR 121.380", "14 CFR 121.703(a)(17)"),
    *("Form 1 corrected", "dual release", "AC 21-29 indicators"),
)
REGISTERS = ("published.py", "forms.py")  # the rules, and the forms by the names they are printed with


def strings(path: Path) -> Iterator[tuple[int, str]]:
    """The strings of a module that are no docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documents = set()
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and ast.get_docstring(node) is not None:
            documents.add(id(node.body[0].value))  # type: ignore[attr-defined]
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documents:
            yield node.lineno, node.value


class TestRegister:
    def test_each_has_an_edition_a_sentence_and_what_is_done_by_it(self) -> None:
        for key, rule in RULES.items():
            assert rule.key == key
            assert rule.edition
            assert not rule.says.endswith(".")
            assert rule.does.endswith(".")
            assert rule.edition in rule.cited
            assert rule.says in rule.cited

    def test_what_nobody_has_read_says_so(self) -> None:
        assert sorted(key for key, rule in RULES.items() if rule.from_memory) == sorted(BARE)
        for key in BARE:
            assert "cited from memory" in RULES[key].named

    def test_a_date_is_told_as_one(self) -> None:
        assert RULES["PHMSA 11-0131 month"].named == "PHMSA letter 11-0131 of 2011-09-01"
        assert RULES["M.A.501(b)"].named == "M.A.501(b) (Regulation (EU) 2021/700)"

    def test_a_key_that_is_not_there_is_never_cited(self) -> None:
        with pytest.raises(AssertionError):
            cite("M.A.999")

    def test_nothing_in_the_program_cites_a_rule_but_from_the_register(self) -> None:
        told = [
            f"{path.relative_to(PACKAGE)}:{line} {text!r}"
            for path in sorted(PACKAGE.rglob("*.py"))
            if path.name not in REGISTERS or path.parent.name != "terms"
            for line, text in strings(path)
            if A_RULE.search(text) and text not in RULES
        ]
        assert told == []

    def test_every_finding_cites_its_rules_with_their_editions(self) -> None:
        for check in REGISTER.values():
            if not check.rules:
                assert check.published_rule is None
                continue
            for key in check.rules:
                assert RULES[key].named in (check.published_rule or "")

    def test_the_sentences_of_an_explanation_come_from_it(self) -> None:
        assert RULES["PHMSA 11-0131 month"].cited == MONTH_RULE
        assert CHARGED_RULE.startswith(RULES["PHMSA 11-0131 charged"].named)


class TestApplied:
    def test_what_every_due_point_rests_on_is_always_there(self) -> None:
        names = {rule.key for rule in rules_applied()}
        assert {"PHMSA 11-0131 month", "PHMSA 11-0131 charged", "EASA FAQ 19102"} <= names
        assert "M.A.305(a)" not in names
        assert "JAA TGL 26" not in names

    def test_an_audit_adds_those_its_checks_follow(self) -> None:
        assert "M.A.305(a)" in {rule.key for rule in rules_of(["PAP109"])}
        assert rules_of(["LIF105"]) == rules_applied()


class TestNamed:
    def test_by_the_whole_name_by_its_beginning_and_by_a_part(self) -> None:
        assert [rule.key for rule in rules_named("m.a.501(b)")] == ["M.A.501(b)"]
        assert [rule.key for rule in rules_named("MA501")] == ["M.A.501(a)", "M.A.501(b)"]
        assert [rule.key for rule in rules_named("11-0131")] == ["PHMSA 11-0131 month", "PHMSA 11-0131 charged"]

    def test_an_unknown_one_names_the_nearest(self) -> None:
        with pytest.raises(Refusal) as refused:
            rules_named("M.A.599")
        assert refused.value.code == "rule-unknown"
        assert "Did you mean M.A.5" in refused.value.message
        for nothing in ("", "a", "()"):
            with pytest.raises(Refusal):
                rules_named(nothing)

    def test_a_finding_is_looked_for_first(self) -> None:
        page = pages_named("LIF107")
        assert isinstance(page, Page)
        assert page.published_rule.startswith("PHMSA letter 11-0131 of 2011-09-01: a cylinder filled before")

    def test_the_page_of_a_rule_names_the_findings_that_cite_it(self) -> None:
        [page] = pages_named("M.A.501(b)")
        assert {code for code, _ in page.cited_by} == {"FIT101", "PAP106", "PLN103"}
        assert len(all_rules()) == len(RULES)

    def test_neither_finding_nor_rule_is_refused_as_an_unknown_code(self) -> None:
        with pytest.raises(Refusal) as refused:
            pages_named("nothing of the kind")
        assert refused.value.code == "code-unknown"
