"""A unit kept under one programme and then under another: both due points of each requirement beside each other.

Two programmes limit one part differently. Which of them holds for a unit that has moved is decided by the people who
approve the programme, never here: what is shown is each date, which comes first, and what one of them does not know.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fleetlife.dates.moment import day_of, end_of_day
from fleetlife.dates.partial import day_text
from fleetlife.life.differences import limit_words, what_differs
from fleetlife.life.values import DuePoint, Limits, Requirement, Unknown
from fleetlife.terms.measure import hours_text
from fleetlife.terms.views import BridgedLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A time on an airframe, and the programme of that airframe (None: the general requirements alone)."""

    programme: str | None
    from_moment: int
    until_moment: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One requirement of one programme on the unit: its due point, and what that says on the day asked.

    `due`: the last day on which it is not past. `minutes` and `cycles`: totals of the airframe at which it falls due
    or, with `carried` False, what would be left; the lower comes first either way.
    """

    rule: Requirement
    point: DuePoint
    state: str
    due: int | None = None
    minutes: int | None = None
    cycles: int | None = None
    unknown: tuple[Unknown, ...] = ()
    carried: bool = True


def kept_at(kept: Sequence[Kept], moment: int) -> Kept | None:
    """The stay on an airframe that began last by the moment: in stores a unit stays kept under that programme."""
    return next((stay for stay in reversed(kept) if stay.from_moment <= moment), None)


def moved_from(kept: Sequence[Kept], programme: str | None) -> tuple[Kept, int | None] | None:
    """The last stay under another programme, and the moment since which it is kept under `programme` without a break.

    None: it was never under another. The moment is None for a unit that is still kept under the other one.
    """
    since: int | None = None
    for stay in reversed(kept):
        if stay.programme != programme:
            return stay, since
        since = stay.from_moment
    return None


def programmes_before(kept: Sequence[Kept], programme: str | None, now: Mapping[str, Side]) -> tuple[str | None, ...]:
    """The programmes whose requirements are to be laid beside those of `programme`, the last one first."""
    moved = moved_from(kept, programme)
    if moved is None:
        return ()
    found = dict.fromkeys((moved[0].programme,))
    for side in now.values():
        found.update(dict.fromkeys(_formers(side, kept, programme, *moved)))
    return tuple(found)


def bridged_lines(
    kept: Sequence[Kept],
    programme: str | None,
    *,
    now: Mapping[str, Side],
    before: Mapping[str | None, Mapping[str, Side]],
    part_number: str,
    serial_number: str,
) -> tuple[BridgedLine, ...]:
    """What differs for a unit that came under `programme` from another: by requirement, what comes earlier first.

    `now` and `before` hold the requirements in force by name. Left out is what is the same under both, what has been
    done since it came under `programme`, a storage limit, and a requirement of one alone by which nothing is due.
    """
    moved = moved_from(kept, programme)
    if moved is None:
        return ()
    stay, since = moved
    pairs: list[tuple[str | None, Side | None, Side | None]] = []
    for name, side in sorted(now.items()):
        for former in _formers(side, kept, programme, stay, since):
            pairs.append((former, before.get(former, {}).get(name), side))
    for name, side in sorted(before.get(stay.programme, {}).items()):
        if name not in now:
            pairs.append((stay.programme, side, None))
    lines = []
    for former, old, new in pairs:
        if not _says_anything(old, new):
            continue
        lines.append(
            _line(
                old,
                new,
                kept_under=former or "general",
                kept_until=_left_on(kept, former, since),
                now_under=programme or "general",
                part_number=part_number,
                serial_number=serial_number,
            )
        )
    return tuple(sorted(lines, key=lambda line: (line.earlier != line.kept_under, line.due_before or "9999")))


def _formers(
    side: Side, kept: Sequence[Kept], programme: str | None, stay: Kept, since: int | None
) -> tuple[str | None, ...]:
    """The programme it was under last and, where its work was done under a third, that one; none once it was done anew.

    Work of the very day on which it came under the programme was done under the former one.
    """
    done = side.point.last_done
    if done is None:
        return (stay.programme,)
    if since is not None and done > day_of(since):
        return ()
    under = kept_at(kept, end_of_day(done) if since is None else min(end_of_day(done), since - 1))
    if under is None or under.programme in (programme, stay.programme):
        return (stay.programme,)
    return stay.programme, under.programme


def _left_on(kept: Sequence[Kept], programme: str | None, since: int | None) -> int | None:
    """The day on which it left the last airframe of that programme; None while it is still there."""
    stays = [s for s in kept if s.programme == programme and (since is None or s.from_moment < since)]
    until = stays[-1].until_moment if stays else None
    return None if until is None else day_of(until)


def _says_anything(old: Side | None, new: Side | None) -> bool:
    if old is not None and new is not None:
        if old.rule.kind == new.rule.kind == "storage":
            return False
        same = replace(old.point, basis=None) == replace(new.point, basis=None)
        return bool(what_differs(old.rule, new.rule)) or not same
    alone = old or new
    return alone is not None and alone.point.standing != "complete" and alone.rule.kind != "storage"


def _line(
    old: Side | None,
    new: Side | None,
    *,
    kept_under: str,
    kept_until: int | None,
    now_under: str,
    part_number: str,
    serial_number: str,
) -> BridgedLine:
    shown = new or old
    assert shown is not None
    names = {"before": kept_under, "now": now_under}
    first = _earlier(old, new)
    differs = "; ".join(_differs(old, new))
    return BridgedLine(
        part_number=part_number,
        serial_number=serial_number,
        requirement=shown.rule.requirement,
        kept_under=kept_under,
        kept_until=day_text(kept_until),
        now_under=now_under,
        edition_before=None if old is None else old.rule.edition_named,
        edition_after=None if new is None else new.rule.edition_named,
        reference_before=None if old is None else old.rule.reference,
        reference_after=None if new is None else new.rule.reference,
        state_before=None if old is None else old.state,
        state_after=None if new is None else new.state,
        due_before=None if old is None else day_text(old.due),
        due_after=None if new is None else day_text(new.due),
        airframe_hours_due_before=_airframe_total(old, "hours"),
        airframe_hours_due_after=_airframe_total(new, "hours"),
        airframe_cycles_due_before=_airframe_total(old, "cycles"),
        airframe_cycles_due_after=_airframe_total(new, "cycles"),
        unknown_before=None if old is None else _unknown_words(old.unknown),
        unknown_after=None if new is None else _unknown_words(new.unknown),
        earlier=names.get(first or "", first),
        differs=differs,
        text=_text(old, new, first, names, differs),
    )


def _text(old: Side | None, new: Side | None, first: str | None, names: Mapping[str, str], differs: str) -> str:
    """One sentence: both due points, which comes first, and in what the two requirements differ."""
    if old is None:
        assert new is not None
        return (
            f"{new.rule.requirement} of {new.rule.edition_named} has no counterpart in {names['before']}: "
            f"{due_words(new)}."
        )
    if new is None:
        return (
            f"{old.rule.requirement} of {old.rule.edition_named}, {due_words(old)}, has no counterpart in "
            f"{names['now']}, so nothing here asks for it any more."
        )
    which = {
        "before": f"that of {names['before']} is earlier",
        "now": f"that of {names['now']} is earlier",
        "neither": "neither is earlier",
    }.get(first or "", "which is earlier cannot be told")
    why = f" ({differs})" if differs else ""
    return (
        f"{old.rule.requirement}: {due_words(old)} under {old.rule.edition_named}, {due_words(new)} under "
        f"{new.rule.edition_named}; {which}{why}."
    )


def _differs(old: Side | None, new: Side | None) -> Iterator[str]:
    if old is not None and new is not None:
        found = what_differs(old.rule, new.rule)
        yield from found or ("other work resets it, or no longer does",)
        return
    alone = old or new
    assert alone is not None
    for words, limits in (("first limit", alone.rule.first), ("repeat", alone.rule.repeat)):
        if limits != Limits():
            yield f"{words} {limit_words(limits)}"


def _airframe_total(side: Side | None, measure: str) -> int | None:
    """The airframe's flown total at which it falls due; a counter's figure is none."""
    if side is None or not side.carried or side.rule.counter_axis == measure:
        return None
    return side.minutes if measure == "hours" else side.cycles


def due_words(side: Side) -> str:
    """`due 2027-03-10`, `overdue since 2026-10-01`, `at 6369:45 of the airframe's hours`, `unknown (calendar: ...)`."""
    told = []
    if side.point.standing == "complete":
        told.append("nothing further due")
    elif side.due is not None and side.state == "overdue":
        told.append(f"overdue, it was due {day_text(side.due)}")
    elif side.due is not None:
        told.append(f"due {day_text(side.due)}")
    elif side.state == "overdue":
        told.append("overdue")
    elif side.minutes is not None or side.cycles is not None:
        told.append(_counted_words(side))
    elif side.state != "unknown":
        told.append(f"{side.state}, with no date")
    unknown = _unknown_words(side.unknown)
    if unknown or not told:
        told.append(f"unknown ({unknown})" if unknown else "unknown")
    return ", ".join(told)


def _counted_words(side: Side) -> str:
    told = []
    if side.minutes is not None:
        told.append(f"{hours_text(side.minutes)} {side.rule.named('hours')}")
    if side.cycles is not None:
        told.append(f"{side.cycles} {side.rule.named('cycles')}")
    figures = " or ".join(told)
    return f"due at {figures} of the airframe" if side.carried else f"{figures} left"


def _unknown_words(unknown: Sequence[Unknown]) -> str | None:
    return "; ".join(f"{each.measure}: {each.cause}" for each in unknown) or None


def _earlier(old: Side | None, new: Side | None) -> str | None:
    """`before`, `now` or `neither`; None where it cannot be told. What is unknown makes nothing later."""
    if old is None or new is None:
        return "before" if new is None else "now"
    gone = (old.state == "overdue", new.state == "overdue")
    if gone[0] != gone[1]:
        return "before" if gone[0] else "now"
    if old.rule.counter != new.rule.counter and old.due == new.due:
        return None  # counted in different things
    for was, becomes in ((old.due, new.due), (old.minutes, new.minutes), (old.cycles, new.cycles)):
        if was == becomes:
            continue
        if was is None or becomes is None:
            late = old if was is None else new
            if late.unknown or late.state == "unknown":
                return None
            return "now" if was is None else "before"
        return "before" if was < becomes else "now"
    return None if old.unknown or new.unknown else "neither"
