"""Whole certificates and their counts, gathered in a world for the checks of forms, approvals and counts.

Certificates come as a stream, one at a time; addresses are looked up for those alone of which something is found. Lines
filed against units that later entries touch are told from what was known and true then.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Any

from fleetlife.checks import approvals as approval_checks
from fleetlife.checks import counts, forms
from fleetlife.checks.rows import Bounds, CountedLine, FiledLine, LifePaperRow, PaperTally, Placed, WholePaper
from fleetlife.clocks.evidence import Bench
from fleetlife.clocks.world import CHUNK, World
from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import day_number
from fleetlife.follows.carry import Counts, not_known_since
from fleetlife.follows.derive import derive
from fleetlife.follows.place import Recorded, stays_of
from fleetlife.follows.rows import CarriageRow
from fleetlife.ledger.facts import Accomplishment, Certificate, Opening
from fleetlife.life.values import Count
from fleetlife.store import audit_query as query
from fleetlife.store.audit_query import Scope, ask
from fleetlife.terms.finding import Finding
from fleetlife.terms.forms import forms_named
from fleetlife.terms.number import fold

Key = tuple[str, str]
_WIDTH = query.width_of(Certificate)
OF_FORMS = (
    *("FRM101", "FRM102", "FRM103", "FRM104", "FRM105", "FRM106", "FRM107", "FRM109", "FRM110", "FRM111"),
    *("APP101", "APP102"),
)
_FORM_CHECKS = (
    forms.status_not_of_the_form,
    forms.numbers_lumped_together,
    forms.several_parts_on_one_form,
    forms.production_and_maintenance_mixed,
    forms.corrected_certificate_not_filed,
    forms.correction_numbered_otherwise,
    forms.form_before_its_edition,
    forms.second_authority_incomplete,
    forms.quantity_differs,
)


# --- whole certificates ---------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Seen:
    """What one look through the certificates of a scope found worth a second look, and what many have in common."""

    suspects: list[WholePaper] = field(default_factory=list)
    forms: dict[str, PaperTally] = field(default_factory=dict)
    approvals: dict[str, PaperTally] = field(default_factory=dict)


class Judge:
    """The checks of one certificate in a world."""

    def __init__(self, world: World) -> None:
        self.as_of = world.as_of
        self.approvals = approval_checks.approvals_by_number(world.reference.approvals)

    def of(self, paper: WholePaper) -> Iterator[Finding]:
        for check in _FORM_CHECKS:
            yield from check((paper,))
        yield from forms.certificate_date_impossible((paper,), as_of=self.as_of)
        if self.approvals:
            yield from approval_checks.signed_outside_approval((paper,), approvals=self.approvals)
            yield from approval_checks.approval_of_another_organisation((paper,), approvals=self.approvals)

    def may_find(self, paper: WholePaper) -> bool:
        """Whether something may be found; what it corrects is looked up for those alone that correct something."""
        return any(line.fact.corrects for line in paper.lines) or any(True for _ in self.of(paper))


def paper_findings(bench: Bench) -> Iterator[Finding]:
    """What is found of certificates by the rules of their forms and by the approvals they are signed under."""
    yield from _judged(bench, _seen(bench).suspects)


def forms_not_known(bench: Bench) -> Iterator[Finding]:
    """One finding for each name of a form that is not in the table."""
    yield from forms.form_not_known(_seen(bench).forms.values())


def approvals_not_known(bench: Bench) -> Iterator[Finding]:
    """One finding for each organisation and approval that is not among those taken in; none where there are none."""
    yield from approval_checks.approval_not_known(_seen(bench).approvals.values())


def findings_of_paper(world: World, organisation: str, tracking_number: str) -> tuple[Finding, ...]:
    """What is found of one certificate, whether its lines are filed against units or not."""
    bench, judge = Bench(world, Scope()), Judge(world)
    papers = [each for each in _whole_papers(bench, numbered=tracking_number) if each.organisation == organisation]
    return tuple(_judged(bench, [each for each in papers if judge.may_find(each)]))


def findings_of_papers(world: World, unit_ids: Collection[int]) -> tuple[Finding, ...]:
    """What is found of the papers of the units: by their forms, by who signed them, and by what they say was run."""
    units = frozenset(unit_ids)
    ahead = world.ahead
    if ahead is None or not ahead.answers(units):
        return _of_papers(world, units)
    if ahead.papers is None:  # read ahead, their papers are judged together too
        ahead.papers = {}
        for each in _of_papers(world, ahead.units):
            ahead.papers.setdefault(each.unit or 0, []).append(each)
    found = (each for unit in units for each in ahead.papers.get(unit, ()))
    return tuple(sorted(found, key=Finding.sort_key))


def _of_papers(world: World, units: frozenset[int]) -> tuple[Finding, ...]:
    bench = Bench(world, Scope(units=units))
    found = (*paper_findings(bench), *counts_that_differ(bench), *lives_not_on_paper(bench))
    return tuple(sorted((each for each in found if each.unit in units), key=Finding.sort_key))


def _seen(bench: Bench) -> Seen:
    """One look through the certificates, kept for all checks that rest on it."""
    held = bench.kept.get("papers")
    if isinstance(held, Seen):
        return held
    seen, judge = Seen(), Judge(bench.world)
    for paper in _whole_papers(bench):
        if judge.may_find(paper):
            seen.suspects.append(paper)
        line = next((each for each in paper.lines if each.fact.form), None)
        if line is not None and line.fact.form and not forms_named(line.fact.form):
            _count(seen.forms, fold(line.fact.form), what=line.fact.form, line=line)
        for number, each in _signed_under(paper).items() if judge.approvals else ():
            if fold(number) not in judge.approvals:
                _count(seen.approvals, f"{fold(paper.organisation)}|{fold(number)}", what=number, line=each)
    bench.kept["papers"] = seen
    return seen


def _signed_under(paper: WholePaper) -> dict[str, FiledLine]:
    """The approvals that the lines are signed under, a second one among them, each with its first line; empty: none."""
    found: dict[str, FiledLine] = {}
    for line in paper.lines:
        for number in (line.fact.approval or "", line.fact.second_approval):
            if number is not None and fold(number) not in map(fold, found):
                found[number] = line
    return found


def _judged(bench: Bench, suspects: Sequence[WholePaper]) -> Iterator[Finding]:
    """The findings, their units addressed and what they correct looked up."""
    if not suspects:
        return
    units = bench.units_named({line.fact.unit for paper in suspects for line in paper.lines if line.fact.unit})
    corrected, judge = _corrected(bench.world, suspects), Judge(bench.world)
    for paper in suspects:
        addressed = tuple(replace(line, unit=units.get(line.fact.unit or 0)) for line in paper.lines)
        yield from judge.of(WholePaper(lines=addressed, corrected_on=corrected.get(fold(paper.organisation), {})))


def _corrected(world: World, papers: Iterable[WholePaper]) -> dict[str, dict[str, int]]:
    """By folded organisation and tracking number, the day of certificates that these say they correct."""
    named = frozenset(line.fact.corrects for paper in papers for line in paper.lines if line.fact.corrects)
    found: dict[str, dict[str, int]] = {}
    if named:
        rows = ask(world.connection, "corrected papers", named=named, known=world.known)
        for organisation, tracking_number, day in rows:
            found.setdefault(fold(organisation), {})[fold(tracking_number)] = day
    return found


def _count(tallies: dict[str, PaperTally], key: str, *, what: str, line: FiledLine) -> None:
    held = tallies.get(key)
    first = line if held is None else min(held.first, line, key=_key)
    tallies[key] = PaperTally(
        what=what if first is line else held.what if held else what,
        organisation=first.fact.organisation,
        count=1 + (held.count if held else 0),
        first=first,
    )


def _whole_papers(bench: Bench, *, numbered: str | None = None) -> Iterator[WholePaper]:
    """The certificates of the scope, or those of one number, each with all its lines as known and true then."""
    then = _lines_then(bench)
    for key, lines in groupby(_stored_lines(bench, numbered), key=_key):
        merged = [*lines, *then.pop(key, [])]
        if merged:
            yield WholePaper(lines=tuple(sorted(merged, key=lambda line: line.entry)))
    for key, held in sorted(then.items()):
        asked = bench.scope.units is None or any(line.fact.unit in bench.scope.units for line in held)
        if asked and numbered in (None, key[1]):
            yield WholePaper(lines=tuple(sorted(held, key=lambda line: line.entry)))


def _key(line: FiledLine) -> Key:
    return line.fact.organisation, line.fact.tracking_number


def _stored_lines(bench: Bench, numbered: str | None) -> Iterator[FiledLine]:
    """The lines of units that have not changed since. One of a later day than the one asked counts where it was
    recorded by then: that is what is wrong with it."""
    world, units = bench.world, bench.scope.units
    known, as_of = world.known, world.as_of
    if numbered is not None:
        named = frozenset((numbered,))
        rows = ask(world.connection, "papers numbered", named=named, known=known, as_of=as_of)
    elif units is None:
        rows = ask(world.connection, "papers", known=known, as_of=as_of)
    else:
        rows = ask(world.connection, "papers of units", ids=units, known=known, as_of=as_of) if units else iter(())
    for row in rows:
        line = FiledLine(fact=query.fact_of(Certificate, row[:_WIDTH]), entry=row[_WIDTH], recorded_on=row[_WIDTH + 1])
        ahead = line.recorded_on is not None and line.recorded_on <= as_of
        if ahead or (line.dated_on <= as_of and bench.stands(line.fact.unit)):
            yield line


def _lines_then(bench: Bench) -> dict[Key, list[FiledLine]]:
    """The lines filed against units that were derived again, by certificate."""
    found: dict[Key, list[FiledLine]] = {}
    for number, fact in bench.then.certificates:
        found.setdefault((fact.organisation, fact.tracking_number), []).append(FiledLine(fact=fact, entry=number))
    return found


# --- counts ---------------------------------------------------------------------------------------------------------


def counts_that_differ(bench: Bench) -> Iterator[Finding]:
    """What papers say units had run against what the records can mean; units are derived where a rough look finds."""
    wanted = {placed.state.unit_id for placed in bench.changed()}
    for unit, rows in groupby(ask(bench.world.connection, "counted papers", bench.scope), key=_unit_of):
        if bench.stands(unit) and _roughly_differs(list(rows)):
            wanted.add(unit)
    units = bench.units_named(wanted) if wanted else {}
    ordered = sorted(units)
    for start in range(0, len(ordered), CHUNK):
        for lines in _counted(bench.world, ordered[start : start + CHUNK], units):
            yield from counts.counts_on_paper_differ((lines,))


def _unit_of(row: Sequence[Any]) -> int:
    unit: int = row[query.fact_width(Certificate, "unit")]
    return unit


def _roughly_differs(rows: Sequence[Sequence[Any]]) -> bool:
    """Whether anything may be found of a unit's papers: with the plain sums of its stays, or while it was carried."""
    lines = []
    for row in rows:
        line = FiledLine(fact=query.fact_of(Certificate, row[:_WIDTH]), entry=row[_WIDTH])
        as_of, minutes, cycles, carried, run_minutes, run_cycles, *stated = row[_WIDTH + 1 :]
        if carried and line.dated_on > as_of:
            return True
        lines.append(
            CountedLine(
                line=line,
                minutes=_rough(minutes, run_minutes, line.dated_on, as_of),
                cycles=_rough(cycles, run_cycles, line.dated_on, as_of),
                stated_minutes=stated[0],
                stated_cycles=stated[1],
            )
        )
    return any(True for _ in counts.counts_on_paper_differ((lines,)))


