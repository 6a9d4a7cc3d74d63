"""A due date unfolded: every sentence and figure it rests on, in the order in which it was reckoned.

Nothing is judged anew here. The anchor, the limits and the legs are those of the life rules, asked once more and told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.case import MEASURES, Case, figure, is_limited
from fleetlife.follows.estimates import estimates
from fleetlife.follows.rule_told import limits_text, rule_passage
from fleetlife.life.anchors import anchor_in_force
from fleetlife.life.causes import CAUSES
from fleetlife.life.expansion import expansion_told, judge_recorded, volume
from fleetlife.life.points import proven_work, unproven_work, variation_text
from fleetlife.life.projection import all_rates
from fleetlife.life.reach import Reach, lowest, reach
from fleetlife.life.starts import Anchor
from fleetlife.life.values import Limits, Varied
from fleetlife.terms.published import RULES
from fleetlife.terms.views import Passage


def unfold(case: Case) -> tuple[Passage, ...]:
    """The passages of one due row, topic by topic."""
    rule, history = case.rule, case.history
    if case.point.standing == "complete":
        return (rule_passage(rule), _today(case), *_false_if(case, None))
    anchor = anchor_in_force(rule, history, proven_work(rule, history))
    found = reach(rule, history, anchor)
    return (
        rule_passage(rule),
        _basis(case, anchor),
        *_tests(case),
        *_restarts_nothing(case, anchor),
        *_run_since(case, anchor, found),
        *_due_point(case, anchor, found),
        *_variation(case),
        _today(case),
        *estimates(case, anchor, found),
        *_false_if(case, anchor),
    )


# -- from where it counts ----------------------------------------------------------------------------------------------


def _basis(case: Case, anchor: Anchor) -> Passage:
    done, history = anchor.done, case.history
    text = f"It counts from: {anchor.text}."
    entries: tuple[int, ...] = ()
    figures: list[tuple[str, str | int | None]] = [("basis_day", day_text(anchor.day))]
    known = "stated"
    if done is not None:
        entries = (done.entry,)
        figures += [("done", done.date.text), ("date_basis", done.date_basis)]
    run = []
    for measure, value in (("hours", anchor.minutes), ("cycles", anchor.cycles)):
        opening = history.opening.minutes if measure == "hours" else history.opening.cycles
        if value is None or opening is None or not is_limited(case.rule, measure):
            continue
        figures.append((f"{case.rule.named(measure)}_at_basis", figure(measure, opening + value)))
        run.append(f"{figure(measure, opening + value)} {case.rule.named(measure)}")
    if run and done is not None:
        text += f" At that point it had run {' and '.join(run)} since new."
    if done is not None and done.count.estimated and run:
        known = "bounded"
    if history.rebuilt:
        known = "rebuilt"
        text += " Its life before the records is rebuilt or estimated, as its opening statement says."
    if done is not None and done.date_basis == "mark" and case.rule.kind == "requalification":
        text += f" A requalification counts from the mark on the cylinder, by {RULES['49 CFR 180.213'].named}."
    if anchor.unfitted:
        text += " It has not been fitted since, and the calendar waits for that."
    return Passage(topic="basis", text=text, figures=tuple(figures), known=known, entries=entries)


def _tests(case: Case) -> Iterator[Passage]:
    """The expansion tests recorded with this requirement, each with its figures and the published limit."""
    for work in case.history.done:
        if work.requirement != case.rule.requirement or work.expansion is None:
            continue
        test = work.expansion
        judged = judge_recorded(test)
        yield Passage(
            topic="expansion test",
            text=f"{work.date.text}: {expansion_told(test)}.",
            figures=(
                ("tested", work.date.text),
                ("specification", test.specification),
                ("total", str(volume(test.total))),
                ("permanent", str(volume(test.permanent))),
                ("permanent_percent", str(judged.permanent_percent)),
                ("elastic", str(judged.elastic)),
                ("marked_limit", None if test.limit is None else str(volume(test.limit))),
                ("outcome", judged.outcome),
            ),
            known="stated",
            entries=(work.entry,),
        )


def _restarts_nothing(case: Case, anchor: Anchor) -> Iterator[Passage]:
    """What looks like a new start and is none: other paper, refits, the assembly's own release."""
    rule, history, done = case.rule, case.history, anchor.done
    since = done.day if done is not None else (anchor.day if anchor.day is not None else 0)
    for work in unproven_work(rule, history):
        if work.condemned is None:
            why = "the certificate named does not show that work: inspected or tested alone restarts nothing. "
            why += f"By {RULES['EASA FAQ 142042'].named}"
        else:
            why = f"the test of {work.condemned} condemned the cylinder, and no test restores a condemned one"
        yield Passage(
            topic="restarts nothing",
            text=f"{rule.requirement} of {work.date.text} is claimed, but {why}.",
            figures=(("claimed", work.date.text),),
            entries=(work.entry,),
        )
    claimed = {work.day for work in unproven_work(rule, history)}
    starting = rule.start in ("release", "first_installation", "installation") and done is None
    later = [r for r in history.releases if r.day > since and r.day not in claimed and not (r.new and starting)]
    if later:
        yield Passage(
            topic="restarts nothing",
            text=f"Released {days_told(r.day for r in later)}: no {rule.requirement} is recorded by that paper, so it "
            "restarts nothing here.",
            figures=(("released", days_told(r.day for r in later)),),
            entries=tuple(r.entry for r in later),
        )
    yield from _refits(case, since)
    for name, releases in case.above:
        for release in releases:
            if release.day > since or anchor.day is None:
                yield Passage(
                    topic="restarts nothing",
                    text=f"{name}, which holds it, was released {day_text(release.day)}: the release of an assembly "
                    "restarts nothing in what it holds.",
                    figures=(("assembly_released", day_text(release.day)),),
                    entries=(release.entry,),
                )


