"""Release certificates: the one term, what it shows, the number of what has none, and papers that correct others."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import ClassVar

import pytest

from fleetlife.actions.take_in import RowsRefused
from fleetlife.answers.swap_check import swap_check
from fleetlife.paper.agreement import compare_numbers
from fleetlife.paper.status import form_side, is_new, is_release, proves, status_fault, status_term
from fleetlife.store.engine import Store
from fleetlife.store.papers import lines_of

from .trade import Row, iso, points_of, small_world, take

BLOCK_11 = "EASA Form 1, Appendix II to Part-M, block 11, READ: exactly one term, the one covering most of the work"
OVERHAULED = (
    "EASA FAQ 142042 quoting Appendix II, READ: full conformity with all applicable service tolerances; at least "
    "disassembly, cleaning, inspection, repair as needed, reassembly and test"
)
FORM_8130_3 = "FAA Form 8130-3, Order 8130.21, READ: Inspected and Tested either or both"
AESA = (
    "Spanish authority AESA, question on Inspected/Tested, READ: for life-limited items back to birth or back to "
    "overhaul always, with the times and cycles and the last certificate of overhaul or new"
)
BLOCK_10 = "EASA Form 1, Appendix II to Part-M, block 10, READ: N/A if the item has no serial number"


class TestExactlyOneTerm:
    @pytest.mark.parametrize("term", ["Overhauled", "Repaired", "Inspected/Tested", "Modified", "New", "Prototype"])
    def test_each_term_of_the_form_is_one(self, term: str) -> None:
        """Appendix II to Part-M and the Part 21 form: Overhauled, New, Prototype READ; the others from memory."""
        assert status_fault(term) is None
        assert status_term(term.upper()) == term.lower()

    @pytest.mark.parametrize(
        "printed", ["Overhauled, Modified", "Repaired / Modified", "New Overhauled", "", "Serviceable"]
    )
    def test_two_terms_or_none_of_them_are_a_fault(self, printed: str) -> None:
        assert status_term(printed) is None
        assert status_fault(printed) is not None, BLOCK_11

    @pytest.mark.parametrize("printed", ["Inspected/Tested", "INSPECTED", "Tested", "Inspected and Tested"])
    def test_inspected_and_tested_are_one_or_two_and_no_fault(self, printed: str) -> None:
        assert status_fault(printed) is None, FORM_8130_3

    def test_production_and_maintenance_are_two_sides(self) -> None:
        """Appendix II to Part-M (READ): production and maintenance items are never mixed on one certificate."""
        terms = ("New", "Prototype", "Overhauled", "Repaired", "Inspected/Tested", "Modified")
        assert [form_side(term) for term in terms] == ["production"] * 2 + ["maintenance"] * 4

    def test_a_prototype_is_not_released_for_use(self) -> None:
        """Part 21 form (READ): Prototype is made to data that is not approved; New is new production."""
        assert (is_release("Prototype"), is_release("New"), is_new("New"), is_new("Overhauled")) == (
            False,
            True,
            True,
            False,
        )


class TestWhatATermShows:
    def test_only_overhauled_or_better_shows_an_overhaul(self) -> None:
        """FAQ 142042 (READ). Rebuilt of the FAA form is from memory."""
        shows = {term: proves("overhaul", term) for term in ("Overhauled", "New", "Rebuilt")}
        fails = {
            term: proves("overhaul", term)
            for term in (
                "Repaired",
                "Inspected/Tested",
                "Inspected",
                "Tested",
                "Modified",
                "Prototype",
                "Overhauled, Modified",
            )
        }
        assert (set(shows.values()), set(fails.values())) == ({True}, {False}), OVERHAULED

    def test_an_overhaul_includes_inspection_and_test(self) -> None:
        """FAQ 142042 (READ): at least inspection and test are part of it."""
        assert proves("inspection", "Overhauled")
        assert proves("functional_test", "Overhauled")

    @pytest.mark.parametrize("term", ["New", "Overhauled", "Repaired", "Inspected/Tested", "Modified"])
    def test_none_restarts_a_life(self, term: str) -> None:
        """14 CFR 43.10(a) (READ): a mandatory replacement limit; no work on the part renews it."""
        assert not proves("life_limit", term)


class TestInspectedTestedAlone:
    """AESA (READ): on condition it is enough, for hard time and life it is not."""

    def world(self, *, since_new: bool) -> dict[str, list[Row]]:
        name = {"part_number": "QC-1", "serial_number": "0815"}
        paper = {"organisation": "Petrel Works", **name}
        claim = {**name, "requirement": "OVH", "certificate_organisation": "Petrel Works"}
        counts = {"hours_since_new": "9000:00", "cycles_since_new": 4_500} if since_new else {}
        return small_world(
            requirements=[
                {"requirement": "OVH", "part_number": "QC-1", "kind": "overhaul", "repeat_months": 36},
                {
                    "requirement": "LIFE",
                    "part_number": "QC-1",
                    "kind": "life_limit",
                    "start": "manufacture",
                    "first_hours": "20000:00",
                },
            ],
            units=[{**name, "as_of": "2022-01-01", "store": "Main", "manufactured": "2012-05", **counts}],
            certificates=[
                {**paper, "tracking_number": "P-100", "status": "Overhauled", "date": "2020-03-02"},
                {**paper, "tracking_number": "P-200", "status": "Inspected/Tested", "date": "2023-03-01"},
            ],
            accomplishments=[
                {**claim, "date": "2020-03-02", "certificate": "P-100"},
                {**claim, "date": "2023-03-01", "certificate": "P-200"},
            ],
        )

    def test_the_overhaul_counts_from_the_last_one_shown(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", self.world(since_new=True))
        (overhaul,) = [p for p in points_of(store, "0815") if p.calendar_due is not None]
        assert iso(overhaul.calendar_due) == "2023-03-02", AESA
        assert "the paper of 2023-03-01 does not show this work" in (overhaul.basis or "")

    def test_with_only_that_paper_nothing_is_known(self, store: Store, tmp_path: Path) -> None:
        files = self.world(since_new=True)
        files["certificates"], files["accomplishments"] = files["certificates"][1:], files["accomplishments"][1:]
        take(store, tmp_path / "files", files)
        assert [p.standing for p in points_of(store, "0815") if p.left_minutes is None] == ["unknown"], AESA
        assert "not-proven-by-paper" in str([p.unknown for p in points_of(store, "0815")])

    def test_a_life_without_its_total_stays_unknown_whatever_was_tested(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", self.world(since_new=False))
        (life,) = [p for p in points_of(store, "0815") if "no-count-since-new" in (p.unknown or "")]
        assert (life.standing, life.left_minutes, life.due_minutes) == ("unknown", None, None), AESA

    def test_with_its_total_the_life_left_is_known(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", self.world(since_new=True))
        (life,) = [p for p in points_of(store, "0815") if p.left_minutes is not None]
        assert life.left_minutes == (20_000 - 9_000) * 60


class TestItemsWithoutASerialNumber:
    """EASA Form 1 block 10 (READ); the same on the 8130-3 from memory."""

    @pytest.mark.parametrize("printed", ["N/A", "n/a", "NA"])
    def test_not_applicable_is_what_their_paper_says(self, printed: str) -> None:
        assert compare_numbers(printed, "OWN:7731", kind="serial").same, BLOCK_10

    def test_an_empty_block_is_not_enough(self) -> None:
        assert not compare_numbers("", "OWN:7731", kind="serial").same, BLOCK_10

    def test_not_applicable_is_wrong_for_a_unit_that_has_one(self) -> None:
        assert compare_numbers("N/A", "0815", kind="serial").verdict == "different"


class TestCorrectedPapers:
    """The two forms differ: a corrected Form 1 is a new certificate with a new number that names the first (from
    memory); the re-issue of an 8130-3 for a slip of the pen keeps its number (Order 8130.21, READ)."""

    paper: ClassVar[Row] = {
        "tracking_number": "P-300",
        "organisation": "Petrel Works",
        "part_number": "QC-1",
        "serial_number": "0851",
        "status": "Overhauled",
        "date": "2023-03-01",
        "filed_part_number": "QC-1",
        "filed_serial_number": "0815",
    }

    def world(self, *papers: Row) -> dict[str, list[Row]]:
        name = {"part_number": "QC-1", "serial_number": "0815"}
        return small_world(units=[{**name, "as_of": "2022-01-01", "store": "Main"}], certificates=list(papers))

    def test_a_new_certificate_stands_beside_the_one_it_corrects(self, store: Store, tmp_path: Path) -> None:
        new = {
            **self.paper,
            "tracking_number": "P-301",
            "serial_number": "0815",
            "date": "2023-03-20",
            "corrects": "P-300",
        }
        take(store, tmp_path / "files", self.world(self.paper, new))
        with store.reading() as connection:
            kept = [line for number in ("P-300", "P-301") for line in lines_of(connection, number)]
        assert [(line.tracking_number, line.serial_verdict) for line in kept] == [
            ("P-300", "transposed"),
            ("P-301", "exact"),
        ]

    def test_the_same_number_with_other_content_is_not_taken_in_quietly(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", self.world(self.paper))
        with pytest.raises(RowsRefused) as refused:
            take(store, tmp_path / "files", {"certificates": [{**self.paper, "date": "2023-03-02"}]})
        (problem,) = refused.value.problems
        assert "correct" in problem.remedy

    def test_a_release_is_no_approval_to_install(self, store: Store, tmp_path: Path) -> None:
        """Appendix II to Part-M (READ): the certificate is not approval to install on any particular aircraft; and
        M.A.501(b) (READ): only where the maintenance data specifies the particular component."""
        good = {**self.paper, "serial_number": "0815"}
        take(store, tmp_path / "files", self.world(good))
        answer = swap_check(
            store,
            registration="Q-ONE",
            position="L1",
            part_number="QC-1",
            serial_number="0815",
            as_of=date(2024, 3, 22),
        )
        assert answer.outcome == "do not fit"
        assert "FIT101" in {reason.code for reason in answer.reasons if reason.verdict == "stop"}
