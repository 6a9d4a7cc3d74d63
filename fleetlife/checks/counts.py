"""Counts: what papers say units had run, against the records, and lives that papers do not show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import CountedLine, FiledLine, LifePaperRow
from fleetlife.paper.status import is_new
from fleetlife.terms.finding import Finding
from fleetlife.terms.measure import count_text, hours_text

HOUR = 60


def _paper(line: FiledLine) -> str:
    return f"certificate {line.fact.tracking_number} of {line.fact.organisation}"


def _printed(line: FiledLine, measure: str) -> int | None:
    return line.fact.minutes_since_new if measure == "hours" else line.fact.cycles_since_new


def _text(value: int, measure: str) -> str:
    told = hours_text(value) if measure == "hours" else count_text(value)
    return f"{told} {measure}"


def _slack(value: int, measure: str) -> int:
    """A paper in whole hours may have been rounded either way by less than one."""
    return HOUR - 1 if measure == "hours" and value % HOUR == 0 else 0


@check("PAP112", "counts-on-paper-differ", "rectify", rules=("14 CFR 43.10(a)",))
def counts_on_paper_differ(units: Iterable[Sequence[CountedLine]]) -> Iterator[Finding]:
    """A certificate says that its unit had run more, or less, than the records can mean of that day.

    Why it matters: a life that is counted from the wrong one of two figures ends too late. It is also how another
    unit's paper shows itself.

    What the records mean is bounded as every count is: where a total at a removal or fitting was not stated, by the
    readings on both sides; where that leaves no bound, nothing is said. Before the opening statement a paper may
    say anything up to what that states. A later paper must not say less than an earlier one, and the work that rests on
    a paper must state what the paper states. A paper in whole hours may be off by less than one.

    Triggers: the opening statement says 9 000:00 on 2024-01-01, a certificate of 2023 says 9 400:00; a certificate of
    March says 4 200 cycles and one of May 4 100.

    Does not: a paper within what the readings bound; a paper that states nothing; a unit whose total since new is
    unknown, papers in order.

    What to do: compare the papers with the log card (`fleetlife unit PART SERIAL`); correct what was filed wrongly with
    `fleetlife ledger correct`.

    What it cannot see: which of the two is right.
    """
    for lines in units:
        ordered = sorted(lines, key=lambda each: (each.line.dated_on, each.line.entry))
        for measure in ("hours", "cycles"):
            before: FiledLine | None = None
            for each in ordered:
                printed = _printed(each.line, measure)
                if printed is None:
                    continue
                yield from _against_records(each, measure, printed)
                if before is not None:
                    yield from _against_earlier(each.line, before, measure, printed)
                before = each.line


def _against_records(each: CountedLine, measure: str, printed: int) -> Iterator[Finding]:
    bounds = each.minutes if measure == "hours" else each.cycles
    stated = each.stated_minutes if measure == "hours" else each.stated_cycles
    slack = _slack(printed, measure)
    if stated is not None and abs(stated - printed) > slack:
        yield _differs(each.line, measure, printed, "the work that rests on it", f"{_text(stated, measure)}")
    elif bounds.most is not None and printed - slack > bounds.most:
        yield _differs(each.line, measure, printed, "the records", f"at most {_text(bounds.most, measure)}")
    elif bounds.least is not None and printed + slack < bounds.least:
        yield _differs(each.line, measure, printed, "the records", f"at least {_text(bounds.least, measure)}")


def _against_earlier(line: FiledLine, before: FiledLine, measure: str, printed: int) -> Iterator[Finding]:
    earlier = _printed(before, measure)
    assert earlier is not None
    if printed + max(_slack(printed, measure), _slack(earlier, measure)) >= earlier:
        return
    yield _differs(
        line,
        measure,
        printed,
        f"the {_paper(before)} of {before.fact.dated_on}",
        _text(earlier, measure),
        entry=before.entry,
    )


def _differs(
    line: FiledLine, measure: str, printed: int, whose: str, says: str, *, entry: int | None = None
) -> Finding:
    return finding(
        "PAP112",
        regards=regards(line.fact.organisation, measure, whose),
        message=f"The {_paper(line)} of {line.fact.dated_on} says {_text(printed, measure)} since new; {whose} "
        f"{'say' if whose == 'the records' else 'says'} {says}.",
        hint=f"Compare the papers with the log card; fleetlife certificate {line.fact.tracking_number}",
        expected=says,
        found=_text(printed, measure),
        evidence=(
            Evidence(source=_paper(line), says=_text(printed, measure), entry=line.entry),
            Evidence(source=whose, says=says, entry=entry),
        ),
        **line.address(),
    )


@check("PAP113", "life-not-on-paper", "rectify", rules=("AESA on Inspected/Tested", "AC 21-29 indicators"))
def life_not_on_paper(rows: Iterable[LifePaperRow]) -> Iterator[Finding]:
    """The latest release of a unit whose life is limited in hours or cycles does not say what it had run.

    Why it matters: for a part with a limited life the paper alone proves nothing: its times and cycles must be shown,
    back to birth or back to the last overhaul.

    Triggers: a battery limited to 20 000 cycles whose latest certificate, Inspected/Tested, states no cycles.

    Does not: a release of a new item; a life limited by the calendar alone, which the date of manufacture shows; a
    release that states what the limit counts.

    What to do: ask the issuer for the life status, or find the paper that shows it, and take it in with
    `fleetlife import certificates.csv --replace`.

    What it cannot see: a life status in the remarks or on an attached sheet.
    """
    for row in rows:
        fact = row.line.fact
        lacking = [measure for measure in row.measures if _printed(row.line, measure) is None]
        if not lacking or is_new(fact.status):
            continue
        yield finding(
            "PAP113",
            regards=regards(row.requirement),
            message=f"{row.requirement} limits its life in {' and '.join(row.measures)}; its latest release, the "
            f"{_paper(row.line)}, {fact.status} of {fact.dated_on}, does not say how many "
            f"{' and '.join(lacking)} it had run.",
            hint=f"Ask for its life status; fleetlife certificate {fact.tracking_number}",
            expected=f"{' and '.join(lacking)} since new",
            found="not stated",
            evidence=(Evidence(source=_paper(row.line), says=f"{fact.status}, no life", entry=row.line.entry),),
            **row.line.address(),
        )
