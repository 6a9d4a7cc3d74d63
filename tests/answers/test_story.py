"""The life story of a unit and its log card: what was put right stays to be seen, under both clocks."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from fleetlife.actions.mend import correct, withdraw
from fleetlife.answers.log_card import log_card
from fleetlife.answers.pack import airframe_pack
from fleetlife.answers.story import unit_story
from fleetlife.reports.story import line_blocks
from fleetlife.reports.story import unit_story as report
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.story import StoryLine, UnitStory
from tests.actions.fleet import BOTTLE, SLIDE, Intake, movement, small_fleet, transfer
from tests.reports.rendered import rendered

AS_OF = date(2024, 2, 1)
WHO: dict[str, Any] = {"authorised_by": "Q-7", "recorded_by": "clerk"}


@pytest.fixture
def intake(store: Store, tmp_path: Path) -> Intake:
    """0101 off on 01-10 to a shop and back to stores, 0103 in its place with a bottle."""
    made = Intake(store, tmp_path / "files")
    made.take(small_fleet())
    made.take(
        {
            "movements": [
                movement(
                    "2024-01-10",
                    off="0101",
                    fit="0103",
                    removed_to="store",
                    removal_kind="unscheduled",
                    defect="cover torn",
                    hours_total="10125:00",
                    cycles_total="1012",
                    technical_log="TL-1",
                    certificate="T3",
                )
            ]
        }
    )
    made.take({"transfers": [transfer("0101", "2024-01-15", "shop", organisation="Fulmar Repair", order="RO-1")]})
    return made


def told(store: Store, serial: str, part: str = SLIDE, **clocks: Any) -> UnitStory:
    return unit_story(store, part_number=part, serial_number=serial, **{"as_of": AS_OF, **clocks})


def lines(story: UnitStory, topic: str) -> list[StoryLine]:
    return [line for line in story.lines if line.topic == topic]


def last_entry(store: Store, kind: str) -> int:
    with store.reading() as connection:
        return max(each.number for each in all_entries(connection) if each.kind == kind)


class TestStory:
    def test_a_removal_says_why_and_with_which_totals(self, store: Store, intake: Intake) -> None:
        [removal] = lines(told(store, "0101"), "removal")
        assert (removal.since, removal.registration, removal.position) == ("2024-01-10", "Q-AAA", "L1")
        assert "unscheduled" in removal.text
        assert "defect: cover torn" in removal.text
        assert "log TL-1" in removal.text
        # opened at 1000:00 on 2024-01-01, the airframe at 10 000 + 7 x 8 = 10 056 hours: 69 hours run
        assert (removal.hours_from, removal.hours_since_new) == ("10125:00", "1069:00")

    def test_stays_carry_the_airframes_totals_at_both_ends_with_their_basis(self, store: Store, intake: Intake) -> None:
        on, off, shop = lines(told(store, "0101"), "stay")
        assert (on.since, on.until, on.registration, on.position) == ("2022-05-01", "2024-01-10", "Q-AAA", "L1")
        assert (on.hours_from, on.totals_from, on.hours_until) == ("10056:00", "2024-01-01", "10125:00")
        assert (on.basis_from, on.basis_until) == ("opening", "stated")
        assert (off.since, off.until, off.hours_from) == ("2024-01-10", "2024-01-15", None)
        assert (shop.until, "shop Fulmar Repair" in shop.text, "order RO-1" in shop.text) == (None, True, True)

    def test_what_an_assembly_held_was_carried_with_it(self, store: Store, intake: Intake) -> None:
        [carried] = lines(told(store, "R1", BOTTLE), "carried")
        assert (carried.since, carried.until, carried.registration) == ("2024-01-01", "2024-01-10", "Q-AAA")
        assert (carried.hours_until, carried.basis_until) == ("10125:00", "stated")

    def test_work_says_what_it_restarted(self, store: Store, intake: Intake) -> None:
        [work] = lines(told(store, "0101"), "work")
        assert work.restarts == ("OVH",)
        assert "restarts OVH" in work.text

    def test_work_whose_paper_does_not_show_it_restarts_nothing(self, store: Store, tmp_path: Path) -> None:
        files = small_fleet()
        files["certificates"][0]["status"] = "Inspected/Tested"
        Intake(store, tmp_path / "files").take(files)
        [work] = lines(told(store, "0101"), "work")
        assert work.restarts == ()
        assert work.text.endswith("restarts nothing: the paper named does not show that work")

    def test_the_opening_says_how_it_is_known_and_the_gap_before_it_has_a_name(
        self, store: Store, intake: Intake
    ) -> None:
        story = told(store, "0101")
        [opening] = lines(story, "opening")
        assert "1000:00 hours, 500 cycles since new, quality not stated" in opening.text
        gap, quality = story.holes
        assert (gap.kind, gap.since, gap.until) == ("gap", "2015-03-01", "2022-05-01")
        assert (quality.kind, quality.what) == ("unknown", "quality")

    def test_a_paper_says_whether_its_numbers_agree(self, store: Store, tmp_path: Path) -> None:
        files = small_fleet()
        files["certificates"][0] |= {
            "serial_number": "O101",
            "filed_part_number": SLIDE,
            "filed_serial_number": "0101",
        }
        Intake(store, tmp_path / "files").take(files)
        [paper] = lines(told(store, "0101"), "release")
        assert paper.text.endswith("part number exact, serial number look-alike")


class TestMended:
    def test_a_corrected_statement_stays_struck_through_with_the_entry_that_replaced_it(
        self, store: Store, intake: Intake
    ) -> None:
        wrong = last_entry(store, "movement")
        mended = correct(store, wrong, changes={"defect": "cover worn"}, reason="misread", **WHO)
        old, new = lines(told(store, "0101"), "removal")
        assert (old.standing, old.by_entry, old.entry) == ("replaced", mended.entry, wrong)
        assert old.why == "misread, authorised by Q-7"
        assert (new.standing, new.entry, new.corrects) == ("stands", mended.entry, (wrong,))
        assert f"(entry {mended.entry}, corrects {wrong})" in rendered(report(told(store, "0101")), 200)
        assert ("cover torn" in old.text, "cover worn" in new.text) == (True, True)

        text = rendered(report(told(store, "0101")), 100)
        assert f"[replaced by entry {mended.entry}: misread, authorised by Q-7]" in " ".join(text.split())
        [words] = [block.text for block in line_blocks(old)[:1]]  # type: ignore[attr-defined]
        assert any("strike" in str(span.style) for span in words.spans)
        assert not any("strike" in str(span.style) for span in line_blocks(new)[0].text.spans)  # type: ignore[attr-defined]

    def test_a_withdrawn_statement_is_marked_so(self, store: Store, intake: Intake) -> None:
        wrong = last_entry(store, "transfer")
        gone = withdraw(store, wrong, reason="other unit", **WHO)
        story = told(store, "0101")
        [line] = [line for line in story.lines if line.standing != "stands"]
        assert (line.standing, line.by_entry, line.entry) == ("withdrawn", gone.entry, wrong)
        assert story.mended == 1
        assert f"[withdrawn by entry {gone.entry}: other unit" in " ".join(rendered(report(story), 100).split())
        assert [stay.until for stay in lines(story, "stay") if stay.standing == "stands"] == ["2024-01-10", None]

    def test_as_known_before_it_the_old_statement_stands(self, store: Store, intake: Intake) -> None:
        wrong = last_entry(store, "transfer")
        before = told(store, "0101", known_at=str(wrong))
        withdraw(store, wrong, reason="other unit", **WHO)
        assert told(store, "0101", known_at=str(wrong)) == before
        assert before.mended == 0

    def test_as_of_an_earlier_day_nothing_later_is_told(self, store: Store, intake: Intake) -> None:
        story = told(store, "0101", as_of=date(2024, 1, 12))
        assert max(line.since or "" for line in story.lines) == "2024-01-10"
        withdraw(store, last_entry(store, "transfer"), reason="other unit", **WHO)
        assert told(store, "0101", as_of=date(2024, 1, 12)).mended == 0


class TestFound:
    def test_a_doubtful_stay_is_marked_and_charged_and_has_a_name(self, store: Store, intake: Intake) -> None:
        intake.take({"movements": [movement("2024-01-20", "R1", fit="0104", found="yes")]})
        lost, there = told(store, "0102"), told(store, "0104")
        assert lines(lost, "found")[0].text.startswith("not found at Q-AAA R1")
        assert [line.doubtful for line in lines(lost, "stay")] == [True, True]
        assert [hole.what for hole in lost.holes if hole.kind == "gap" and hole.until is None] == ["where"]
        [charged] = [line for line in lines(there, "carried") if line.doubtful]
        assert charged.basis_from == "doubtful"
        assert any("whole doubtful time" in hole.text for hole in there.holes)


class TestLogCard:
    def card(self, store: Store, serial: str = "0101", part: str = SLIDE) -> Any:
        return log_card(store, part_number=part, serial_number=serial, as_of=AS_OF)

    def test_it_holds_each_installation_and_removal_with_its_total_life(self, store: Store, intake: Intake) -> None:
        on, off = self.card(store).fitted
        assert (on.event, on.into_type, on.into_serial_number, on.into_registration, on.position) == (
            *("fitted before", "ISL-90", "1001"),
            *("Q-AAA", "L1"),
        )
        assert (off.event, off.on, off.hours_since_new, off.basis) == ("removed", "2024-01-10", "1069:00", "stated")
        assert off.reason == "unscheduled, defect: cover torn"

    def test_of_a_child_it_names_the_assembly_and_what_carried_that(self, store: Store, intake: Intake) -> None:
        [fitted] = self.card(store, "R1", BOTTLE).fitted
        assert (fitted.into_part_number, fitted.into_serial_number) == (SLIDE, "0101")
        assert (fitted.into_registration, fitted.position) == ("Q-AAA", "bottle")

    def test_what_these_records_do_not_hold_is_said(self, store: Store, intake: Intake) -> None:
        parts = {part.asked: part for part in self.card(store).parts}
        assert list(parts) == ["directives", "modifications", "repairs", "maintenance", "deferred tasks"]
        assert all(part.not_held for part in parts.values())
        assert [line.partition(",")[0] for line in parts["maintenance"].held] == ["2022-03-10 OVH done"]
        assert parts["directives"].held == ()

    def test_a_directive_is_no_plain_maintenance(self, store: Store, tmp_path: Path) -> None:
        files = small_fleet()
        files["requirements"][0]["source"] = "directive"
        Intake(store, tmp_path / "files").take(files)
        parts = {part.asked: part for part in self.card(store).parts}
        assert parts["directives"].held[0] == "OVH: required by directive in these records"
        assert len(parts["directives"].held) == 2
        assert parts["maintenance"].held == ()


class TestPack:
    def test_it_holds_a_card_for_every_unit_carried_and_the_papers_nobody_filed(
        self, store: Store, intake: Intake
    ) -> None:
        intake.take(
            {
                "accomplishments": [
                    {
                        "part_number": SLIDE,
                        "serial_number": "0102",
                        "requirement": "OVH",
                        "date": "2023-06-01",
                        "certificate": "T-LOST",
                        "certificate_organisation": "Fulmar Repair",
                    }
                ]
            }
        )
        heard: list[int] = []
        pack = airframe_pack(store, registration="Q-AAA", as_of=AS_OF, tell=lambda what, count: heard.append(count))
        assert [card.serial_number for card in pack.units] == ["0103", "R3", "0102", "R2"]
        assert pack.places == ("L1", "L1 bottle", "R1", "R1 bottle")
        assert heard == [1, 2, 3, 4]
        assert [(paper.certificate, paper.filed) for paper in pack.papers] == [("T3", True), ("T2", True)]
        [lost] = pack.not_filed
        assert (lost.certificate, lost.serial_number, lost.named_by) == (
            *("T-LOST", "0102"),
            "accomplishment of 2023-06-01",
        )

    def test_an_airframe_nobody_knows_is_refused(self, store: Store, intake: Intake) -> None:
        with pytest.raises(Refusal) as refused:
            airframe_pack(store, registration="Q-ZZZ", as_of=AS_OF)
        assert refused.value.code == "registration-unknown"


class TestCost:
    def test_a_longer_life_takes_no_more_statements(self, store: Store, intake: Intake) -> None:
        def asked() -> int:
            seen: list[str] = []

            def note(_connection: Any, _cursor: Any, statement: str, *_more: Any) -> None:
                seen.append(statement)

            event.listen(store.engine, "before_cursor_execute", note)
            told(store, "0101")
            event.remove(store.engine, "before_cursor_execute", note)
            return len(seen)

        told(store, "0101")  # the reference data is kept from the first question on
        few = asked()
        days = [f"2024-01-{day}" for day in range(16, 30)]
        intake.take({"transfers": [transfer("0101", day, store=f"Shelf {day}") for day in days]})
        wrong = last_entry(store, "transfer")
        correct(store, wrong, changes={"bin": "B7"}, reason="misread", **WHO)
        told(store, "0101")
        assert asked() <= few + 1  # one for why something was put right
        assert len(lines(told(store, "0101"), "stay")) > 14
