"""Publications as they stand on a day: which revision counts, what it names and asks for; and what cannot be stated.

Of a reference the revision that took effect last counts, by its effective date: how revisions are called says nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fleetlife.dates.partial import day_number, parse_partial
from fleetlife.fit.applicability import exceptions_of
from fleetlife.follows.reference import Reference
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.publications import Applicability, Compliance, Publication
from fleetlife.life.compliance import Demand
from fleetlife.life.values import Limits
from fleetlife.terms.number import compare_serials, did_you_mean, fold
from fleetlife.terms.words import MANDATORY_KINDS

IN_FORCE, TO_COME, SUPERSEDED, CANCELLED, EARLIER = (
    *("in force", "to come", "superseded", "cancelled"),
    "earlier revision",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """One revision of a publication on a day. `entry` states it; `rows` and `asks` are its own, each with its entry.

    `standing` is in force, to come, superseded (`instead` names by what), cancelled, or an earlier revision.
    """

    fact: Publication
    entry: int
    standing: str
    instead: str | None = None
    rows: tuple[tuple[int, Applicability], ...] = ()
    asks: tuple[tuple[int, Compliance], ...] = ()

    @property
    def reference(self) -> str:
        return self.fact.publication

    @property
    def named(self) -> str:
        """`QD-2026-014 revision 2`."""
        return f"{self.fact.publication} revision {self.fact.revision}" if self.fact.revision else self.fact.publication

    @property
    def names_units(self) -> bool:
        """Whether the records say which units it names."""
        return any(not row.excluded for _, row in self.rows)

    @property
    def mandatory(self) -> bool:
        return self.fact.kind in MANDATORY_KINDS


def references_named(text: str | None) -> tuple[str, ...]:
    """The references that a cell lists, divided by semicolons."""
    return tuple(name.strip() for name in (text or "").split(";") if name.strip())


def notices_on(reference: Reference, day: int) -> tuple[Notice, ...]:
    """Every revision of every publication, in order of reference and effective date, as it stands on the day."""
    revisions: dict[str, list[tuple[int, Publication]]] = {}
    for number, fact in reference.publications:
        revisions.setdefault(fold(fact.publication), []).append((number, fact))
    instead: dict[str, str] = {}
    for _, fact in reference.publications:
        if day_number(fact.effective_on) <= day:
            for name in references_named(fact.supersedes):
                instead.setdefault(fold(name), fact.publication)
    found: list[Notice] = []
    for key in sorted(revisions):
        held = sorted(revisions[key], key=lambda one: (one[1].effective_on, one[0]))
        effective = [fact for _, fact in held if day_number(fact.effective_on) <= day]
        for number, fact in held:
            found.append(
                Notice(
                    fact=fact,
                    entry=number,
                    standing=_standing(fact, effective, instead.get(key), day),
                    instead=instead.get(key),
                    rows=tuple((n, row) for n, row in reference.applicability if _is_of(row, fact)),
                    asks=tuple((n, ask) for n, ask in reference.compliance if _is_of(ask, fact)),
                )
            )
    return tuple(found)


def _standing(fact: Publication, effective: Sequence[Publication], instead: str | None, day: int) -> str:
    if fact not in effective:
        return TO_COME
    if fact is not effective[-1]:
        return EARLIER
    if instead is not None:
        return SUPERSEDED
    return CANCELLED if fact.cancelled_on and day_number(fact.cancelled_on) <= day else IN_FORCE


def _is_of(row: Applicability | Compliance, fact: Publication) -> bool:
    return fold(row.publication) == fold(fact.publication) and fold(row.revision) == fold(fact.revision)


def in_force(reference: Reference, day: int) -> tuple[Notice, ...]:
    """The publications that ask for something on the day."""
    return tuple(notice for notice in notices_on(reference, day) if notice.standing == IN_FORCE)


def asks_of(notice: Notice, groups: Sequence[str | None]) -> tuple[tuple[int, Compliance], ...]:
    """What the publication asks of units of the groups."""
    wanted = {fold(group) for group in groups}
    return tuple((n, ask) for n, ask in notice.asks if ask.unit_group is None or fold(ask.unit_group) in wanted)


def work_name(ask: Compliance) -> str:
    """The name under which work that closes it is recorded."""
    return ask.closed_by_work or ask.publication


def work_names(reference: Reference) -> dict[str, str]:
    """Every name under which work against a publication is recorded, by its folded form."""
    names = {fold(fact.publication): fact.publication for _, fact in reference.publications}
    return {**names, **{fold(work_name(ask)): work_name(ask) for _, ask in reference.compliance}}


def demand_of(notice: Notice, ask: Compliance, part_number: str) -> Demand:
    """What is asked, as the life rules judge it on a unit of the part."""
    return Demand(
        work=work_name(ask),
        part_number=part_number,
        effective_on=day_number(notice.fact.effective_on),
        source="directive" if notice.mandatory else "manufacturer",
        reference=notice.named,
        comply_by=day_number(ask.comply_by) if ask.comply_by else None,
        after=Limits(months=ask.months_after, days=ask.days_after, minutes=ask.minutes_after, cycles=ask.cycles_after),
        since_new=Limits(months=ask.months_since_new, minutes=ask.minutes_since_new, cycles=ask.cycles_since_new),
        repeat=Limits(
            months=ask.repeat_months, days=ask.repeat_days, minutes=ask.repeat_minutes, cycles=ask.repeat_cycles
        ),
        whichever=ask.whichever or "first",
    )


# --- what cannot be stated ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """Why a row of a publication cannot be: the refusal's code, the column, the value, reason and remedy."""

    code: str
    column: str
    value: str | None
    reason: str
    remedy: str


