"""The release forms against what was published of them: blocks by number and edition, terms, corrections.

READ: the sentence was seen in a copy of the public text. MEMORY: from memory; the table must say so of the same block.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import pytest

from fleetlife.actions.take_in import RowsRefused
from fleetlife.answers.audit import audit
from fleetlife.paper.forms import block_number, lumped, serial_missing, sides_mixed, term_fault, used_before
from fleetlife.paper.status import proves
from fleetlife.store.engine import Store
from fleetlife.terms.forms import FORMS, NEW_NUMBER, SAME_NUMBER, ReleaseForm, forms_named
from fleetlife.terms.published import RULES
from tests.checks.fleet import AS_OF, fleet

APPENDIX_II = "Appendix II to Part-M, Regulation (EU) No 1321/2014, text of 2020-03-24"
ORDER = "FAA Order 8130.21"
NOTICE = "FAA notice of the form printed (02-14), in force from 1 Feb 2014"
ISSUE_2, ISSUE_3 = "EASA Form 1 - MF/145 Issue 2", "EASA Form 1 - MF/CAO/145 Issue 3"
OLD, NEW = "FAA Form 8130-3 (06-01)", "FAA Form 8130-3 (02-14)"

# (form, side, column, block, read, document)
BLOCKS = [
    *(
        (form, "maintenance", column, number, True, APPENDIX_II)
        for form in (ISSUE_2, ISSUE_3, "CAA Form 1")
        for number, column in (
            ("1", "authority"),
            ("2", "form"),
            ("3", "tracking_number"),
            ("4", "organisation"),
            ("5", "work_order"),
            ("6", "item"),
            ("7", "description"),
            ("8", "part_number"),
            ("9", "quantity"),
            ("10", "serial_number"),
            ("11", "status"),
        )
    ),
    # Appendix II, block 12 and the right hand side: MEMORY
    *(
        (form, "maintenance", column, number, False, "memory of Appendix II")
        for form in (ISSUE_2, ISSUE_3, "CAA Form 1")
        for number, column in (("12", "remarks"), ("14c", "approval"), ("14d", "signatory"), ("14e", "date"))
    ),
    # the block that holds the term on the production form: READ; the left hand side: MEMORY
    ("EASA Form 1-21 Issue 2", "production", "status", "11", True, "Part 21 form, terms New and Prototype"),
    ("EASA Form 1-21 Issue 2", "production", "date", "13e", False, "memory of the Part 21 form"),
    # Order 8130.21 and the notice of the new form: the numbers moved (READ)
    (OLD, "maintenance", "serial_number", "11", True, ORDER),
    (OLD, "maintenance", "status", "12", True, ORDER),
    (OLD, "maintenance", "remarks", "13", True, ORDER),
    (OLD, "production", "approval", "16", False, "memory of the (06-01) form; that approval begins at 14 was READ"),
    (NEW, "maintenance", "serial_number", "10", True, NOTICE),
    (NEW, "maintenance", "status", "11", True, NOTICE),
    (NEW, "maintenance", "remarks", "12", True, NOTICE),
    (NEW, "maintenance", "date", "14e", False, "14a to 14e are the right side: READ; which letter is which: memory"),
    (NEW, "production", "date", "13e", False, "13a to 13e are the left side: READ; which letter is which: memory"),
    (OLD, "maintenance", "tracking_number", "3", True, "sofema page on block 3 of the 8130-3"),
    (NEW, "maintenance", "tracking_number", "3", True, "sofema page on block 3 of the 8130-3"),
]


def form(name: str) -> ReleaseForm:
    [found] = forms_named(name)
    return found


class TestBlocks:
    @pytest.mark.parametrize(("name", "side", "column", "number", "read", "document"), BLOCKS)
    def test_each_statement_stands_in_the_block_that_the_form_has_for_it(
        self, name: str, side: str, column: str, number: str, read: bool, document: str
    ) -> None:
        assert block_number([form(name)], column, side) == number, document
        [block] = [each for each in form(name).blocks if each.number == number]
        assert (block.column, block.read) == (column, read), document

    def test_the_editions_of_one_form_are_not_numbered_alike(self) -> None:
        """NOTICE (READ): serial 11 became 10, status 12 became 11, remarks 13 became 12."""
        both = forms_named("FAA Form 8130-3")
        assert {each.name for each in both} == {OLD, NEW}
        for column in ("serial_number", "status", "remarks"):
            assert block_number(both, column) is None
        assert block_number(both, "tracking_number") == "3"

    def test_no_form_has_a_number_twice_and_every_column_is_one_of_the_file(self) -> None:
        from fleetlife.transfer.columns import file_named

        for each in FORMS:
            numbers = [block.number for block in each.blocks]
            assert len(numbers) == len(set(numbers)), each.name
            assert {block.column for block in each.blocks} - {None} <= set(file_named("certificates").column_names)


class TestEditions:
    """Footers and notices (READ)."""

    @pytest.mark.parametrize(
        ("name", "before", "first"),
        [
            (NEW, "2014-01-31", "2014-02-01"),  # NOTICE
            ("CAA Form 1", "2020-12-30", "2020-12-31"),  # UK text of Appendix II, legislation.gov.uk of 2024-07-01
            (ISSUE_3, "2019-12-31", "2020-01-01"),  # the footer is in use from 2020 on
        ],
    )
    def test_an_edition_is_not_used_before_it_is_there(self, name: str, before: str, first: str) -> None:
        from datetime import date

        assert used_before([form(name)], date.fromisoformat(before).toordinal()) is not None
        assert used_before([form(name)], date.fromisoformat(first).toordinal()) is None

    def test_of_the_older_issue_no_first_day_was_read(self) -> None:
        assert form(ISSUE_2).valid_from is None
        assert not form(OLD).valid_from_read


class TestTerms:
    def test_a_maintenance_form_1_knows_four_terms_and_the_one_for_a_used_component(self) -> None:
        """Appendix II block 11: Overhauled READ (FAQ 142042), Repaired, Inspected/Tested and Modified MEMORY; Inspected
        for a used component whose history is not complete READ (ED 2010/002/R)."""
        assert {term.term: term.read for term in form(ISSUE_3).terms} == {
            "overhauled": True,
            "repaired": False,
            "inspected/tested": False,
            "modified": False,
            "inspected": True,
        }

    def test_a_production_form_knows_new_and_prototype(self) -> None:
        """Part 21 form, block 11 (READ)."""
        assert {term.term: term.read for term in form("EASA Form 1-21 Issue 2").terms} == {
            "new": True,
            "prototype": True,
        }

    def test_an_8130_3_has_the_pair_and_each_alone(self) -> None:
        """Order 8130.21, sofema page (READ): Inspected and/or Tested, either or both."""
        for status in ("Inspected", "Tested", "Inspected and Tested", "Inspected/Tested"):
            assert term_fault([form(NEW)], "maintenance", status) is None

    @pytest.mark.parametrize("status", ["Overhauled, Modified", "Overhauled and Repaired", ""])
    def test_a_form_1_holds_exactly_one(self, status: str) -> None:
        """Appendix II block 11 (READ)."""
        fault = term_fault([form(ISSUE_3)], "maintenance", status)
        assert fault is not None
        assert fault.grave

    def test_production_and_maintenance_are_never_on_one_certificate(self) -> None:
        """Appendix II (READ)."""
        assert sides_mixed([(None, "New"), (None, "Overhauled")]) == ("maintenance", "production")
        assert sides_mixed([(None, "Overhauled"), (None, "Repaired")]) == ()

    def test_what_only_says_inspected_and_tested_is_not_enough_for_a_life_nor_an_overhaul(self) -> None:
        """AESA (READ)."""
        assert not proves("life_limit", "Inspected/Tested")
        assert not proves("overhaul", "Inspected/Tested")
        assert "back to birth" in RULES["AESA on Inspected/Tested"].says


class TestNumbersOnPaper:
    def test_various_is_no_number(self) -> None:
        """Order 8130.21G, 3-5 (READ)."""
        assert lumped("VARIOUS")
        assert lumped("Various - see attached list")
        assert not lumped("0815")

    def test_an_item_without_a_serial_number_says_so_in_the_one_way(self) -> None:
        """Appendix II block 10 (READ): N/A if the item has none; the 8130-3 the same: MEMORY."""
        assert not serial_missing("N/A")
        assert all(serial_missing(text) for text in ("", "NONE", "nil", "-"))

    def test_an_8130_3_is_for_one_part_number_and_a_form_1_has_line_items(self) -> None:
        """Order 8130.21G, 3-5 (READ); Appendix II block 6 (READ)."""
        assert {each.name for each in FORMS if each.one_part} == {OLD, NEW}


class TestCorrections:
    def test_a_form_1_gets_a_new_number(self) -> None:
        """MEMORY: a new certificate with a new tracking number, signature and date, that says what it corrects."""
        for name in (ISSUE_2, ISSUE_3, "EASA Form 1-21 Issue 2", "CAA Form 1"):
            assert (form(name).correction, form(name).correction_read) == (NEW_NUMBER, False)
            assert "corrects block(s) X of certificate N dated D" in form(name).remark
        assert RULES["Form 1 corrected"].from_memory

    def test_an_8130_3_keeps_its_number_for_a_slip_of_the_pen(self) -> None:
        """Order 8130.21, 2-10 (READ): the opposite of the Form 1."""
        for name in (OLD, NEW):
            assert (form(name).correction, form(name).correction_read) == (SAME_NUMBER, True)
        assert not RULES["FAA Order 8130.21 re-issue"].from_memory

    def test_every_form_names_rules_of_the_register(self) -> None:
        assert all(rule in RULES for each in FORMS for rule in each.rules)


class TestNamed:
    def test_by_its_name_whatever_the_case_and_marks(self) -> None:
        assert forms_named("easa form 1, MF/CAO/145, issue 3") == (form(ISSUE_3),)

    def test_by_its_family_all_editions_come_in_question(self) -> None:
        assert [each.name for each in forms_named("EASA Form 1")] == [ISSUE_2, ISSUE_3, "EASA Form 1-21 Issue 2"]

    @pytest.mark.parametrize("text", ["Form One", "Form 1", "8130-3", "", None])
    def test_nothing_else_is_forgiven(self, text: str | None) -> None:
        assert forms_named(text) == ()


class TestFromFilesToFindings:
    """The check values of the trade, from the file of certificates to what an audit says. Appendix II to Part-M: READ
    but for the number of a correction (MEMORY); Order 8130.21: READ; AESA: READ."""

    paper: ClassVar[dict[str, object]] = {
        "tracking_number": "P-1",
        "organisation": "Petrel Works",
        "part_number": "RV-7",
        "serial_number": "R9001",
        "status": "Inspected/Tested",
        "date": "2024-04-10",
        "form": ISSUE_3,
    }

    def found(self, store: Store, folder: Path, *papers: dict[str, object]) -> list[tuple[str, str]]:
        made = fleet(1)
        made.add("certificates", *({**self.paper, **paper} for paper in papers))
        made.take(store, folder)
        return [(each.code, each.severity) for each in audit(store, as_of=AS_OF).findings]

    @pytest.mark.parametrize(
        ("paper", "expected"),
        [
            ({}, []),
            # 49: Form 1 block 11, Overhauled, Modified: one term only
            ({"status": "Overhauled, Modified"}, [("FRM101", "rectify")]),
            # 50: 8130-3 block 11, Inspected and Tested: accepted; and each alone
            ({"status": "Inspected and Tested", "form": NEW}, []),
            ({"status": "Tested", "form": NEW}, []),
            # 52: a corrected Form 1 under the same tracking number
            ({"corrects": "P-1", "remarks": "Corrects block 7 of P-1."}, [("FRM106", "rectify")]),
            # Order 8130.21, 2-10: a slip of the pen is corrected under the same number
            ({"corrects": "P-1", "form": NEW}, []),
            # Order 8130.21G, 3-5
            ({"serial_number": "various", "form": NEW}, [("FRM102", "rectify"), ("PAP111", "rectify")]),
        ],
    )
    def test_one_paper(
        self,
        sqlite_store: Store,
        tmp_path: Path,
        paper: dict[str, object],
        expected: list[tuple[str, str]],
    ) -> None:
        assert self.found(sqlite_store, tmp_path / "files", paper) == expected

    def test_48_an_item_without_a_serial_number_says_so(self, sqlite_store: Store, tmp_path: Path) -> None:
        """Block 10 (READ): an empty block is refused as it is typed, N/A is taken."""
        with pytest.raises(RowsRefused) as refused:
            self.found(sqlite_store, tmp_path / "empty", {"serial_number": ""})
        assert [problem.column for problem in refused.value.problems] == ["serial_number"]
        lot = {"part_number": "RV-7-KIT", "serial_number": "N/A", "quantity": 12}
        assert self.found(sqlite_store, tmp_path / "lot", lot) == [("PAP111", "rectify")]

    def test_51_new_and_overhauled_lines_are_mixed(self, sqlite_store: Store, tmp_path: Path) -> None:
        """Appendix II (READ)."""
        lines = ({"form": "CAA Form 1"}, {"form": "CAA Form 1", "serial_number": "R9002", "status": "New"})
        assert self.found(sqlite_store, tmp_path / "files", *lines) == [("FRM104", "rectify")]

    def test_53_a_life_limited_part_needs_more_than_inspected_and_tested(
        self, sqlite_store: Store, tmp_path: Path
    ) -> None:
        """AESA (READ): back to birth with the cycles; the records have none, and the paper says none."""
        made = fleet(1)
        limit = {"requirement": "LIM", "part_number": "RV-7", "kind": "life_limit", "first_cycles": 20_000}
        made.add("requirements", {**limit, "source": "airworthiness_limitation", "edition": "3", "reference": "ALS 5"})
        made.add("certificates", self.paper)
        made.take(sqlite_store, tmp_path / "files")
        found = {(each.code, each.serial_number) for each in audit(sqlite_store, as_of=AS_OF).findings}
        assert ("PAP113", "R9001") in found
        assert ("LIF110", "R9001") in found
