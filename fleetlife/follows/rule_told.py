"""A requirement in words: edition, source and reference, limits and from where they run."""

from __future__ import annotations

from collections.abc import Iterator

from fleetlife.dates.moment import FAR_DAY, FIRST_DAY
from fleetlife.dates.partial import day_text
from fleetlife.life.values import Limits, Requirement
from fleetlife.terms.measure import hours_text
from fleetlife.terms.published import RULES
from fleetlife.terms.views import Passage

MONTH_RULE = RULES["PHMSA 11-0131 month"].cited
CHARGED_RULE = f"{RULES['PHMSA 11-0131 charged'].named}, under {RULES['49 CFR 180.205'].named}"


def rule_passage(rule: Requirement) -> Passage:
    """The requirement in words: edition, source and reference, limits and from where they run."""
    programme = f"programme {rule.programme}" if rule.programme else "no programme of its own: it holds for all"
    since = "" if rule.in_force_from <= FIRST_DAY else f", in force from {day_text(rule.in_force_from)}"
    until = "" if rule.in_force_until >= FAR_DAY else f", until {day_text(rule.in_force_until - 1)}"
    head = (
        f"{rule.requirement} is a requirement of the kind {rule.kind.replace('_', ' ')}, {programme}, edition "
        f"{rule.edition or 'not stated'}{since}{until}; source {(rule.source or 'not stated').replace('_', ' ')}, "
        f"reference {rule.reference or 'not stated'}."
    )
    return Passage(
        topic="rule",
        text=" ".join([head, *_limits_told(rule)]),
        figures=(
            ("requirement", rule.requirement),
            ("programme", rule.programme),
            ("edition", rule.edition),
            ("source", rule.source),
            ("reference", rule.reference),
            *_limit_figures("first", rule.first, rule),
            *_limit_figures("repeat", rule.repeat, rule),
            *((("counter", rule.counter),) if rule.counter is not None else ()),
        ),
        known="stated",
        entries=(rule.entry,) if rule.entry else (),
    )


def _limits_told(rule: Requirement) -> Iterator[str]:
    if rule.kind == "on_condition":
        yield "It states that nothing is due."
        return
    joined = "whichever comes first" if rule.whichever == "first" else "whichever comes last"
    if rule.first.any():
        yield f"First at {limits_text(rule.first, joined, rule)}, from {_START[rule.start]}."
    if rule.repeat.any():
        again = f"Then every {limits_text(rule.repeat, joined, rule)}" if rule.first.any() else ""
        every = again or f"Every {limits_text(rule.repeat, joined, rule)}"
        yield f"{every}, from {_REPEATS.get(rule.start, 'what was done')}."
    for band in rule.bands:
        yield f"From {band.from_age_months} months of age on, every {limits_text(band.repeat, joined, rule)}."
    if rule.counter is not None:
        yield f"{rule.counter} is a counter of the airframe with readings of its own: nothing flown is taken for it."
    if rule.shelf_allowance_months is not None:
        yield f"Not fitted, the calendar starts after a shelf allowance of {rule.shelf_allowance_months} months."
    if rule.month_rule == "last":
        yield f"The due date is rounded up to the end of its month ({MONTH_RULE})."
    if rule.anchor == "due":
        yield "Done inside its window it counts on from the due point; the window is no tolerance."
    if rule.at_due == "no-refill":
        yield (
            "Filled before the date and not since, it may stay until emptied; it may not be refilled or newly fitted "
            f"({CHARGED_RULE})."
        )


_START = {
    "manufacture": "manufacture",
    "cure": "the cure date",
    "release": "the first release, as new",
    "first_installation": "the first installation",
    "installation": "the first installation after the release",
    "each_installation": "every installation",
}
_REPEATS = {
    "installation": "the first installation after what was done",
    "each_installation": "every installation",
}


def limits_text(limits: Limits, joined: str, rule: Requirement | None = None) -> str:
    """The figures of a set of limits: `36 months or 600:00 hours, whichever comes first`.

    With the rule they are of, a limit in its counter by the counter's name, as it is spelled.
    """
    counter, axis = (None, None) if rule is None else (rule.counter, rule.counter_axis)
    told = [
        (limits.months, "month"),
        (limits.days, "day"),
        (None if limits.minutes is None else hours_text(limits.minutes), "flight hour"),
        (limits.cycles, "flight cycle"),
        (limits.operations, "operation"),
    ]
    named = {"flight hour": "hours", "flight cycle": "cycles"}
    parts = [
        f"{value} {counter}"
        if counter is not None and named.get(word) == axis
        else f"{value} {word}{'' if value == 1 else 's'}"
        for value, word in told
        if value is not None
    ]
    return " or ".join(parts) + (f", {joined}" if len(parts) > 1 else "")


def _limit_figures(name: str, limits: Limits, rule: Requirement) -> Iterator[tuple[str, str | int | None]]:
    for measure, value in (
        ("months", limits.months),
        ("days", limits.days),
        ("hours", None if limits.minutes is None else hours_text(limits.minutes)),
        ("cycles", limits.cycles),
        ("operations", limits.operations),
    ):
        if value is not None:
            yield f"{name}_{rule.named(measure)}", value
