"""`ledger correct`, `ledger withdraw`, `ledger waive`: a mistake is mended by a later entry that names the earlier one.

What follows is derived again, once, at the end; what cannot be is refused and leaves everything as it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

from fleetlife.actions.extensions import unfit_variations
from fleetlife.actions.settle import settle
from fleetlife.actions.showing import recorded_or_shown
from fleetlife.actions.stated import checked
from fleetlife.checks.register import REGISTER
from fleetlife.clocks.between import moved_since
from fleetlife.clocks.named import unit_named
from fleetlife.dates.partial import day_number, parse_partial
from fleetlife.follows.derive import line_of
from fleetlife.follows.publications import rests_on, unfit
from fleetlife.follows.reference import Reference
from fleetlife.ledger.entry import Draft, facts_of
from fleetlife.ledger.facts import (
    UNIT_FIELDS,
    Accomplishment,
    Approval,
    Certificate,
    Counter,
    Fact,
    Opening,
    Organisation,
    Waiver,
    field_names,
)
from fleetlife.life.expansion import EXPANSION_FIGURES, unfit_figures
from fleetlife.store.engine import Store
from fleetlife.store.facts import entry as entry_of
from fleetlife.store.facts import facts_touching
from fleetlife.store.reference import load_reference
from fleetlife.store.rows import write_difference
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.measure import parse_hours
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DifferenceRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """The first entry made, the head after it, and how many units were derived again.

    entries: all that were made. moved: what is believed otherwise than before, where that was asked for.
    """

    entry: int
    ledger_head: str
    units: int
    entries: tuple[int, ...] = ()
    moved: tuple[DifferenceRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """What is wrong in an entry. `changes`: the fields of the item that differ; None: it never happened.

    item: which fact of an entry that states many, from 0; None: the only one, or where withdrawn all of them.
    into: of an opening statement withdrawn because its unit is another one in the records, that unit.
    """

    entry: int
    item: int | None = None
    changes: dict[str, Any] | None = None
    into: int | None = None


def correct(
    store: Store,
    number: int,
    *,
    item: int = 0,
    changes: dict[str, Any],
    reason: str,
    authorised_by: str,
    recorded_by: str,
) -> Mended:
    """Replace what one entry states. `changes` holds the fields that differ, by their ledger names.

    A unit may be named by an object with part_number and serial_number, an airframe by `registration`, hours as
    HHHH:MM. None takes a value away. Refusals: those of `mend`.
    """
    wrong = [Mend(entry=number, item=item, changes=changes)]
    return mend(store, wrong, reason=reason, authorised_by=authorised_by, recorded_by=recorded_by)


def withdraw(store: Store, number: int, *, reason: str, authorised_by: str, recorded_by: str) -> Mended:
    """Withdraw everything an entry states. Refusals: those of `mend`."""
    return mend(store, [Mend(entry=number)], reason=reason, authorised_by=authorised_by, recorded_by=recorded_by)


def mend(
    store: Store,
    wrong: Sequence[Mend],
    *,
    reason: str,
    authorised_by: str,
    recorded_by: str,
    stating: Sequence[Fact] = (),
    moves_on: date | None = None,
    preview: bool = False,
    head: str | None = None,
) -> Mended:
    """Replace and withdraw together what several entries state, or items of them, judged as a whole.

    `stating`: what is stated with it that no entry states so far, an entry each.
    `moves_on`: the day of which what moves is told. `preview`: nothing is recorded. `head`: the ledger head of the
    preview that was agreed to; where something has been recorded since, look again.

    Refusals: `nothing-to-mend`, `entry-not-known`, `item-not-known`, `item-not-named`, `item-named-twice`,
    `entry-already-retired`, `field-not-known`, `field-not-read`, `nothing-changes`, `expansion-impossible`,
    `counter-in-use`, `counter-unknown`, `counter-differs`, `organisation-unknown`, `organisation-in-use`,
    `approval-ends-first`, `not-waivable`, `publication-*`, `revisions-of-one-day`, those of `stated.checked`,
    `value-impossible`,
    `still-referred-to`, `recorded-meanwhile`, the guards of the database, and the contradictions of the derivation.
    """
    if not wrong:
        raise Refusal("nothing-to-mend", "No entry is named.", remedy="Name an entry and what is right.", status=2)

    def work(writer: Writer) -> Mended:
        unchanged_since(writer, head)
        before = writer.head.number
        drafts, old = _drafts(writer, wrong, stating, reason=reason, authorised_by=authorised_by)
        units = enter(writer, drafts, old)
        return Mended(
            entry=before + 1,
            ledger_head=writer.head.digest,
            units=units,
            entries=tuple(range(before + 1, writer.head.number + 1)),
            moved=() if moves_on is None else moved_since(writer.connection, before, as_of=moves_on),
        )

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def unchanged_since(writer: Writer, head: str | None) -> None:
    """Refusal: `recorded-meanwhile`, where the ledger has moved on from the head agreed to."""
    if head is not None and writer.head.digest != head:
        raise Refusal(
            "recorded-meanwhile",
            "Something was recorded since this was shown, and it may move otherwise now.",
            remedy="Nothing was recorded: look at it again.",
        )


def _refuse_if_counted_by(reference: Reference, old: Fact, new: Fact | None) -> None:
    """A counter that a requirement names keeps its name, and what it counts: figures stated under it stand as they were
    meant. Those it has in readings and units the database itself keeps. And no figure passes from a counter that counts
    to one in hours. Refusals: `counter-in-use`, `counter-differs`."""
    if not isinstance(old, Counter):
        was, becomes = getattr(old, "counter", None), getattr(new, "counter", None)
        measures = reference.counter_measures
        if new is not None and was != becomes and measures.get(was or "") != measures.get(becomes or ""):
            raise Refusal(
                "counter-differs",
                f"{was or 'What is flown'} and {becomes or 'what is flown'} are not counted alike: the figures with it"
                " would mean something else.",
                remedy="Withdraw the entry and take in the row as it should read.",
            )
        return
    if isinstance(new, Counter) and (new.counter, new.measure) == (old.counter, old.measure):
        return
    named = sorted({fact.requirement for _, fact in reference.requirements if fact.counter == old.counter})
    if named or new is not None:
        told = f"Requirements count in it: {', '.join(named)}" if named else "Figures may stand in it"
        raise Refusal(
            "counter-in-use",
            f"{old.counter} keeps its name and its unit. {told}.",
            remedy="State another counter in the counters file and name that one; a counter nothing speaks of can be "
            "withdrawn.",
        )


def _refuse_unfit_approval(reference: Reference, old: Fact, new: Fact | None) -> None:
    """An approval is of an organisation that is stated and ends after it begins, and an organisation with approvals
    keeps its name. Refusals: `organisation-unknown`, `approval-ends-first`, `organisation-in-use`."""
    if isinstance(new, Approval):
        if fold(new.organisation) not in reference.organisations:
            raise Refusal(
                "organisation-unknown",
                f"No organisation {new.organisation} is in the records."
                + did_you_mean(new.organisation, [each.organisation for each in reference.organisations.values()]),
                remedy="Correct the name, or state it in the organisations file first.",
            )
        if new.valid_from and new.valid_to and new.valid_to < new.valid_from:
            raise Refusal(
                "approval-ends-first",
                f"The approval would end on {new.valid_to}, before it begins on {new.valid_from}.",
                remedy="Correct one of the two days.",
            )
    if not isinstance(old, Organisation):
        return
    if isinstance(new, Organisation) and fold(new.organisation) == fold(old.organisation):
        return
    held = sorted({a.approval for _, a in reference.approvals if fold(a.organisation) == fold(old.organisation)})
    if held:
        raise Refusal(
            "organisation-in-use",
            f"{old.organisation} keeps its name while approvals are stated of it: {', '.join(held)}.",
            remedy="Withdraw those first, or state the other organisation in the organisations file.",
        )


def _refuse_unfit_publication(reference: Reference, old: Fact, new: Fact | None) -> None:
    """What a file of publications would be refused for, and a revision that rows are stated of keeps its name.
    Refusals: `publication-*`, `revisions-of-one-day`."""
    problem = rests_on(old, new, reference)
    if problem is None and new is not None:
        problem = unfit(new, reference, instead_of=old)
    if problem is not None:
        raise Refusal(problem.code, problem.reason, remedy=problem.remedy)


def enter(writer: Writer, drafts: Sequence[Draft], old: Iterable[Fact]) -> int:
    """Append the entries of one mending, retire `old`, derive once; how many units were derived again.

    Raises `Impossible` with the contradictions; refusals: those of the variations that would extend nothing.
    """
    connection = writer.connection
    clear_unfiled(connection, old)
    first = writer.head.number + 1
    writer.append(drafts, together=True)
    followed = settle(writer, drafts, first_number=first, reference=load_reference(connection))
    for _, none in unfit_variations(connection, drafts, first_number=first, reference=load_reference(connection)):
        raise Refusal(none.code, f"This is no variation: {none.message}.", remedy=none.remedy)
    return len(followed.after.placements)


def clear_unfiled(connection: Any, old: Iterable[Fact]) -> None:
    """Take away the lines of certificates that agree with no unit: no unit is derived again for them."""
    unfiled = [fact for fact in old if isinstance(fact, Certificate) and fact.unit is None]
    if unfiled:
        book = load_reference(connection).book()
        lines = [line_of(0, fact, borne=(), opening=None, book=book) for fact in unfiled]
        write_difference(connection, "certificate_line", lines, [])


def _drafts(
    writer: Writer, wrong: Sequence[Mend], stating: Sequence[Fact], *, reason: str, authorised_by: str
) -> tuple[list[Draft], list[Fact]]:
    """An entry for each entry replaced or withdrawn, in the order of those, then one for each fact stated with them;
    and what they retire."""
    reference = load_reference(writer.connection)
    by_entry: dict[int, list[Mend]] = {}
    for each in wrong:
        by_entry.setdefault(each.entry, []).append(each)
    drafts: list[Draft] = []
    retired: list[Fact] = []
    gone: list[Opening] = []
    for number in sorted(by_entry):
        facts = facts_of(entry_of(writer.connection, number).body)
        new: dict[int, Fact] = {}
        withdrawn: list[int] = []
        for each in by_entry[number]:
            for item in _items(each, facts):
                if item in new or item in withdrawn:
                    raise Refusal(
                        "item-named-twice",
                        f"Item {item} of entry {number} is named twice.",
                        remedy="Name each fact once, either replaced or withdrawn.",
                    )
                if each.changes is None:
                    withdrawn.append(item)
                else:
                    new[item] = _right(writer, reference, number, facts[item], each.changes)
                _refuse_if_counted_by(reference, facts[item], new.get(item))
                _refuse_unfit_approval(reference, facts[item], new.get(item))
                _refuse_unfit_publication(reference, facts[item], new.get(item))
                if isinstance(waiver := new.get(item), Waiver):
                    refuse_unwaivable(waiver.finding)
        if new:
            drafts.append(correction(number, new, facts, reason=reason, authorised_by=authorised_by))
        if withdrawn:
            gone_into = next((each.into for each in by_entry[number] if each.into is not None), None)
            draft = _withdrawing(number, withdrawn, facts, reason=reason, authorised_by=authorised_by)
            if gone_into is not None:
                draft = replace(draft, into=gone_into, also_units=(*draft.also_units, gone_into))
            drafts.append(draft)
        retired += [facts[item] for item in (*new, *withdrawn)]
        gone += [fact for item in withdrawn if isinstance(fact := facts[item], Opening)]
    _refuse_if_spoken_of(writer, set(by_entry), gone)
    for fact in stating:
        drafts.append(
            Draft(
                kind=fact.KIND,
                on=fact.dated(),
                sequence=getattr(fact, "sequence", None),
                items=(fact,),
                reason=reason,
                authorised_by=authorised_by,
            )
        )
    group = f"mending {writer.head.number + 1}" if len(drafts) > 1 else None
    return [replace(draft, group=group) for draft in drafts], retired


def correction(
    number: int, new: Mapping[int, Fact], facts: Sequence[Fact], *, reason: str, authorised_by: str
) -> Draft:
    """The entry that replaces items of entry `number`, which states `facts`, by new ones."""
    items = sorted(new)
    stated = [*(new[item] for item in items), *(facts[item] for item in items)]
    draft = Draft(
        kind="correction",
        # of several the last day: whoever asks as of an earlier one must see that this is later
        on=new[items[0]].dated() if len(items) == 1 else max((d for f in stated if (d := f.dated())), default=None),
        items=tuple(new[item] for item in items),
        replaces=(number,),
        items_of=((number, tuple(items)),) if len(facts) > 1 else (),
        reason=reason,
        authorised_by=authorised_by,
    )
    return _touching(draft, [facts[item] for item in items])


def _withdrawing(number: int, items: Sequence[int], facts: Sequence[Fact], *, reason: str, authorised_by: str) -> Draft:
    draft = Draft(
        kind="withdrawal",
        on=None,
        items=(),
        withdraws=(number,),
        items_of=((number, tuple(sorted(items))),) if len(items) < len(facts) else (),
        reason=reason,
        authorised_by=authorised_by,
    )
    return _touching(draft, [facts[item] for item in items])


def _touching(draft: Draft, retired: Sequence[Fact]) -> Draft:
    """The draft, touching what the facts it retires touch."""
    return replace(
        draft,
        also_units=tuple(dict.fromkeys(unit for fact in retired for unit in fact.unit_ids())),
        also_airframes=tuple(dict.fromkeys(frame for fact in retired for frame in fact.airframe_ids())),
    )


def _items(wrong: Mend, facts: Sequence[Fact]) -> Sequence[int]:
    """The items meant; withdrawn without one, all. Refusals: `item-not-known`, `item-not-named`."""
    if wrong.item is None and wrong.changes is None:
        return range(len(facts))
    if wrong.item is None and len(facts) > 1:
        raise Refusal(
            "item-not-named",
            f"Entry {wrong.entry} states {len(facts)} facts.",
            remedy=f"Look at it with fleetlife explain {wrong.entry} and name the item.",
        )
    item = wrong.item or 0
    if not 0 <= item < len(facts):
        raise Refusal(
            "item-not-known",
            f"Entry {wrong.entry} states {len(facts)} fact{'s' if len(facts) != 1 else ''}, numbered from 0.",
            remedy=f"Look at it with fleetlife explain {wrong.entry} and name the item.",
        )
    return [item]


def _right(writer: Writer, reference: Reference, number: int, old: Fact, changes: dict[str, Any]) -> Fact:
    new = _changed(writer, reference, old, changes)
    if new == old:
        raise Refusal(
            "nothing-changes",
            f"The correction states what entry {number} states.",
            remedy="Nothing is needed.",
        )
    return new


def _refuse_if_spoken_of(writer: Writer, numbers: set[int], openings: list[Opening]) -> None:
    """A unit that other entries speak of cannot be taken away from under them."""
    for opening in openings:
        others = sorted({n for n, _, _ in facts_touching(writer.connection, [opening.unit])} - numbers)
        if others:
            shown = ", ".join(str(n) for n in others[:10]) + (" and more" if len(others) > 10 else "")
            raise Refusal(
                "still-referred-to",
                f"Other entries speak of {opening.part_number} {opening.serial_number}: {shown}.",
                remedy="Withdraw or correct those with it; to change what the unit is, correct this entry instead.",
            )


def _changed(writer: Writer, reference: Reference, old: Fact, changes: dict[str, Any]) -> Fact:
    """The fact with the changes in place, every value of the type the fact holds."""
    known = field_names(type(old))
    types = {f.name: str(f.type) for f in fields(old)}
    values: dict[str, Any] = {}
    for name, value in changes.items():
        if name == "registration" and "registration" not in known and "airframe" in known:
            day = old.dated()
            on = day_number(day) if day and len(day) == 10 else writer_day(writer)
            values["airframe"] = reference.airframe_on(str(value), on)
            continue
        if name not in known:
            raise Refusal(
                "field-not-known",
                f"The entry has no field {name!r}." + did_you_mean(name, known),
                remedy=f"Its fields are {', '.join(known)}.",
            )
        if name in ("total", "since_new", "counter_since_new", "counter_since") and isinstance(value, str):
            value = _counted(reference, changes.get("counter", getattr(old, "counter", None)), name, value)
        elif name == "counter" and isinstance(value, str) and not isinstance(old, Counter):
            value = _registered(reference, value).counter
        values[name] = _value(writer, name, value, types[name])
    try:
        new = replace(old, **values)
    except TypeError as error:  # pragma: no cover - names and types were checked above
        raise AssertionError(str(error)) from error
    if isinstance(new, Accomplishment):
        _refuse_unfit_figures(new)
    return checked(writer.connection, reference, old, new)


def _refuse_unfit_figures(fact: Accomplishment) -> None:
    """Figures of an expansion test that cannot be are refused here as they are in the file."""
    unfit = unfit_figures(**{figure: getattr(fact, f"expansion_{figure}") for figure in EXPANSION_FIGURES})
    if unfit is not None:
        raise Refusal(
            "expansion-impossible",
            f"expansion_{unfit.figure}: {unfit.reason}",
            remedy=f"{unfit.remedy} Volumes stand in the ledger in thousandths of a cubic centimetre.",
        )


def _registered(reference: Reference, name: str) -> Counter:
    """The counter of that name. Refusal: `counter-unknown`."""
    found = reference.counters.get(fold(name))
    if found is None:
        raise Refusal(
            "counter-unknown",
            f"No counter {name} is in the register.{did_you_mean(fold(name), reference.counters)}",
            remedy="Correct the name, or state the counter first (counters file).",
        )
    return found


def _counted(reference: Reference, counter: object, name: str, text: str) -> int:
    """A figure of the counter given as text: hours of one in hours. Refusals: `counter-unknown`, `field-not-read`."""
    if _registered(reference, str(counter)).measure == "hours":
        return parse_hours(text)
    raise Refusal("field-not-read", f"{name} is a whole number.", remedy="Give it without quotation marks.")


def writer_day(writer: Writer) -> int:
    """The day on which the transaction records."""
    return day_number(writer.recorded_at[:10])


def _value(writer: Writer, name: str, value: Any, type_text: str) -> Any:
    if value is None:
        if "None" not in type_text:
            raise Refusal("field-not-read", f"{name} cannot be empty.", remedy="Give a value.")
        return None
    if name in UNIT_FIELDS and isinstance(value, dict):
        try:
            return unit_named(
                writer.connection, str(value["part_number"]), str(value["serial_number"]), value.get("manufacturer")
            )
        except KeyError as error:
            raise Refusal(
                "field-not-read", f"{name} lacks {error}.", remedy="Name the unit by part_number and serial_number."
            ) from error
    if "int" in type_text:
        if "minutes" in name and isinstance(value, str):
            return parse_hours(value)
        if isinstance(value, bool) or not isinstance(value, int):
            raise Refusal("field-not-read", f"{name} is a whole number.", remedy="Give it without quotation marks.")
        return value
    if "bool" in type_text:
        if not isinstance(value, bool):
            raise Refusal("field-not-read", f"{name} is true or false.", remedy="Give true or false.")
        return value
    if not isinstance(value, str):
        raise Refusal("field-not-read", f"{name} is text.", remedy="Put it in quotation marks.")
    if name.endswith(("_on", "_from", "_to", "_until")) or name in ("as_of", "return_by", "expected_back"):
        if name not in ("serial_from", "serial_to", "removed_to"):
            partial = parse_partial(value)
            if name != "done_on" and partial.precision != "day":
                raise Refusal("field-not-read", f"{name} is a day.", remedy="Write it as YYYY-MM-DD.")
            return partial.text
    return value


def waive(
    store: Store, *, code: str, subject: str, reason: str, approved_by: str, expires_on: date, recorded_by: str
) -> Mended:
    """Accept a finding until a day. Refusals: `code-unknown`, `not-waivable`."""
    refuse_unwaivable(code)
    with store.writing(recorded_by=recorded_by) as writer:
        fact = Waiver(
            finding=code, subject=subject, reason=reason, approved_by=approved_by, expires_on=expires_on.isoformat()
        )
        first = writer.head.number + 1
        writer.append([Draft(kind=Waiver.KIND, on=None, items=(fact,), reason=reason, authorised_by=approved_by)])
        return Mended(entry=first, ledger_head=writer.head.digest, units=0)


def refuse_unwaivable(code_or_name: str) -> None:
    """A waiver is of a check there is, and of none that is never waived. Refusals: `code-unknown`, `not-waivable`."""
    name = code_or_name.strip()
    check = REGISTER.get(name.upper()) or next((c for c in REGISTER.values() if c.name == name.lower()), None)
    if check is None:
        raise Refusal(
            "code-unknown",
            f"There is no finding {name}." + did_you_mean(name, REGISTER),
            remedy="fleetlife explain lists them all.",
        )
    if not check.waivable:
        raise Refusal(
            "not-waivable",
            f"{check.code} ({check.name}) is never waived: a waiver would hide what must not fly.",
            remedy="Have it put right; of what is overdue, record the approved variation if its source allows one.",
        )
