"""What is wrong with a requirement as stated, before any unit is judged by it. Import refuses a row with problems."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fleetlife.life.bands import measures_of
from fleetlife.life.starts import FITTING_STARTS
from fleetlife.life.values import Limits, Requirement
from fleetlife.terms.words import REQUIREMENT_KINDS, SOURCES, STARTS, UNEXTENDABLE_SOURCES


def check_requirement(requirement: Requirement) -> list[str]:
    """Every problem of one requirement, each a complete sentence; empty when it can be used."""
    return [
        *_words(requirement),
        *_figures(requirement),
        *_limits(requirement),
        *_calendar_rules(requirement),
        *_aircraft_rules(requirement),
        *_extensions(requirement),
        *_bands(requirement),
    ]


def check_requirements(requirements: Sequence[Requirement]) -> list[str]:
    """Problems that show only when requirements are seen together: what they reset."""
    kinds: dict[str, set[str]] = {}
    for requirement in requirements:
        kinds.setdefault(requirement.requirement, set()).add(requirement.kind)
    problems = []
    for requirement in requirements:
        for name in requirement.resets:
            if name not in kinds:
                problems.append(f"{requirement.requirement} resets {name}, which is no requirement.")
            elif "life_limit" in kinds[name]:
                problems.append(f"{requirement.requirement} resets {name}, a life limit: nothing restarts one.")
    return list(dict.fromkeys(problems))


def _words(requirement: Requirement) -> Iterator[str]:
    allowed: dict[str, tuple[str | None, Sequence[str | None]]] = {
        "kind": (requirement.kind, REQUIREMENT_KINDS),
        "source": (requirement.source, (None, *SOURCES)),
        "start": (requirement.start, STARTS),
        "whichever": (requirement.whichever, ("first", "last")),
        "month_rule": (requirement.month_rule, (None, "last")),
        "done_at": (requirement.done_at, ("shop", "aircraft")),
        "anchor": (requirement.anchor, ("done", "due")),
        "at_due": (requirement.at_due, ("remove", "no-refill")),
        "band_rule": (requirement.band_rule, ("cap", "basis")),
    }
    for column, (value, words) in allowed.items():
        if value not in words:
            known = ", ".join(word for word in words if word)
            yield f"{column} {value!r} is not one of {known}."
    if requirement.in_force_until <= requirement.in_force_from:
        yield "effective_to is before effective_from."


def _figures(requirement: Requirement) -> Iterator[str]:
    sets = [("first", requirement.first, 1), ("repeat", requirement.repeat, 1)]
    sets += [("band", band.repeat, 1) for band in requirement.bands]
    sets += [("window_early", requirement.window_early, 0), ("window_late", requirement.window_late, 0)]
    for name, limits, least in sets:
        for measure, value in _named(limits).items():
            if value is not None and value < least:
                yield f"{name}_{measure} {value} is below {least}."
    if requirement.shelf_allowance_months is not None and requirement.shelf_allowance_months < 0:
        yield f"shelf_allowance_months {requirement.shelf_allowance_months} is below 0."


def _limits(requirement: Requirement) -> Iterator[str]:
    limited = requirement.first.any() or requirement.repeat.any() or bool(requirement.bands)
    if requirement.kind == "on_condition":
        if limited:
            yield "An on_condition requirement states that nothing is due and takes no limits."
        if not requirement.reference:
            yield "An on_condition requirement needs the reference that states it."
    elif not limited:
        yield "No limit is stated; that nothing is due is stated as kind on_condition with a reference."
    if requirement.kind == "life_limit":
        if requirement.repeat.any():
            yield "A life_limit takes first_ limits only: nothing restarts it, so it has no repeat_."
        if requirement.start == "each_installation":
            yield "A life_limit cannot start at each_installation: refitting would restart it."
    if requirement.counter is not None and requirement.counter_axis not in _measures(requirement):
        yield (
            f"It names the counter {requirement.counter} and limits nothing in it: its limits stand in the columns in "
            f"{requirement.counter_axis}."
        )
    if "operations" in _measures(requirement) and not requirement.operation:
        yield "A limit in operations needs the operation it counts named."
    if requirement.requirement in requirement.resets:
        yield "A requirement does not reset itself."


def _calendar_rules(requirement: Requirement) -> Iterator[str]:
    if requirement.month_rule is not None:
        if requirement.kind == "life_limit":
            yield "month_rule is refused on a life_limit: nothing extends it, not to the end of a month either."
        if not _in_months(requirement):
            yield "month_rule needs a limit in months."
    if requirement.shelf_allowance_months is not None:
        if requirement.start not in ("installation", "first_installation"):
            yield "shelf_allowance_months needs start installation or first_installation."
        if "calendar" not in _measures(requirement):
            yield "shelf_allowance_months needs a limit in months or days."
    if requirement.kind == "requalification" and requirement.start in FITTING_STARTS[1:]:
        yield f"A requalification counts from its mark, not from {requirement.start}."


def _aircraft_rules(requirement: Requirement) -> Iterator[str]:
    early, late = requirement.window_early, requirement.window_late
    if requirement.anchor == "due":
        if requirement.done_at == "shop":
            yield "anchor due is for work on the aircraft; shop work always counts from what was done."
        if not (early.any() or late.any()):
            yield "anchor due needs a window: outside one the next interval counts from what was done."
    elif early.any() or late.any():
        yield "A window sets where the next interval starts and needs anchor due; it is no tolerance."
    if requirement.kind == "life_limit" and (requirement.anchor == "due" or early.any() or late.any()):
        yield "A life_limit is not done and done again; it takes no anchor and no window."
    measures = _measures(requirement)
    for measure in sorted((measures_of(early) | measures_of(late)) - measures):
        yield f"A window is stated in {measure}, in which nothing is limited."


def _extensions(requirement: Requirement) -> Iterator[str]:
    if requirement.variation_allowed:
        if requirement.kind == "life_limit":
            yield "variation_allowed is refused on a life_limit: nothing extends it."
        if requirement.source in UNEXTENDABLE_SOURCES:
            yield f"variation_allowed is refused where the source is {requirement.source}: nothing extends it."
        if requirement.source == "dangerous_goods" and requirement.kind == "replacement":
            yield "variation_allowed is refused on a replacement under dangerous_goods: that is a service life."
    if requirement.at_due == "no-refill":
        if requirement.source != "dangerous_goods" or not requirement.reference:
            yield "at_due no-refill needs source dangerous_goods and the reference that allows it."
        if requirement.kind == "life_limit":
            yield "at_due no-refill is refused on a life_limit: a service life ends, charged or not."
        if requirement.whichever == "last":
            yield "at_due no-refill cannot be judged with whichever last."
        if "calendar" not in _measures(requirement):
            yield "at_due no-refill needs a limit in months or days."


def _bands(requirement: Requirement) -> Iterator[str]:
    if not requirement.bands:
        return
    ages = [band.from_age_months for band in requirement.bands]
    if len(set(ages)) != len(ages):
        yield "Two bands begin at the same age."
    if min(ages) < 0:
        yield "A band begins below age 0."
    if requirement.kind in ("life_limit", "on_condition"):
        yield f"Bands change a repeat; a {requirement.kind} has none."
    if requirement.band_rule == "basis" and not requirement.repeat.any() and min(ages) > 0:
        yield f"No repeat is stated for units younger than {min(ages)} months, where the first band begins."
    if not all(band.repeat.any() for band in requirement.bands):
        yield "A band states no repeat."


def _measures(requirement: Requirement) -> frozenset[str]:
    sets = [requirement.first, requirement.repeat, *(band.repeat for band in requirement.bands)]
    return frozenset().union(*(measures_of(limits) for limits in sets))


def _in_months(requirement: Requirement) -> bool:
    sets = [requirement.first, requirement.repeat, *(band.repeat for band in requirement.bands)]
    return any(limits.months is not None for limits in sets)


def _named(limits: Limits) -> dict[str, int | None]:
    """The figures under the names of the columns."""
    return {
        "months": limits.months,
        "days": limits.days,
        "hours": limits.minutes,
        "cycles": limits.cycles,
        "operations": limits.operations,
    }
