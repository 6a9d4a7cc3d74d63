"""`unit --explain`: every due date of the demo unfolded, its sums done again, and the expert answered in its words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from fleetlife.answers.due import due
from fleetlife.answers.unfold import unfolded
from fleetlife.store.engine import Store
from fleetlife.store.facts import entry as entry_of
from fleetlife.terms.measure import hours_text
from fleetlife.terms.views import PASSAGES, Passage, Unfolded
from tests.cli.running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife

AS_OF = date.fromisoformat(TODAY)


def minutes(text: object) -> int:
    sign = -1 if str(text).startswith("-") else 1
    hours, rest = str(text).lstrip("-").split(":")
    return sign * (int(hours) * 60 + int(rest))


def figure(passage: Passage, name: str) -> int:
    value = dict(passage.figures)[name]
    return minutes(value) if ":" in str(value) else int(str(value))


@pytest.fixture(scope="module")
def everything(demo: Store) -> list[Unfolded]:
    """Every row of every unit that has one."""
    rows = due(demo, as_of=AS_OF, everything=True).rows
    units = sorted({(row.part_number, row.serial_number, row.manufacturer) for row in rows}, key=str)
    found: list[Unfolded] = []
    for part, serial, manufacturer in units:
        answer = unfolded(demo, part_number=part, serial_number=serial, manufacturer=manufacturer, as_of=AS_OF)
        found.extend(answer.due)
    assert len(found) == len(rows)
    return found


def of(each: Unfolded, topic: str) -> Iterator[Passage]:
    return (passage for passage in each.passages if passage.topic == topic)


class TestEveryRow:
    def test_is_the_row_of_the_due_list(self, demo: Store, everything: list[Unfolded]) -> None:
        listed = due(demo, as_of=AS_OF, everything=True).rows
        assert sorted((each.row for each in everything), key=repr) == sorted(listed, key=repr)

    def test_has_rule_day_and_doubt_in_the_order_of_reckoning(self, everything: list[Unfolded]) -> None:
        for each in everything:
            topics = [passage.topic for passage in each.passages]
            assert topics == sorted(topics, key=PASSAGES.index)
            assert {"rule", "today", "false if"} <= set(topics)

    def test_does_its_sums_right(self, everything: list[Unfolded]) -> None:
        """Due total = total at the start of the carriage + limit - what was run before; and it is the row's."""
        counted = 0
        for each in everything:
            for passage in of(each, "due point"):
                if "airframe_due" not in dict(passage.figures):
                    continue
                total = figure(passage, "airframe_at_start") + figure(passage, "limit") - figure(passage, "run_before")
                assert total == figure(passage, "airframe_due")
                row = each.row
                assert total in (row.airframe_hours_due, row.airframe_cycles_due, row.counter_due)
                words = hours_text(total) if passage.text.startswith("Hours") else str(total)
                assert f"= {words} of its total" in passage.text
                counted += 1
        assert counted > 50

    def test_names_the_dates_of_the_row(self, everything: list[Unfolded]) -> None:
        for each in everything:
            (today,) = of(each, "today")
            told = dict(today.figures)
            assert told["state"] == each.row.state
            assert told.get("due_date") == each.row.due_date
            dates = {
                dict(p.figures)["calendar_due"] for p in of(each, "due point") if "calendar_due" in dict(p.figures)
            }
            assert dates == ({each.row.calendar_due} - {None})

    def test_names_entries_that_speak_of_it(self, demo: Store, everything: list[Unfolded]) -> None:
        numbers = {number for each in everything for passage in each.passages for number in passage.entries}
        with demo.reading() as connection:
            kinds = {number: entry_of(connection, number).body["kind"] for number in numbers}
        for each in everything:
            for passage in each.passages:
                for number in passage.entries:
                    assert (kinds[number] == "requirement") == (passage.topic == "rule")

    def test_says_of_what_is_unknown_what_would_clear_it(self, everything: list[Unfolded]) -> None:
        unknown = [each for each in everything if each.row.state == "unknown" and each.row.requirement]
        assert unknown
        for each in unknown:
            assert any("What would clear it:" in passage.text for passage in of(each, "due point"))


