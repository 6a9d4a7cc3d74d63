"""Hand-written shop forecasts and orders for the golden files. Everything is invented."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms import shop as words
from fleetlife.terms.shop import OrderLine, ShopApart, ShopForecast, ShopMonth, ShopOrder, ShopPart

from . import invented as given


def _month(part: str, kind: str, month: str, visits: int, overdue: int = 0, again: int = 0) -> ShopMonth:
    return ShopMonth(part_number=part, kind=kind, month=month, visits=visits, overdue=overdue, again=again)


FORECAST = ShopForecast(
    about=given.about("shop forecast"),
    until="2027-01-31",
    months=("2026-11", "2026-12", "2027-01"),
    rows=(
        _month("KW-4100-3", "overhaul", "2026-11", 3, overdue=2),
        _month("RV-77", "requalification", "2026-11", 1),
        _month("KW-4100-3", "functional_test", "2027-01", 1),
        _month("KW-4100-3", "overhaul", "2027-01", 1_204, again=4),
        _month("RV-77", "life_limit", "2027-01", 1),
    ),
    apart=(
        ShopApart(part_number="RV-77", kind="requalification", why=words.UNKNOWN, units=3),
        ShopApart(part_number="KW-4100-3", kind="overhaul", why=words.IN_PART, units=1),
        ShopApart(part_number="XR-1", kind=None, why=words.NO_PROGRAMME, units=1),
    ),
    parts=(
        ShopPart(
            part_number="KW-4100-3", visits=1_208, again=4, turnaround=57, returns=12, turnaround_from="this line"
        ),
        ShopPart(part_number="RV-77", visits=2, again=0, turnaround=0, returns=0, turnaround_from="none"),
    ),
    at_shops=2,
)
NOTHING = replace(FORECAST, rows=(), apart=(), parts=(), at_shops=0)


def _line(group: str, **more: str | None) -> OrderLine:
    told: dict[str, str | None] = {
        "part_number": "KW-4100-3",
        "serial_number": "00815",
        "slot": None,
        "requirement": "OVH",
        "kind": "overhaul",
        "state": "overdue",
        "due_on": "2026-11-20",
        "next_due": None,
        "reason": "It has passed its due point. Good through 2026-11-20 by the calendar, passed 5 days ago.",
        "reference": "MM 25-60 table 2",
        "edition": "7",
    }
    return OrderLine(group=group, **told | more)  # type: ignore[arg-type]


_BOTTLE: dict[str, str | None] = {"part_number": "RV-77", "serial_number": "R-1180", "slot": "reservoir"}
ORDER = ShopOrder(
    about=given.about("shop order"),
    part_number="KW-4100-3",
    serial_number="00815",
    manufacturer="Kittiwake Safety",
    place="Q-PUF L1",
    carried=True,
    sent_on="2026-11-25",
    back_on="2027-01-21",
    turnaround=57,
    turnaround_from="this line",
    returns=12,
    work=("OVH",),
    assumed=False,
    next_on="2030-01-21",
    next_requirement="OVH",
    lines=(
        _line(words.DUE, next_due="2030-01-21"),
        _line(
            words.BEFORE,
            **_BOTTLE,
            requirement="HST",
            kind="requalification",
            state="in date",
            due_on="2028-12-31",
            reason="It falls due on 2028-12-31, before the unit itself falls due again on 2030-01-21 by OVH.",
        ),
        _line(
            words.NOT_TOLD,
            **_BOTTLE,
            requirement="LIM",
            kind="life_limit",
            state="unknown",
            due_on=None,
            reason="A date, or one measure of it, cannot be told. Not known in operations: no record.",
        ),
        _line(
            words.SOFT,
            requirement="SOFT-15Y",
            kind="soft_life",
            state="in date",
            due_on="2029-10-31",
            reason="Soft life: it is listed and stops nothing.",
            reference=None,
            edition=None,
        ),
    ),
)
BARE_ORDER = replace(
    ORDER,
    manufacturer=None,
    place="store North store",
    carried=False,
    turnaround=0,
    turnaround_from="none",
    returns=0,
    work=(),
    next_on=None,
    next_requirement=None,
    lines=(),
)
ASSUMED_ORDER = replace(ORDER, assumed=True, turnaround_from="given", returns=0, lines=ORDER.lines[1:2])
