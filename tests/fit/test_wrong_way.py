"""The wrong way round: who may stand in for whom, tried forwards and backwards, with the expected answer at the end of
each line and words that its reasoning must contain.

The tables are Markdown, and stand in docs/interchangeability.md as they stand here. Letters are part numbers. What is
stated, divided by semicolons:

    A at L1                             A is eligible at L1 of the type, by IPC 25-1. Behind it may stand:
      from 0100, to 0150                for these constructor's serials; since 2026-04-01: from that day on
      with M4, without M4               on airframes with, without the modification
      with U9 in it, without U9 in it   with, without the modification in the unit
    B for A one-way, B for A two-way    B is an alternate of A, by SL-7; if KIT behind it is the condition
    B supersedes A                      likewise
    0105 has M4 (since 2026-04-01)      the airframe was modified, long ago or that day; the unit has U9, has not U9
    B rig either, B family F1           of the part
    F1 with F2 permitted, forbidden     intermix, by SL-3; `, no reference` behind it: without one
    R1 holds C, L1 asks right           the other door of the pair; the side that a position asks for
    unit rigged right                   the unit asked about

Asked: B on L1 of 0105, on 2026-03-01.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.checks.fitting import Fitting, judge_fitting, outcome_of
from fleetlife.fit.eligibility import judge_eligibility
from fleetlife.fit.harness import judge_harness
from fleetlife.fit.intermix import judge_intermix
from fleetlife.fit.standing_in import stand_ins
from fleetlife.follows.derive import due_rows
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import CertificateLineRow, UnitStateRow
from fleetlife.ledger.facts import (
    Airframe,
    AirframeModification,
    AirframeType,
    Alternate,
    Eligibility,
    Intermix,
    Part,
    Position,
    Requirement,
)
from fleetlife.life.values import History

ON = date(2026, 3, 1).toordinal()

ONE_STEP = """
| case | stated | asked | verdict | says |
|---|---|---|---|---|
| the part the row names | A at L1 | A on L1 of 0105 | eligible | A S1 may be installed at L1 of MERO 0105, by IPC 25-1 |
| no row names it | A at L1 | B on L1 of 0105 | not-eligible | No row makes B eligible at L1 of MERO |
| no row at all | | A on L1 of 0105 | not-eligible | No row makes A eligible |
| the other door of the pair | A at L1 | A on R1 of 0105 | not-eligible | No row makes A eligible at R1 |
| the position spelt the other way | A at 1L | A on L1 of 0105 | eligible | may be installed at L1 |
| one-way, as stated | A at L1; B for A one-way | B on L1 of 0105 | eligible | B may replace A (one-way, by SL-7) |
| one-way, reversed | B at L1; B for A one-way | A on L1 of 0105 | not-eligible | B has a row here and may stand in for A; the reverse is not stated |
| two-way, as stated | A at L1; B for A two-way | B on L1 of 0105 | eligible | B may replace A (two-way, by SL-7) |
| two-way, reversed | B at L1; B for A two-way | A on L1 of 0105 | eligible | A may replace B (two-way, by SL-7) |
| both directions, a row each | B at L1; B for A one-way; A for B one-way | A on L1 of 0105 | eligible | A may replace B (one-way |
| under a condition | A at L1; B for A one-way if bracket kit K-2 | B on L1 of 0105 | conditional | Condition: bracket kit K-2 |
| under a condition, reversed | B at L1; B for A one-way if bracket kit K-2 | A on L1 of 0105 | not-eligible | the reverse is not stated |
| two-way under a condition, reversed | B at L1; B for A two-way if bracket kit K-2 | A on L1 of 0105 | conditional | Condition: bracket kit K-2 |
| free one way, under a condition back | B at L1; B for A one-way; A for B one-way if kit off | A on L1 of 0105 | conditional | Condition: kit off |
| both stand in for a third | A at L1; A for C one-way; B for C one-way | B on L1 of 0105 | not-eligible | No row makes B eligible |
| both are replaced by a third | A at L1; C for A one-way; C for B one-way | B on L1 of 0105 | not-eligible | No row makes B eligible |
| a number with another dash | A-1 at L1 | A-2 on L1 of 0105 | not-eligible | No row makes A-2 eligible |
| a number without its hyphen | A-1 at L1 | A1 on L1 of 0105 | not-eligible | No row makes A1 eligible |
"""

CHAINS = """
| case | stated | asked | verdict | says |
|---|---|---|---|---|
| supersession, new for old | A at L1; B supersedes A | B on L1 of 0105 | eligible | B supersedes A, by SL-7 |
| supersession, old for new | B at L1; B supersedes A | A on L1 of 0105 | not-eligible | B has a row here and may stand in for A; the reverse is not stated |
| chain of two | A at L1; B supersedes A; C supersedes B | C on L1 of 0105 | eligible | C supersedes B, by SL-7. B supersedes A, by SL-7 |
| chain of two, stated the other way about | A at L1; C supersedes B; B supersedes A | C on L1 of 0105 | eligible | C supersedes B, by SL-7. B supersedes A, by SL-7 |
| chain of two, from its old end | C at L1; B supersedes A; C supersedes B | A on L1 of 0105 | not-eligible | C has a row here and may stand in for A; the reverse is not stated |
| chain of two, from its middle down | A at L1; B supersedes A; C supersedes B | B on L1 of 0105 | eligible | B supersedes A |
| chain of two, from its middle up | C at L1; B supersedes A; C supersedes B | B on L1 of 0105 | not-eligible | the reverse is not stated |
| chain of three | A at L1; B supersedes A; C supersedes B; D supersedes C | D on L1 of 0105 | eligible | B supersedes A |
| two old ones of one new | A at L1; C supersedes A; C supersedes B | B on L1 of 0105 | not-eligible | No row makes B eligible |
| two new ones of one old | B at L1; B supersedes A; C supersedes A | C on L1 of 0105 | not-eligible | No row makes C eligible |
| conditions add up along a chain | A at L1; B supersedes A if first; C supersedes B if second | C on L1 of 0105 | conditional | Condition: second. Condition: first |
| a circle opens nothing beside it | C at L1; B supersedes A; A supersedes B | B on L1 of 0105 | not-eligible | No row makes B eligible |
| alternates do not chain | A at L1; B for A one-way; C for B one-way | C on L1 of 0105 | not-eligible | two steps through an alternate are not one |
| two-way alternates do not chain | A at L1; B for A two-way; C for B two-way | C on L1 of 0105 | not-eligible | two steps through an alternate are not one |
| nor backwards | C at L1; B for A two-way; C for B two-way | A on L1 of 0105 | not-eligible | two steps through an alternate are not one |
| an alternate of what supersedes | A at L1; B supersedes A; C for B one-way | C on L1 of 0105 | not-eligible | two steps through an alternate are not one |
| what supersedes an alternate | A at L1; B for A one-way; C supersedes B | C on L1 of 0105 | not-eligible | two steps through an alternate are not one |
| a link that has its own row here, open | A at L1; B at L1; B supersedes A; C supersedes B | C on L1 of 0105 | eligible | B may be installed at L1 |
| a link that its own row closes here | A at L1; B at L1 to 0050; B supersedes A; C supersedes B | C on L1 of 0105 | not-eligible | B at L1 is for constructor's serials up to 0050 |
| the same, where its row is open | A at L1; B at L1 to 0050; B supersedes A; C supersedes B | C on L1 of 0050 | eligible | B may be installed at L1 of MERO 0050 |
| a link closed here, and a way beside it | A at L1; B at L1 to 0050; B supersedes A; C supersedes B; C for A one-way if kit | C on L1 of 0105 | conditional | C may replace A (one-way |
| a link that its own row leaves open here | A at L1; B at L1 with M4; B supersedes A; C supersedes B | C on L1 of 0105 | unknown | B needs modification M4 on the airframe |
"""

EFFECTIVITY = """
| case | stated | asked | verdict | says |
|---|---|---|---|---|
| first serial of the range | A at L1 from 0105 to 0150 | A on L1 of 0105 | eligible | MERO 0105 |
| last serial of the range | A at L1 from 0100 to 0105 | A on L1 of 0105 | eligible | MERO 0105 |
| one before it | A at L1 from 0106 to 0150 | A on L1 of 0105 | not-eligible | is for constructor's serials from 0106 to 0150; this airframe is 0105 |
| one behind it | A at L1 to 0104 | A on L1 of 0105 | not-eligible | up to 0104; this airframe is 0105 |
| compared as numbers, not as text | A at L1 from 859 | A on L1 of 1132 | eligible | MERO 1132 |
| another letter in front | A at L1 from B100 to B200 | A on L1 of A150 | not-eligible | this airframe is A150 |
| two ranges, one fits | A at L1 to 0050; A at L1 from 0100 | A on L1 of 0105 | eligible | MERO 0105 |
| two ranges, none fits | A at L1 to 0050; A at L1 from 0200 | A on L1 of 0105 | not-eligible | up to 0050 |
| a row that is not in force yet | A at L1 since 2026-03-02 | A on L1 of 0105 | not-eligible | only from 2026-03-02 on |
| on the first day of a row | A at L1 since 2026-03-01 | A on L1 of 0105 | eligible | by IPC 25-1 |
| an alternate has the range of what it replaces | A at L1 to 0050; B for A two-way | B on L1 of 0105 | not-eligible | A at L1 is for constructor's serials up to 0050 |
| an alternate opens nothing that its own row closes | A at L1; B at L1 to 0050; B for A two-way | B on L1 of 0105 | not-eligible | B at L1 is for constructor's serials up to 0050 |
| the reverse, of a part that is not for this airframe either | B at L1 to 0050; B supersedes A | A on L1 of 0105 | not-eligible | B has a row here and may stand in for A; the reverse is not stated |
| nor does a supersession | A at L1; B at L1 to 0050; B supersedes A | B on L1 of 0105 | not-eligible | B at L1 is for constructor's serials up to 0050 |
| the airframe was modified | A at L1 with M4; 0105 has M4 | A on L1 of 0105 | eligible | by IPC 25-1 |
| it is modified later | A at L1 with M4; 0105 has M4 since 2026-04-01 | A on L1 of 0105 | not-eligible | has it only from a later day |
| whether it was is not recorded | A at L1 with M4 | A on L1 of 0105 | unknown | whether 0105 has it is not recorded |
| not for one that was modified | A at L1 without M4; 0105 has M4 | A on L1 of 0105 | not-eligible | which 0105 has |
| not for one that may have been | A at L1 without M4 | A on L1 of 0105 | unknown | whether 0105 has it is not recorded |
| not for one that is modified later | A at L1 without M4; 0105 has M4 since 2026-04-01 | A on L1 of 0105 | eligible | by IPC 25-1 |
| old before, new after, it was modified: the old | A at L1 without M4; B at L1 with M4; B supersedes A; 0105 has M4 | A on L1 of 0105 | not-eligible | A is not for airframes with modification M4 |
| old before, new after, it was modified: the new | A at L1 without M4; B at L1 with M4; B supersedes A; 0105 has M4 | B on L1 of 0105 | eligible | B S1 may be installed |
| old before, new after, not recorded: the new | A at L1 without M4; B at L1 with M4; B supersedes A | B on L1 of 0105 | unknown | B needs modification M4 |
| an alternate where the modification is not recorded | A at L1 with M4; B for A one-way if kit | B on L1 of 0105 | unknown | Condition: kit |
"""

UNIT_MODIFICATIONS = """
| case | stated | asked | verdict | says |
|---|---|---|---|---|
| it is in the unit | A at L1 with U9 in it; unit has U9 | A on L1 of 0105 | eligible | by IPC 25-1 |
| whether it is in the unit is not recorded | A at L1 with U9 in it | A on L1 of 0105 | unknown | none is recorded on A S1 |
| another one is | A at L1 with U9 in it; unit has U8 | A on L1 of 0105 | unknown | none is recorded on A S1 |
| the unit was looked at and has it not | A at L1 with U9 in it; unit has not U9 | A on L1 of 0105 | not-eligible | A S1 was found without it |
| not with it, and it is in the unit | A at L1 without U9 in it; unit has U9 | A on L1 of 0105 | not-eligible | which A S1 has |
| not with it, and not recorded | A at L1 without U9 in it | A on L1 of 0105 | unknown | whether A S1 has it is not recorded |
| not with it, and the unit was looked at | A at L1 without U9 in it; unit has not U9 | A on L1 of 0105 | eligible | by IPC 25-1 |
| found without it once, and modified since | A at L1 with U9 in it; unit has U9; unit has not U9 | A on L1 of 0105 | eligible | by IPC 25-1 |
| an alternate needs what the row asks for too | A at L1 with U9 in it; B for A two-way; unit has not U9 | B on L1 of 0105 | not-eligible | B S1 was found without it |
| the unit has it, the airframe has not been shown to | A at L1 with M4 with U9 in it; unit has U9 | A on L1 of 0105 | unknown | needs modification M4 on the airframe |
"""

HANDS = """
| case | stated | asked | verdict | says |
|---|---|---|---|---|
| a left part on a left door | A rig left | A on L1 of 0105 | fine | a left one, as the position asks for |
| a left part on a right door | A rig left | A on R1 of 0105 | stop | a left one and the position asks for a right one |
| a right part on a left door | A rig right | A on L1 of 0105 | stop | a right one and the position asks for a left one |
| a left part on a right door, said to be rigged right | A rig left; unit rigged right | A on R1 of 0105 | stop | a left one and the position asks for a right one |
| a left part on a left door, said to be rigged right | A rig left; unit rigged right | A on L1 of 0105 | condition | look, and correct the records |
| a pack rigged left on a left door | A rig either; unit rigged left | A on L1 of 0105 | fine | rigged left, as the position asks for |
| a pack rigged left on a right door | A rig either; unit rigged left | A on R1 of 0105 | condition | it must be rigged right before it is fitted |
| a pack rigged right on a left door | A rig either; unit rigged right | A on L1 of 0105 | condition | it must be rigged left before it is fitted |
| a pack nobody has looked at | A rig either; unit rigged unknown | A on L1 of 0105 | condition | look before fitting |
| a pack recorded without a harness | A rig either; unit rigged none | A on L1 of 0105 | condition | contradicts the part |
| a part without a harness | A rig none | A on R1 of 0105 | fine | no harness that makes it a left or a right one |
| a part without a harness, recorded as rigged right, on a left door | A rig none; unit rigged right | A on L1 of 0105 | condition | look, and correct the records |
| a part whose rig is not stated | unit rigged left | A on L1 of 0105 | condition | find out the part's rig |
| a left part where the position asks for no side | A rig left; L1 asks nothing | A on L1 of 0105 | condition | is not stated |
| a left part on a left door that asks for a right one | A rig left; L1 asks right | A on L1 of 0105 | stop | asks for a right one |
| a pack where the position asks for no side | A rig either; unit rigged left; L1 asks nothing | A on L1 of 0105 | condition | is not stated |
"""

PAIRS = """
| case | stated | asked | verdict | says |
|---|---|---|---|---|
| one part on both doors | R1 holds A | A on L1 of 0105 | fine | Both doors of the pair carry A |
| one family | R1 holds B; A family F1; B family F1 | A on L1 of 0105 | fine | Both parts of the pair are of family F1 |
| two families, permitted | R1 holds B; A family F1; B family F2; F1 with F2 permitted | A on L1 of 0105 | fine | may be carried on one door pair, by SL-3 |
| two families, permitted, the other way about | R1 holds A; A family F1; B family F2; F1 with F2 permitted | B on L1 of 0105 | fine | may be carried on one door pair, by SL-3 |
| two families, forbidden | R1 holds B; A family F1; B family F2; F1 with F2 forbidden | A on L1 of 0105 | stop | may not be carried on one door pair, by SL-3 |
| two families, forbidden, the other way about | R1 holds A; A family F1; B family F2; F1 with F2 forbidden | B on L1 of 0105 | stop | may not be carried on one door pair, by SL-3 |
| forbidden without a reference | R1 holds B; A family F1; B family F2; F1 with F2 forbidden, no reference | A on L1 of 0105 | note | without a reference |
| permitted one way, forbidden the other | R1 holds B; A family F1; B family F2; F1 with F2 permitted; F2 with F1 forbidden | A on L1 of 0105 | stop | by SL-3 |
| a family that may not go with itself | R1 holds B; A family F1; B family F1; F1 with F1 forbidden | A on L1 of 0105 | stop | by SL-3 |
| two families and no rule | R1 holds B; A family F1; B family F2 | A on L1 of 0105 | note | no rule says that they may go together |
| a rule about others | R1 holds B; A family F1; B family F2; F1 with F3 permitted | A on L1 of 0105 | note | no rule says |
| a family not stated | R1 holds B; A family F1 | A on L1 of 0105 | note | No intermix family is stated for B |
| alternates of each other, of two families | R1 holds B; B for A two-way; A family F1; B family F2; F1 with F2 forbidden | A on L1 of 0105 | stop | by SL-3 |
"""

WHOLE = """
| case | stated | asked | verdict | says |
|---|---|---|---|---|
| everything right | A at L1; A rig either; unit rigged left; R1 holds A | A on L1 of 0105 | no objection in these records | by IPC 25-1 |
| superseded by what is asked about | A at L1; B supersedes A; B rig either; unit rigged left | B on L1 of 0105 | no objection in these records | B supersedes A |
| the superseded one | B at L1; B supersedes A; A rig either; unit rigged left | A on L1 of 0105 | do not fit | the reverse is not stated |
| an alternate that no document names | A at L1; B for A one-way, no reference; B rig none | B on L1 of 0105 | conditions to meet first | names no reference |
| an alternate under a condition | A at L1; B for A one-way if bracket kit K-2; B rig none | B on L1 of 0105 | conditions to meet first | Condition: bracket kit K-2 |
| a modification nobody recorded | A at L1 with M4; A rig none | A on L1 of 0105 | conditions to meet first | whether 0105 has it is not recorded |
| a unit found without the modification | A at L1 with U9 in it; A rig none; unit has not U9 | A on L1 of 0105 | do not fit | A S1 was found without it |
| eligible, rigged for the other side | A at L1; A rig either; unit rigged right | A on L1 of 0105 | conditions to meet first | it must be rigged left |
| eligible at both doors, of the other hand | A at L1; A at R1; A rig left | A on R1 of 0105 | do not fit | a left one and the position asks for a right one |
| eligible, beside one that it may not be beside | A at L1; A rig none; R1 holds B; A family F1; B family F2; F1 with F2 forbidden | A on L1 of 0105 | do not fit | may not be carried on one door pair |
| eligible, beside one that nothing is said of | A at L1; A rig none; R1 holds B; A family F1; B family F2 | A on L1 of 0105 | no objection in these records | no rule says that they may go together |
| where another unit hangs that is not to come off | A at L1; A rig none; L1 holds C; C stays | A on L1 of 0105 | do not fit | C S2 is there in these records and is not to come off |
"""

TABLES = {
    "Alternates, one step": ONE_STEP,
    "Chains": CHAINS,
    "Effectivity": EFFECTIVITY,
    "Modifications in the unit": UNIT_MODIFICATIONS,
    "Left and right": HANDS,
    "Door pairs": PAIRS,
    "The whole answer": WHOLE,
}


@dataclass(frozen=True, kw_only=True)
class Case:
    """A line of a table."""

    name: str
    stated: str
    asked: str
    verdict: str
    says: str


def cases(table: str) -> list[Case]:
    """The lines below the head."""
    lines = [[cell.strip() for cell in line.strip().strip("|").split("|")] for line in table.strip().splitlines()[2:]]
    return [Case(name=n, stated=s, asked=a, verdict=v, says=t) for n, s, a, v, t in lines]


# --- from words to facts ----------------------------------------------------------------------------------------------


@dataclass
class Told:
    """What a line states: facts, and of the unit asked about."""

    facts: list[object] = field(default_factory=list)
    rigs: dict[str, str] = field(default_factory=dict)
    families: dict[str, str] = field(default_factory=dict)
    harness: str = "unknown"
    has: list[str] = field(default_factory=list)
    has_not: list[str] = field(default_factory=list)
    holds: dict[str, str] = field(default_factory=dict)
    asks: dict[str, str | None] = field(default_factory=lambda: {"L1": "left", "R1": "right"})
    stays: bool = False

    def of(self, kind: type) -> list:  # type: ignore[type-arg]
        return [fact for fact in self.facts if isinstance(fact, kind)]


_ROW = re.compile(
    r"(?P<part>\S+) at (?P<position>\S+)(?: from (?P<first>\w+))?(?: to (?P<last>\w+))?(?: with (?P<needs>M\d))?"
    r"(?: without (?P<bars>M\d))?(?: with (?P<unit_needs>U\d) in it)?(?: without (?P<unit_bars>U\d) in it)?"
    r"(?: since (?P<day>\S+))?"
)
_WAY = re.compile(
    r"(?P<new>\S+) (?P<how>for|supersedes) (?P<old>\S+?)(?: (?P<direction>one-way|two-way))?(?: if (?P<kit>.+?))?"
    r"(?P<bare>, no reference)?"
)
_RULE = re.compile(r"(?P<one>\S+) with (?P<other>\S+) (?P<word>permitted|forbidden)(?P<bare>, no reference)?")
_FRAME = re.compile(r"\d+ has (?P<name>M\d)(?: since (?P<day>\S+))?")


def told(text: str) -> Told:
    """The statements of a line. One that cannot be read fails the test."""
    found = Told()
    for statement in filter(None, (each.strip() for each in text.split(";"))):
        words = statement.split()
        if statement.startswith("unit "):
            if words[1] == "rigged":
                found.harness = words[2]
            else:
                (found.has_not if words[2] == "not" else found.has).append(words[-1])
        elif words[1] == "stays":
            found.stays = True
        elif words[1] in ("rig", "family", "holds", "asks"):
            side = {"asks": None if words[2] == "nothing" else words[2]}
            kept: dict[str, dict] = {"rig": found.rigs, "family": found.families, "holds": found.holds}  # type: ignore[type-arg]
            kept.get(words[1], found.asks)[words[0]] = side.get(words[1], words[2])
        else:
            found.facts.append(_fact(statement))
    return found


def _fact(statement: str) -> object:
    if row := _ROW.fullmatch(statement):
        return Eligibility(
            type="MERO",
            position=row["position"],
            part_number=row["part"],
            serial_from=row["first"],
            serial_to=row["last"],
            requires_modification=row["needs"],
            excludes_modification=row["bars"],
            requires_unit_modification=row["unit_needs"],
            excludes_unit_modification=row["unit_bars"],
            effective_from=row["day"],
            reference="IPC 25-1",
        )
    if rule := _RULE.fullmatch(statement):
        return Intermix(
            family=rule["one"],
            other_family=rule["other"],
            permitted=rule["word"] == "permitted",
            reference=None if rule["bare"] else "SL-3",
        )
    if frame := _FRAME.fullmatch(statement):
        return AirframeModification(airframe=1, modification=frame["name"], embodied_on=frame["day"] or "2020-01-01")
    way = _WAY.fullmatch(statement)
    assert way is not None, f"not read: {statement}"
    return Alternate(
        part_number=way["old"],
        alternate=way["new"],
        direction=way["direction"] or way["how"],
        conditions=way["kit"],
        reference=None if way["bare"] else "SL-7",
    )


def asked(text: str) -> tuple[str, str, str]:
    """Part, position and constructor's serial."""
    match = re.fullmatch(r"(\S+) on (\S+) of (\S+)", text)
    assert match is not None, f"not read: {text}"
    return match[1], match[2], match[3]


def params(table: str) -> list[object]:
    return [pytest.param(case, id=case.name) for case in cases(table)]


# --- the lines --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", params(ONE_STEP) + params(CHAINS) + params(EFFECTIVITY))
def test_who_may_stand_in_for_whom(case: Case) -> None:
    _eligibility(case)


@pytest.mark.parametrize("case", params(UNIT_MODIFICATIONS))
def test_what_is_in_the_unit(case: Case) -> None:
    _eligibility(case)


def _eligibility(case: Case) -> None:
    stated, (part, position, serial) = told(case.stated), asked(case.asked)
    modifications: Mapping[str, int] = {
        fact.modification: date.fromisoformat(fact.embodied_on).toordinal() for fact in stated.of(AirframeModification)
    }
    answer = judge_eligibility(
        part_number=part,
        serial_number="S1",
        unit_modifications=stated.has,
        unit_without=stated.has_not,
        type="MERO",
        position=position,
        airframe_serial=serial,
        airframe_modifications=modifications or None,
        rows=stated.of(Eligibility),
        alternates=stated.of(Alternate),
        on=ON,
    )
    text = " ".join(answer.reasons)
    assert answer.outcome == case.verdict, text
    assert case.says in text


@pytest.mark.parametrize("case", params(HANDS))
def test_which_hand(case: Case) -> None:
    stated, (part, position, _) = told(case.stated), asked(case.asked)
    answer = judge_harness(
        rig=stated.rigs.get(part), harness=stated.harness, position_harness=stated.asks.get(position)
    )
    text = " ".join(answer.reasons)
    assert answer.outcome == case.verdict, text
    assert case.says in text


@pytest.mark.parametrize("case", params(PAIRS))
def test_what_a_pair_may_carry(case: Case) -> None:
    stated, (part, _, _) = told(case.stated), asked(case.asked)
    (other,) = stated.holds.values()
    answer = judge_intermix(
        part_number=part,
        family=stated.families.get(part),
        other_part_number=other,
        other_family=stated.families.get(other),
        rows=stated.of(Intermix),
    )
    text = " ".join(answer.reasons)
    assert answer.outcome == case.verdict, text
    assert case.says in text


@pytest.mark.parametrize("case", params(WHOLE))
def test_the_whole_answer(case: Case) -> None:
    """One unit, released and serviceable in stores, with a requirement that says that nothing is due."""
    stated, (part, position, serial) = told(case.stated), asked(case.asked)
    unit = UnitStateRow(
        unit_id=1,
        part_number=part,
        serial_number="S1",
        manufacturer=None,
        kind="store",
        since_moment=ON * 10_000,
        condition="serviceable",
        harness=stated.harness,
        released_on=ON - 10,
        release_status="new",
        release_certificate="P-1",
    )
    there = {
        door: UnitStateRow(
            unit_id=2,
            part_number=number,
            serial_number="S2",
            manufacturer=None,
            kind="position",
            since_moment=ON * 10_000,
            airframe_id=1,
            position=door,
        )
        for door, number in stated.holds.items()
    }
    reference = _reference(stated, part, serial)
    fitting = Fitting(
        airframe=1,
        registration="Q-ONE",
        position=reference.position_of(1, position),
        on=ON,
        unit=unit,
        tree={1: unit},
        due_points={1: list(due_rows(History(unit_id=1, as_of=0), reference.book().on_part(part), None))},
        modifications=tuple(stated.has),
        without=tuple(stated.has_not),
        manufactured={},
        lines={1: [_paper(part)]},
        occupant=there.get(position),
        mates=[(door, mate) for door, mate in there.items() if door != position],
        reading_age=0,
        being_removed=not stated.stays,
    )
    reasons, _ = judge_fitting(fitting, reference)
    text = " ".join(reason.text for reason in reasons)
    assert outcome_of(reasons) == case.verdict, [reason for reason in reasons if reason.verdict != "clear"]
    assert case.says in text


def _reference(stated: Told, part: str, serial: str) -> Reference:
    numbers = dict.fromkeys((part, *stated.rigs, *stated.families))
    positions = [
        Position(type="MERO", position=door, side=side, harness=stated.asks[door], pair="1")
        for door, side in (("L1", "left"), ("R1", "right"))
    ]
    parts = [
        Part(part_number=each, rig=stated.rigs.get(each), intermix_family=stated.families.get(each)) for each in numbers
    ]
    facts = [
        AirframeType(type="MERO"),
        *positions,
        Airframe(airframe=1, registration="Q-ONE", constructor_serial=serial, type="MERO"),
        *parts,
        Requirement(requirement="CHECK", part_number=part, kind="on_condition", reference="CMM 25-60"),
        *stated.facts,
    ]
    return Reference((number, fact) for number, fact in enumerate(facts, start=1))  # type: ignore[misc]


def _paper(part: str) -> CertificateLineRow:
    return CertificateLineRow(
        organisation="Petrel Works",
        tracking_number="P-1",
        item="1",
        serial_number="S1",
        part_number=part,
        unit_id=1,
        status="new",
        side="production",
        dated_on=ON - 10,
        verdict="exact",
        part_verdict="exact",
        serial_verdict="exact",
        expected_part_number=part,
        expected_serial_number="S1",
    )


# --- the tables -------------------------------------------------------------------------------------------------------


def test_every_way_that_is_stated_in_one_direction_is_tried_in_both() -> None:
    """Whatever is stated of two parts in one direction is asked about from either end in some line."""
    lines = [case for table in (ONE_STEP, CHAINS) for case in cases(table)]
    for direction in ("one-way", "two-way", "supersedes"):
        ends = set()
        for case in lines:
            stated, (part, _, _) = told(case.stated), asked(case.asked)
            rows = stated.of(Alternate)
            if len(rows) == 1 and rows[0].direction == direction:
                ends.add("new" if part == rows[0].alternate else "old")
        assert ends == {"new", "old"}, direction


LETTERS = st.sampled_from("ABCDEF")


@given(st.lists(st.tuples(LETTERS, LETTERS, st.sampled_from(["one-way", "supersedes"])), max_size=12), LETTERS)
def test_where_every_way_leads_back_none_leads_forward(ways: list[tuple[str, str, str]], part: str) -> None:
    """With every way stated from a later letter to an earlier one, no part may stand in for a later letter."""
    rows = [
        Alternate(part_number=min(one, other), alternate=max(one, other), direction=direction)
        for one, other, direction in ways
    ]
    assert all(each.part_number < part for each in stand_ins(part, rows))


def test_names_are_not_given_twice() -> None:
    for table in TABLES.values():
        names = [case.name for case in cases(table)]
        assert len(names) == len(set(names))


def test_there_are_enough() -> None:
    assert sum(len(cases(table)) for table in TABLES.values()) >= 60
