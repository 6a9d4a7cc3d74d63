"""`explain`: the page of a finding, from its check's own docstring; and of a published rule, from their register."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fleetlife.answers.audit import code_named
from fleetlife.checks.every import REGISTER, Check, all_checks
from fleetlife.terms.published import RULES, PublishedRule, rules_applied, rules_named
from fleetlife.terms.refusal import Refusal

# The parts of every page, by the words they begin with.
SECTIONS = ("Why it matters:", "Triggers:", "Does not:", "What to do:", "What it cannot see:")


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A finding's page: what it means first, then its paragraphs as written."""

    code: str
    name: str
    severity: str
    meaning: str
    paragraphs: tuple[str, ...]
    published_rule: str
    waivable: bool


def page_of(code_or_name: str) -> Page:
    """The page of a finding by its code or name. Refusal: `code-unknown`, with the nearest."""
    check = REGISTER[code_named(code_or_name)]
    paragraphs = [" ".join(text.split()) for text in check.page.split("\n\n")]
    return Page(
        code=check.code,
        name=check.name,
        severity=check.severity,
        meaning=paragraphs[0],
        paragraphs=tuple(paragraphs[1:]),
        published_rule=check.published_rule or "none; common practice of the trade",
        waivable=check.waivable,
    )


def explain(code_or_name: str) -> str:
    """The page as plain text. Refusal: `code-unknown`, with the nearest."""
    page = page_of(code_or_name)
    waiver = "may be waived by name and reason until a day" if page.waivable else "is never waived"
    return "\n\n".join(
        (
            f"{page.code} {page.name} ({page.severity})",
            page.meaning,
            *page.paragraphs,
            f"Published rule: {page.published_rule}.",
            f"This finding {waiver}.",
        )
    )


def all_codes() -> list[tuple[str, str, str, str]]:
    """(code, name, severity, first sentence) of every finding, in the order of the codes."""
    return [(check.code, check.name, check.severity, _first_sentence(check)) for check in all_checks()]


def _first_sentence(check: Check) -> str:
    return " ".join(check.page.split("\n\n")[0].split())


@dataclass(frozen=True, slots=True, kw_only=True)
class RulePage:
    """A published rule with the checks that cite it: (code, name)."""

    rule: PublishedRule
    cited_by: tuple[tuple[str, str], ...]


def pages_named(text: str) -> Page | tuple[RulePage, ...]:
    """The page of the finding, or of every published rule, that the text names. Refusal: `code-unknown`.

    A finding is looked for first, by its code or name; then the rules, by the whole of what they are called or a part.
    """
    try:
        return page_of(text)
    except Refusal as unknown:
        try:
            return tuple(_rule_page(rule) for rule in rules_named(text))
        except Refusal:
            raise unknown from None


def all_rules() -> tuple[RulePage, ...]:
    """Every published rule that the program applies, in the order of the register."""
    return tuple(_rule_page(rule) for rule in RULES.values())


def rules_of(codes: Iterable[str] = ()) -> tuple[PublishedRule, ...]:
    """The rules on which every due point rests, and those that the checks of these codes follow."""
    return rules_applied(key for code in codes for key in REGISTER[code].rules)


def _rule_page(rule: PublishedRule) -> RulePage:
    cited_by = tuple((check.code, check.name) for check in all_checks() if rule.key in check.rules)
    return RulePage(rule=rule, cited_by=cited_by)
