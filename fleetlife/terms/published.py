"""The published rules that the program itself applies: each once, with its edition or date, and what is done by it.

Whoever cites a rule to a user cites it from here. An interval, a life limit or a tolerance of a programme is the user's
data with an edition of its own, and no rule of this list. `from_memory`: the text was not seen when it was written
down; check it against the live document before it is quoted as a rule.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from fleetlife.terms.number import nearest
from fleetlife.terms.refusal import Refusal

_DAY = re.compile(r"\d{4}-\d\d-\d\d")


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedRule:
    """One rule. `edition`: the edition or date of the text that was read; `says`: its sentence; `does`: what follows.

    key: what it is asked for by. applied: `always` where every due point rests on it, else `findings` (cited by checks)
    or the question that applies it.
    """

    key: str
    name: str
    edition: str
    says: str
    does: str
    applied: str = "findings"
    from_memory: bool = False

    @property
    def named(self) -> str:
        """`PHMSA letter 11-0131 of 2011-09-01`, `M.A.501(b) (Regulation (EU) 2021/700)`."""
        memory = ", cited from memory" if self.from_memory else ""
        if _DAY.fullmatch(self.edition):
            return f"{self.name} of {self.edition}{memory}"
        return f"{self.name} ({self.edition}{memory})"

    @property
    def cited(self) -> str:
        """The rule as a finding cites it: name, edition, sentence."""
        return f"{self.named}: {self.says}"


_UK_TEXT = "UK regulatory library, edition not stated"
_FORM = "EASA Form 1, Appendix II to Part-M"
_FORM_EDITION = "Regulation (EU) No 1321/2014, text of 2020-03-24"

RULES: dict[str, PublishedRule] = {
    rule.key: rule
    for rule in (
        # -- when a thing is due ---------------------------------------------------------------------------------------
        PublishedRule(
            key="PHMSA 11-0131 month",
            name="PHMSA letter 11-0131",
            edition="2011-09-01",
            says="a cylinder may be requalified at any time before or during the month and year it is due",
            does="Under month_rule last the due date is rounded up to the end of its month, whatever the precision of "
            "the mark it counts from; never on a life limit.",
            applied="always",
        ),
        PublishedRule(
            key="PHMSA 11-0131 charged",
            name="PHMSA letter 11-0131",
            edition="2011-09-01",
            says="a cylinder filled before its requalification falls due may stay in service until it is emptied, and "
            "may not be refilled before it is requalified",
            does="Under at_due no-refill a cylinder filled before its date and not since is shown as no refill and not "
            "as overdue; it may not be filled and not be fitted anew. A service life that has ended is never so.",
            applied="always",
        ),
        PublishedRule(
            key="49 CFR 180.205",
            name="49 CFR 180.205",
            edition="read in a reproduction, edition not stated",
            says="a cylinder is condemned whose permanent expansion is over 10 % of the total, over 12 % for "
            "specification 4E, or whose specified service life has ended",
            does="A test's expansions are judged by these limits; a service life under the dangerous-goods rules is "
            "never extended by a variation and never covered by what the cylinder still holds.",
            applied="always",
        ),
        PublishedRule(
            key="49 CFR 180.203",
            name="49 CFR 180.203",
            edition="2004 edition",
            says="elastic expansion is total less permanent expansion, and condemned is not restorable by repair, "
            "rebuilding or another test",
            does="The elastic expansion of a test is reckoned so; a result is passed, condemned or unknown.",
            applied="cylinder test",
        ),
        PublishedRule(
            key="49 CFR 180.209",
            name="49 CFR 180.209(a) Table 1",
            edition="about 2011 to 2013, and 2017",
            says="by specification, the least test pressure and the period of requalification in years",
            does="It says which specifications are tested at all. Its periods are built in nowhere: they are "
            "requirements with an edition, because they change.",
            applied="cylinder test",
        ),
        PublishedRule(
            key="PHMSA 16-0147",
            name="PHMSA letter 16-0147",
            edition="2017-03-03",
            says="a cylinder that is topped up is being refilled",
            does="Topping up counts as a filling, and is stopped where a filling is.",
            applied="always",
        ),
        PublishedRule(
            key="MIL-HDBK-695E",
            name="MIL-HDBK-695E, 3.3",
            edition="2011-10-20",
            says="makers date by the calendar quarter, and the last day of the quarter is taken as the date",
            does="A cure date known to the quarter counts from the last day of that quarter.",
            applied="always",
        ),
        PublishedRule(
            key="EASA FAQ 19102",
            name="EASA FAQ 19102",
            edition="date not stated",
            says="the next due point counts from the release to service or, where the maintenance data says so, from "
            "installation; after a permitted variation from the date first due",
            does="start and date_basis say from where a requirement counts; work done on the aircraft under a "
            "permitted variation is followed by the interval from the point first due.",
            applied="always",
        ),
        PublishedRule(
            key="ILT permitted variations",
            name="Netherlands ILT leaflet Permitted Variations",
            edition="date not stated; it replaces MD NL-2011-001",
            says="an extension is approved for one aircraft on one occasion, and never for directives or airworthiness "
            "limitations",
            does="A permitted variation belongs to one airframe and one due point, lapses when the unit leaves that "
            "airframe, and extends no life limit, limitation, certification requirement or directive. The most that "
            "may be extended is the operator's own table and built in nowhere.",
            applied="always",
        ),
        PublishedRule(
            key="JAA TGL 26",
            name="JAA TGL 26, table of variations",
            edition="edition not known",
            says="flight hours 10 %, at most 500; calendar 1, 2 or 3 months by the interval; landings 10 %, at most 25 "
            "or 500 by the interval",
            does="Nothing by itself: an example of a table of limits beside the manual has these lines. A table counts "
            "only where the operator names one when files are taken in.",
            applied="import",
            from_memory=True,
        ),
        PublishedRule(
            key="GM M.A.305",
            name="GM M.A.305(c)-(e)",
            edition="UK regulatory library, ORS9 Decision 38",
            says="a life-limited part is removed at or before its limit when any one of the applicable parameters is "
            "reached",
            does="Of several limits the one that is reached first decides, unless a requirement says whichever last.",
            applied="always",
        ),
        # -- what may be fitted ----------------------------------------------------------------------------------------
        PublishedRule(
            key="M.A.501(a)",
            name="M.A.501(a) and 145.A.42(a)",
            edition="Regulation (EU) 2021/700",
            says="only a component in satisfactory condition is installed, one released on a Form 1 or equivalent and "
            "marked; others are unserviceable or unsalvageable",
            does="A unit with no release filed, or not serviceable in the records, is found on the airframe and "
            "stopped at the fitting.",
        ),
        PublishedRule(
            key="M.A.501(b)",
            name="M.A.501(b)",
            edition="Regulation (EU) 2021/700",
            says="a component is installed only if it is satisfactory and the maintenance data specifies the "
            "particular component",
            does="Eligibility is a test of its own beside the certificate: no row, not eligible; and a release comes "
            "before the fitting.",
        ),
        PublishedRule(
            key="AMC M.A.305(c)2(d)",
            name="AMC M.A.305(c)2(d)",
            edition=_UK_TEXT,
            says="a fully interchangeable alternate is no modification where the holder of the design approval has "
            "published it so",
            does="An alternate stands in only by a row that states it, in the direction stated and with its reference.",
            applied="swap check",
        ),
        PublishedRule(
            key="M.A.503",
            name="M.A.503",
            edition="older text, date not stated",
            says="an installed service-life-limited component shall not exceed its approved life",
            does="A carried unit past a due point that nothing approved covers is a stop and is never waived.",
        ),
        PublishedRule(
            key="M.A.504",
            name="M.A.504",
            edition="edition not known",
            says="unserviceable components are kept segregated from serviceable ones",
            does="A unit on hold that hangs on an airframe is a stop.",
            from_memory=True,
        ),
        PublishedRule(
            key="AMC1 145.A.42(a)(ii)",
            name="AMC1 145.A.42(a)(ii)",
            edition=_UK_TEXT,
            says="missing information to determine status or eligibility makes a component unserviceable",
            does="What cannot be computed is unknown and never fine; a part without a programme is a stop.",
        ),
        PublishedRule(
            key="AMC1 145.A.42(a)(iii)",
            name="AMC1 145.A.42(a)(iii)",
            edition=_UK_TEXT,
            says="a part with a mandatory life that has reached it, or has missing or incomplete records, is "
            "unsalvageable",
            does="A life limit with something unknown is a stop, in the audit and before a fitting: treat as "
            "unsalvageable until decided by authorised staff. Another requirement makes a condition.",
        ),
        PublishedRule(
            key="14 CFR 43.10(b)",
            name="14 CFR 43.10(b)",
            edition="2007 edition, and that of 2024-01-01",
            says="a temporary removal of a life-limited part needs no disposition only for the same serial-numbered "
            "product, with life status unchanged and no time in service meanwhile",
            does="Off for access or convenience and back on the same airframe is a note where no time was flown and "
            "nothing changed the life status meanwhile; where that is not shown a condition; on another airframe, or "
            "after flight, without a release, a stop.",
        ),
        PublishedRule(
            key="14 CFR 121.703(a)(17)",
            name="14 CFR 121.703(a)(17)",
            edition="edition not known",
            says="emergency evacuation equipment found defective, or deployed inadvertently, may have to be reported, "
            "within 96 hours, under the rules of the operator's authority",
            does="A deployment that was not stated as intended is followed by a reminder; nothing is reported by the "
            "program: whether, whom, how and by when follows the authority's rules.",
            applied="operation record",
            from_memory=True,
        ),
        PublishedRule(
            key="14 CFR 43.10(c) methods",
            name="14 CFR 43.10(c)",
            edition="2007 edition, and that of 2024-01-01",
            says="who removes a life-limited part controls it by a record system, a tag, a non-permanent mark, a "
            "permanent mark, segregation, mutilation, or another approved method",
            does="Scrap of a part with a life limit names one of the seven; without it, it is found.",
        ),
        PublishedRule(
            key="AMC1 145.A.42(a)(ii) accident",
            name="AMC1 145.A.42(a)(ii)",
            edition=_UK_TEXT,
            says="a component that was installed in an aircraft involved in an accident or incident is unserviceable",
            does="A unit that came off an airframe stated to have been in an accident is stopped until a release dated "
            "since is filed. Long parked and withdrawn donors are treated alike: common practice, no source.",
        ),
        PublishedRule(
            key="14 CFR 43.10(c)",
            name="14 CFR 43.10(c)",
            edition="2007 edition, and that of 2024-01-01",
            says="a record system substantiates part number, serial number and current life status",
            does="Two units whose numbers look alike are found: one of them probably has half the history. A unit "
            "whose data plate does not read what is recorded is on hold until that is answered.",
        ),
        PublishedRule(
            key="14 CFR 39.7",
            name="14 CFR 39.7",
            edition="67 FR 48003, read in a reproduction",
            says="whoever operates a product that does not meet an airworthiness directive that applies to it violates "
            "the rule",
            does="A mandatory directive past its limit is a stop that nothing waives, on the airframe and before a "
            "fitting.",
        ),
        PublishedRule(
            key="14 CFR 39.15",
            name="14 CFR 39.15",
            edition="text of 2026-04-05, read in a reproduction",
            says="a directive applies to each product it identifies, even where that one was modified, altered or "
            "repaired in the area it addresses",
            does="A unit that a publication means by a part number it bore formerly is never taken for not affected: "
            "whether it still is cannot be told until it is stated.",
        ),
        # -- what a paper shows ----------------------------------------------------------------------------------------
        PublishedRule(
            key="Form 1 block 8",
            name=f"{_FORM}, block 8",
            edition=_FORM_EDITION,
            says="the part number as on the item or its tag",
            does="The part number of a paper is compared with the unit's on the day of the paper, and the class of a "
            "difference is kept.",
        ),
        PublishedRule(
            key="Form 1 block 10",
            name=f"{_FORM}, block 10",
            edition=_FORM_EDITION,
            says="the serial number, or N/A where the item has none",
            does="The serial number of a paper is compared with the unit's; N/A agrees with the operator's own "
            "tracking number alone.",
        ),
        PublishedRule(
            key="Form 1 block 11",
            name=f"{_FORM}, block 11",
            edition=_FORM_EDITION,
            says="exactly one term, the one that covers most of the work",
            does="The term decides which requirements a paper can show to be done. The definitions of Repaired, "
            "Inspected/Tested and Modified are from memory.",
            applied="always",
        ),
        PublishedRule(
            key="Form 1 correlation",
            name=_FORM,
            edition=_FORM_EDITION,
            says="a certificate must correlate with the item and be verifiable",
            does="One line filed against two units, and a paper dated before its unit was made, are found.",
        ),
        PublishedRule(
            key="Form 1 mixed",
            name=f"{_FORM}, on what one certificate holds",
            edition=_FORM_EDITION,
            says="production and maintenance items are never mixed on one certificate",
            does="A certificate with lines of both sides is found.",
        ),
        PublishedRule(
            key="Form 1 block 9",
            name=f"{_FORM}, block 9",
            edition=_FORM_EDITION,
            says="the quantity of the item",
            does="The quantity of an item is held against the serial numbers that are filed for it.",
        ),
        PublishedRule(
            key="Form 1 editions",
            name="EASA Form 1, footers of the printed forms, and the UK text of Appendix II to Part-M",
            edition="footers of Issues 2 and 3; UK text of 2024-07-01",
            says="MF/CAO/145 Issue 3 took the place of MF/145 Issue 2 in 2020, and the United Kingdom's form is called "
            "CAA Form 1 since 2020-12-31",
            does="A paper dated before its form existed is found, and its blocks are numbered by its own edition.",
        ),
        PublishedRule(
            key="Form 1 corrected",
            name="EASA Form 1, on errors found in a certificate",
            edition="edition not known",
            says="an erroneous certificate is answered by a new one, with a new tracking number, signature and date, "
            "whose remarks say which blocks of which certificate it corrects and that it does not cover conformity, "
            "condition or release",
            does="A correction under the same number, or whose remarks do not name the certificate it corrects, is "
            "found.",
            from_memory=True,
        ),
        PublishedRule(
            key="EASA FAQ 142042",
            name="EASA FAQ 142042, quoting Appendix II to Part-M",
            edition="date not stated",
            says="overhauled means at least disassembly, cleaning, inspection, repair as necessary, reassembly and "
            "test, in full conformity with the service tolerances",
            does="A paper that says inspected/tested, repaired or modified restarts no overhaul.",
            applied="always",
        ),
        PublishedRule(
            key="FAA Order 8130.21",
            name="FAA Order 8130.21",
            edition="read in extracts; the latest edition known is H of 2013-08-01",
            says="the status term reflects the majority of the work; Inspected and Tested stand alone or together",
            does="The terms of an FAA Form 8130-3 are read as those of a Form 1 of the same meaning; Rebuilt and "
            "Altered are from memory.",
            applied="always",
        ),
        PublishedRule(
            key="FAA Order 8130.21 re-issue",
            name="FAA Order 8130.21, 2-10",
            edition="read in extracts; the latest edition known is H of 2013-08-01",
            says="a form re-issued for a typographical error keeps its tracking number; one re-issued for an article "
            "that came back gets a new one",
            does="A correction under a new number is a note, since it may be of either sort.",
        ),
        PublishedRule(
            key="FAA Order 8130.21G 3-5",
            name="FAA Order 8130.21G, 3-5",
            edition="edition G, date not stated",
            says="the word various may not stand for part or serial numbers; one form is for one part number, of which "
            "several serial numbers may be listed",
            does="Several part numbers on one such form, and the word in a block of numbers, are found.",
        ),
        PublishedRule(
            key="FAA Form 8130-3 editions",
            name="FAA Form 8130-3, notice of the edition",
            edition="02-14",
            says="the form printed (02-14) replaces the one printed (06-01) from 2014-02-01, and numbers its blocks "
            "otherwise",
            does="A paper dated before its form existed is found, and its blocks are numbered by its own edition.",
        ),
        PublishedRule(
            key="dual release",
            name="Release statements under a second authority",
            edition="edition not known",
            says="a dual release names the other regulation in the release block, and the other authority's approval "
            "number and statement in the remarks",
            does="A second authority without its approval number, or of which the remarks say nothing, is found.",
            from_memory=True,
        ),
        PublishedRule(
            key="AESA on Inspected/Tested",
            name="AESA, frequent question on an Inspected/Tested Form 1",
            edition="date not stated",
            says="for a life-limited part the times and cycles since new or overhaul are always needed, back to birth "
            "or to the last overhaul",
            does="A release of a used part with a life in hours or cycles that states none of them is found.",
        ),
        PublishedRule(
            key="AC 21-29 indicators",
            name="FAA AC 21-29, what to look for on receipt",
            edition="edition not known",
            says="suspect are, among others: a date in the future or in the wrong order, an issuer not approved on the "
            "date, a quantity that does not match, life data that is missing",
            does="Such papers are found; what they mean is decided by whoever holds them.",
            from_memory=True,
        ),
        PublishedRule(
            key="AC 21-29D report",
            name="FAA AC 21-29D, suspected unapproved parts",
            edition="2016-07-12",
            says="a suspected unapproved part is reported on Form 8120-11; unapproved parts closely resemble approved "
            "ones",
            does="A suspicion is a stop of its own until somebody clears it by name; nothing is reported by the "
            "program: whom to tell, how and by when follows the authority's rules.",
        ),
        PublishedRule(
            key="14 CFR 43.10(a)",
            name="14 CFR 43.10(a)",
            edition="2007 edition, and that of 2024-01-01",
            says="life status is the accumulated cycles, hours or any other mandatory replacement limit",
            does="What a paper says a unit had run is held against what the records can mean.",
        ),
        PublishedRule(
            key="14 CFR 43.2(b)",
            name="14 CFR 43.2(b)",
            edition="edition not known",
            says="rebuilt means worked to the tolerances and limits of a new item",
            does="A paper that says rebuilt shows an overhaul.",
            applied="always",
            from_memory=True,
        ),
        PublishedRule(
            key="49 CFR 180.213",
            name="49 CFR 180.213",
            edition="2007 edition",
            says="a requalified cylinder bears a permanent mark; that it is month and year is cited from memory",
            does="A requalification counts from the mark on the cylinder, never from the release of what holds it; "
            "without the mark its next date is unknown.",
            applied="always",
        ),
        # -- how records are kept --------------------------------------------------------------------------------------
        PublishedRule(
            key="M.A.305(a)",
            name="M.A.305(a)",
            edition="edition not stated",
            says="the certificate of release to service is entered no later than 30 days after completion",
            does="A movement recorded later than 30 days after it was done is a note.",
        ),
        PublishedRule(
            key="GM 145.A.55(a)",
            name="GM 145.A.55(a)",
            edition="edition not stated",
            says="the record holds the basic details of all serialised components, for traceability to their documents",
            does="A paper that no unit answers to is found.",
        ),
        PublishedRule(
            key="AMC M.A.305(e) log card",
            name="AMC M.A.305(e)",
            edition="edition not stated",
            says="a log card holds the identity of the component; type, part number, serial number and registration of "
            "what it was fitted in, with each installation and removal; the date and the total life in each parameter; "
            "directives, modifications, repairs, maintenance and deferred tasks",
            does="The log card of a unit has these parts in this order, and says of each what these records do not "
            "hold.",
            applied="log card",
        ),
        PublishedRule(
            key="MIL-STD-130N A-II",
            name="MIL-STD-130N, table A-II",
            edition="Change 1, 2012-11-16",
            says="a unique item identifier is the code of the agency that issued the enterprise's, the enterprise's "
            "code and its serial number, or these with the original part number or lot between them",
            does="The identifier of a data plate is formed so. The agency's code is added, since the item does not "
            "bear it; where two can be formed none is taken.",
            applied="data plate",
        ),
        PublishedRule(
            key="MIL-STD-130N IV",
            name="MIL-STD-130N, table IV",
            edition="Change 1, 2012-11-16",
            says="the original part number is never changed; a current part number is a separate element",
            does="A plate that states the part number at manufacture alone agrees with a unit re-identified since; the "
            "current part number never belongs to the identifier.",
            applied="data plate",
        ),
        PublishedRule(
            key="GS1 century",
            name="GS1 General Specifications, determination of the century in dates",
            edition="edition not known",
            says="a year of two digits is the nearest to the year of the day: 49 years before it at most, 50 after",
            does="So is a date of format 05 on a data plate read; a date of manufacture to come is not taken.",
            applied="data plate",
            from_memory=True,
        ),
        PublishedRule(
            key="145.A.55",
            name="145.A.55(a)-(c)",
            edition="UK consolidated text 201121",
            says="detailed maintenance records and associated data are kept 3 years from the "
            "release to service of the aircraft or component",
            does="A release certificate is listed to be kept 36 months from its date, and longer where another "
            "rule asks for it.",
            applied="retention",
        ),
        PublishedRule(
            key="14 CFR 145.219",
            name="14 CFR 145.219",
            edition="as of 2026-04-05",
            says="a repair station keeps its records 2 years from the approval for return to service",
            does="A release certificate is listed to be kept 24 months from its date.",
            applied="retention",
        ),
        PublishedRule(
            key="AMC M.A.305(e)(1)",
            name="AMC M.A.305(e)(1)",
            edition="edition not stated",
            says="the technical log is kept 36 months, longer if an entry needs it",
            does="A movement on an airframe is listed to be kept 36 months from its day.",
            applied="retention",
        ),
        PublishedRule(
            key="M.A.305(e) detailed records",
            name="M.A.305(e), detailed maintenance records",
            edition="edition not known",
            says="detailed maintenance records are kept until superseded by equivalent ones, and at least 36 months",
            does="Work is listed to be kept until the same work is shown to be done again, and at "
            "least 36 months; without that it has no end.",
            applied="retention",
            from_memory=True,
        ),
        PublishedRule(
            key="M.A.305(e) life-limited",
            name="M.A.305(e), life-limited parts",
            edition="edition not known",
            says="the in-service history of a life-limited part is kept 12 months after the part is "
            "permanently withdrawn",
            does="The history of a unit with a life limit has no end until the unit is scrapped, and 12 months then.",
            applied="retention",
            from_memory=True,
        ),
        PublishedRule(
            key="14 CFR 91.417(b)(1)",
            name="14 CFR 91.417(b)(1)",
            edition="edition not known",
            says="records of work are kept until the work is repeated or superseded or for one year after it",
            does="Work and movements are listed to be kept a year from their date. That the text "
            "lets them go earlier, once repeated or superseded, is not used.",
            applied="retention",
            from_memory=True,
        ),
        PublishedRule(
            key="14 CFR 91.417(b)(2)",
            name="14 CFR 91.417(b)(2)",
            edition="edition not known",
            says="the records of current status, of life-limited parts among others, are retained "
            "and transferred with the aircraft at its sale",
            does="The history of a unit with a life limit, and modifications, have no end.",
            applied="retention",
            from_memory=True,
        ),
        PublishedRule(
            key="14 CFR 135.439(b)",
            name="14 CFR 135.439(b)",
            edition="edition not stated",
            says="the records of the last complete overhaul are kept until superseded by work of "
            "equivalent scope and detail",
            does="An overhaul is listed to be kept until a later one is shown to be done; without that it has no end.",
            applied="retention",
        ),
        PublishedRule(
            key="14 CFR 121.380",
            name="14 CFR 121.380",
            edition="edition not known",
            says="as 135.439(b): the records of the last complete overhaul are kept until "
            "superseded by equivalent work",
            does="The same as by 135.439(b).",
            applied="retention",
            from_memory=True,
        ),
        PublishedRule(
            key="145.A.48(a)",
            name="145.A.48(a)",
            edition="text of Regulation (EU) 2015/1536",
            says="after maintenance a general verification shows the component clear of tools, equipment and "
            "extraneous parts, and all access panels refitted",
            does="A safety device placed and not recorded as removed, and a lock broken and not recorded as remade, "
            "are stops, and the door of a planned swap is not released before everything asked for is accounted for.",
        ),
        PublishedRule(
            key="145.A.48 reinspection",
            name="145.A.48, reinspection of own work",
            edition="text of Regulation (EU) 2015/1536, read as quoted",
            says="one person may reinspect their own critical task only in the unforeseen absence of a second person, "
            "with identity and details recorded before the release",
            does="An inspection by the one who did the work is refused without the reason; with it, it is a note that "
            "stays.",
        ),
        PublishedRule(
            key="145.A.48(c)",
            name="145.A.48(c)",
            edition="text of Regulation (EU) 2015/1536",
            says="the risk of multiple errors, and of errors repeated in identical tasks, is minimised",
            does="One person who signed for several doors of one airframe on one day is a note.",
        ),
    )
}


@lru_cache(maxsize=1_024)
def cite(*keys: str) -> str:
    """The rules as a finding cites them; a key that is not in the register is an assertion."""
    for key in keys:
        assert key in RULES, f"{key} is not in the register of published rules"
    return "; ".join(RULES[key].cited for key in keys)


def rules_applied(keys: Iterable[str] = ()) -> tuple[PublishedRule, ...]:
    """The rules on which every due point rests, and those named, in the order of the register."""
    named = set(keys)
    return tuple(rule for rule in RULES.values() if rule.applied == "always" or rule.key in named)


def rules_named(text: str) -> tuple[PublishedRule, ...]:
    """The rules whose key or name is the text, else begins with it, else holds it; marks and case do not matter.

    Refusal: `rule-unknown`, with the nearest.
    """
    wanted = _bare(text)
    for matches in (str.__eq__, str.startswith, str.__contains__):
        found = tuple(
            rule
            for rule in RULES.values()
            if len(wanted) > 2 and any(matches(_bare(name), wanted) for name in (rule.key, rule.name))
        )
        if found:
            return found
    near = nearest(text, RULES)
    raise Refusal(
        "rule-unknown",
        f"There is no published rule {text!r} among those applied here.{f' Did you mean {near}?' if near else ''}",
        remedy="`fleetlife explain` lists the findings and the rules.",
        status=2,
    )


def _bare(text: str) -> str:
    return "".join(character for character in text.lower() if character.isalnum())
