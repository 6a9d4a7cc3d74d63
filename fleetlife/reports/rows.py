"""The same values for machines: rows and objects with fixed names, hours as `HHHH:MM`, not known as None.

Nothing is made harmless here: machines get the data as recorded; the writers of files guard what they write.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from fleetlife.terms.audited import SAMPLE_RULE
from fleetlife.terms.due_since import SINCE, DueSince, DueSinceRow
from fleetlife.terms.finding import Evidence, Finding
from fleetlife.terms.measure import Minutes, hours_text
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.publications import STATUS_COLUMNS, PublicationRow
from fleetlife.terms.published import PublishedRule
from fleetlife.terms.shop import OrderLine, ShopApart, ShopForecast, ShopMonth, ShopOrder, ShopPart
from fleetlife.terms.spares import (
    ChoiceTotals,
    DueWithSpares,
    OutlookLine,
    OutlookMonth,
    PutThere,
    SpareChoice,
    SparesChosen,
    SparesOutlook,
)
from fleetlife.terms.stores import StoresList, StoresRow
from fleetlife.terms.views import (
    CHANGE_HOURS_FIELDS,
    HOURS_FIELDS,
    About,
    AuditReport,
    CertificateCard,
    ChangeList,
    ChangeRow,
    Comparison,
    Coverage,
    DifferenceRow,
    DueList,
    DueRow,
    OperationRecorded,
    SwapAnswer,
    SwapRecorded,
    UnitCard,
    VerifyReport,
)

DUE_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(DueRow))
PUT_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(PutThere))
DUE_SPARES_COLUMNS: tuple[str, ...] = (*DUE_COLUMNS, *PUT_COLUMNS)
DUE_SINCE_COLUMNS: tuple[str, ...] = (
    *(field.name for field in fields(DueSinceRow) if field.name != "row"),
    *DUE_COLUMNS,
)
DIFFERENCE_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(DifferenceRow))
STORES_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(StoresRow))
CHOICE_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(SpareChoice))
OUTLOOK_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(OutlookMonth))
SHOP_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(ShopMonth))
SHOP_APART_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(ShopApart))
SHOP_PART_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(ShopPart))
ORDER_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(OrderLine))
TOTAL_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(ChoiceTotals))
CHANGE_COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(ChangeRow))
# How the fields of views that are tuples of tuples are named in an object.
_NAMED: dict[str, tuple[str, ...]] = {
    "before": ("what", "was"),
    "after": ("what", "is"),
    "files": ("file", "rows", "new", "unchanged"),
    "tables": ("table", "rows", "differ"),
    "known_heads": ("head", "found"),
    "counts": ("of", "count"),
    "part_marks": ("paper", "unit", "same"),
    "serial_marks": ("paper", "unit", "same"),
    "plate_marks": ("plate", "record", "same"),
    "paper_marks": ("paper", "record", "same"),
    "enterprises": ("code", "identifier", "manufacturer"),
    "counters": ("counter", "total"),
    "common": ("what", "value"),
}


def due_rows_as_dicts(due: DueList) -> list[dict[str, Any]]:
    """The rows of a due list, with exactly DUE_COLUMNS as keys, in that order."""
    return [due_row_as_dict(row) for row in due.rows]


def due_row_as_dict(row: DueRow) -> dict[str, Any]:
    """One row; hours as text, minus in front when passed."""
    return {name: _value(name, getattr(row, name)) for name in DUE_COLUMNS}


def due_spares_as_dicts(answer: DueWithSpares) -> list[dict[str, Any]]:
    """The rows of a due list with what is to be put there, with exactly DUE_SPARES_COLUMNS as keys, in that order."""
    put = listed(answer.put, PUT_COLUMNS)
    return [{**row, **there} for row, there in zip(due_rows_as_dicts(answer.due), put, strict=True)]


def due_spares_about(answer: DueWithSpares) -> dict[str, Any]:
    """What the head of a due list says more with spares: until when, how many, and who else wants one by then."""
    more = {"until": answer.chosen.until, "least_days": answer.chosen.least_days, "spares": answer.chosen.spares}
    more |= {"unknown_positions": answer.chosen.unknown, "also": listed(answer.also, CHOICE_COLUMNS)}
    return {"spares": more}


def due_since_rows_as_dicts(answer: DueSince) -> list[dict[str, Any]]:
    """The rows of a due list held against an earlier state, with exactly DUE_SINCE_COLUMNS as keys, in that order."""
    return [
        {
            **{name: getattr(each, name) for name in DUE_SINCE_COLUMNS[: -len(DUE_COLUMNS)]},
            "entries": "; ".join(map(str, each.entries)) or None,
            **due_row_as_dict(each.row),
        }
        for each in answer.rows
    ]


def due_since_as_dict(answer: DueSince) -> dict[str, Any]:
    """What a due list is held against, and how many of its rows came in, went out, moved and stood."""
    return {
        "known_at": answer.moment,
        "entry": answer.entry,
        "head": answer.head,
        "as_of": answer.as_of,
        "window_from": answer.window_from,
        "window_until": answer.window_until,
        "counts": {since: answer.count(since) for since in SINCE},
    }


def stores_as_dicts(answer: StoresList) -> list[dict[str, Any]]:
    """The rows of what lies in stores, with exactly STORES_COLUMNS as keys, in that order."""
    return [{name: _value(name, getattr(row, name)) for name in STORES_COLUMNS} for row in answer.rows]


def stores_about_as_dict(answer: StoresList) -> dict[str, Any]:
    """The head of what lies in stores, with how many of it are on hold."""
    counts = {"on_hold": answer.on_hold, "suspected": answer.suspected}
    return about_as_dict(answer.about) | {"fitted_on": answer.fitted_on or answer.about.as_of} | counts


def choices_as_dicts(answer: SparesChosen) -> list[dict[str, Any]]:
    """The rows of a choice of spares, with exactly CHOICE_COLUMNS as keys, in that order."""
    return listed(answer.rows, CHOICE_COLUMNS)


def choices_about_as_dict(answer: SparesChosen) -> dict[str, Any]:
    """The head of a choice of spares, with its totals beside those of first-come."""
    more = {"until": answer.until, "least_days": answer.least_days, "spares": answer.spares, "asked": answer.asked}
    more |= {"unknown_positions": answer.unknown, "totals": listed(answer.totals, TOTAL_COLUMNS)}
    return about_as_dict(answer.about) | more


def outlook_rows_as_dicts(answer: SparesOutlook) -> list[dict[str, Any]]:
    """A row a line and month of a spares outlook, with exactly OUTLOOK_COLUMNS as keys, in that order."""
    return [row for line in answer.lines for row in listed(line.months, OUTLOOK_COLUMNS)]


def outlook_about_as_dict(answer: SparesOutlook) -> dict[str, Any]:
    """The head of a spares outlook, with what each line rests on."""
    names = [field.name for field in fields(OutlookLine) if field.name != "months"]
    more = {"until": answer.until, "fill_rate": answer.fill_rate, "unknown_positions": answer.unknown}
    return about_as_dict(answer.about) | more | {"lines": listed(answer.lines, names)}


def shop_rows_as_dicts(answer: ShopForecast) -> list[dict[str, Any]]:
    """A row a part, kind and month that has visits, with exactly SHOP_COLUMNS as keys, in that order."""
    return listed(answer.rows, SHOP_COLUMNS)


def shop_about_as_dict(answer: ShopForecast) -> dict[str, Any]:
    """The head of a shop forecast, with what is counted apart and the turnaround of each part."""
    more = {"until": answer.until, "at_shops": answer.at_shops}
    lists = {"apart": listed(answer.apart, SHOP_APART_COLUMNS), "parts": listed(answer.parts, SHOP_PART_COLUMNS)}
    return about_as_dict(answer.about) | more | lists


def order_rows_as_dicts(answer: ShopOrder) -> list[dict[str, Any]]:
    """A row a line of a shop order, with exactly ORDER_COLUMNS as keys, in that order."""
    return listed(answer.lines, ORDER_COLUMNS)


def order_about_as_dict(answer: ShopOrder) -> dict[str, Any]:
    """The head of a shop order: the unit, the visit, and its own next date after it."""
    names = [field.name for field in fields(ShopOrder) if field.name not in ("about", "lines")]
    return about_as_dict(answer.about) | listed([answer], names)[0]


def change_rows_as_dicts(changes: ChangeList) -> list[dict[str, Any]]:
    """The rows of a change list, with exactly CHANGE_COLUMNS as keys, in that order."""
    return [{name: _value(name, getattr(row, name)) for name in CHANGE_COLUMNS} for row in changes.rows]


def difference_rows_as_dicts(answer: Comparison) -> list[dict[str, Any]]:
    """The rows of a comparison, with exactly DIFFERENCE_COLUMNS as keys, in that order."""
    return listed(answer.rows, DIFFERENCE_COLUMNS)


def listed(rows: Iterable[object], columns: Sequence[str]) -> list[dict[str, Any]]:
    """The rows by column, as they are."""
    return [{name: getattr(row, name) for name in columns} for row in rows]


def comparison_about_as_dict(answer: Comparison) -> dict[str, Any]:
    """The head of a comparison: of the later state, what of the earlier, the counts and the entries between."""
    earlier = {"known_at": answer.earlier_moment, "entry": answer.earlier_entry, "head": answer.earlier_head}
    return about_as_dict(answer.about) | {
        "earlier": earlier,
        "counts": dict(answer.counts()),
        "units": answer.units,
        "reading_entries": answer.reading_entries,
        "reading_airframes": answer.reading_airframes,
        "entries": [_fields(line) for line in answer.entries],
    }


def finding_rows_as_dicts(report: AuditReport) -> list[dict[str, Any]]:
    """The rows of an audit, with exactly `terms.finding.FINDING_COLUMNS` as keys, in that order."""
    return findings_as_dicts(report.findings)


def audit_about_as_dict(report: AuditReport, rules: Iterable[PublishedRule]) -> dict[str, Any]:
    """The head of an audit: clocks, ledger, rules, scope, counts, the sample drawn, what it is held against, and what
    was not checked."""
    about = about_as_dict(report.about) | {
        "published_rules": rules_as_dicts(rules),
        "scope": report.scope,
        "units_examined": report.units_examined,
        "counts": dict(report.counts),
        "waived": report.waived,
        "not_checked": list(report.not_checked),
    }
    if report.organisations:
        about["organisations"] = [_fields(each) for each in report.organisations]
    if report.sample is not None:
        about["sample"] = {"rule": SAMPLE_RULE, **_fields(report.sample)}
    if report.since is not None:
        since = report.since
        about["since"] = {
            "known_at": since.moment,
            "entry": since.entry,
            "head": since.head,
            "as_of": since.as_of,
            "new": len(since.new),
            "closed": len(since.closed),
            "stood": since.stood,
        }
    return about


def since_rows_as_dicts(report: AuditReport) -> list[dict[str, Any]]:
    """The rows of an audit held against an earlier one: `since` new, stood or closed; `entries` that closed it."""
    assert report.since is not None
    rows = [
        row | {"since": "new" if row["number"] in report.since.new else "stood", "entries": None}
        for row in findings_as_dicts(report.findings)
    ]
    for each in report.since.closed:
        [row] = findings_as_dicts([each.finding])
        rows.append(row | {"status": "closed", "since": "closed", "entries": "; ".join(map(str, each.entries)) or None})
    return rows


def findings_as_dicts(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Findings as rows: `finding` is the code, `rule` the name of the check, `action` what to do."""
    return [
        {
            "finding": found.code,
            "rule": found.name,
            "severity": found.severity,
            "status": found.status,
            "registration": found.registration,
            "position": found.position,
            "part_number": found.part_number,
            "serial_number": found.serial_number,
            "manufacturer": found.manufacturer,
            "certificate": found.certificate,
            "expected": found.expected,
            "found": found.found,
            "message": found.message,
            "action": found.hint,
            "published_rule": found.published_rule,
            "number": found.number,
        }
        for found in findings
    ]


