"""Patterns over the papers of the whole fleet, which no single paper shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import comb

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import OrganisationRow
from fleetlife.terms.finding import Finding

# Lines of an organisation below which nothing is said of it, and the chance of a false alarm, one in so many.
FEWEST_LINES, FEWEST_DIFFERING = 8, 2
ONE_IN = 100


@check("PAT102", "papers-often-disagree", "note")
def papers_often_disagree(rows: Iterable[OrganisationRow]) -> Iterator[Finding]:
    """The papers of one organisation disagree with the units more often than chance explains, beside all others'.

    Why it matters: one crossed digit is a slip. The same slip on every tenth paper is a way of working, and the papers
    that happen to agree come from the same desk.

    The rule: of each organisation with at least 8 filed lines, the lines whose part or serial number differs (PAP101,
    PAP102; a stated alternate is no difference) are held against the lines of all other organisations together. It is
    raised where at least 2 differ and the chance of as many or more, if all lines came from one bag, is at most 1 in
    100 divided by the number of organisations so tested (one-sided exact test of Fisher, whole numbers throughout;
    Bonferroni's correction, so that many organisations do not make a false alarm likely).

    Triggers: 3 of 9 lines differ where 2 of 260 do elsewhere; 12 of 200 where 5 of 900 do.

    Does not: one line of 9; 3 of 7 lines, which are too few to say anything; 10 of 200 where everybody has 5 of 100.

    What to do: look at all its papers, those that agree too: `fleetlife certificate NUMBER --who-else organisation`
    lists the units; ask it how numbers get onto its papers.

    What it cannot see: why. A clerk here who mistypes that organisation's papers looks the same; so does one bad day.
    An organisation written in two ways is counted as two, and papers filed against no unit are not counted.
    """
    every = list(rows)
    tested = [row for row in every if row.lines >= FEWEST_LINES]
    lines, differing = sum(row.lines for row in every), sum(row.differing for row in every)
    for row in sorted(tested, key=lambda each: each.organisation):
        rest_lines, rest_differing = lines - row.lines, differing - row.differing
        if row.differing < FEWEST_DIFFERING or not rest_lines:
            continue
        if row.differing * lines <= row.lines * differing:
            continue  # no more often than in all lines together
        ways, of = as_many_or_more(row.lines, row.differing, lines=lines, differing=differing)
        if ways * ONE_IN * len(tested) > of:
            continue
        said = f"{row.differing:,} of {row.lines:,} ({_percent(row.differing, row.lines)})"
        rest = f"{rest_differing:,} of {rest_lines:,} ({_percent(rest_differing, rest_lines)})"
        yield finding(
            "PAT102",
            regards=regards(row.organisation),
            organisation=row.organisation,
            message=f"{said} lines of {row.organisation} disagree with their units, {rest} of all others; by chance "
            f"at most once in {of // ways:,}, with {len(tested)} organisations tested.",
            hint="Look at all its papers, those that agree too; "
            f"fleetlife certificate {row.papers[0].tracking_number} --who-else organisation",
            expected=f"as of the others, {_percent(rest_differing, rest_lines)}",
            found=_percent(row.differing, row.lines),
            evidence=tuple(
                Evidence(
                    source=f"certificate {line.tracking_number} of {line.organisation}",
                    says=f"{line.part_number} {line.serial_number}: {line.verdict}",
                    entry=line.entry,
                )
                for line in row.papers
            ),
        )


def as_many_or_more(drawn: int, found: int, *, lines: int, differing: int) -> tuple[int, int]:
    """(ways, of all): of all ways to draw `drawn` lines from `lines` of which `differing` differ, those in which
    `found` or more differ. Exact; whole numbers, so that both databases and every machine say the same."""
    drawn, differing = sorted((drawn, differing))  # the chance is the same either way, and the numbers are smaller
    most = drawn
    if found > most:
        return 0, comb(lines, drawn)
    fewest = max(found, drawn - (lines - differing))
    term = comb(differing, fewest) * comb(lines - differing, drawn - fewest)
    ways = term
    for count in range(fewest, most):
        term = term * (differing - count) * (drawn - count) // ((count + 1) * (lines - differing - drawn + count + 1))
        ways += term
    return ways, comb(lines, drawn)


def _percent(part: int, whole: int) -> str:
    """With one decimal, halves rounded up."""
    tenths = (part * 2_000 + whole) // (2 * whole)
    return f"{tenths // 10}.{tenths % 10} %"