def words(store: Store, part: str, serial: str, requirement: str, topic: str, on: str = TODAY) -> str:
    answer = unfolded(
        store, part_number=part, serial_number=serial, requirement=requirement, as_of=date.fromisoformat(on)
    )
    (each,) = answer.due
    return " ".join(passage.text for passage in of(each, topic))


class TestExpansionTests:
    def test_a_failed_test_is_told_and_the_date_stays_at_the_one_before(self, demo: Store) -> None:
        told = words(demo, "TH-880-1", "R88052", "HST", "expansion test")
        assert "2023-08: expansion test of a DOT-3AA1850 cylinder" in told
        assert "permanent 17.1, which is 10.05 % of the total" in told
        assert "condemned the cylinder" in words(demo, "TH-880-1", "R88052", "HST", "restarts nothing")
        assert "2028-08-31" in words(demo, "TH-880-1", "R88052", "HST", "due point")

    def test_where_no_figures_are_recorded_nothing_is_told(self, demo: Store) -> None:
        assert words(demo, "TH-880-1", "R88051", "HST", "expansion test") == ""


class TestTheExpert:
    def test_the_packs_release_restarts_nothing_in_its_reservoir(self, demo: Store) -> None:
        assert "done 2024-11 (mark)" in words(demo, "TH-410-2", "R42002", "HST", "basis")
        assert "36 months from 2024-11-01 end on 2027-11-01, rounded up to 2027-11-30" in words(
            demo, "TH-410-2", "R42002", "HST", "due point"
        )
        told = words(demo, "TH-410-2", "R42002", "HST", "restarts nothing")
        assert "KV-2100-3 20125, which holds it, was released 2026-03" in told
        assert "the release of an assembly restarts nothing in what it holds" in told

    def test_off_for_access_and_back_restarts_nothing(self, demo: Store) -> None:
        told = words(demo, "KV-2100-3", "20126", "OVH", "restarts nothing")
        assert "Fitted again 2025-09-03: taking a unit off and fitting it again restarts nothing." in told
        assert "36 months from 2025-02-01 end on 2028-02-01" in words(demo, "KV-2100-3", "20126", "OVH", "due point")

    def test_a_paper_that_says_inspected_restarts_nothing(self, demo: Store) -> None:
        told = words(demo, "KV-3300-1", "33114", "OVH", "restarts nothing")
        assert "OVH of 2026-02-07 is claimed, but the certificate named does not show that work" in told
        assert "By EASA FAQ 142042, quoting Appendix II to Part-M (date not stated)." in told
        assert "done 2022-08-16" in words(demo, "KV-3300-1", "33114", "OVH", "basis")

    def test_a_test_of_a_cylinder_names_the_rule_of_the_mark_and_its_edition(self, demo: Store) -> None:
        told = words(demo, "TH-410-2", "R42002", "HST", "basis")
        assert "A requalification counts from the mark on the cylinder, by 49 CFR 180.213 (2007 edition)." in told

    def test_what_the_former_programme_says_stands_beside_it(self, demo: Store) -> None:
        told = words(demo, "KV-1800-1", "18001", "OVH", "other programme")
        assert "It was kept under SKARHOLM until 2026-08-18, and is judged by FUGLAVIK now." in told
        assert "due 2028-11-24 under SKARHOLM edition 4, due 2029-11-24 under FUGLAVIK edition 2" in told

    def test_charged_before_its_date_it_may_stay_and_the_rule_is_named(self, demo: Store) -> None:
        rule = words(demo, "TH-410-2", "R42001", "HST", "rule")
        assert "it may not be refilled or newly fitted (PHMSA letter 11-0131 of 2011-09-01, under 49 CFR" in rule
        assert "it may stay until emptied, not be refilled" in words(demo, "TH-410-2", "R42001", "HST", "today")

    def test_guessed_figures_are_named_and_the_date_without_them(self, demo: Store) -> None:
        told = words(demo, "KV-3300-1", "33202", "OVH", "estimates")
        assert told.endswith("Without estimates and projections, by the calendar alone: 2027-01-10.")
        bounded = words(demo, "KV-3300-1", "33120", "OVH", "estimates")
        assert "Q-SKK at the start on 2023-11-30: how long it was there is not known, so the whole" in bounded
        assert "the reading that charges the unit more is taken, at most 10:24 hours and 4 cycles too much" in bounded
        assert "it would fall due at 50052:10 of the airframe's hours, not at 50031:22" in bounded

    def test_the_window_is_no_tolerance_and_the_variation_is_named(self, demo: Store) -> None:
        assert "the window is no tolerance" in words(demo, "KV-3350-3L", "L511", "INS", "rule")
        told = words(demo, "KV-3350-3L", "L511", "INS", "variation")
        assert "to airframe hours 31520:57 under SKARHOLM variation 26-07, approved 2026-11-06 by S-501" in told
        assert "By Netherlands ILT leaflet Permitted Variations (date not stated; it replaces MD NL-2011-001)." in told

    def test_a_variation_ended_when_the_unit_left(self, demo: Store) -> None:
        before = words(demo, "KV-3300-1", "33123", "OVH", "variation", on="2026-10-27")
        after = words(demo, "KV-3300-1", "33123", "OVH", "variation")
        assert "First due 2026-09-30; extended once to 2026-12-31" in before
        assert "ended on 2026-10-28, when the unit left Q-SKM" in after
        assert "extended once" not in after

    def test_what_was_known_before_is_told_as_then(self, demo: Store) -> None:
        """The variation was recorded in November."""
        then = unfolded(
            demo, part_number="KV-3350-3L", serial_number="L511", requirement="INS", as_of=AS_OF, known_at="2026-11-01"
        )
        assert list(of(then.due[0], "variation")) == []
        assert then.due[0].row.state == "overdue"


