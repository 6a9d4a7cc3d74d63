"""The whole register: importing this module imports every family, so that no code is missing."""

from __future__ import annotations

from fleetlife.checks import (
    approvals,
    counts,
    cylinders,
    deferrals,
    documents,
    fit,
    forms,
    identity,
    ledger,
    life,
    moves,
    paper,
    patterns,
    plans,
    publications,
    receipts,
    stores,
    swaps,
    work,
)
from fleetlife.checks.register import REGISTER, Check

FAMILIES = (
    life,
    cylinders,
    paper,
    forms,
    approvals,
    counts,
    documents,
    fit,
    identity,
    work,
    patterns,
    stores,
    receipts,
    publications,
    swaps,
    plans,
    moves,
    deferrals,
    ledger,
)

__all__ = ["FAMILIES", "REGISTER", "Check", "all_checks"]


def all_checks() -> tuple[Check, ...]:
    """Every check, in the order of its code."""
    return tuple(REGISTER[code] for code in sorted(REGISTER))
