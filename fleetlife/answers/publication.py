"""`publication status` and `publication list`: which units a directive or bulletin means, and what is open on them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from fleetlife.clocks.publications import candidates, closes_text, facts_then, publication_rows, standing_units
from fleetlife.clocks.world import World, open_world
from fleetlife.fit.applicability import judge_affected, range_text
from fleetlife.follows.publications import IN_FORCE, TO_COME, Notice, notices_on
from fleetlife.ledger.publications import Applicability, Compliance
from fleetlife.store.engine import Store
from fleetlife.store.unit_ids import unit_ids
from fleetlife.terms.measure import hours_text
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.publications import (
    AFFECTED,
    PublicationList,
    PublicationRow,
    PublicationStatus,
    PublicationSummary,
    PublicationTold,
    UnitsLookedAt,
)
from fleetlife.terms.refusal import Refusal

NOT_CHECKED = (
    "whether the rows taken in are all that the publication names, and its current revision",
    "other means of compliance that the authority accepted",
    "units that are not in these records",
)


def publication_status(
    store: Store, *, reference: str, revision: str | None = None, as_of: date, known_at: str | None = None
) -> PublicationStatus:
    """Every unit that the publication means or may mean, the worst first. Without a `revision` the one that counts on
    the day, else the first to come. Refusals: `publication-unknown`, those of `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        notices = notices_on(world.reference, world.as_of)
        own = [notice for notice in notices if fold(notice.reference) == fold(reference)]
        chosen = _chosen(own, notices, reference, revision)
        units = _looked_at(world, chosen)
        return PublicationStatus(
            about=world.about("publication status"),
            told=told_of(chosen),
            rows=tuple(publication_rows(world, (chosen,))) if chosen.names_units else (),
            units=units,
            others=tuple(told_of(notice) for notice in own if notice is not chosen),
            not_checked=NOT_CHECKED,
        )


def _chosen(own: Sequence[Notice], every: Sequence[Notice], reference: str, revision: str | None) -> Notice:
    if not own:
        near = did_you_mean(reference, {notice.reference for notice in every})
        raise Refusal(
            "publication-unknown",
            f"No publication {reference} is in the records.{near}",
            remedy="`fleetlife publication list` shows those that are; take others in with the publications file.",
        )
    if revision is not None:
        named = [notice for notice in own if fold(notice.fact.revision) == fold(revision)]
        if not named:
            held = ", ".join(notice.fact.revision or "the first issue" for notice in own)
            raise Refusal(
                "publication-unknown",
                f"Revision {revision} of {own[0].reference} is not in the records; there are: {held}.",
                remedy="Name one of these, or leave the revision out.",
            )
        return named[0]
    begun = [notice for notice in own if notice.standing != TO_COME]
    return begun[-1] if begun else own[0]


def publication_list(
    store: Store, *, as_of: date, known_at: str | None = None, everything: bool = False
) -> PublicationList:
    """The publications in force or to come on the day, each with how many units it means and how many are open; with
    `everything` those superseded, cancelled or revised too, which are not judged."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        notices = notices_on(world.reference, world.as_of)
        judged = [notice for notice in notices if notice.standing in (IN_FORCE, TO_COME)]
        rows = publication_rows(world, [notice for notice in judged if notice.names_units])
        shown = notices if everything else judged
        units = standing_units(world, unit_ids(connection)) if shown else {}
        return PublicationList(
            about=world.about("publication list"),
            rows=tuple(_summary(notice, rows, len(units), judged=notice in judged) for notice in shown),
            units=len(units),
        )


def _summary(notice: Notice, rows: Sequence[PublicationRow], units: int, *, judged: bool) -> PublicationSummary:
    if not judged:
        return PublicationSummary(told=told_of(notice))
    if not notice.names_units:
        return PublicationSummary(told=told_of(notice), cannot_be_told=units)
    fact = notice.fact
    mine = [row for row in rows if (row.publication, row.revision) == (fact.publication, fact.revision)]
    sure = [row for row in mine if row.affected == AFFECTED]

    def units_of(chosen: Collection[PublicationRow]) -> int:
        return len({row.unit for row in chosen})

    open_rows = [row for row in sure if row.is_open]
    return PublicationSummary(
        told=told_of(notice),
        affected=units_of(sure),
        open=units_of(open_rows),
        overdue=units_of([row for row in sure if row.state == "overdue"]),
        unknown=units_of([row for row in sure if row.state == "unknown"]),
        closed=units_of(sure) - units_of(open_rows),
        cannot_be_told=units_of([row for row in mine if row.affected != AFFECTED and row.state == "unknown"]),
    )


def _looked_at(world: World, notice: Notice) -> UnitsLookedAt:
    """Every unit in the records then, by whether the publication means it."""
    states = standing_units(world, unit_ids(world.connection))
    if not notice.names_units:
        return UnitsLookedAt(looked_at=len(states), affected=0, not_affected=0, cannot_be_told=len(states))
    facts = facts_then(world, candidates(world, (notice,)) & states.keys())
    rows = [row for _, row in notice.rows]
    outcomes = [judge_affected(held.named(), rows).outcome for held in facts.values()]
    affected, unknown = outcomes.count("yes"), outcomes.count("unknown")
    return UnitsLookedAt(
        looked_at=len(states),
        affected=affected,
        not_affected=len(states) - affected - unknown,
        cannot_be_told=unknown,
    )


# --- words ----------------------------------------------------------------------------------------------------------


def told_of(notice: Notice) -> PublicationTold:
    """The revision in words."""
    fact = notice.fact
    return PublicationTold(
        publication=fact.publication,
        revision=fact.revision,
        kind=fact.kind,
        mandatory=notice.mandatory,
        issuer=fact.issuer,
        title=fact.title,
        effective_on=fact.effective_on,
        standing=notice.standing,
        entry=notice.entry,
        instead=notice.instead if notice.standing == "superseded" else None,
        supersedes=fact.supersedes,
        cancelled_on=fact.cancelled_on,
        names=tuple(_row_words(row) for _, row in notice.rows),
        asks=tuple(ask_words(ask) for _, ask in notice.asks),
    )


def _row_words(row: Applicability) -> str:
    parts = ["not " + row.part_number if row.excluded else row.part_number]
    if row.manufacturer:
        parts.append(f"of {row.manufacturer}")
    if row.serial_from or row.serial_to:
        parts.append(f"serials {range_text(row.serial_from, row.serial_to)}")
    if row.excepted:
        parts.append(f"except {row.excepted}")
    if row.made_from or row.made_to:
        parts.append(f"made {range_text(row.made_from, row.made_to)}")
    if row.unit_group:
        parts.append(f"group {row.unit_group}")
    return ", ".join(parts)


def ask_words(ask: Compliance) -> str:
    """`replace, group 2: by 2026-03-31 or 500 FC after the effective date, whichever first; closed by ...`."""
    after = " after the effective date"
    new = " since new"
    limits = [
        None if ask.comply_by is None else f"by {ask.comply_by}",
        _months(ask.months_after, after),
        None if ask.days_after is None else f"{ask.days_after} days{after}",
        None if ask.minutes_after is None else f"{hours_text(ask.minutes_after)} FH{after}",
        None if ask.cycles_after is None else f"{ask.cycles_after:,} FC{after}",
        _months(ask.months_since_new, " since manufacture"),
        None if ask.minutes_since_new is None else f"{hours_text(ask.minutes_since_new)} FH{new}",
        None if ask.cycles_since_new is None else f"{ask.cycles_since_new:,} FC{new}",
    ]
    stated = [limit for limit in limits if limit is not None]
    whichever = f", whichever {ask.whichever or 'first'}" if len(stated) > 1 else ""
    repeats = [
        _months(ask.repeat_months, ""),
        None if ask.repeat_days is None else f"{ask.repeat_days} days",
        None if ask.repeat_minutes is None else f"{hours_text(ask.repeat_minutes)} FH",
        None if ask.repeat_cycles is None else f"{ask.repeat_cycles:,} FC",
    ]
    again = [limit for limit in repeats if limit is not None]
    every = f"; then every {' or '.join(again)}" if again else ""
    group = f", group {ask.unit_group}" if ask.unit_group else ""
    return f"{ask.action}{group}: {' or '.join(stated)}{whichever}{every}; closed by {closes_text(ask)}"


def _months(count: int | None, of: str) -> str | None:
    if count is None:
        return None
    return f"{count} {'month' if count == 1 else 'months'}{of}"