def unfit(fact: Fact, reference: Reference, *, instead_of: Fact | None = None) -> Unfit | None:
    """What is wrong with a fact of a publication beside what is stated; None where nothing is. `instead_of`: what it
    corrects."""
    if isinstance(fact, Publication):
        return next(_unfit_publication(fact, reference, instead_of), None)
    if isinstance(fact, (Applicability, Compliance)):
        if not any(_is_of(fact, held) for _, held in reference.publications):
            return _not_stated(fact, reference)
        problems = _unfit_row(fact) if isinstance(fact, Applicability) else _unfit_ask(fact, reference)
        return next(problems, None)
    return None


def _not_stated(fact: Applicability | Compliance, reference: Reference) -> Unfit:
    same = [held for _, held in reference.publications if fold(held.publication) == fold(fact.publication)]
    if same:
        told = ", ".join(held.revision or "the first issue" for held in same)
        return Unfit(
            code="publication-unknown",
            column="revision",
            value=fact.revision,
            reason=f"This revision of {fact.publication} is not stated; stated: {told}.",
            remedy="Correct the revision, or state it in the publications file first.",
        )
    near = did_you_mean(fact.publication, [held.publication for _, held in reference.publications])
    return Unfit(
        code="publication-unknown",
        column="publication",
        value=fact.publication,
        reason=f"No publication {fact.publication} is in the records.{near}",
        remedy="Correct the reference, or state it in the publications file first.",
    )


def _unfit_publication(fact: Publication, reference: Reference, instead_of: Fact | None) -> Iterator[Unfit]:
    if fact.cancelled_on and fact.cancelled_on < fact.effective_on:
        yield Unfit(
            code="publication-ends-first",
            column="cancelled_on",
            value=fact.cancelled_on,
            reason=f"It would be cancelled before it takes effect ({fact.effective_on}).",
            remedy="Correct one of the two dates.",
        )
    if fold(fact.publication) in {fold(name) for name in references_named(fact.supersedes)}:
        yield Unfit(
            code="publication-supersedes-itself",
            column="supersedes",
            value=fact.supersedes,
            reason="It would take the place of itself.",
            remedy="A revision needs no such word: the latest in effect counts. Name another reference.",
        )
    for _, held in reference.publications:
        same = fold(held.publication) == fold(fact.publication) and fold(held.revision) != fold(fact.revision)
        if same and held != instead_of and held.effective_on == fact.effective_on:
            yield Unfit(
                code="revisions-of-one-day",
                column="effective_on",
                value=fact.effective_on,
                reason=f"Revision {held.revision or 'of the first issue'} takes effect on this day too: which of the "
                "two counts could not be told.",
                remedy="Correct one of the two days.",
            )


