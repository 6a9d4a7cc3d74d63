"""`explain`: the page of a finding, from its check's own docstring."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.answers.audit import code_named
from fleetlife.checks.every import REGISTER, Check, all_checks

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
