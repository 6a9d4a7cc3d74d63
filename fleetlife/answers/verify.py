"""`ledger verify`: the chain walked, and everything that follows from it rebuilt and compared, tree by tree.

Nothing is held in memory as a whole: entries are a stream, derived rows are compared some hundred units at a time.
Facts are compared by kind through sums of their digests, so that a changed, missing or added row shows.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, fields
from typing import Any

from fleetlife.checks.ledger import chain_differs, derived_rows_differ
from fleetlife.checks.rows import Difference
from fleetlife.clocks.gathered import gather
from fleetlife.dates.moment import moment_text
from fleetlife.follows.derive import derive, line_of
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import DERIVED_TABLES
from fleetlife.ledger.canonical import canonical
from fleetlife.ledger.entry import GENESIS, Entry, fact_digest, facts_of
from fleetlife.ledger.facts import FACTS, Certificate, Fact
from fleetlife.store.counters import StoredCounters
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.store.heads import whole_head
from fleetlife.store.papers import unfiled_lines
from fleetlife.store.reference import facts_of_kind, load_reference
from fleetlife.store.totals import StoredTotals
from fleetlife.store.unit_ids import derived_unit_ids, unit_ids
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import VerifyReport

CHUNK = 400
SHORTEST_HEAD = 8
Progress = Callable[[str, int], None]


@dataclass(slots=True)
class _Sum:
    """How many facts, and the sum of their digests: the same for the same facts in any order."""

    count: int = 0
    total: int = 0

    def add(self, fact: Fact) -> None:
        self.count += 1
        self.total = (self.total + int(fact_digest(fact), 16)) % (1 << 256)


@dataclass(slots=True)
class _Walk:
    """What the walk along the chain gathers."""

    entries: int = 0
    last: str = GENESIS
    first_at: str | None = None
    last_at: str | None = None
    wrong: list[Difference] = field(default_factory=list)
    retired: set[tuple[int, int]] = field(default_factory=set)
    heads: dict[str, int] = field(default_factory=dict)


def verify(store: Store, *, known_heads: Sequence[str] = (), progress: Progress | None = None) -> VerifyReport:
    """Walk the chain, rebuild every derived row and compare; the findings name what differs and where."""
    tell = progress or (lambda what, count: None)
    with store.reading() as connection:
        number, head, _ = whole_head(connection)
        walk = _walked(all_entries(connection), known_heads, tell)
        if (walk.entries, walk.last) != (number, head):
            walk.wrong.append(
                _fault(
                    walk.entries,
                    f"the head at entry {walk.entries}, digest {walk.last[:16]}",
                    f"entry {number}, digest {head[:16]}",
                )
            )
        told = tuple((given, _head_told(given, walk)) for given in known_heads)
        for given, where in told:
            if given not in walk.heads:
                walk.wrong.append(_fault(walk.entries, f"the head {given}, kept elsewhere, on the chain", where))
        tables: list[tuple[str, int, int]] = []
        differ: list[Difference] = []
        tables.extend(_facts_compared(connection, walk, differ, tell))
        tables.extend(_rows_compared(connection, differ, tell))
    findings: list[Finding] = [*chain_differs(walk.wrong), *derived_rows_differ(differ)]
    return VerifyReport(
        entries=walk.entries,
        ledger_head=walk.last,
        recorded_from=walk.first_at,
        recorded_to=walk.last_at,
        tables=tuple(tables),
        known_heads=told,
        findings=tuple(sorted(findings, key=Finding.sort_key)),
    )


def _walked(entries: Iterator[Entry], known_heads: Sequence[str], tell: Progress) -> _Walk:
    walk = _Walk()
    for entry in entries:
        walk.entries += 1
        if entry.number != walk.entries:
            walk.wrong.append(_fault(walk.entries, f"entry {walk.entries}", f"entry {entry.number} in its place"))
            walk.entries = entry.number
        walk.wrong.extend(_faults(entry, walk))
        _retire(entry.body, walk)
        for given in known_heads:
            if len(given) >= SHORTEST_HEAD and entry.digest.startswith(given.lower()):
                walk.heads[given] = entry.number
        walk.last = entry.digest
        walk.first_at = walk.first_at or entry.recorded_at
        walk.last_at = entry.recorded_at
        if entry.number % 20_000 == 0:
            tell("walking the chain", entry.number)
    return walk


def _fault(number: int, expected: str, found: str) -> Difference:
    return Difference(where=f"entry {number}", expected=expected, found=found, entry=number)


def _faults(entry: Entry, walk: _Walk) -> Iterator[Difference]:
    """What is wrong with one entry in its place."""
    number = entry.number
    of_text = hashlib.sha256(entry.text.encode("utf-8")).hexdigest()
    if of_text != entry.digest:
        yield _fault(number, f"digest {of_text[:16]} of its text", f"digest {entry.digest[:16]}")
    if canonical(json.loads(entry.text)) != entry.text:
        yield _fault(number, "canonical text", "the same content written otherwise")
    for name, previous in (("column", entry.previous), ("text", entry.body.get("previous"))):
        if previous != walk.last:
            yield _fault(number, f"{walk.last[:16]} as the entry before it", f"{str(previous)[:16]} in its {name}")
    columns = {
        "number": entry.number,
        "kind": entry.kind,
        "recorded_at": entry.recorded_at,
        "recorded_by": entry.recorded_by,
        "request_key": entry.request_key,
    }
    for name, value in columns.items():
        if entry.body.get(name) != value:
            yield _fault(number, f"{name} {entry.body.get(name)!r} as its text says", f"{value!r} in the column")
    if walk.last_at is not None and entry.recorded_at < walk.last_at:
        yield _fault(number, f"recorded at or after {walk.last_at}", entry.recorded_at)


def _retire(body: dict[str, Any], walk: _Walk) -> None:
    """Facts that the entry replaces or withdraws; without items named, all of the entry."""
    for name in ("replaces", "withdraws"):
        for target in body.get(name) or ():
            if "items" in target:
                walk.retired.update((target["number"], item) for item in target["items"])
            else:
                walk.retired.add((target["number"], -1))


def _head_told(given: str, walk: _Walk) -> str:
    if len(given) < SHORTEST_HEAD:
        return f"too short to tell; give {SHORTEST_HEAD} characters or more"
    if given in walk.heads:
        return f"the digest of entry {walk.heads[given]}"
    return "not on this chain: the ledger was rewritten or cut since that head was printed, or it is another ledger's"


def _facts_compared(
    connection: Any, walk: _Walk, differ: list[Difference], tell: Progress
) -> list[tuple[str, int, int]]:
    """Facts that stand by the chain against the typed tables, kind by kind."""
    chain = {kind: _Sum() for kind in FACTS}
    for entry in all_entries(connection):
        if (entry.number, -1) in walk.retired:
            continue
        for item, fact in enumerate(facts_of(entry.body)):
            if (entry.number, item) not in walk.retired:
                chain[fact.KIND].add(fact)
    found: list[tuple[str, int, int]] = []
    for kind, fact_class in FACTS.items():
        tell(f"comparing facts: {kind}", 0)
        kept = _Sum()
        for _, fact in facts_of_kind(connection, fact_class):
            kept.add(fact)
        wrong = int(kept != chain[kind])
        if wrong:
            same = " saying the same" if kept.count == chain[kind].count else ""
            differ.append(
                Difference(
                    where=f"table {kind}",
                    expected=f"{chain[kind].count} rows{same}",
                    found=f"{kept.count} rows{' that say otherwise' if same else ''}",
                )
            )
        found.append((kind, kept.count, wrong))
    return found


def _rows_compared(connection: Any, differ: list[Difference], tell: Progress) -> list[tuple[str, int, int]]:
    """Derived rows rebuilt from the facts against those stored."""
    reference = load_reference(connection)
    ids = unit_ids(connection)
    known = set(ids)
    counted = dict.fromkeys(DERIVED_TABLES, 0)
    wrong = dict.fromkeys(DERIVED_TABLES, 0)
    done: set[int] = set()
    totals, counters = StoredTotals(connection), StoredCounters(connection)
    for start in range(0, len(ids), CHUNK):
        chunk = [unit for unit in ids[start : start + CHUNK] if unit not in done]
        held = gather(connection, chunk)
        done.update(held.facts)
        derived = derive(held.facts, book=reference.book(), totals=totals, counters=counters)
        for problem in derived.problems:
            differ.append(
                Difference(
                    where="stays",
                    expected="stays that can be",
                    found=f"{problem.message} (entry {problem.in_the_way})",
                    entry=problem.number,
                    unit=f"unit {problem.unit_id}",
                )
            )
        for name, stored in held.rows.items():
            for unit in held.facts:
                _compare(name, unit, stored.get(unit, []), list(derived.rows_of(name, unit)), counted, wrong, differ)
        tell("comparing what follows, units", len(done))
    for unit in derived_unit_ids(connection):
        if unit not in known:
            differ.append(
                Difference(
                    where="table unit_state",
                    expected="no rows",
                    found="rows",
                    unit=f"unit {unit}, unknown to the ledger",
                )
            )
            wrong["unit_state"] += 1
    _unfiled_compared(connection, reference, counted, wrong, differ)
    return [(name, counted[name], wrong[name]) for name in DERIVED_TABLES]


def _compare(
    name: str,
    unit: int,
    stored: list[Any],
    rebuilt: list[Any],
    counted: dict[str, int],
    wrong: dict[str, int],
    differ: list[Difference],
) -> None:
    counted[name] += len(stored)
    have, want = _sorted(stored), _sorted(rebuilt)
    if have == want:
        return
    wrong[name] += 1
    who = f"unit {unit}"
    if len(have) != len(want):
        differ.append(
            Difference(where=f"table {name}", expected=f"{len(want)} rows", found=f"{len(have)} rows", unit=who)
        )
        return
    for one, other in zip(have, want, strict=True):
        if one != other:
            names = [f.name for f in fields(one) if getattr(one, f.name) != getattr(other, f.name)]
            moment = getattr(one, "from_moment", None)
            since = f", stay since {moment_text(moment)}" if moment else ""
            differ.append(
                Difference(
                    where=f"table {name}{since}",
                    expected=", ".join(f"{n} {getattr(other, n)!r}" for n in names[:3]),
                    found=", ".join(f"{n} {getattr(one, n)!r}" for n in names[:3]),
                    entry=getattr(one, "entry", None),
                    unit=who,
                )
            )
            return


def _sorted(rows: list[Any]) -> list[Any]:
    return sorted(rows, key=repr)


def _unfiled_compared(
    connection: Any,
    reference: Reference,
    counted: dict[str, int],
    wrong: dict[str, int],
    differ: list[Difference],
) -> None:
    """Lines of certificates filed against no unit have no unit to be derived with."""
    book = reference.book()
    want = [
        line_of(number, fact, borne=(), opening=None, book=book)
        for number, fact in facts_of_kind(connection, Certificate)
        if isinstance(fact, Certificate) and fact.unit is None
    ]
    stored = unfiled_lines(connection)
    counted["certificate_line"] += len(stored)
    if _sorted(stored) != _sorted(want):
        wrong["certificate_line"] += 1
        differ.append(
            Difference(
                where="table certificate_line, lines filed against no unit",
                expected=f"{len(want)} rows",
                found=f"{len(stored)} rows that say otherwise",
            )
        )
