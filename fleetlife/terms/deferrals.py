"""What is told of deferrals."""

from __future__ import annotations

from dataclasses import dataclass, fields

from fleetlife.terms.views import About


@dataclass(frozen=True, slots=True, kw_only=True)
class DeferralRowTold:
    """A deferral as entered. `state`: open, expired (past its expiry as entered) or closed; `holds`: what hangs at the
    position now, None where it is empty."""

    registration: str
    position: str
    opened: str
    item: str
    state: str
    expires: str | None = None
    log_page: str | None = None
    conditions: str | None = None
    authorised_by: str = ""
    closed: str | None = None
    closed_by: str | None = None
    holds: str | None = None
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeferralList:
    """The deferrals, expired ones first, then open ones by their expiry, then closed ones; and what is said with it."""

    about: About
    rows: tuple[DeferralRowTold, ...]
    told: str


DEFERRAL_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(DeferralRowTold))