def _rough(opening: int | None, run: int, day: int, as_of: int) -> Bounds:
    if opening is None:
        return Bounds()
    return Bounds(most=opening) if day <= as_of else Bounds(least=opening + run, most=opening + run)


def _counted(world: World, chunk: Sequence[int], units: dict[int, Placed]) -> Iterator[list[CountedLine]]:
    """The papers of each unit that state counts, with what the records can mean of their days."""
    facts = world.facts(chunk)
    derived = derive(facts, book=world.reference.book(), totals=world.totals(), counters=world.counters())
    stays = {unit: held for unit, told in facts.items() if (held := stays_of(unit, told)).opened is not None}
    for unit in chunk:
        if unit not in derived.histories:
            continue
        own = facts[unit]
        opening = next(r.fact for r in own if isinstance(r.fact, Opening) and r.fact.unit == unit)
        relative = Counts(
            derived.carriages[unit],
            as_of=end_of_day(day_number(opening.as_of)),
            totals=world.totals(),
            not_known_since=not_known_since(unit, stays),
        )
        lines = [
            counted_line(r.number, r.fact, opening, relative, derived.carriages[unit], own, units[unit])
            for r in own
            if isinstance(r.fact, Certificate)
            and r.fact.unit == unit
            and (r.fact.minutes_since_new is not None or r.fact.cycles_since_new is not None)
        ]
        if lines:
            yield lines


