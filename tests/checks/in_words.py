"""From a case in the trade's words to the rows that a check judges. One function a code, `JUDGED` names them all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from fleetlife.checks import (
    approvals,
    counts,
    cylinders,
    deferrals,
    documents,
    fit,
    forms,
    identity,
    ledger,
    life,
    moves,
    paper,
    patterns,
    receipts,
    stores,
    work,
)
from fleetlife.checks.removal import Donor, Flown, Inspected, Removal
from fleetlife.checks.rows import (
    AssemblyRow,
    Bounds,
    BridgedRow,
    ClaimRow,
    CountedLine,
    DeferralRow,
    DeployedRow,
    Difference,
    DoorRow,
    ExpansionRow,
    FiledLine,
    FittingRow,
    FormerDueRow,
    LateEntryRow,
    LifePaperRow,
    LoanRow,
    OrganisationRow,
    PaperRow,
    PaperTally,
    Placed,
    PlateRow,
    PromisedRow,
    ReceiptRow,
    RefitRow,
    ScrapRow,
    SignedRow,
    SuspectedRow,
    WholePaper,
    WorkRow,
)
from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import parse_partial
from fleetlife.follows.deferrals import Carried
from fleetlife.follows.place import Recorded, stays_of
from fleetlife.follows.plates import plate_text
from fleetlife.follows.receipts import Received, suspicion_of, with_holds
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import CarriageRow, CertificateLineRow, UnitStateRow
from fleetlife.ledger.facts import (
    Accomplishment,
    Airframe,
    AirframeModification,
    Alternate,
    Approval,
    Certificate,
    Eligibility,
    HoldDecision,
    Intermix,
    Movement,
    Opening,
    Part,
    PlateReading,
    Position,
    Receipt,
    Slot,
)
from fleetlife.ledger.swaps import Deferral, DeferralClosed
from fleetlife.life.bridging import Kept, Side, bridged_lines, programmes_before
from fleetlife.life.expansion import parse_expansion
from fleetlife.life.points import due_point
from fleetlife.life.state import judge
from fleetlife.life.values import Count, Done, History, Limits, Outlook, Requirement, Varied
from fleetlife.paper.agreement import compare_numbers, worse
from fleetlife.terms.documents import DocumentRow
from fleetlife.terms.finding import Finding
from fleetlife.terms.forms import forms_named
from fleetlife.terms.measure import parse_hours
from fleetlife.terms.views import DueRow
from tests.checks import plans_in_words, publications_in_words, swaps_in_words

Words = dict[str, Any]
AIRFRAME = 7
PARENT = 900


def day(value: Any) -> int:
    if isinstance(value, date):
        return value.toordinal()
    return date.fromisoformat(str(value)).toordinal()


def day_or_none(value: Any) -> int | None:
    return None if value is None else day(value)


def placed(words: Words, *, unit_id: int = 1) -> Placed:
    """A unit: `on` (registration and position), `store`, `shop`, `unknown`, `scrap`, or a `slot` of a unit on `on`."""
    registration, _, position = str(words.get("on", "")).partition(" ")
    kind = next((k for k in ("slot", "store", "shop", "loan", "scrap", "unknown") if k in words), "position")
    carried = AIRFRAME if words.get("on") else None
    since = day(words.get("since", "2024-01-01"))
    released = day_or_none(words.get("released"))
    state = UnitStateRow(
        unit_id=unit_id,
        part_number=words.get("part", "SL-100-1"),
        serial_number=str(words.get("serial", "0101")),
        manufacturer=words.get("maker", "Kittiwake"),
        kind=kind,
        since_moment=moment_of(since),
        airframe_id=carried if kind == "position" else None,
        position=position if kind == "position" else None,
        parent_id=PARENT if kind == "slot" else None,
        slot=words.get("slot"),
        place_name=words.get("store") or words.get("shop") or words.get("loan"),
        bin=words.get("bin"),
        carried_airframe_id=carried,
        root_id=(unit_id if kind == "position" else PARENT) if carried else None,
        condition=words.get("condition", "serviceable"),
        hold=words.get("hold"),
        harness=words.get("harness", "unknown"),
        released_on=released,
        release_status=words.get("status", "overhauled") if released else None,
        release_certificate=words.get("certificate", "T-1") if released else None,
        covered_by=PARENT if words.get("covered") else None,
        removed_on=day_or_none(words.get("removed")),
    )
    parent = None
    if "parent_released" in words:
        parent = UnitStateRow(
            unit_id=PARENT,
            part_number="SL-100-1",
            serial_number="0900",
            manufacturer="Kittiwake",
            kind="position",
            since_moment=0,
            released_on=day(words["parent_released"]),
        )
    return Placed(
        state=state,
        registration=registration or None,
        position=position or None,
        opened_at=end_of_day(day(words.get("records_from", "2024-06-01"))),
        since_known=words.get("since_known", True),
        entry=11,
        since_entry=12,
        parent=parent,
    )


def line(words: Words, *, unit: Placed | None, unit_id: int | None = 1) -> CertificateLineRow:
    """A certificate line, its verdict taken against the unit."""
    part = str(words.get("part", unit.state.part_number if unit else "SL-100-1"))
    serial = str(words.get("serial", unit.state.serial_number if unit else "0101"))
    part_verdict = serial_verdict = verdict = "unfiled"
    if unit is not None:
        part_verdict = compare_numbers(
            part,
            unit.state.part_number,
            kind="part",
            borne=words.get("borne", ()),
            alternates=words.get("alternates", ()),
        ).verdict
        serial_verdict = compare_numbers(serial, unit.state.serial_number, kind="serial").verdict
        verdict = worse(part_verdict, serial_verdict)
    return CertificateLineRow(
        organisation=words.get("organisation", "Fulmar Repair"),
        tracking_number=words.get("number", "T-1"),
        item=str(words.get("item", "")),
        serial_number=serial,
        part_number=part,
        unit_id=unit_id if unit is not None else None,
        status=words.get("status", "Overhauled"),
        side=None,
        dated_on=day(words.get("dated", "2024-03-10")),
        verdict=verdict,
        part_verdict=part_verdict,
        serial_verdict=serial_verdict,
        expected_part_number=unit.state.part_number if unit else None,
        expected_serial_number=unit.state.serial_number if unit else None,
        entry=21,
    )


# --- life -------------------------------------------------------------------------------------------------------------


def _due_row(words: Words) -> DueRow:
    registration, _, position = str(words.get("on", "")).partition(" ")
    return DueRow(
        registration=registration or None,
        position=position or None,
        store=words.get("store"),
        part_number=words.get("part", "SL-100-1"),
        serial_number=str(words.get("serial", "0101")),
        requirement=None if words.get("programme") == "none" else words.get("requirement", "OVH"),
        kind=words.get("kind", "overhaul"),
        state=words["state"],
        state_reason=words.get("reason", ""),
        unknown_measures=words.get("unknown"),
        due_date=str(words["due"]) if "due" in words else None,
        basis=words.get("counted_from"),
        edition="3",
        reference="CMM 25-60-01",
    )


def _due(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    return lambda given: judge([_due_row(given)])


def _stale(given: Words) -> Iterator[Finding]:
    view = Outlook(airframe_id=AIRFRAME, base_day=day_or_none(given.get("last_reading")), base_minutes=1, base_cycles=1)
    counter = given.get("counter_used")
    return life.stale_readings(
        [] if counter else [(given["airframe"], AIRFRAME, view)],
        as_of=day(given["asked"]),
        after_days=14,
        statuses={AIRFRAME: given.get("airframe_is")},
        counters=[(given["airframe"], AIRFRAME, counter, view)] if counter else [],
    )


def _former(given: Words) -> Iterator[Finding]:
    rows = []
    if "old_record_says" in given and "computed" in given:
        rows.append(
            FormerDueRow(
                unit=placed(given.get("unit", {})),
                requirement=given.get("requirement", "OVH"),
                done_on=str(given.get("done", "2024-03-10")),
                stated_due=day(given["old_record_says"]),
                computed_due=day(given["computed"]),
                basis="done 2024-03-10 (release)",
                entry=31,
            )
        )
    return life.former_due_differs(rows)


def _requirement(words: Words) -> Requirement:
    def hours(name: str) -> int | None:
        return parse_hours(words[name]) if name in words else None

    return Requirement(
        key=1,
        requirement=words.get("name", "OVH"),
        part_number="SL-100-1",
        kind=words.get("kind", "overhaul"),
        reference="CMM 25-60-01",
        start=words.get("start", "manufacture"),
        repeat=Limits(months=words.get("months"), minutes=hours("hours"), cycles=words.get("cycles")),
        done_at=words.get("done_at", "shop"),
        whichever=words.get("whichever", "first"),
        variation_allowed=words.get("variation_allowed", False),
    )


def _done(words: Words, rule: Requirement, number: int) -> Done:
    when = parse_partial(str(words["on"]))
    first = when.first_day.toordinal()
    log = rule.done_at == "aircraft"
    return Done(
        requirement=rule.requirement,
        date=when,
        day=first,
        moment=end_of_day(first) if log else moment_of(first),
        count=Count(minutes=parse_hours(words["hours"]) if "hours" in words else None, cycles=words.get("cycles")),
        on_aircraft=log,
        installed=log,
        date_basis="log" if log else "release",
        proven=words.get("proven", True),
        entry=number,
    )


def _late_work(given: Words) -> Iterator[Finding]:
    rule = _requirement(given["requirement"])
    records_from = day(given.get("records_from", "2020-01-01"))
    done = tuple(_done(each, rule, 40 + n) for n, each in enumerate(given["done"]))
    carriages = tuple(
        CarriageRow(
            unit_id=1,
            from_moment=moment_of(day(each["from"])),
            until_moment=moment_of(day(each["until"])) if "until" in each else None,
            airframe_id=AIRFRAME,
            root_id=1,
            from_minutes=0,
            from_cycles=0,
            until_minutes=None,
            until_cycles=None,
            from_basis="stated",
            until_basis="open",
        )
        for each in given.get("carried", ())
    )
    varied = tuple(
        Varied(
            requirement=rule.requirement,
            approved_on=day(each["approved"]),
            until_day=day_or_none(each.get("until")),
            airframe_id=AIRFRAME,
            left_moment=moment_of(day(each["left"])) if "left" in each else None,
            reference="PV-1",
            entry=50,
        )
        for each in given.get("variations", ())
    )
    history = History(
        unit_id=1,
        as_of=end_of_day(records_from),
        manufactured=parse_partial(str(given["made"])) if "made" in given else None,
        opening=Count(minutes=0, cycles=0) if given.get("new_when_records_began") else Count(),
        done=done,
        variations=varied,
    )
    entries = frozenset(each.entry for each in done)
    row = WorkRow(
        unit=placed(given.get("unit", {"on": "Q-TRN L1"})),
        requirement=rule,
        history=history,
        carriages=carriages,
        own=entries,
        totals_stated=frozenset(e.entry for e in done if e.count.minutes is not None or e.count.cycles is not None),
    )
    return work.done_late_without_approval([row])


def _expansion(given: Words) -> Iterator[Finding]:
    """`total`, `permanent` and `marked` as printed, in cubic centimetres."""

    def thousandths(name: str) -> int | None:
        return int(parse_expansion(str(given[name])) * 1000) if name in given else None

    fact = Accomplishment(
        unit=1,
        requirement="HST",
        done_on=str(given.get("tested", "2026-09")),
        date_basis="mark",
        expansion_total=thousandths("total"),
        expansion_permanent=thousandths("permanent"),
        expansion_limit=thousandths("marked"),
        expansion_specification=given.get("specification"),
    )
    unit = placed({"part": "RV-7", **given.get("unit", {"on": "Q-TRN L1"})})
    return cylinders.expansion_test_not_passed([ExpansionRow(unit=unit, accomplishment=fact, entry=51)])


def _bridged(given: Words) -> Iterator[Finding]:
    """A unit kept under one programme after the other; each states its requirements under its own name."""
    asked = day(given["asked"])
    kept = [
        Kept(
            programme=each["under"],
            from_moment=moment_of(day(each["from"])),
            until_moment=moment_of(day(each["until"])) if "until" in each else None,
        )
        for each in given["kept"]
    ]
    history = History(
        unit_id=1,
        as_of=end_of_day(day("2020-01-01")),
        manufactured=parse_partial("2018-05"),
        opening=Count(minutes=0, cycles=0),
        installed_now=True,
        stored=False,
    )

    def sides(programme: str) -> dict[str, Side]:
        found = {}
        for number, words in enumerate(given[programme], start=1):
            rule = replace(_requirement(words), key=number, programme=programme, edition=words.get("edition", "1"))
            done = tuple(_done(each, rule, 40) for each in given.get("done", ()) if each["name"] == rule.requirement)
            point = due_point(rule, replace(history, done=done))
            judged = judge(rule, point, None, as_of=asked, window_from=None, window_until=None, stored=False)
            found[rule.requirement] = Side(
                rule=rule, point=point, state=judged.state, due=judged.due_date, unknown=judged.unknown
            )
        return found

    now = given["kept"][-1]["under"]
    lines = bridged_lines(
        kept,
        now,
        now=sides(now),
        before={each: sides(each) for each in programmes_before(kept, now, sides(now)) if each},
        part_number="SL-100-1",
        serial_number="0101",
    )
    return life.programmes_not_bridged([BridgedRow(unit=placed(given.get("unit", {"on": "Q-TRN L1"})), lines=lines)])


# --- paper ------------------------------------------------------------------------------------------------------------


def _paper(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    def run(given: Words) -> Iterator[Finding]:
        unit = placed(given["unit"]) if "unit" in given else None
        row = PaperRow(line=line(given["certificate"], unit=unit), unit=unit, manufactured=given.get("made"))
        return judge([row])

    return run


def _units(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    return lambda given: judge([placed(given["unit"])])


def _removal(given: Words, unit: Placed) -> Removal:
    """`came_from`: registration and position; `flown`: hours flown meanwhile, `none`, or nothing where not known."""
    registration, _, position = str(given.get("came_from", "")).partition(" ")
    same = registration == unit.registration
    flown = given.get("flown")
    minutes = None if flown is None else 0 if flown == "none" else parse_hours(str(flown))
    inspected = given.get("inspected")
    donor = given.get("donor")
    return Removal(
        removed_on=unit.state.removed_on or 0,
        kind=given.get("removed_for"),
        released_on=unit.state.released_on,
        from_airframe=(AIRFRAME if same else AIRFRAME + 1) if registration else None,
        from_place=f"{registration} {position}" if registration else None,
        to_airframe=unit.state.carried_airframe_id,
        to_place=f"{unit.registration} {unit.position}",
        flown=Flown(least=minutes, most=minutes),
        changed=tuple(given.get("meanwhile", ())),
        inspected=None
        if inspected is None
        else Inspected(on=day(inspected["on"]), by=inspected["by"], reference=inspected["reference"]),
        donors=() if donor is None else (_donor(donor, unit),),
        entry=61,
    )


def _donor(words: Words, unit: Placed) -> Donor:
    since = day_or_none(words.get("since"))
    off = unit.state.removed_on or 0
    return Donor(
        registration="Q-GUL",
        state=words["was"],
        since=since,
        days=None if since is None else off - since,
        off_on=off,
    )


def _refit(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    def run(given: Words) -> Iterator[Finding]:
        unit = placed(given["unit"])
        return judge([RefitRow(unit=unit, removal=_removal(given, unit))])

    return run


def _loan(given: Words) -> Iterator[Finding]:
    rows = []
    if "back_by" in given:
        rows.append(
            LoanRow(
                unit=placed(given["unit"]),
                out="lent_to" in given,
                back_by=day(given["back_by"]),
                other=given.get("lent_to") or given.get("owner"),
                entry=62,
            )
        )
    return moves.loan_not_returned(rows, as_of=day(given["asked"]))


def _scrapped(given: Words) -> Iterator[Finding]:
    row = ScrapRow(
        unit=placed(given["unit"]), limits=tuple(given.get("limits", ())), disposition=given.get("disposition")
    )
    return moves.scrapped_without_disposition([row])


def _deployed(given: Words) -> Iterator[Finding]:
    rows = []
    if "deployed" in given:
        on = day(given["deployed"])
        rows.append(DeployedRow(unit=placed(given["unit"]), on=on, intent=given.get("intent"), entry=63))
    return moves.deployed_not_released(rows)


def _filed(given: Words) -> Iterator[Finding]:
    rows = []
    for number, each in enumerate(given["filed"], start=1):
        unit = placed(each["against"], unit_id=number)
        rows.append(PaperRow(line=line({**given.get("paper", {}), **each}, unit=unit, unit_id=number), unit=unit))
    return paper.certificate_filed_twice(rows)


def _fitting(given: Words) -> Iterator[Finding]:
    unit = placed(given["unit"])
    lines = tuple(line(each, unit=unit) for each in given.get("certificates", ()))
    named = next((each for each in lines if each.tracking_number == given.get("names")), None)
    return paper.certificate_after_fitting(
        [FittingRow(unit=unit, fitted_on=day(given["fitted"]), entry=71, named=named, lines=lines)]
    )


def _late_entry(given: Words) -> Iterator[Finding]:
    return paper.entered_late(
        [
            LateEntryRow(
                movement=_movement(given, given["done"]),
                registration="Q-TRN",
                recorded_on=day(given["recorded"]),
                kept_since=day(given["airframe_recorded_since"]),
                entry=81,
            )
        ]
    )


def _movement(words: Words, on: Any, position: str = "L1") -> Movement:
    fitted = words.get("work", "fitted") == "fitted"
    return Movement(
        airframe=AIRFRAME,
        position=words.get("position", position),
        moved_on=str(on),
        removed=None if fitted else 2,
        installed=1 if fitted else None,
        signed_by=words.get("signed_by"),
        inspected_by=words.get("inspected_by"),
        work_order=words.get("work_order"),
    )


def _claim(given: Words) -> Iterator[Finding]:
    unit = placed(given.get("unit", {"on": "Q-TRN L1"}))
    fact = Accomplishment(
        unit=1,
        requirement=given.get("requirement", "OVH"),
        done_on=str(given.get("done", "2024-03-10")),
        date_basis=given.get("dated_by"),
        certificate="T-1",
    )
    cited = line(given["certificate"], unit=unit) if "certificate" in given else None
    return paper.paper_does_not_show_the_work(
        [ClaimRow(unit=unit, accomplishment=fact, entry=91, requirement_kind=given["kind"], line=cited)]
    )


# --- forms, approvals, counts -----------------------------------------------------------------------------------------


def _filed_line(words: Words, number: int = 0) -> FiledLine:
    """A line of a certificate as stated; `unit` where it is filed."""
    hours, unit = words.get("hours"), words.get("unit")
    fact = Certificate(
        tracking_number=words.get("number", "T-1"),
        organisation=words.get("organisation", "Fulmar Repair"),
        part_number=words.get("part", "SL-100-1"),
        serial_number=str(words.get("serial", "0101")),
        status=words.get("status", "Overhauled"),
        dated_on=str(words.get("dated", "2024-03-10")),
        form=words.get("form"),
        side=words.get("side"),
        item=str(words["item"]) if "item" in words else None,
        authority=words.get("authority"),
        approval=words.get("approval"),
        quantity=words.get("quantity"),
        remarks=words.get("remarks"),
        corrects=words.get("corrects"),
        minutes_since_new=None if hours is None else parse_hours(hours),
        cycles_since_new=words.get("cycles"),
        second_authority=words.get("second_authority"),
        second_approval=words.get("second_approval"),
        unit=1 if unit else None,
    )
    return FiledLine(
        fact=fact,
        entry=21 + number,
        unit=placed(unit) if unit else None,
        recorded_on=day_or_none(words.get("recorded")),
    )


def _whole_paper(given: Words) -> WholePaper:
    lines = [_filed_line({**given, **each}, n) for n, each in enumerate(given.get("lines", [{}]))]
    filed = {name: day(dated) for name, dated in given.get("filed", {}).items()}
    return WholePaper(lines=tuple(lines), corrected_on=filed)


def _whole(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    return lambda given: judge([_whole_paper(given)])


def _approvals(given: Words) -> dict[str, list[tuple[int, Approval]]]:
    rows = [
        Approval(
            organisation=each.get("organisation", "Fulmar Repair"),
            approval=each["approval"],
            valid_from=str(each["from"]) if "from" in each else None,
            valid_to=str(each["until"]) if "until" in each else None,
        )
        for each in given.get("approvals", ())
    ]
    return approvals.approvals_by_number((130 + n, row) for n, row in enumerate(rows))


def _approved(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    return lambda given: judge([_whole_paper(given)], approvals=_approvals(given))


def _tally(given: Words, what: str | None) -> list[PaperTally]:
    first = _filed_line(given)
    return [
        PaperTally(what=what or "", organisation=first.fact.organisation, count=given.get("papers", 1), first=first)
    ]


def _form_named(given: Words) -> Iterator[Finding]:
    form = given.get("form")
    return forms.form_not_known(_tally(given, form) if form and not forms_named(form) else [])


def _approval_named(given: Words) -> Iterator[Finding]:
    known = _approvals(given)
    named = given.get("approval")
    return approvals.approval_not_known(_tally(given, named) if known and (named or "") not in known else [])


def _counts(given: Words) -> Iterator[Finding]:
    def minutes(name: str) -> int | None:
        return parse_hours(given[name]) if name in given else None

    lines = [
        CountedLine(
            line=_filed_line({**given, **each}, n),
            minutes=Bounds(least=minutes("at_least_hours"), most=minutes("at_most_hours")),
            cycles=Bounds(least=given.get("at_least_cycles"), most=given.get("at_most_cycles")),
            stated_minutes=minutes("work_hours"),
        )
        for n, each in enumerate(given.get("papers", [{}]))
    ]
    return counts.counts_on_paper_differ([lines])


def _life_paper(given: Words) -> Iterator[Finding]:
    row = LifePaperRow(
        unit=placed({"store": "Main store"}),
        line=_filed_line(given),
        measures=tuple(given["limited_in"]),
        requirement="LIM",
    )
    return counts.life_not_on_paper([row])


# --- fit --------------------------------------------------------------------------------------------------------------


def _reference(given: Words) -> Reference:
    facts: list[Any] = [_frame(given)]
    for row in given.get("eligible", ()):
        facts.append(Eligibility(type="ISL-90", position="L1", **row))
    for row in given.get("alternates", ()):
        facts.append(Alternate(**row))
    for name, embodied in (given.get("modifications") or {}).items():
        facts.append(AirframeModification(airframe=AIRFRAME, modification=name, embodied_on=str(embodied)))
    return Reference((1, fact) for fact in facts)


def _frame(given: Words) -> Airframe:
    return Airframe(
        airframe=AIRFRAME,
        registration="Q-TRN",
        constructor_serial=str(given.get("constructor_serial", "1001")),
        type="ISL-90",
        status=given.get("airframe_is"),
    )


def _door(given: Words, words: Words, *, unit_id: int = 1) -> DoorRow:
    label = words.get("position", "L1")
    side = "left" if label.startswith("L") else "right"
    position = Position(
        type="ISL-90",
        position=label,
        side=side,
        harness=None if words.get("position_side") == "not stated" else words.get("position_side", side),
        pair="1",
        required=words.get("required", True),
    )
    unit, part = None, None
    if "unit" in words:
        unit = placed({"on": f"Q-TRN {label}", **words["unit"]}, unit_id=unit_id)
        part = Part(part_number=unit.state.part_number, rig=words.get("rig"), intermix_family=words.get("family"))
    return DoorRow(frame=_frame(given), registration="Q-TRN", position=position, occupant=unit, part=part)


def _eligibility(given: Words) -> Iterator[Finding]:
    return fit.not_eligible(
        [_door(given, given)],
        reference=_reference(given),
        unit_modifications={1: tuple(given.get("unit_modifications", ()))},
        unit_without={1: tuple(given.get("found_without", ()))},
        on=day(given.get("asked", "2026-01-01")),
    )


def _stand_in(given: Words) -> Iterator[Finding]:
    return fit.stand_in_without_reference(
        [_door(given, given)], reference=_reference(given), unit_modifications={}, unit_without={}, on=day("2026-01-01")
    )


def _harness(given: Words) -> Iterator[Finding]:
    return fit.harness_other_side([_door(given, given)])


def _pair(given: Words) -> Iterator[Finding]:
    rows = [Intermix(**row) for row in given.get("rules", ())]
    doors = [_door(given, each, unit_id=n) for n, each in enumerate(given["doors"], start=1)]
    return fit.pair_intermix([(doors[0], doors[1])], rows=rows)


def _carried(words: Words, position: str) -> Carried:
    """A deferral: `item`, `opened`, `expires`, `closed`."""
    fact = Deferral(
        airframe=AIRFRAME,
        position=position,
        opened_on=str(words["opened"]),
        item=words.get("item", "slide missing"),
        expires_on=str(words["expires"]) if "expires" in words else None,
        conditions=words.get("conditions"),
        authorised_by=words.get("by", "S-501"),
    )
    closed = None
    if "closed" in words:
        closed = DeferralClosed(
            airframe=AIRFRAME,
            position=position,
            opened_on=fact.opened_on,
            closed_on=str(words["closed"]),
            closed_by="S-304",
        )
    return Carried(fact=fact, entry=140, closed=closed)


def _empty(given: Words) -> Iterator[Finding]:
    door = _door(given, given)
    carried = tuple(_carried(each, door.position.position) for each in given.get("deferrals", ()))
    door = replace(door, state=given.get("airframe_is"), carried=carried)
    return fit.position_empty([door], as_of=day(given.get("asked", "2025-06-01")))


def _deferred(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    def run(given: Words) -> Iterator[Finding]:
        rows = [DeferralRow(carried=_carried(each, "R2"), registration="Q-TRN") for each in given.get("deferrals", ())]
        return judge(rows, as_of=day(given["asked"]))

    return run


def _assembly(given: Words) -> Iterator[Finding]:
    slots = [Slot(part_number="SL-100-1", **row) for row in given.get("slots", ())]
    children = tuple(
        placed({"on": "Q-TRN L1", **each}, unit_id=10 + n).state for n, each in enumerate(given.get("holds", ()))
    )
    row = AssemblyRow(unit=placed(given["unit"]), children=children)
    return fit.child_missing([row], slots={"SL-100-1": slots} if slots else {})


# --- identity, work, stores, ledger -----------------------------------------------------------------------------------


def _group(given: Words) -> Iterator[Finding]:
    return identity.look_alike_identity([[placed(each, unit_id=n) for n, each in enumerate(given["units"], start=1)]])


def _plate(given: Words) -> Iterator[Finding]:
    """The unit as it follows from its plate: on hold where the check of the derivation says so."""
    unit, plate = placed(given["unit"]), given.get("plate")
    if plate is None:
        return identity.plate_differs([])
    reading = PlateReading(
        unit=1, read_on="2026-02-01", part_number=plate["part"], serial_number=plate["serial"], seen_by="S-204"
    )
    told = plate_text(1, [Recorded(110, reading)], [(0, unit.state.part_number)], unit.state.serial_number)
    return identity.plate_differs([PlateRow(unit=unit, reading=reading, entry=110)] if told else [])


def _received(given: Words) -> Iterator[Finding]:
    """The unit as it follows from its receipts and what was decided since: held where the derivation says so."""
    unit = placed(given["unit"])
    recorded = [Recorded(110 + n, _receipt(each)) for n, each in enumerate(given.get("receipts", ()))]
    recorded += [Recorded(120 + n, _decision(each)) for n, each in enumerate(given.get("decisions", ()))]
    opening = Opening(
        unit=1,
        part_number=unit.state.part_number,
        serial_number=unit.state.serial_number,
        as_of="2024-01-01",
        place="store",
        cured=given["unit"].get("cured"),
        expires=given["unit"].get("expires"),
    )
    done = [
        Recorded(130, Accomplishment(unit=1, requirement="HST", done_on=each))
        for each in given["unit"].get("marks", ())
    ]
    state = with_holds(
        unit.state,
        Received(
            unit_id=1,
            facts=[*recorded, *done],
            stays=stays_of(1, [Recorded(100, opening)]),
            opening=opening,
            lines=[line(each, unit=unit) for each in given.get("papers", ())],
            requalifications={"HST"},
        ),
        None,
    )
    unit = replace(unit, state=state)
    receipts_of = [(r.number, r.fact) for r in recorded if isinstance(r.fact, Receipt)]
    rows = [ReceiptRow(unit=unit, receipt=receipts_of[-1][1], entry=receipts_of[-1][0])] if state.receipt else []
    yield from receipts.receipt_holds(rows)
    suspicion = suspicion_of(1, recorded)
    flagged = [] if suspicion is None else [SuspectedRow(unit=unit, decision=suspicion[1], entry=suspicion[0])]
    yield from receipts.suspected_part(flagged)


def _receipt(words: Words) -> Receipt:
    return Receipt(
        unit=1,
        received_on=words.get("on", "2026-02-01"),
        inspector="S-204",
        result=words.get("result", "accepted"),
        certificate=words.get("certificate"),
        mark=words.get("mark"),
        cured=words.get("cured"),
        expires=words.get("expires"),
        looked="damage" in words,
        damage=words.get("damage"),
    )


def _decision(words: Words) -> HoldDecision:
    return HoldDecision(
        unit=1,
        decided_on=words.get("on", "2026-02-10"),
        decision=words["decision"],
        why=words.get("why", "looked at again"),
        decided_by="Q-11",
    )


def _signed(given: Words) -> Iterator[Finding]:
    rows = [
        SignedRow(
            movement=_movement(each, each.get("on", "2026-02-01")),
            registration="Q-TRN",
            entry=100 + n,
            position_kind=each.get("kind", "passenger door"),
        )
        for n, each in enumerate(given["movements"])
    ]
    return work.one_person_many_doors(rows)


def _organisations(given: Words) -> Iterator[Finding]:
    rows = [
        OrganisationRow(
            organisation=f"{each['name']}{f' {copy}' if copy else ''}",
            lines=each["lines"],
            differing=each.get("differing", 0),
            papers=(line({"serial": "0132"}, unit=placed({"on": "Q-TRN L1"})),) if each.get("differing") else (),
        )
        for each in given["organisations"]
        for copy in range(each.get("times", 1))
    ]
    return patterns.papers_often_disagree(rows)


def _promised(given: Words) -> Iterator[Finding]:
    orders = tuple((str(each), day("2026-01-05") + n, 110 + n) for n, each in enumerate(given["orders"]))
    return stores.spare_promised_twice([PromisedRow(unit=placed(given["unit"]), orders=orders)])


def _differences(judge: Callable[..., Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    def run(given: Words) -> Iterator[Finding]:
        return judge(
            [
                Difference(where=each["where"], expected=str(each["expected"]), found=str(each["found"]), entry=120)
                for each in given["differences"]
            ]
        )

    return run


def _document(check: Callable[[list[DocumentRow]], Iterator[Finding]]) -> Callable[[Words], Iterator[Finding]]:
    def judged(given: Words) -> Iterator[Finding]:
        said = given["document"]
        place = "binder 4, page 12" if said["state"] == "elsewhere" else f"sha256:{'ab12' * 16}.pdf"
        row = DocumentRow(
            tracking_number=said.get("number", "T-1"),
            organisation="Auk Repair",
            part_number="SL-100-1",
            serial_number="0012",
            document=place,
            state=said["state"],
            lines=1,
            entry=120,
        )
        return check([row])

    return judged


JUDGED: dict[str, Callable[[Words], Iterator[Finding]]] = {
    "LIF101": _due(life.overdue),
    "LIF102": _due(life.basis_unknown),
    "LIF103": _due(life.no_programme),
    "LIF104": _due(life.requalification_without_mark),
    "LIF105": _stale,
    "LIF106": _former,
    "LIF107": _due(life.stays_until_emptied),
    "LIF108": _late_work,
    "CYL101": _expansion,
    "LIF109": _bridged,
    "LIF110": _due(life.life_not_shown),
    "PAP101": _paper(paper.part_number_differs),
    "PAP102": _paper(paper.serial_number_differs),
    "PAP103": _units(paper.no_certificate),
    "PAP104": _refit(paper.no_release_since_removal),
    "DEF101": _deferred(deferrals.deferral_expired),
    "DEF102": _deferred(deferrals.deferral_open),
    "MOV101": _refit(moves.donor_not_in_service),
    "MOV102": _loan,
    "MOV103": _scrapped,
    "MOV104": _deployed,
    "PAP105": _filed,
    "PAP106": _fitting,
    "PAP107": _paper(paper.certificate_before_manufacture),
    "PAP109": _late_entry,
    "PAP110": _claim,
    "PAP111": _paper(paper.certificate_unfiled),
    "PAP112": _counts,
    "PAP113": _life_paper,
    "FRM101": _whole(forms.status_not_of_the_form),
    "FRM102": _whole(forms.numbers_lumped_together),
    "FRM103": _whole(forms.several_parts_on_one_form),
    "FRM104": _whole(forms.production_and_maintenance_mixed),
    "FRM105": _whole(forms.corrected_certificate_not_filed),
    "FRM106": _whole(forms.correction_numbered_otherwise),
    "FRM107": lambda given: forms.certificate_date_impossible(
        [_whole_paper(given)], as_of=day(given.get("asked", "2026-11-25"))
    ),
    "FRM108": _form_named,
    "FRM109": _whole(forms.form_before_its_edition),
    "FRM110": _whole(forms.second_authority_incomplete),
    "FRM111": _whole(forms.quantity_differs),
    "APP101": _approved(approvals.signed_outside_approval),
    "APP102": _approved(approvals.approval_of_another_organisation),
    "APP103": _approval_named,
    "FIT110": _stand_in,
    "FIT101": _eligibility,
    "FIT102": _harness,
    "FIT103": _pair,
    "FIT104": _empty,
    "FIT105": _assembly,
    "FIT106": _units(fit.place_unknown),
    "FIT107": _units(fit.on_hold_installed),
    "FIT108": _units(fit.not_available),
    "FIT109": _units(fit.not_serviceable_installed),
    "IDN101": _group,
    "IDN102": _plate,
    "RCP101": _received,
    "RCP102": _received,
    "PAT101": _signed,
    "PAT102": _organisations,
    "SPR101": _promised,
    "DOC101": _document(documents.document_missing),
    "DOC102": _document(documents.document_altered),
    "LED101": _differences(ledger.chain_differs),
    "LED102": _differences(ledger.derived_rows_differ),
    **publications_in_words.JUDGED,
    **swaps_in_words.JUDGED,
    **plans_in_words.JUDGED,
}