def _unfit_row(fact: Applicability) -> Iterator[Unfit]:
    for column, text in (("serial_from", fact.serial_from), ("serial_to", fact.serial_to)):
        if text and any(sign in text for sign in "*?"):
            yield _unread(column, text, "A serial number holds no * or ?.", "State the range by its two ends.")
    if fact.serial_from and fact.serial_to:
        yield from _unfit_range("serial_to", fact.serial_from, fact.serial_to)
    for first, last in exceptions_of(fact.excepted):
        if any(sign in first + last for sign in " *?,"):
            yield _unread(
                "except",
                fact.excepted,
                f"{first!r} is neither a serial number nor a range.",
                "Divide serials by semicolons and write ranges as `120 to 130`.",
            )
        elif first != last:
            yield from _unfit_range("except", first, last)
    if fact.made_from and fact.made_to:
        if parse_partial(fact.made_to).last_day < parse_partial(fact.made_from).first_day:
            yield _unread("made_to", fact.made_to, "It ends before it begins.", "Correct one of the two dates.")


def _unfit_range(column: str, first: str, last: str) -> Iterator[Unfit]:
    order = compare_serials(first, last)
    if order is None:
        yield _unread(
            column,
            last,
            f"{first} and {last} are not of one form: which serials lie between them cannot be told.",
            "State a row for each form, or list the serials.",
        )
    elif order > 0:
        yield _unread(column, last, f"The range {first} to {last} ends before it begins.", "Correct one of its ends.")


def _unfit_ask(fact: Compliance, reference: Reference) -> Iterator[Unfit]:
    kind = next(held.kind for _, held in reference.publications if _is_of(fact, held))
    if kind == "letter":
        yield _unread(
            "publication", fact.publication, "A letter asks for nothing.", "Correct its kind, or the reference."
        )
    limits = (
        *(fact.comply_by, fact.months_after, fact.days_after, fact.minutes_after, fact.cycles_after),
        *(fact.months_since_new, fact.minutes_since_new, fact.cycles_since_new),
    )
    if all(limit is None for limit in limits):
        yield _unread(
            "comply_by",
            None,
            "Nothing says by when.",
            "State a day or a limit; before further flight is the effective date itself.",
        )
    groups = {fold(row.unit_group) for _, row in reference.applicability if _is_of_same(row, fact) and row.unit_group}
    if fact.unit_group and fold(fact.unit_group) not in groups:
        yield _unread(
            "group",
            fact.unit_group,
            "No units of this group are named." + did_you_mean(fact.unit_group, groups),
            "Correct the group, or name its units in the applicability file first.",
        )


def _is_of_same(row: Applicability, fact: Compliance) -> bool:
    return fold(row.publication) == fold(fact.publication) and fold(row.revision) == fold(fact.revision)


def _unread(column: str, value: str | None, reason: str, remedy: str) -> Unfit:
    return Unfit(code="publication-not-read", column=column, value=value, reason=reason, remedy=remedy)


def rests_on(old: Fact, new: Fact | None, reference: Reference) -> Unfit | None:
    """A revision keeps its reference and its name while rows are stated of it; None where nothing is."""
    if not isinstance(old, Publication):
        return None
    if isinstance(new, Publication) and (fold(new.publication), fold(new.revision)) == (
        fold(old.publication),
        fold(old.revision),
    ):
        return None
    rows: list[tuple[int, Applicability | Compliance]] = [*reference.applicability, *reference.compliance]
    held = sorted({number for number, row in rows if _is_of(row, old)})
    if not held:
        return None
    return Unfit(
        code="publication-in-use",
        column="publication",
        value=old.publication,
        reason=f"{old.publication} keeps its reference and revision while rows are stated of it: entries "
        f"{', '.join(map(str, held))}.",
        remedy="Withdraw those first, or state the other publication in the publications file.",
    )