def counted_line(
    number: int,
    fact: Certificate,
    opening: Opening,
    relative: Counts,
    carriages: Sequence[CarriageRow],
    own: Sequence[Recorded],
    unit: Placed | None,
) -> CountedLine:
    """The line with what the records can mean of its day: from the least at its beginning to the most at its end, and
    before the opening statement up to what that states. `relative`: the unit's counts since that statement."""
    day, opened = day_number(fact.dated_on), day_number(opening.as_of)
    minutes = cycles = Bounds()
    if day <= opened:
        minutes, cycles = Bounds(most=opening.minutes_since_new), Bounds(most=opening.cycles_since_new)
    elif carriages or relative.not_known_since is None:
        begin = relative.bounded_at(max(moment_of(day), end_of_day(opened)))
        end = relative.bounded_at(end_of_day(day))
        minutes = _bounds(opening.minutes_since_new, begin, end, "hours")
        cycles = _bounds(opening.cycles_since_new, begin, end, "cycles")
    work = [
        r.fact
        for r in own
        if isinstance(r.fact, Accomplishment)
        and r.fact.unit == fact.unit
        and r.fact.certificate == fact.tracking_number
        and r.fact.certificate_organisation in (None, fact.organisation)
    ]
    return CountedLine(
        line=FiledLine(fact=fact, entry=number, unit=unit),
        minutes=minutes,
        cycles=cycles,
        stated_minutes=max((w.minutes_since_new for w in work if w.minutes_since_new is not None), default=None),
        stated_cycles=max((w.cycles_since_new for w in work if w.cycles_since_new is not None), default=None),
    )


