"""Cylinders: the figures of an expansion test against the published limit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import ExpansionRow
from fleetlife.follows.history import expansion_of
from fleetlife.life.expansion import PUBLISHED, ExpansionTest, expansion_told, judge_recorded, volume
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import Reason


@check(
    "CYL101",
    "expansion-test-not-passed",
    "stop",
    rules=("49 CFR 180.205", "49 CFR 180.203"),
    waivable=False,
)
def expansion_test_not_passed(rows: Iterable[ExpansionRow]) -> Iterator[Finding]:
    """The figures of a cylinder's expansion test are over the published limit, or are not shown to be within it.

    Why it matters: a cylinder that stretches for good has lost strength. Over the limit it is condemned, and no repair,
    rebuilding or other test restores it: the test proves no requalification, nor does any later one, and the due date
    stays where the earlier test put it.

    Triggers: a cylinder of specification 3AA with a total expansion of 200.0 and a permanent one of 20.1 cubic
    centimetres, 10.05 % of the total; a 3HT with an elastic expansion of 105.5 where 105.0 is marked. As a rectify
    instead of a stop: a 3HT with no marked figure stated, and nothing else over the limit.

    Does not: exactly 10 %, since the rule says over; 11 % of specification 4E; a requalification without figures; a
    cylinder on the scrap heap.

    What to do: take the cylinder out of service and record where it went. If the figures were misread, correct the
    accomplishment with `fleetlife ledger correct`; where the marked figure is missing, read it from the cylinder and
    add it so. Never waivable: nothing restores a condemned cylinder.

    What it cannot see: how the test was made, whether the figures are those of this cylinder, what a special permit
    allows, a failed test that was the equipment's fault and repeated, and whether the cylinder was marked condemned.
    """
    for row in rows:
        test = expansion_of(row.accomplishment)
        if test is None or row.unit.state.kind == "scrap":
            continue
        judged = judge_recorded(test)
        if judged.outcome == "passed":
            continue
        work = row.accomplishment
        marked = "no marked figure" if test.limit is None else f"marked {volume(test.limit)}"
        condemned = judged.outcome == "condemned"
        yield finding(
            "CYL101",
            regards=regards(work.requirement, work.done_on),
            severity="stop" if condemned else "rectify",
            message=f"{work.requirement} of {work.done_on}: {' '.join(judged.reasons)}",
            hint=f"{'Out of service with it' if condemned else 'Read the mark'}; {row.unit.command}",
            expected="within the published limit",
            found=f"total {volume(test.total)}, permanent {volume(test.permanent)} "
            f"({judged.permanent_percent} %), elastic {judged.elastic}, {marked}",
            evidence=(
                Evidence(source="accomplishment", says=f"tested {work.done_on}", entry=row.entry),
                Evidence(source="published limit", says=PUBLISHED),
            ),
            **row.unit.address(),
        )


def against_the_test(name: str, tests: Sequence[tuple[str, ExpansionTest]], *, topic: str) -> list[Reason]:
    """What the tests of a cylinder say against fitting or filling it: a stop where one condemned it, a condition where
    one is not shown to have been passed. `tests` come with their dates."""
    reasons = []
    for tested, test in tests:
        outcome = judge_recorded(test).outcome
        if outcome != "passed":
            verdict = "stop" if outcome == "condemned" else "condition"
            text = f"{name} on {tested}: {expansion_told(test)}."
            reasons.append(Reason(topic=topic, verdict=verdict, code="CYL101", text=text))
    return reasons