def _refits(case: Case, since: int) -> Iterator[Passage]:
    start = case.rule.start
    if start == "each_installation":
        return
    fittings = [i for i in case.history.installations if i.day >= since and i.day_known]
    again = start in ("installation", "first_installation")
    if again:
        fittings = fittings[1:]
    if not fittings:
        return
    days = days_told(i.day for i in fittings)
    why = "taking a unit off and fitting it again restarts" if again else "under this requirement a fitting starts"
    yield Passage(
        topic="restarts nothing",
        text=f"Fitted {'again ' if again else ''}{days}: {why} nothing.",
        figures=(("fitted", days),),
        entries=tuple(dict.fromkeys(i.entry for i in fittings)),
    )


def days_told(days: Iterable[int]) -> str:
    """`2024-05-03`, `2024-05-03 and 2025-01-09`, and so on."""
    told = [day_text(day) or "" for day in sorted(set(days))]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


# -- what it ran -------------------------------------------------------------------------------------------------------


def _run_since(case: Case, anchor: Anchor, found: Reach) -> Iterator[Passage]:
    """The carriages since the basis, where hours or cycles are limited."""
    measures = [m for m, steps in (("hours", found.minutes), ("cycles", found.cycles)) if steps]
    if not measures:
        return
    since = anchor.done.day if anchor.done is not None else case.history.as_of // 10_000
    for index, row in enumerate(case.carriages_in(measures[0])):
        if row.until_moment is not None and day_of(row.until_moment) < since:
            continue
        begin = day_of(row.from_moment)
        end = case.as_of if row.until_moment is None else day_of(row.until_moment)
        name = case.registration(row.airframe_id, min(begin, case.as_of))
        told, figures = [], [("airframe", name), ("since", day_text(begin))]
        for measure in measures:
            leg = case.carriages_in(measure)[index]
            start, stop = (
                (leg.from_minutes, leg.until_minutes) if measure == "hours" else (leg.from_cycles, leg.until_cycles)
            )
            unit = case.rule.named(measure)
            if row.until_moment is None:
                told.append(f"from {figure(measure, start)} {unit}")
            else:
                run = None if start is None or stop is None else stop - start
                told.append(f"{figure(measure, start)} to {figure(measure, stop)}, {figure(measure, run)} {unit}")
                figures.append((f"{unit}_run", figure(measure, run)))
            figures.append((f"{unit}_from", figure(measure, start)))
        until = "and still there" if row.until_moment is None else f"to {day_text(end)}"
        legs = dict.fromkeys(case.carriages_in(measure)[index] for measure in measures)
        bases = ", ".join(
            leg.from_basis if leg.until_moment is None else f"{leg.from_basis}, {leg.until_basis}" for leg in legs
        )
        worst = next((b for b in ("doubtful", "provisional", "bounded") if b in bases.split(", ")), row.from_basis)
        yield Passage(
            topic="run since",
            text=f"Carried by {name} from {day_text(begin)} {until}: {'; '.join(told)} ({bases}).",
            figures=tuple(figures),
            known=worst,
            entries=(row.entry,),
        )