class TestTheCommand:
    @pytest.fixture
    def asked(self, demo: Store) -> str:
        return demo.engine.url.render_as_string(hide_password=False)

    def test_tells_one_requirement_or_all(self, asked: str) -> None:
        one = fleetlife("unit", "KV-3300-1", "33202", "--explain", "OVH", "--as-of", TODAY, database=asked)
        every = fleetlife("unit", "KV-3300-1", "33202", "--explain", "--as-of", TODAY, database=asked)
        assert one.status == every.status == CLEAN
        assert "37327:20 + 17500:00 - 6509:40 = 48317:40 of its total" in one.words
        assert set(one.out.split()) < set(every.out.split())

    def test_the_same_structure_as_json(self, asked: str) -> None:
        said = fleetlife(
            "unit", "KV-3300-1", "33202", "--explain", "OVH", "--as-of", TODAY, "--format", "json", database=asked
        )
        (each,) = said.json["due"]
        assert said.json["about"]["as_of"] == TODAY
        assert each["row"]["airframe_hours_due"] == "48317:40"
        (hours,) = [p for p in each["passages"] if p["figures"].get("airframe_due")]
        assert hours["figures"] == {
            "limit": "17500:00",
            "run_before": "6509:40",
            "airframe_at_start": "37327:20",
            "airframe_due": "48317:40",
        }

    def test_is_a_finding_where_it_is_overdue_or_unknown(self, asked: str) -> None:
        for serial in ("20105", "20110"):
            said = fleetlife("unit", "KV-2100-3", serial, "--explain", "--as-of", TODAY, database=asked)
            states = {line.split(",")[0] for line in said.out.splitlines() if line[:2] in ("!!", "??", "==", "..")}
            assert (said.status == FINDINGS) == bool(states & {"!! overdue", "?? unknown"})

    def test_a_requirement_it_has_not_is_refused_with_the_nearest(self, asked: str) -> None:
        said = fleetlife("unit", "KV-3300-1", "33202", "--explain", "OVX", "--as-of", TODAY, database=asked)
        assert said.status == REFUSED
        assert "Did you mean OVH?" in said.err

    def test_a_requirement_without_explain_is_wrong_use(self, asked: str) -> None:
        said = fleetlife("unit", "KV-3300-1", "33202", "OVH", database=asked)
        assert said.status == WRONG_USE
        assert "add --explain" in said.err
