"""The register of findings: every code once, with its name, severity and published rule; its docstring is its page.

A check is a plain function that takes values and yields findings. `@check` puts it in the register; its docstring is
what `fleetlife explain CODE` prints: what it means, why it matters, an example that triggers and one that does not,
what to do, and what it cannot see.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, ParamSpec

from fleetlife.terms.finding import Evidence, Finding, Severity
from fleetlife.terms.number import fold
from fleetlife.terms.published import cite

P = ParamSpec("P")


@dataclass(frozen=True, slots=True)
class Check:
    """A registered check. `rules`: keys of the published rules it follows (terms/published.py), none where it is common
    practice; `published_rule` cites them with their editions."""

    code: str
    name: str
    severity: Severity
    rules: tuple[str, ...]
    waivable: bool
    page: str
    function: Callable[..., Iterator[Finding]]

    @property
    def published_rule(self) -> str | None:
        return cite(*self.rules) if self.rules else None


REGISTER: dict[str, Check] = {}


def check(
    code: str, name: str, severity: Severity, *, rules: tuple[str, ...] = (), waivable: bool = True
) -> Callable[[Callable[P, Iterator[Finding]]], Callable[P, Iterator[Finding]]]:
    """Register a check under its code. A code is never used twice; a check without a page is an assertion."""

    def register(function: Callable[P, Iterator[Finding]]) -> Callable[P, Iterator[Finding]]:
        assert code not in REGISTER, f"{code} is registered twice"
        page = inspect.cleandoc(function.__doc__ or "")
        assert page, f"{code} has no page"
        assert cite(*rules) or not rules
        REGISTER[code] = Check(code, name, severity, rules, waivable, page, function)
        return function

    return register


def finding(code: str, *, message: str, hint: str, severity: Severity | None = None, **address: Any) -> Finding:
    """A finding of a registered check; `severity` only where the check's page says that it varies."""
    entry = REGISTER[code]
    return Finding(
        code=code,
        name=entry.name,
        severity=severity or entry.severity,
        message=message,
        hint=hint,
        published_rule=entry.published_rule,
        **address,
    )


def regards(*parts: object) -> str:
    """What tells a finding from others of its code about the same unit or paper, from what does not change while it
    stands: a requirement, a position, a day, an organisation; never a due date or a count, which move by themselves."""
    return "|".join([fold(str(part)) for part in parts if part is not None])


__all__ = ["REGISTER", "Check", "Evidence", "check", "finding", "regards"]