def _due_point(case: Case, anchor: Anchor, found: Reach) -> Iterator[Passage]:
    """Each measure with the sum that gives its due point, and what is not known beside it."""
    point = case.point
    if point.calendar_due is not None and anchor.day is not None and found.calendar is not None:
        limits = limits_text(Limits(months=found.limits.months, days=found.limits.days), "")
        text = f"Calendar: {limits.rstrip(', ')} from {day_text(anchor.day)} end on {day_text(found.calendar)}"
        if found.calendar_due != found.calendar:
            text += f", rounded up to {day_text(found.calendar_due)}"
        if point.calendar_due != found.calendar_due:
            text += f"; the expiry stated for the unit comes first, on {day_text(point.calendar_due)}"
        yield Passage(
            topic="due point",
            text=f"{text}.",
            figures=(("from", day_text(anchor.day)), ("calendar_due", day_text(point.calendar_due))),
            known="stated",
        )
    elif point.calendar_due is not None:
        yield Passage(
            topic="due point",
            text=f"Calendar: the unit expires {day_text(point.calendar_due)}, as stated for it.",
            figures=(("calendar_due", day_text(point.calendar_due)),),
            known="stated",
        )
    for measure in MEASURES:
        yield from _counted(case, anchor, found, measure)
    if point.operations_left is not None:
        yield Passage(
            topic="due point",
            text=f"Operations ({case.rule.operation or 'of every kind'}): of {found.limits.operations} "
            f"{point.operations_left} are left, by what is recorded.",
            figures=(("limit", found.limits.operations), ("operations_left", point.operations_left)),
            known="counted",
        )
    for unknown in case.judged.unknown:
        cause = CAUSES.get(unknown.cause)
        told = unknown.cause
        if cause is not None:
            told = f"{cause.sentence} What would clear it: {cause.clears[0].lower()}{cause.clears[1:]}"
        yield Passage(
            topic="due point",
            text=f"{_sentence(unknown.measure)}: not known. {told}",
            figures=(("cause", unknown.cause),),
        )


def _counted(case: Case, anchor: Anchor, found: Reach, measure: str) -> Iterator[Passage]:
    threshold = lowest(found.minutes if measure == "hours" else found.cycles)
    if threshold is None:
        return
    point, carried, unit = case.point, case.history.carried, case.rule.named(measure)
    hours = measure == "hours"
    basis = (anchor.minutes if hours else anchor.cycles) or 0
    limit = threshold - (0 if found.at_fitting else basis)
    due = point.due_minutes if hours else point.due_cycles
    left = point.left_minutes if hours else point.left_cycles
    known = "bounded" if point.estimated else "counted"
    if due is not None and carried is not None:
        total, run = (carried.minutes, carried.count.minutes) if hours else (carried.cycles, carried.count.cycles)
        assert total is not None
        assert run is not None
        spent = run - basis
        head = f"{_sentence(unit)}: {figure(measure, limit)} {unit} from the basis"
        at_start = figure(measure, total)
        if spent >= 0:
            told = (
                f"{head}, of which {figure(measure, spent)} were run before this carriage began at {at_start} of the "
                f"airframe: due at {at_start} + {figure(measure, limit)} - {figure(measure, spent)}"
            )
        else:
            told = (
                f"{head}, which came {figure(measure, -spent)} after this carriage began at {at_start} of the "
                f"airframe: due at {at_start} + {figure(measure, -spent)} + {figure(measure, limit)}"
            )
        yield Passage(
            topic="due point",
            text=f"{told} = {figure(measure, due)} of its total{f' of {unit}' if case.in_counter(measure) else ''}.",
            figures=(
                ("limit", figure(measure, limit)),
                ("run_before", figure(measure, spent)),
                ("airframe_at_start", figure(measure, total)),
                ("airframe_due", figure(measure, due)),
            ),
            known=known,
        )
    elif left is not None:
        yield Passage(
            topic="due point",
            text=f"{_sentence(unit)}: of {figure(measure, limit)} {unit} {figure(measure, left)} are left; no "
            "airframe carries it.",
            figures=(("limit", figure(measure, limit)), ("left", figure(measure, left))),
            known=known,
        )


def _sentence(name: str) -> str:
    """The name of a measure or a counter at the beginning of a sentence: `APU hours` stays as it is spelled."""
    return name[:1].upper() + name[1:]


def _variation(case: Case) -> Iterator[Passage]:
    point = case.point
    for varied in case.history.variations:
        if varied.requirement != case.rule.requirement or varied.left_moment is None or varied.airframe_id is None:
            continue
        left = day_of(varied.left_moment)
        yield Passage(
            topic="variation",
            text=f"{_named(varied)}, ended on {day_text(left)}, when the unit left "
            f"{case.registration(varied.airframe_id, left)}: a variation belongs to one airframe. By "
            f"{RULES['ILT permitted variations'].named}.",
            figures=(("ended", day_text(left)),),
            known="stated",
            entries=(varied.entry,),
        )
    if point.variation is None:
        return
    until = [
        f"{name} {figure(measure, value) if measure else day_text(value)}"
        for name, measure, value in (
            ("to", "", point.varied_calendar),
            (f"to airframe {case.rule.named('hours')}", "hours", point.varied_minutes),
            (f"to airframe {case.rule.named('cycles')}", "cycles", point.varied_cycles),
        )
        if value is not None
    ]
    first = day_text(case.judged.original_due) or "at the point above"
    used = [v for v in case.history.variations if point.variation == _named(v)]
    yield Passage(
        topic="variation",
        text=f"First due {first}; extended once {', '.join(until)} under {point.variation}. It ends when the unit "
        f"leaves this airframe, and is never added to another. By {RULES['ILT permitted variations'].named}.",
        figures=(("original_due", day_text(case.judged.original_due)), ("until", day_text(point.varied_calendar))),
        known="stated",
        entries=tuple(v.entry for v in used),
    )


