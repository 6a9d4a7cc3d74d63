"""Rows of publications, of whom they name and of what they ask for, as the facts they state, one function a file."""

from __future__ import annotations

from collections.abc import Callable

from fleetlife.actions.intake_desk import Desk, Values
from fleetlife.follows.publications import unfit, work_names
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.publications import Applicability, Compliance, NotEmbodied, Publication
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.transfer.reading import Row


def _fitting(desk: Desk, row: Row, fact: Fact) -> Fact | None:
    """The fact, unless something is wrong with it beside what is stated."""
    problem = unfit(fact, desk.reference)
    if problem is None:
        return fact
    desk.refuse(row, problem.column, problem.value, problem.reason, problem.remedy)
    return None


def _publication(desk: Desk, row: Row, v: Values) -> Fact | None:
    fact = Publication(
        publication=v["publication"],
        revision=v.get("revision"),
        kind=v["kind"],
        issuer=v.get("issuer"),
        title=v.get("title"),
        effective_on=v["effective_on"],
        supersedes=v.get("supersedes"),
        cancelled_on=v.get("cancelled_on"),
    )
    return _fitting(desk, row, fact)


def _applicability(desk: Desk, row: Row, v: Values) -> Fact | None:
    fact = Applicability(
        publication=v["publication"],
        revision=v.get("revision"),
        part_number=v["part_number"],
        manufacturer=v.get("manufacturer"),
        serial_from=v.get("serial_from"),
        serial_to=v.get("serial_to"),
        excepted=v.get("except"),
        made_from=v.get("made_from"),
        made_to=v.get("made_to"),
        unit_group=v.get("group"),
        excluded=bool(v.get("excluded") or False),
    )
    return _fitting(desk, row, fact)


def _compliance(desk: Desk, row: Row, v: Values) -> Fact | None:
    fact = Compliance(
        publication=v["publication"],
        revision=v.get("revision"),
        action=v["action"],
        unit_group=v.get("group"),
        comply_by=v.get("comply_by"),
        months_after=v.get("months_after"),
        days_after=v.get("days_after"),
        minutes_after=v.get("hours_after"),
        cycles_after=v.get("cycles_after"),
        months_since_new=v.get("months_since_new"),
        minutes_since_new=v.get("hours_since_new"),
        cycles_since_new=v.get("cycles_since_new"),
        whichever=v.get("whichever"),
        repeat_months=v.get("repeat_months"),
        repeat_days=v.get("repeat_days"),
        repeat_minutes=v.get("repeat_hours"),
        repeat_cycles=v.get("repeat_cycles"),
        closed_by_modification=v.get("closed_by_modification"),
        closed_by_work=v.get("closed_by_work"),
    )
    return _fitting(desk, row, fact)


def _not_embodied(desk: Desk, row: Row, v: Values) -> Fact | None:
    unit = desk.unit(row, "", v)
    if unit is None:
        return None
    return NotEmbodied(unit=unit, modification=v["modification"], read_on=v["date"], reference=v.get("reference"))


def requirement_named(desk: Desk, row: Row, name: str) -> str | None:
    """The requirement that work is recorded under, or the name of work against a publication as that states it; None
    when refused, with the nearest."""
    names = {fact.requirement for _, fact in desk.reference.requirements}
    if name in names:
        return name
    against = work_names(desk.reference)
    if fold(name) in against:
        return against[fold(name)]
    desk.refuse(
        row,
        "requirement",
        name,
        "No requirement or publication of this name is stated." + did_you_mean(name, {*names, *against.values()}),
        "Correct the name, or state the requirement in the requirements file, a publication in publications.",
    )
    return None


Converter = Callable[[Desk, Row, Values], Fact | None]
# Files whose rows name no unit, and the one whose rows do.
PUBLICATION_CONVERTERS: dict[str, Converter] = {
    "publications": _publication,
    "applicability": _applicability,
    "compliance": _compliance,
}
OF_UNITS: dict[str, Converter] = {"not_embodied": _not_embodied}