def _bounds(opening: int | None, begin: Count, end: Count, measure: str) -> Bounds:
    """Since new, from the least at the day's beginning to the most at its end."""
    if opening is None:
        return Bounds()
    low, high = (count.minutes if measure == "hours" else count.cycles for count in (begin, end))
    over, under = begin.bounds.of(measure)[0], end.bounds.of(measure)[1]
    return Bounds(
        least=None if low is None or over is None else opening + max(0, low - over),
        most=None if high is None or under is None else opening + high + under,
    )


def lives_not_on_paper(bench: Bench) -> Iterator[Finding]:
    """Latest releases that state no life, of units whose life is limited in hours or cycles."""
    rules = _life_rules(bench.world)
    if not rules:
        return
    for row in ask(bench.world.connection, "life papers", bench.scope, parts=frozenset(rules)):
        fact = query.fact_of(Certificate, row[:_WIDTH])
        if bench.stands(fact.unit):
            unit = bench.placed(query.addressed(row[_WIDTH + 1 :]))
            yield from _life_of(unit, fact, row[_WIDTH], rules)
    for number, fact in bench.then.certificates:
        placed = bench.then.units.get(fact.unit or 0)
        if placed is None or not _in_scope(bench.scope.units, placed) or placed.state.kind == "scrap":
            continue
        latest = (placed.state.release_certificate, placed.state.released_on)
        if latest == (fact.tracking_number, day_number(fact.dated_on)):
            yield from _life_of(placed, fact, number, rules)


def _in_scope(units: Collection[int] | None, placed: Placed) -> bool:
    return units is None or placed.state.unit_id in units


def _life_of(
    unit: Placed, fact: Certificate, number: int, rules: dict[str, tuple[str, tuple[str, ...]]]
) -> Iterator[Finding]:
    held = rules.get(fold(unit.state.part_number))
    if held is not None:
        line = FiledLine(fact=fact, entry=number, unit=unit)
        yield from counts.life_not_on_paper(
            (LifePaperRow(unit=unit, line=line, measures=held[1], requirement=held[0]),)
        )


def _life_rules(world: World) -> dict[str, tuple[str, tuple[str, ...]]]:
    """By folded part number, the life limit in force and which of hours and cycles it counts; none of a counter."""
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    for part, rules in world.reference.book().requirements.items():
        for rule in rules:
            if rule.kind != "life_limit" or not rule.in_force_from <= world.as_of < rule.in_force_until:
                continue
            limits = (("hours", rule.first.minutes), ("cycles", rule.first.cycles))
            measures = tuple(name for name, limit in limits if limit is not None)
            if rule.counter is None and measures:
                earlier = found.get(part, (rule.requirement, ()))
                found[part] = (earlier[0], tuple(m for m in ("hours", "cycles") if m in (*earlier[1], *measures)))
    return found
