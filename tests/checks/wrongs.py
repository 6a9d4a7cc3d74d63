"""The invented fleet with one of everything wrong, and what an audit of it must say."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from fleetlife.store.engine import Store
from tests.checks.fleet import Fleet, Row, fleet, later, pack

AIRFRAMES = 8
IN_MAY = datetime(2025, 5, 20, 8, tzinfo=UTC)
PACK = {"part_number": "SL-100-1", "manufacturer": "Kittiwake"}

# Swaps that nobody did yet: the door, and the spare for it. Nobody knows for which side either is rigged; one has a
# paper of another serial, the other is on hold.
PLANNED = (("Q-AAC R1", "9001"), ("Q-AAB L1", "9001"), ("Q-AAB R1", "9002"))

# (code, severity, subject), in the order of the audit.
EXPECTED = sorted(
    [
        ("PAP101", "stop", "Q-AAA L1 SL-100-1 0001 FR-0001"),
        ("PAP102", "stop", "Q-AAA R1 SL-100-1 0002 FR-0002"),
        ("PAP103", "rectify", "Q-AAA L2 SL-100-1 0003"),
        ("PAP103", "rectify", "Q-AAA L2 RV-7 R0003"),
        ("PAP107", "rectify", "Q-AAA R2 SL-100-1 0004 OLD-4"),
        ("LIF101", "stop", "Q-AAB L1 SL-100-1 0005"),
        ("LIF102", "rectify", "Q-AAB R1 SL-100-1 0006"),
        ("LIF104", "rectify", "Q-AAB L2 RV-7 R0007"),
        ("LIF106", "note", "Q-AAB R2 SL-100-1 0008"),
        ("LIF103", "stop", "Q-AAC L1 SL-200-1 0009"),
        ("FIT101", "stop", "Q-AAC L1 SL-200-1 0009"),
        ("FIT103", "note", "Q-AAC L1 SL-200-1 0009"),
        ("FIT102", "stop", "Q-AAC R1 SL-100-1 0010"),
        ("FIT105", "stop", "Q-AAC L2 SL-100-1 0011"),
        ("FIT107", "stop", "Q-AAC R2 SL-100-1 0012"),
        ("FIT104", "stop", "Q-AAD L1"),
        ("FIT109", "stop", "Q-AAD R1 SL-100-1 0014"),
        ("FIT104", "stop", "Q-AAD L2"),
        ("FIT106", "stop", "SL-100-1 0015"),
        ("PAP110", "rectify", "Q-AAD R2 SL-100-1 0016 FR-0016"),
        ("LIF101", "stop", "Q-AAD R2 SL-100-1 0016"),
        ("LIF105", "rectify", "Q-AAE"),
        ("IDN101", "rectify", "SL-100-1 OO17"),
        ("IDN102", "stop", "SL-100-1 9002"),
        ("LIF110", "stop", "SL-100-1 9002"),
        ("RCP101", "stop", "SL-100-1 9002"),
        ("RCP102", "stop", "SL-100-1 9002"),
        ("IDN101", "rectify", "RV-7 ROO17"),
        ("PAP105", "rectify", "SL-100-1 9001 FR-0018"),
        ("PAP102", "rectify", "SL-100-1 9001 FR-0018"),
        ("PAP111", "rectify", "SL-100-1 7777 X-1"),
        ("LIF107", "note", "Q-AAE L2 RV-7 R0019"),
        ("CYL101", "stop", "Q-AAE R2 RV-7 R0020"),
        ("CYL101", "rectify", "Q-AAE R1 RV-7 R0018"),
        ("SPR101", "rectify", "SL-100-1 9002"),
        ("PAT101", "note", "Q-AAF"),
        ("PAT101", "note", "Q-AAF"),
        *(
            (code, severity, f"Q-AAF {door} SL-100-1 {serial} FR-{serial}")
            for code, severity in (("PAP104", "rectify"), ("MOV101", "stop"))
            for door, serial in (("L1", "0021"), ("R1", "0022"), ("L2", "0023"))
        ),
        *(("PAP109", "note", f"Q-AAF {door}") for door in ("L1", "L1", "R1", "R1", "L2", "L2", "R2", "R2")),
        ("DEF101", "stop", "Q-AAD L2"),
        ("DEF102", "note", "Q-AAC L1"),
        ("MOV102", "rectify", "SL-100-1 9001"),
        ("MOV104", "stop", "Q-AAG R1 SL-100-1 0026 FR-0026"),
        ("MOV103", "rectify", "SL-100-1 0025"),
        ("PAP106", "rectify", "Q-AAF R2 SL-100-1 0024 FR-24B"),
        ("LIF108", "note", "Q-AAF R2 SL-100-1 0024"),
        ("PAP103", "stop", "Q-AAG L1 SL-100-1 9003"),
        ("PAP103", "rectify", "Q-AAG L1 RV-7 R9003"),
        ("LIF109", "rectify", "Q-AAG R2 SL-100-1 0032"),
        ("LIF109", "rectify", "Q-AAH R2 SL-100-1 0028"),
        ("FRM101", "rectify", "Q-AAG R1 RV-7 R0026 B-01"),
        ("FRM102", "rectify", "Q-AAG L2 RV-7 R0027 B-02"),
        ("PAP102", "stop", "Q-AAG L2 RV-7 R0027 B-02"),
        ("FRM103", "rectify", "Q-AAH L1 SL-100-1 0029 B-03"),
        ("FRM104", "rectify", "Q-AAH R1 RV-7 R0030 B-04"),
        ("FRM105", "rectify", "RV-7 R0025 B-05"),
        ("FRM106", "rectify", "Q-AAA L1 RV-7 R0001 B-06"),
        ("FRM107", "rectify", "Q-AAA R1 RV-7 R0002 B-07"),
        ("FRM108", "note", "B-08"),
        ("FRM109", "rectify", "Q-AAB L1 RV-7 R0005 B-09"),
        ("FRM110", "rectify", "Q-AAB R1 RV-7 R0006 B-10"),
        ("FRM111", "note", "Q-AAB R2 RV-7 R0008 B-11"),
        ("APP101", "stop", "Q-AAC R1 RV-7 R0010 B-12"),
        ("APP102", "stop", "Q-AAC R2 RV-7 R0012 B-13"),
        ("APP103", "note", "B-01"),
        ("PAP112", "rectify", "Q-AAE R2 SL-100-1 0020 B-14"),
        ("PAP113", "rectify", "Q-AAE L2 SL-100-1 0019 FR-0019"),
        ("FIT110", "rectify", "Q-AAH L2 SL-100-2 0031"),
        ("FIT103", "note", "Q-AAH R2 SL-100-1 0028"),
        ("PUB101", "stop", "Q-AAB R2 SL-100-1 0008 QD-1"),
        ("PUB102", "rectify", "Q-AAB L2 RV-7 R0007 QB-2"),
        ("PUB103", "rectify", "RV-7 ROO17 QB-2"),
        ("PUB103", "rectify", "SL-100-1 OO17 QB-3"),
        ("PUB103", "rectify", "SL-100-1 OO17 QD-1"),
        ("PUB104", "rectify", "SL-100-1 9002 QB-3"),
        ("PUB105", "rectify", "SL-4"),
        *((code, "stop", "Q-AAG L1") for code in ("SWP105", "SWP106", "SWP108")),
        *((code, "stop", "Q-AAG R2") for code in ("SWP101", "SWP102", "SWP103", "SWP104")),
        ("SWP107", "note", "Q-AAG R2"),
        *(
            (code, severity, f"{door} SL-100-1 {n}")
            for code, severity in (("PLN102", "rectify"), ("PLN103", "stop"))
            for door, n in PLANNED
        ),
        *((code, "rectify", "Q-AAD L1 SL-100-1 9004") for code in ("PLN101", "PLN106")),
        ("PLN104", "note", "Q-AAC R1 SL-100-1 9001"),
        *(("PLN105", "rectify", f"{door} SL-100-1 9001") for door, n in PLANNED if n == "9001"),
        ("PLN107", "rectify", "Q-AAG R2 SL-100-1 0028"),
    ]
)


def everything_wrong() -> Fleet:
    """What is taken in first."""
    made = fleet(AIRFRAMES)
    _wrong_paper(made)
    _wrong_life(made)
    _wrong_fit(made)
    _wrong_identity(made)
    _another_programme(made)
    _wrong_forms(made)
    _publications(made)
    pack(made, "9003", {"store": "Main store"})
    pack(made, "9004", {"store": "Main store", "harness": "left"})
    made.row("certificates", serial_number="9004")["cycles_since_new"] = 6500
    made.drop("certificates", serial_number="9003")
    for part, family in (("SL-100-1", "one"), ("SL-200-1", "two")):
        made.row("parts", part_number=part).update(intermix_family=family)
    made.add("intermix", {"family": "one", "other_family": "two", "permitted": "no"})
    return made


def _wrong_paper(made: Fleet) -> None:
    filed = {"filed_part_number": "SL-100-1", "filed_manufacturer": "Kittiwake"}
    made.row("certificates", serial_number="0001").update(part_number="SL-100-3", filed_serial_number="0001", **filed)
    made.row("certificates", serial_number="0002").update(serial_number="OOO2", filed_serial_number="0002", **filed)
    made.drop("certificates", serial_number="0003")
    paper = {"organisation": "Fulmar Repair", "part_number": "SL-100-1", "status": "Overhauled"}
    made.add("certificates", {**paper, "tracking_number": "OLD-4", "serial_number": "0004", "date": "2015-01-01"})
    made.row("certificates", serial_number="0016").update(status="Inspected/Tested")
    made.add(
        "certificates",
        {
            **paper,
            "tracking_number": "FR-0018",
            "serial_number": "OO18",
            "date": "2024-03-10",
            "filed_serial_number": "9001",
            **filed,
        },
        {**paper, "tracking_number": "X-1", "serial_number": "7777", "date": "2024-03-10"},
    )


def _publications(made: Fleet) -> None:
    """A directive and a bulletin whose time has passed, a serial in another form, a count that nobody knows, a letter
    of which nobody stated whom it names."""
    for reference, kind in (("QD-1", "directive"), ("QB-2", "bulletin"), ("QB-3", "bulletin"), ("SL-4", "letter")):
        made.add("publications", {"publication": reference, "kind": kind, "effective_on": "2024-06-01"})
    for reference, part, first, last in (
        ("QD-1", "SL-100-?", "0008", "0008"),
        ("QB-2", "RV-*", "R0007", "R0007"),
        ("QB-3", "SL-100-1", "9002", "9002"),
    ):
        named = {"publication": reference, "part_number": part, "serial_from": first, "serial_to": last}
        made.add("applicability", named)
    asked = {"QD-1": {"comply_by": "2025-02-10"}, "QB-2": {"months_after": 6}, "QB-3": {"cycles_since_new": 30000}}
    for reference, limit in asked.items():
        made.add("compliance", {"publication": reference, "action": "replace", **limit})


def _wrong_forms(made: Fleet) -> None:
    """Papers that break the rules of their form, mostly of reservoirs, which have none else; who signed without being
    approved; lives that papers do not show, or show otherwise; a stand-in by a row without a reference."""
    paper = {"organisation": "Fulmar Repair", "part_number": "RV-7", "status": "Inspected/Tested", "date": "2024-03-11"}

    def add(number: str, serial: str, **more: object) -> None:
        made.add("certificates", {**paper, "tracking_number": number, "serial_number": serial, **more})

    filed = {"filed_part_number": "RV-7", "filed_serial_number": "R0027", "filed_manufacturer": "Kittiwake"}
    fourth = {"form": "EASA Form 1 - MF/145 Issue 2"}
    add("B-01", "R0026", status="Serviceable")
    add("B-02", "various", **filed)
    add("B-03", "0029", part_number="SL-100-1", form="FAA Form 8130-3 (02-14)")
    add("B-03", "R0029", form="FAA Form 8130-3 (02-14)")
    add("B-04", "R0030", status="New")
    add("B-04", "R0031", status="Repaired")
    add("B-05", "R0025", corrects="B-00")
    add("B-06", "R0001", corrects="B-06", remarks="Corrects block 12.", **fourth)
    add("B-07", "R0002", corrects="FR-0002", date="2024-03-01")
    add("B-08", "R0004", form="Form One")
    add("B-09", "R0005", form="CAA Form 1", date="2018-05-01")
    add("B-10", "R0006", authority="Skarholm", second_authority="Eyland")
    add("B-11", "R0008", quantity=2)
    add("B-12", "R0010", approval="Q.145.1")
    add("B-13", "R0012", approval="Q.145.2")
    add("B-14", "0020", part_number="SL-100-1", hours_since_new="30000:00")
    made.add("organisations", {"organisation": "Fulmar Repair"}, {"organisation": "Petrel Works", "country": "Eyland"})
    made.add(
        "approvals",
        {"organisation": "Fulmar Repair", "approval": "Q.145.1", "from": "2020-01-01", "until": "2023-12-31"},
        {"organisation": "Petrel Works", "approval": "Q.145.2", "from": "2020-01-01"},
    )
    for row in made.files["certificates"]:
        if str(row["part_number"]).startswith("SL-") and row["serial_number"] != "0019":
            row["cycles_since_new"] = 6500
    _stand_in(made)


def _stand_in(made: Fleet) -> None:
    part = {"part_number": "SL-100-2"}
    made.add("parts", {**made.row("parts", part_number="SL-100-1"), **part})
    made.add("slots", {**made.row("slots", part_number="SL-100-1"), **part})
    made.add("alternates", {"part_number": "SL-100-1", "alternate": "SL-100-2", "direction": "one-way"})
    for programme in ("TERN", None):
        rules = [row for row in made.files["requirements"] if row["part_number"] == "SL-100-1"]
        rule = next(row for row in rules if row["requirement"] == "OVH" and row.get("programme") == programme)
        made.add("requirements", {**rule, **part})
    for file in ("units", "certificates", "accomplishments"):
        made.row(file, serial_number="0031").update(part)
    made.row("units", serial_number="R0031").update(parent_part_number="SL-100-2")


def _wrong_life(made: Fleet) -> None:
    made.row("certificates", serial_number="0005").update(date="2022-03-10")
    made.row("accomplishments", serial_number="0005").update(date="2022-03-10")
    made.drop("accomplishments", serial_number="0006").row("units", serial_number="0006").update(hours_since_new="")
    made.row("accomplishments", serial_number="R0007").update(date="2024-02-01", date_basis="release")
    made.row("accomplishments", serial_number="0008").update(stated_due="2027-09-10")
    made.files["readings"] = [
        row for row in made.files["readings"] if row["registration"] != "Q-AAE" or str(row["date"]) < "2025-12-01"
    ]
    made.row("requirements", requirement="HST").update(at_due="no-refill")
    limit = {"requirement": "LIM", "part_number": "SL-100-1", "kind": "life_limit", "first_cycles": 60_000}
    source = {
        "source": "airworthiness_limitation",
        "edition": "3",
        "effective_from": "2015-01-01",
        "reference": "ALS 5",
    }
    made.add("requirements", {**limit, **source, "start": "manufacture", "reference": "ALS 5"})
    made.row("units", serial_number="9002").update(cycles_since_new="")
    made.row("accomplishments", serial_number="R0019").update(date="2020-12")
    test = {"part_number": "RV-7", "requirement": "HST", "date": "2024-11", "date_basis": "mark"}
    made.add(
        "accomplishments",
        {
            **test,
            "serial_number": "R0020",
            "expansion_total": "200.0",
            "expansion_permanent": "20.1",
            "expansion_specification": "DOT-3AA1800",
        },
        {
            **test,
            "serial_number": "R0018",
            "expansion_total": "110.0",
            "expansion_permanent": "5.0",
            "expansion_specification": "DOT-3HT1850",
        },
    )
    made.add(
        "operations",
        {
            "part_number": "RV-7",
            "serial_number": "R0019",
            "date": "2024-03-01",
            "operation": "filling",
            "count": 1,
        },
    )


def _wrong_fit(made: Fleet) -> None:
    for file in ("units", "certificates", "accomplishments"):
        made.row(file, serial_number="0009").update(part_number="SL-200-1")
    for child in ("R0009", "R0011"):
        made.drop("units", serial_number=child).drop("accomplishments", serial_number=child)
    made.row("units", serial_number="0010").update(harness="left")
    made.row("units", serial_number="0012").update(hold="suspect paper")
    nowhere = {"registration": "", "position": "", "installed": ""}
    made.row("units", serial_number="0013").update(store="Main store", **nowhere)
    made.row("units", serial_number="0014").update(condition="unserviceable")
    made.row("units", serial_number="0015").update(**nowhere)
    made.row("units", serial_number="9001").update(owner="Auk Air", return_by="2025-12-31")
    for name, position, expires in (("Q-AAC", "L1", "2026-03-01"), ("Q-AAD", "L2", "2026-01-31")):
        row = {"registration": name, "position": position, "opened": "2026-01-20", "expires": expires}
        made.add("deferrals", {**row, "item": "girt bar lights", "authorised_by": "S9"})
    # in an accident for some days of March, and packs came off it afterwards
    for day, state in (("2025-03-01", "accident"), ("2025-03-05", "in_service")):
        made.add("airframe_states", {"registration": "Q-AAF", "from": day, "state": state})


def _wrong_identity(made: Fleet) -> None:
    pack(made, "OO17", {"store": "Main store"})
    made.add(
        "plate_readings",
        {
            "part_number": "SL-100-1",
            "serial_number": "9002",
            "date": "2025-05-01",
            "plate_part_number": "SL-100-1",
            "plate_serial_number": "9020",
            "seen_by": "S4",
        },
    )
    spare = {"part_number": "SL-100-1", "serial_number": "9002", "date": "2025-05-01"}
    made.add("receipts", spare | {"inspector": "S4", "result": "quarantined"})
    made.add("hold_decisions", spare | {"decision": "suspected", "why": "no such maker", "decided_by": "S4"})


def _another_programme(made: Fleet) -> None:
    """The last airframe flies under a programme of its own, with another interval for the packs."""
    made.row("airframes", registration="Q-AAH").update(programme="TERN")
    rule = dict(made.row("requirements", requirement="OVH"), programme="TERN", edition="1", repeat_hours="8000:00")
    made.add("requirements", rule)


def _exchanged(serials: tuple[str, str]) -> tuple[list[Row], list[Row]]:
    """Two packs change places between airframes of two programmes, each released in between."""
    movements: list[Row] = []
    papers: list[Row] = []
    doors = (("Q-AAG", "R2"), ("Q-AAH", "R2"))
    for (registration, door), off, on in zip(doors, serials, reversed(serials), strict=True):
        common = {"registration": registration, "position": door, "signed_by": "S4"}
        removed = {"removed_part_number": "SL-100-1", "removed_serial_number": off, "removed_to": "store"}
        movements.append({**common, **removed, "date": "2025-05-11", "removed_condition": "serviceable"})
        installed = {"installed_part_number": "SL-100-1", "installed_serial_number": on, "harness": "right"}
        planned = {"swap": "S-2"} if registration == "Q-AAG" else {}
        movements.append({**common, **installed, **planned, "date": "2025-05-14"})
        papers.append(
            {
                "tracking_number": f"FR-{off}B",
                "organisation": "Fulmar Repair",
                "part_number": "SL-100-1",
                "serial_number": off,
                "status": "Inspected/Tested",
                "date": "2025-05-13",
                "cycles_since_new": "7532",
            }
        )
    return movements, papers


def _at_doors() -> dict[str, list[Row]]:
    """Two swaps: one released by somebody who may not, with a gauge that reads low; one done and never released, with a
    pin in, a wire broken, the girt bar gone, and inspected by the one who did the work."""
    of = {"position": "L1", "registration": "Q-AAG", "date": "2025-05-10", "planned_by": "P1"}
    done = {"swap": "S-2", "registration": "Q-AAG", "position": "R2", "date": "2025-05-14", "signed_by": "S4"}
    return {
        "ground_times": [{"registration": "Q-AAD", "from": "2027-06-01", "until": "2027-06-04", "station": "SKA"}],
        "least_lives": [{"operator": "Tern Air", "from": "2025-01-01", "days": 500, "reference": "note 4"}],
        "pressures": [{"part_number": "RV-7", "celsius": 20, "minimum": 2900, "maximum": 3200, "unit": "psi"}],
        "authorisations": [{"staff": "S4", "role": role, "from": "2024-01-01"} for role in ("performed", "inspected")],
        "swap_plans": [
            {**of, "swap": "S-1"},
            {**of, "swap": "S-2", "position": "R2", "date": "2025-05-14"},
            {
                **of,
                "swap": "S-3",
                "position": "R2",
                "outgoing_part_number": "SL-100-1",
                "outgoing_serial_number": "0028",
            },
            *_planned(),
        ],
        "position_work": [
            {**done, "category": category, "item": item, "outcome": outcome, "sequence": place}
            for place, (category, item, outcome) in enumerate(
                (("device", "pin", "placed"), ("lock", "wire", "broken"), ("retained", "girt bar", "left")), 1
            )
        ],
        "gauge_readings": [
            {
                "swap": "S-1",
                "part_number": "RV-7",
                "serial_number": "R9003",
                "date": "2025-05-10",
                "pressure": 2800,
                "unit": "psi",
                "celsius": 20,
                "seen_by": "S3",
            }
        ],
        "swap_signatures": [
            {"swap": "S-1", "role": "released", "date": "2025-05-10", "signed_by": "S9"},
            {"swap": "S-2", "role": "performed", "date": "2025-05-14", "signed_by": "S4"},
            {"swap": "S-2", "role": "inspected", "date": "2025-05-14", "signed_by": "S4", "exception": "nobody else"},
        ],
    }


def _planned() -> Iterator[Row]:
    """One spare for two doors, beside one that it does not go with; one that is on hold; one with little life."""
    for number, (door, serial) in enumerate((*PLANNED, ("Q-AAD L1", "9004")), 4):
        registration, position = door.split()
        yield {
            "swap": f"S-{number}",
            "registration": registration,
            "position": position,
            "date": "2025-05-20",
            "incoming_part_number": "SL-100-1",
            "incoming_serial_number": serial,
            "planned_by": "P1",
        }


def what_came_later(store: Store, folder: Path) -> None:
    """What is recorded in May, some of it long after it was done."""
    movements, transfers = [], []
    for door, serial in (("L1", "0021"), ("R1", "0022"), ("L2", "0023")):
        common = {"date": "2025-03-10", "registration": "Q-AAF", "position": door, "signed_by": "S1"}
        off = {
            "removed_part_number": "SL-100-1",
            "removed_serial_number": serial,
            "removed_to": "store",
            "removed_condition": "serviceable",
            "removal_kind": "access",
        }
        on = {"installed_part_number": "SL-100-1", "installed_serial_number": serial}
        movements += [{**common, **off, "sequence": 100}, {**common, **on, "sequence": 200}]
    common = {"registration": "Q-AAF", "position": "R2", "signed_by": "S2"}
    movements += [
        {
            **common,
            "date": "2025-04-01",
            "removed_part_number": "SL-100-1",
            "removed_serial_number": "0024",
            "removed_to": "shop",
            "removal_kind": "scheduled",
        },
        {
            **common,
            "date": "2025-04-15",
            "installed_part_number": "SL-100-1",
            "installed_serial_number": "0024",
            "certificate": "FR-24B",
            "harness": "right",
        },
        {
            "swap": "S-1",
            "registration": "Q-AAG",
            "position": "L1",
            "signed_by": "S3",
            "date": "2025-05-10",
            "removed_part_number": "SL-100-1",
            "removed_serial_number": "0025",
            "removed_to": "store",
            "installed_part_number": "SL-100-1",
            "installed_serial_number": "9003",
            "harness": "left",
        },
    ]
    for day, order in (("2025-03-01", "A-17"), ("2025-03-05", "B-20")):
        transfers.append(
            {
                **PACK,
                "date": day,
                "serial_number": "9002",
                "to": "store",
                "store": "Main store",
                "bin": "B-4",
                "order": order,
            }
        )
    transfers.append(
        {
            **PACK,
            "date": "2025-04-14",
            "serial_number": "0024",
            "to": "store",
            "store": "Main store",
            "condition": "serviceable",
        }
    )
    operations = [{**PACK, "serial_number": "0026", "date": "2025-05-02", "operation": "deployment", "count": 1}]
    transfers.append({**PACK, "date": "2025-05-15", "serial_number": "0025", "to": "scrap"})
    paper = {
        "tracking_number": "FR-24B",
        "organisation": "Fulmar Repair",
        "part_number": "SL-100-1",
        "serial_number": "0024",
        "status": "Overhauled",
        "date": "2025-04-20",
        "cycles_since_new": "7364",
    }
    work = {
        **PACK,
        "serial_number": "0024",
        "requirement": "OVH",
        "date": "2025-04-20",
        "date_basis": "release",
        "hours_since_new": "22500:00",
        "certificate": "FR-24B",
        "certificate_organisation": "Fulmar Repair",
    }
    moved, papers = _exchanged(("0028", "0032"))
    later(
        store,
        folder,
        at=IN_MAY,
        movements=[*movements, *moved],
        transfers=transfers,
        operations=operations,
        certificates=[paper, *papers],
        accomplishments=[work],
        **_at_doors(),
    )