def _named(varied: Varied) -> str:
    return variation_text(varied.reference, varied.approved_by, varied.approved_on)


# -- the day asked about -----------------------------------------------------------------------------------------------


def _today(case: Case) -> Passage:
    judged = case.judged
    view = case.view_of(judged.driver or "")
    text = f"On {day_text(case.as_of)}: {judged.state}. {judged.state_reason}"
    figures: list[tuple[str, str | int | None]] = [
        ("state", judged.state),
        ("decided_by", None if judged.driver is None else case.rule.named(judged.driver)),
        ("due_date", day_text(judged.due_date)),
        ("due_earliest", day_text(judged.due_earliest)),
    ]
    known = None if judged.driver is None else "stated"
    if judged.driver in MEASURES and view is not None and view.base_day is not None:
        known = "projected"
        text += f" {_projection_told(case, judged.driver or 'hours')}"
        figures += [
            ("base_day", day_text(view.base_day)),
            ("base", figure(judged.driver or "", view.base_minutes if judged.driver == "hours" else view.base_cycles)),
        ]
    return Passage(topic="today", text=text, figures=tuple(figures), known=known)


def _projection_told(case: Case, measure: str) -> str:
    view, judged = case.view_of(measure), case.judged
    assert view is not None
    base = view.base_minutes if measure == "hours" else view.base_cycles
    told = [f"Base: the reading of {day_text(view.base_day)}, {figure(measure, base)}."]
    if view.plan:
        told.append("Planned utilisation is used on the days it covers.")
    if view.rate is not None:
        grown = view.rate.minutes if measure == "hours" else view.rate.cycles
        told.append(f"Mean: {figure(measure, grown)} in the {view.rate.span} days before.")
        if judged.due_date is not None:
            told.append(f"By the mean the limit is met on {day_text(judged.due_date)}.")
        if judged.due_earliest is not None and judged.due_earliest != judged.due_date:
            spans = sorted(rate.span for rate in all_rates(view) if rate is not None)
            told.append(
                f"By the highest of the rates over {', '.join(map(str, spans))} days on "
                f"{day_text(judged.due_earliest)}, which is what a window lists it by."
            )
    elif not view.plan:
        told.append("There is no rate to project it with, so no date is named.")
    return " ".join(told)


# -- what would make it false ------------------------------------------------------------------------------------------


def _false_if(case: Case, anchor: Anchor | None) -> Iterator[Passage]:
    """What, come to light, would make the date another one."""
    rule, driver = case.rule, case.judged.driver
    told = []
    if anchor is not None and anchor.done is not None:
        told.append(
            f"the work of {anchor.done.date.text} (entry {anchor.done.entry}) was not done, or on another day, or "
            f"{rule.requirement} was done again since and nobody recorded it"
        )
    elif anchor is not None and rule.kind != "life_limit":
        told.append(f"{rule.requirement} was done once and nobody recorded it")
    if driver is not None and case.in_counter(driver) and case.counter_view is not None:
        told.append(f"a reading of {rule.counter} is wrong")
        told.append(f"the airframe runs more, or less, {rule.counter} than it did")
    elif driver in MEASURES and case.view is not None:
        told.append("a reading of the airframe, or a total stated with a movement, is wrong")
        told.append("the airframe flies more, or less, than it did")
    if case.history.installations and anchor is not None:
        told.append("the unit was moved and the movement is not recorded")
    if anchor is not None and anchor.done is not None and anchor.done.date_basis == "mark":
        told.append("the mark on the cylinder reads otherwise")
    if rule.bands or rule.start in ("manufacture", "cure"):
        told.append("the date on its data plate is another one")
    if case.point.variation is not None:
        told.append("the variation is withdrawn, or the unit leaves the airframe")
    told.append(f"an edition after {rule.edition or 'this one'} is in force and has not been taken in")
    yield Passage(topic="false if", text=f"It would be otherwise if {'; if '.join(told)}.")
