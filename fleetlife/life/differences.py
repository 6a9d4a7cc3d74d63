"""In which words two editions of a requirement differ, as far as a due point can move by it."""

from __future__ import annotations

from fleetlife.life.values import Limits, Requirement
from fleetlife.terms.measure import hours_text

_LIMITS = (
    ("first", "first limit"),
    ("repeat", "repeat"),
    ("window_early", "early window"),
    ("window_late", "late window"),
)
_WORDS = (
    ("kind", "kind"),
    ("start", "start"),
    ("operation", "operation"),
    ("counter", "counter"),
    ("whichever", "whichever"),
    ("month_rule", "month rule"),
    ("shelf_allowance_months", "shelf allowance in months"),
    ("done_at", "done at"),
    ("anchor", "anchor"),
    ("variation_allowed", "variation allowed"),
    ("at_due", "at the due point"),
    ("requires_unit_modification", "only with modification"),
)


def what_differs(before: Requirement, after: Requirement) -> tuple[str, ...]:
    """One clause for each thing that differs, none where only the name of the edition or its reference does."""
    found = []
    for name, words in _LIMITS:
        old, new = getattr(before, name), getattr(after, name)
        old_words, new_words = limit_words(old, before), limit_words(new, after)
        if old_words != new_words:
            found.append(f"{words} {old_words}, now {new_words}")
    old_bands, new_bands = band_words(before), band_words(after)
    if old_bands != new_bands:
        found.append(f"bands {old_bands}, now {new_bands}")
    for name, words in _WORDS:
        old, new = getattr(before, name), getattr(after, name)
        if old != new:
            found.append(f"{words} {_word(old)}, now {_word(new)}")
    if set(before.resets) != set(after.resets):
        found.append(f"resets {_word('; '.join(before.resets))}, now {_word('; '.join(after.resets))}")
    return tuple(found)


def stated_words(rule: Requirement) -> str:
    """`start manufacture; first limit 120 months`: the limits of a requirement that was not there before."""
    limits = [
        f"{words} {limit_words(getattr(rule, name), rule)}" for name, words in _LIMITS[:2] if getattr(rule, name).any()
    ]
    bands = [f"bands {band_words(rule)}"] if rule.bands else []
    return "; ".join((f"start {_word(rule.start)}", *limits, *bands))


def limit_words(limits: Limits, rule: Requirement | None = None) -> str:
    """`36 months`, `60 months, 17500:00 FH`, `none`; with the rule they are of, a limit in its counter by its name."""
    axis, counter = (None, None) if rule is None else (rule.counter_axis, rule.counter)
    found = []
    for value, words in ((limits.months, "months"), (limits.days, "days")):
        if value is not None:
            found.append(f"{value} {words}")
    if limits.minutes is not None:
        found.append(f"{hours_text(limits.minutes)} {counter if axis == 'hours' else 'FH'}")
    if limits.cycles is not None:
        found.append(f"{limits.cycles} {counter if axis == 'cycles' else 'FC'}")
    if limits.operations is not None:
        found.append(f"{limits.operations} operations")
    return ", ".join(found) or "none"


def band_words(rule: Requirement) -> str:
    """`from 180 months of age 12 months (cap)`, `none`."""
    if not rule.bands:
        return "none"
    ages = (f"from {band.from_age_months} months of age {limit_words(band.repeat, rule)}" for band in rule.bands)
    return f"{', '.join(ages)} ({rule.band_rule})"


def _word(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value).replace("_", " ") if value not in (None, "") else "none"
