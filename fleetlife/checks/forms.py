"""Forms: certificates that break the rules of the form they are on, block by block, and corrections of certificates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import FiledLine, PaperTally, WholePaper
from fleetlife.dates.partial import day_text
from fleetlife.paper import forms as form_rules
from fleetlife.terms.finding import Finding, Severity
from fleetlife.terms.forms import NEW_NUMBER, ReleaseForm, forms_named
from fleetlife.terms.number import fold


def _evidence(paper: WholePaper, line: FiledLine, says: str) -> tuple[Evidence, ...]:
    return (Evidence(source=paper.named, says=says, entry=line.entry),)


def _look(paper: WholePaper) -> str:
    return f"Look at the paper; fleetlife certificate {paper.tracking_number}"


def _forms_of(paper: WholePaper) -> tuple[ReleaseForm, ...]:
    """The editions the certificate may be on, by the first line that names a form known here."""
    return next((found for line in paper.lines if (found := forms_named(line.fact.form))), ())


@check("FRM101", "status-not-of-the-form", "rectify", rules=("Form 1 block 11", "FAA Order 8130.21"))
def status_not_of_the_form(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """The status block of a certificate holds no term, several, or one that its form or its side does not know.

    Why it matters: the one term says what the paper can show. A paper with two terms, or with a word of nobody's,
    shows nothing here, and no clock restarts on it.

    Severity: a note where the term belongs to another form and its meaning is clear (Tested alone on a Form 1);
    rectify otherwise.

    Triggers: Overhauled, Modified; Serviceable; New on a maintenance form; Overhauled on a line signed for production.

    Does not: Inspected/Tested on either form; Inspected and Tested, the one pair, on the form that allows it; Inspected
    alone on a Form 1, for a used component whose history is not complete.

    What to do: compare with the paper; correct a slip with `fleetlife ledger correct`, else ask the issuer for a
    corrected certificate.

    What it cannot see: whether the term is true; and where no form is stated, or none that is known here, which of all
    terms that form knows.
    """
    for paper in papers:
        for line in paper.lines:
            fact, forms = line.fact, forms_named(line.fact.form)
            fault = form_rules.term_fault(forms, fact.side, fact.status)
            if fault is None:
                continue
            where = form_rules.named_block(forms, "status", "status")
            yield finding(
                "FRM101",
                regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, fault.says),
                severity="rectify" if fault.grave else "note",
                message=f"The {paper.named}, {where}: {fault.says}",
                hint=_look(paper),
                expected="one term of the form",
                found=fact.status,
                evidence=_evidence(paper, line, f"{fact.status}, {fact.form or 'form not stated'}"),
                **line.address(),
            )


@check("FRM102", "numbers-lumped-together", "rectify", rules=("FAA Order 8130.21G 3-5", "Form 1 block 10"))
def numbers_lumped_together(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """A block of numbers says several in one word, or says in other words than N/A that there is no serial number.

    Why it matters: a paper that says various belongs to no unit in particular, and so to any.

    Triggers: serial number "various"; part number "various, see list"; serial number "none".

    Does not: N/A for an item that has no serial number; a certificate that lists its serials, each a line here.

    What to do: ask the issuer for a certificate that names the units, or take the list it refers to in, one line a
    serial, with `fleetlife import certificates.csv`.

    What it cannot see: whether an item whose paper says N/A bears a number after all; a paper filed against a unit
    that has one is PAP102.
    """
    for paper in papers:
        for line in paper.lines:
            fact, forms = line.fact, forms_named(line.fact.form)
            for column, words, text in (
                ("part_number", "part number", fact.part_number),
                ("serial_number", "serial number", fact.serial_number),
            ):
                missing = column == "serial_number" and form_rules.serial_missing(text)
                if not missing and not form_rules.lumped(text):
                    continue
                where = form_rules.named_block(forms, column, words)
                wanted = "the number, or N/A where the item has none" if column == "serial_number" else "the number"
                yield finding(
                    "FRM102",
                    regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, wanted),
                    message=f"The {paper.named}, {where}, says {text!r}: it must say {wanted}.",
                    hint=_look(paper),
                    expected=wanted,
                    found=text,
                    evidence=_evidence(paper, line, text),
                    **line.address(),
                )


@check("FRM103", "several-parts-on-one-form", "rectify", rules=("FAA Order 8130.21G 3-5",))
def several_parts_on_one_form(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """A certificate on a form that is for one part number has lines of several.

    Why it matters: one of them was not released by a form of its own, or a line was filed from another paper.

    Triggers: an FAA form with a line for SL-100-1 and one for RV-7.

    Does not: several serials of one part number; several part numbers on a Form 1, which has line items for them.

    What to do: look at the paper; withdraw a line that is not on it with `fleetlife ledger withdraw`, else ask the
    issuer for a form of its own.

    What it cannot see: two spellings of one part number that differ in more than separators are taken for two.
    """
    for paper in papers:
        forms = _forms_of(paper)
        if not forms or not all(form.one_part for form in forms):
            continue
        parts = list(dict.fromkeys(line.fact.part_number for line in paper.lines))
        if len({_bare(part) for part in parts}) < 2:
            continue
        yield finding(
            "FRM103",
            regards=regards(paper.organisation),
            message=f"The {paper.named} is on {forms[0].family}, which is for one part number, and has lines for "
            f"{' and '.join(parts)}.",
            hint=_look(paper),
            expected="one part number",
            found=", ".join(parts),
            evidence=tuple(each for line in paper.lines for each in _evidence(paper, line, line.fact.part_number)),
            **paper.address(),
        )


def _bare(number: str) -> str:
    return "".join(character for character in number.casefold() if character.isalnum())


@check("FRM104", "production-and-maintenance-mixed", "rectify", rules=("Form 1 mixed",))
def production_and_maintenance_mixed(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """One certificate has lines released as production and lines released as maintenance.

    Why it matters: no form allows it. One of the lines is from another paper, or its status was read wrongly.

    Triggers: one certificate with a line New and a line Overhauled; a line signed for production beside one signed for
    maintenance.

    Does not: Overhauled and Repaired on two lines of one certificate; New and Prototype.

    What to do: look at the paper; correct or withdraw the line that is not as printed with `fleetlife ledger correct`
    or `fleetlife ledger withdraw`.

    What it cannot see: lines of that certificate that nobody has taken in.
    """
    for paper in papers:
        mixed = form_rules.sides_mixed([(line.fact.side, line.fact.status) for line in paper.lines])
        if not mixed:
            continue
        yield finding(
            "FRM104",
            regards=regards(paper.organisation),
            message=f"The {paper.named} releases items of {' and of '.join(mixed)}: "
            f"{', '.join(dict.fromkeys(line.fact.status for line in paper.lines))}.",
            hint=_look(paper),
            expected="one of the two",
            found=" and ".join(mixed),
            evidence=tuple(each for line in paper.lines for each in _evidence(paper, line, line.fact.status)),
            **paper.address(),
        )


def _correcting(paper: WholePaper) -> Iterator[tuple[FiledLine, str]]:
    """The first line for each certificate that the paper says it corrects."""
    seen: set[str] = set()
    for line in paper.lines:
        named = line.fact.corrects
        if named and fold(named) not in seen:
            seen.add(fold(named))
            yield line, named


def _same_number(paper: WholePaper, named: str) -> bool:
    return fold(named) == fold(paper.tracking_number)


@check("FRM105", "corrected-certificate-not-filed", "rectify", rules=("Form 1 corrected",))
def corrected_certificate_not_filed(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """A certificate says that it corrects another of its issuer's, and that one is not in the records.

    Why it matters: both are kept, and only the first says what was wrong and for which item it was given.

    Triggers: certificate T-9 corrects T-4, and no T-4 of that organisation is filed.

    Does not: a correction whose first certificate is filed; a form re-issued under its own number.

    What to do: find the first certificate and take it in with `fleetlife import certificates.csv`, or correct the
    number with `fleetlife ledger correct`.

    What it cannot see: a first certificate that another organisation issued.
    """
    for paper in papers:
        for line, named in _correcting(paper):
            if _same_number(paper, named) or fold(named) in paper.corrected_on:
                continue
            yield finding(
                "FRM105",
                regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, named),
                message=f"The {paper.named} corrects certificate {named}, which is not filed.",
                hint=f"Take it in: fleetlife import certificates.csv; fleetlife certificate {paper.tracking_number}",
                expected=f"certificate {named} of {paper.organisation}",
                found="none",
                evidence=_evidence(paper, line, f"corrects {named}"),
                **line.address(),
            )


@check(
    "FRM106",
    "correction-numbered-otherwise",
    "rectify",
    rules=("Form 1 corrected", "FAA Order 8130.21 re-issue"),
)
def correction_numbered_otherwise(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """A corrected certificate does not bear the number, or the remark, that its form asks of a correction.

    Why it matters: the forms differ. On a Form 1 the same number with other content cannot be told from an altered
    paper; on an FAA form a typing error is corrected under the same number.

    Severity: rectify for a Form 1 under the number of the one it corrects; a note for a Form 1 whose remarks do not
    name the certificate it corrects, and for an FAA form under a new number, which is right for an article that came
    back and not for a slip of the pen.

    Triggers: a Form 1 T-4 that corrects T-4; a Form 1 T-9 that corrects T-4 and does not say so; an FAA form T-9
    that corrects T-4.

    Does not: a Form 1 T-9 whose remarks say that it corrects block 10 of T-4; an FAA form T-4 that corrects T-4.

    What to do: ask the issuer; correct a number that was filed wrongly with `fleetlife ledger correct`.

    What it cannot see: why an FAA form was issued again; and what the remarks say beyond the number.
    """
    for paper in papers:
        rule = form_rules.correction_rule(_forms_of(paper))
        if rule is None:
            continue
        for line, named in _correcting(paper):
            same = _same_number(paper, named)
            severity: Severity = "note"
            if rule.correction == NEW_NUMBER and same:
                severity, says = "rectify", f"bears the number of the certificate it corrects, {named}"
            elif rule.correction == NEW_NUMBER and fold(named) not in fold(line.fact.remarks):
                says = f"corrects {named}, and its remarks do not say so"
            elif rule.correction != NEW_NUMBER and not same:
                says = f"corrects {named} under a number of its own"
            else:
                continue
            where = form_rules.named_block(_forms_of(paper), "remarks", "remarks")
            yield finding(
                "FRM106",
                regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, named),
                severity=severity,
                message=f"The {paper.named} {says}; {rule.family}: {rule.correction}, and in {where} {rule.remark}.",
                hint=_look(paper),
                expected=rule.correction,
                found=f"{paper.tracking_number} for {named}",
                evidence=_evidence(paper, line, f"corrects {named}; remarks: {line.fact.remarks or 'none'}"),
                **line.address(),
            )


@check("FRM107", "certificate-date-impossible", "rectify", rules=("AC 21-29 indicators",))
def certificate_date_impossible(papers: Iterable[WholePaper], *, as_of: int) -> Iterator[Finding]:
    """A certificate is dated after the day asked about though it was in the records by then, or before the
    certificate that it corrects.

    Why it matters: nobody signs in the future, and a correction comes after what it corrects: one of the dates is
    wrong, and a due date may rest on it.

    Triggers: dated 2027-01-20, recorded 2026-11-20, asked on 2026-11-25; dated 2024-03-01 and correcting a certificate
    of 2024-03-10.

    Does not: a certificate of a later day that was recorded later, where an earlier day is asked about; a correction of
    the same day; a form re-issued under its own number.

    What to do: read the date on the paper, day and month apart; correct it with `fleetlife ledger correct`.

    What it cannot see: a date that was in the future when it was recorded and is past today. A certificate before its
    unit was made is PAP107, after its fitting PAP106.
    """
    for paper in papers:
        for line in paper.lines:
            if line.dated_on > as_of and line.recorded_on is not None and line.recorded_on <= as_of:
                recorded = day_text(line.recorded_on)
                yield finding(
                    "FRM107",
                    regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, "recorded"),
                    message=f"The {paper.named} is dated {line.fact.dated_on}, and was recorded on {recorded}.",
                    hint=_look(paper),
                    expected=f"dated on or before {recorded}",
                    found=line.fact.dated_on,
                    evidence=_evidence(paper, line, line.fact.dated_on),
                    **line.address(),
                )
        for line, named in _correcting(paper):
            first = paper.corrected_on.get(fold(named))
            if first is None or _same_number(paper, named) or line.dated_on >= first:
                continue
            yield finding(
                "FRM107",
                regards=regards(paper.organisation, line.fact.item, line.fact.serial_number, named),
                message=f"The {paper.named} is dated {line.fact.dated_on}, before certificate {named} of "
                f"{day_text(first)}, which it corrects.",
                hint=_look(paper),
                expected=f"dated on or after {day_text(first)}",
                found=line.fact.dated_on,
                evidence=(
                    *_evidence(paper, line, line.fact.dated_on),
                    Evidence(source=f"certificate {named}", says=day_text(first) or ""),
                ),
                **line.address(),
            )


@check("FRM108", "form-not-known", "note", rules=("Form 1 editions", "FAA Form 8130-3 editions"))
def form_not_known(tallies: Iterable[PaperTally]) -> Iterator[Finding]:
    """Certificates name a form that is not in the table of forms; one finding for each name.

    Why it matters: their blocks have no numbers here, and only what all forms have in common is checked of them.

    Triggers: forty certificates whose form is written "Form One".

    Does not: a certificate whose form is not stated; a form named with its edition, or by its name alone.

    What to do: write the form as `fleetlife explain` and the page certificates.md list them, with its edition, and
    correct the lines with `fleetlife import certificates.csv --replace`; leave it where the paper really is on another
    form.

    What it cannot see: the rules of that other form.
    """
    for tally in tallies:
        fact = tally.first.fact
        count = f"{tally.count} certificate{'s' if tally.count != 1 else ''} name{'' if tally.count != 1 else 's'}"
        yield finding(
            "FRM108",
            regards=regards(tally.what),
            message=f"{count} the form {tally.what!r}, which is not in the table of forms.",
            hint="Write the form with its edition as printed; the names are in docs/certificates.md; "
            f"fleetlife certificate {fact.tracking_number}",
            certificate=fact.tracking_number,
            expected=", ".join(form_rules.known_names()),
            found=tally.what,
            evidence=(
                Evidence(source=f"certificate {fact.tracking_number}", says=tally.what, entry=tally.first.entry),
            ),
        )


@check("FRM109", "form-before-its-edition", "rectify", rules=("Form 1 editions", "FAA Form 8130-3 editions"))
def form_before_its_edition(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """A certificate is dated before the edition of the form it is on existed.

    Why it matters: the date or the form is wrong, or the paper was made later than it says.

    Triggers: FAA Form 8130-3 (02-14) dated 2013-06-01.

    Does not: the same of 2014-02-01; a form named without its edition, where an earlier edition was in use.

    What to do: read the footer of the form and the date; correct what was filed wrongly with
    `fleetlife ledger correct`, else ask the issuer.

    What it cannot see: an old edition used long after it was replaced; and the first day of an edition that is known to
    the year alone, which is taken as the first of January.
    """
    for paper in papers:
        line, forms = paper.lines[0], _forms_of(paper)
        since = form_rules.used_before(forms, line.dated_on)
        if since is None:
            continue
        name = forms[0].name if len(forms) == 1 else forms[0].family
        yield finding(
            "FRM109",
            regards=regards(paper.organisation),
            message=f"The {paper.named} is dated {line.fact.dated_on} and is on {name}, which there is since {since}.",
            hint=_look(paper),
            expected=f"dated {since} or later",
            found=line.fact.dated_on,
            evidence=_evidence(paper, line, f"{line.fact.form}, {line.fact.dated_on}"),
            **paper.address(),
        )


@check("FRM110", "second-authority-incomplete", "rectify", rules=("dual release",))
def second_authority_incomplete(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """A release under two authorities lacks the second authority, its approval number, or its statement.

    Why it matters: for the second authority's aircraft the paper is a release only if it says so in full.

    Severity: rectify where the second authority or approval number is missing, or the second authority is the first
    once more; a note where the remarks name neither.

    Triggers: a second authority and no approval number of it; an approval number of a second authority that nobody
    names; both, and nothing of either in the remarks.

    Does not: a release under one authority; remarks that name the second authority's approval number.

    What to do: look at the release block and the remarks of the paper; correct what was filed wrongly with
    `fleetlife ledger correct`.

    What it cannot see: which boxes are ticked, and the wording of the statement.
    """
    for paper in papers:
        for line in _distinct(paper.lines):
            fact = line.fact
            if not fact.second_authority and not fact.second_approval:
                continue
            fault = _second_fault(line)
            if fault is None:
                continue
            severity, says = fault
            yield finding(
                "FRM110",
                regards=regards(paper.organisation, fact.item, fact.serial_number, fact.second_authority),
                severity=severity,
                message=f"The {paper.named} is a release under a second authority, {says}.",
                hint=_look(paper),
                expected="the second authority, its approval number and its statement",
                found=" ".join(t for t in (fact.second_authority, fact.second_approval) if t),
                evidence=_evidence(
                    paper, line, f"{fact.second_authority or '-'}, {fact.second_approval or '-'}; {fact.remarks or '-'}"
                ),
                **line.address(),
            )


def _distinct(lines: Sequence[FiledLine]) -> Iterator[FiledLine]:
    """One line for each statement of a second authority."""
    seen: set[tuple[str | None, ...]] = set()
    for line in lines:
        said = (line.fact.second_authority, line.fact.second_approval, line.fact.remarks)
        if said not in seen:
            seen.add(said)
            yield line


def _second_fault(line: FiledLine) -> tuple[Severity, str] | None:
    fact = line.fact
    if not fact.second_approval:
        return "rectify", f"{fact.second_authority}, and states no approval number of it"
    if not fact.second_authority:
        return "rectify", f"by approval {fact.second_approval}, and does not say of which authority"
    if fold(fact.second_authority) == fold(fact.authority):
        return "rectify", f"and names {fact.second_authority} twice"
    remarks = _bare(fact.remarks or "")
    if _bare(fact.second_approval) in remarks or _bare(fact.second_authority) in remarks:
        return None
    return "note", f"{fact.second_authority}, of which its remarks say nothing"


@check("FRM111", "quantity-differs", "note", rules=("Form 1 block 9", "AC 21-29 indicators"))
def quantity_differs(papers: Iterable[WholePaper]) -> Iterator[Finding]:
    """The quantity of an item of a certificate is not the number of serial numbers filed for it.

    Why it matters: a unit is without its paper here, or a serial was added that is not on the paper.

    Triggers: an item of quantity 3 with two serials filed; quantity 2 on the one line of one serial.

    Does not: quantity 3 with three serials; each serial a line of quantity 1; an item without serial numbers.

    What to do: look at the paper; take the missing line in with `fleetlife import certificates.csv`, or correct the
    quantity with `fleetlife ledger correct`.

    What it cannot see: units that are on the paper and that nobody keeps here on purpose.
    """
    for paper in papers:
        items: dict[tuple[str, str], list[FiledLine]] = {}
        for line in paper.lines:
            serial = line.fact.serial_number
            if _bare(serial) != "na" and not form_rules.serial_missing(serial) and not form_rules.lumped(serial):
                items.setdefault((fold(line.fact.item), _bare(line.fact.part_number)), []).append(line)
        for lines in items.values():
            stated = {line.fact.quantity for line in lines} - {None}
            if not stated or stated == {1} or stated == {len(lines)}:
                continue
            told = " and ".join(str(quantity) for quantity in sorted(q for q in stated if q is not None))
            first = lines[0]
            item = f"item {first.fact.item}" if first.fact.item else "the item"
            yield finding(
                "FRM111",
                regards=regards(paper.organisation, item),
                message=f"The {paper.named} says quantity {told} of {item}, {first.fact.part_number}; "
                f"{len(lines)} serial number{'s are' if len(lines) != 1 else ' is'} filed for it.",
                hint=_look(paper),
                expected=told,
                found=str(len(lines)),
                evidence=tuple(
                    each
                    for line in lines
                    for each in _evidence(
                        paper, line, f"serial {line.fact.serial_number}, quantity {line.fact.quantity}"
                    )
                ),
                **first.address(),
            )