def about_as_dict(about: About) -> dict[str, Any]:
    """The head of an answer; the ledger head is whole here."""
    return _fields(about)


def rules_as_dicts(rules: Iterable[PublishedRule]) -> list[dict[str, Any]]:
    """The published rules an answer applies, each with its edition and whether it is cited from memory."""
    return [{"rule": rule.name, "edition": rule.edition, "from_memory": rule.from_memory} for rule in rules]


def coverage_as_dict(coverage: Coverage) -> dict[str, Any]:
    """Units counted, with and without a programme, and the unknown by cause."""
    return _fields(coverage)


def swap_answer_as_dict(answer: SwapAnswer) -> dict[str, Any]:
    """The answer of `swap check`."""
    return card_as_dict(answer)


def swap_recorded_as_dict(recorded: SwapRecorded, *, preview: bool = False) -> dict[str, Any]:
    """What a recorded swap changed. A preview has no entry and no ledger head: they would be on no ledger."""
    return _recorded(recorded, preview)


def operation_recorded_as_dict(recorded: OperationRecorded, *, preview: bool = False) -> dict[str, Any]:
    """What a recorded operation changed. A preview has no entry and no ledger head: they would be on no ledger."""
    return _recorded(recorded, preview)


def _recorded(recorded: SwapRecorded | OperationRecorded | MoveRecorded, preview: bool) -> dict[str, Any]:
    found = card_as_dict(recorded)
    if preview:
        found["entry"] = found["ledger_head"] = None
        if found["about"] is not None:
            found["about"]["ledger_entry"] = found["about"]["ledger_head"] = None
    return {"preview": preview, **found}


