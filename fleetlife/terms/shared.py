"""What `certificate --who-else` answers: the other units whose papers have something in common with a paper."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.finding import Finding
from fleetlife.terms.views import About

# What papers may have in common, the most telling first.
SHARED = ("batch", "visit", "signatory", "organisation")
# Where a unit may be, the worst first: what flies before what lies.
PLACES = ("installed", "unknown", "stores", "loan", "shop", "scrap")


@dataclass(frozen=True, slots=True, kw_only=True)
class ElseUnit:
    """One other unit: what its papers share (of SHARED), those papers, where it is, what stands against it.

    `standing`: of PLACES; a unit carried in its parent is installed.
    """

    part_number: str
    serial_number: str
    manufacturer: str | None
    standing: str
    place: str
    shares: tuple[str, ...]
    certificates: tuple[str, ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WhoElse:
    """`common`: (what, value) that the paper states; `missing`: what it does not state, so nothing was looked for by
    it. `units`: worst first."""

    about: About
    tracking_number: str
    organisation: str
    common: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    units: tuple[ElseUnit, ...]
    not_checked: tuple[str, ...]
