"""What a paper's text says by its blocks: found where it stands, not made up where it does not."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from fleetlife.paper.proposed import Proposal, forms_in, propose, side_proposed
from fleetlife.terms.forms import FORMS
from fleetlife.transfer.pdf import text_of_pdf
from tests.papers import ONE, draw

OLD_TITLES = ("6. Item", "7. Description", "8. Part Number", "10. Quantity", "11. Serial/Batch No.", "12. Status/Work")


def read(path: Path, **fields: Any) -> Proposal:
    return propose(text_of_pdf(draw(path, **fields)))


def once(proposal: Proposal) -> dict[str, str]:
    return {each.column: each.text for each in proposal.once}


def lines(proposal: Proposal) -> list[dict[str, str]]:
    return [{each.column: each.text for each in line} for line in proposal.lines]


class TestBlocks:
    def test_every_block_is_found_by_its_number(self, tmp_path: Path) -> None:
        proposal = read(tmp_path / "one.pdf")
        assert [form.name for form in proposal.forms] == ["EASA Form 1 - MF/145 Issue 2"]
        assert once(proposal) == {
            "authority": "Fuglavik",
            "tracking_number": "HB-40117",
            "organisation": "Hvalba Overhaul",
            "work_order": "WO-7781",
            "remarks": "Overhauled to CMM 25-66-01 revision 7. Torque of 8. stage checked, 11.2 bar.",
            "approval": "FU.145.0042",
            "signatory": "A. Fitter",
            "date": "10 Feb 2024",
        }
        assert lines(proposal) == [
            {
                "item": "1",
                "description": "Evacuation slide",
                "part_number": "QX100-1",
                "quantity": "1",
                "serial_number": "0103",
                "status": "Overhauled",
            }
        ]
        assert {each.column: each.block for each in proposal.once}["date"] == "14e"
        assert proposal.doubts == ()
        assert side_proposed(proposal, "Overhauled") == "maintenance"

    def test_several_items_are_several_lines(self, tmp_path: Path) -> None:
        rows = [
            *ONE,
            ("2", "Reservoir", "QR-7", "1", "R3", "Inspected/Tested"),
            ("3", "Battery", "QB-2", "2", "N/A", "New"),
        ]
        found = lines(read(tmp_path / "many.pdf", rows=rows))
        assert [line["serial_number"] for line in found] == ["0103", "R3", "N/A"]
        assert [line["status"] for line in found] == ["Overhauled", "Inspected/Tested", "New"]

    def test_what_goes_on_in_the_next_line_belongs_to_the_item(self, tmp_path: Path) -> None:
        rows = [*ONE, ("", "with lanyard", "", "", "", ""), ("2", "Reservoir", "QR-7", "1", "R3", "Repaired")]
        found = lines(read(tmp_path / "long.pdf", rows=rows))
        assert [line["description"] for line in found] == ["Evacuation slide with lanyard", "Reservoir"]

    def test_an_empty_block_is_not_filled_from_its_neighbour(self, tmp_path: Path) -> None:
        rows = [("1", "Evacuation slide", "QX100-1", "", "", "Overhauled")]
        (line,) = lines(read(tmp_path / "empty.pdf", rows=rows))
        assert line.keys() == {"item", "description", "part_number", "status"}

    def test_numbers_of_an_older_edition(self, tmp_path: Path) -> None:
        """On the form of 2001 serial, status and remarks stand one number later."""
        proposal = read(
            tmp_path / "old.pdf",
            form="FAA Form 8130-3",
            footer="FAA Form 8130-3 (06-01)",
            titles=OLD_TITLES,
            remarks="13. Remarks",
            signed=("21. Certificate Number", "22. Name", "23. Date"),
        )
        assert [form.name for form in proposal.forms] == ["FAA Form 8130-3 (06-01)"]
        (line,) = proposal.lines
        assert {each.column: each.block for each in line}["serial_number"] == "11"
        assert {each.column: each.block for each in line}["status"] == "12"
        assert once(proposal)["date"] == "10 Feb 2024"
        assert once(proposal)["remarks"].startswith("Overhauled")

    def test_titles_printed_in_two_lines(self) -> None:
        text = """EASA Form 1 - MF/145 Issue 2
1. Approving Competent       3. Form Tracking
Authority / Country:         Number
Fuglavik                     HB-40117
4. Organisation Name and     5. Work Order / Contract /
Address:                     Invoice:
Hvalba Overhaul              WO-7781
8. Part No.   10. Serial     11. Status/Work
              No.
QX100-1       0103           Overhauled
"""
        proposal = propose(text)
        assert once(proposal) == {
            "authority": "Fuglavik",
            "tracking_number": "HB-40117",
            "organisation": "Hvalba Overhaul",
            "work_order": "WO-7781",
        }
        assert lines(proposal) == [{"part_number": "QX100-1", "serial_number": "0103", "status": "Overhauled"}]

    def test_a_number_that_begins_like_a_title_is_kept_whole(self) -> None:
        text = "EASA Form 1\n8. Part   10. Serial\nNo-1      NO123\n"
        assert lines(propose(text)) == [{"part_number": "No-1", "serial_number": "NO123"}]

    def test_a_family_without_an_edition_stays_open(self, tmp_path: Path) -> None:
        proposal = read(tmp_path / "family.pdf", footer="")
        assert {form.family for form in proposal.forms} == {"EASA Form 1"}
        assert len(proposal.forms) > 1
        assert lines(proposal)[0]["serial_number"] == "0103"

    def test_a_paper_that_names_no_form_is_not_read(self, tmp_path: Path) -> None:
        proposal = read(tmp_path / "none.pdf", form="", footer="")
        assert proposal.forms == ()
        assert proposal.once == ()
        assert proposal.lines == ()
        assert proposal.doubts

    def test_two_signatures_that_differ_are_a_doubt(self) -> None:
        text = "EASA Form 1\n13e. Date: 1 Feb 2024      14e. Date: 2 Feb 2024\n"
        proposal = propose(text, form=next(form for form in FORMS if form.name == "CAA Form 1"))
        assert once(proposal)["date"] == "1 Feb 2024"
        assert "14e says 2 Feb 2024" in proposal.doubts[0]

    @given(st.text(max_size=400))
    def test_any_text_gives_an_answer(self, text: str) -> None:
        for form in (None, *FORMS):
            found = propose(text, form=form)
            assert all(each.text for each in found.once)

    @given(st.text(alphabet="0123456789abcde. :\nNameDateSerialPart", max_size=300))
    def test_so_does_text_like_a_form(self, text: str) -> None:
        for form in FORMS:
            for line in propose(text, form=form).lines:
                assert {"part_number", "serial_number"} & {each.column for each in line}


def test_the_name_of_a_form_in_the_text() -> None:
    assert [form.name for form in forms_in("see FAA  Form 8130-3\n(02-14)")] == ["FAA Form 8130-3 (02-14)"]
    assert forms_in("a letter") == ()