def move_recorded_as_dict(recorded: MoveRecorded, *, preview: bool = False) -> dict[str, Any]:
    """What another movement changed. A preview has no entry and no ledger head: they would be on no ledger."""
    return _recorded(recorded, preview)


def unit_card_as_dict(card: UnitCard) -> dict[str, Any]:
    """The card of a unit."""
    return card_as_dict(card)


def certificate_card_as_dict(card: CertificateCard) -> dict[str, Any]:
    """The card of a certificate."""
    return card_as_dict(card)


def verify_as_dict(report: VerifyReport) -> dict[str, Any]:
    """What a verification walked and compared."""
    return card_as_dict(report)


def card_as_dict(card: Any) -> dict[str, Any]:
    """Any card or answer of `terms.views` as an object of the same field names."""
    return _fields(card)


def _fields(value: Any) -> dict[str, Any]:
    assert is_dataclass(value)
    return {field.name: _value(field.name, getattr(value, field.name)) for field in fields(value)}


def _value(name: str, value: Any) -> Any:
    if name in (*HOURS_FIELDS, *CHANGE_HOURS_FIELDS) and (value is None or isinstance(value, int)):
        return None if value is None else hours_text(value)
    if isinstance(value, Minutes):
        return hours_text(value)
    if isinstance(value, Finding):
        found = findings_as_dicts([value])[0]
        found["evidence"] = [_evidence(each) for each in value.evidence]
        return found
    if isinstance(value, PublicationRow):
        every = _fields(value)
        return {column: every[column] for column in STATUS_COLUMNS}
    if name == "figures":
        return dict(value)
    if isinstance(value, (tuple, list)):
        names = _NAMED.get(name)
        if names is not None:
            return [dict(zip(names, each, strict=True)) for each in value]
        return [_value("", each) for each in value]
    if is_dataclass(value):
        return _fields(value)
    return value


def _evidence(evidence: Evidence) -> dict[str, Any]:
    return {"source": evidence.source, "says": evidence.says, "entry": evidence.entry}
