"""Every unit of the demo has a story: its stays tile its life, or the time between has a name."""

from __future__ import annotations

from datetime import date

import pytest

from fleetlife.answers.retention import retention
from fleetlife.answers.story import story_of
from fleetlife.answers.unit import card_of
from fleetlife.clocks.world import open_world
from fleetlife.dates.partial import parse_partial
from fleetlife.reports.story import unit_story
from fleetlife.store.engine import Store
from fleetlife.store.unit_ids import unit_ids
from fleetlife.terms.story import TOPICS, UnitStory
from tests.reports.rendered import rendered

AS_OF = date(2026, 11, 25)
NAMED = {"33116", "20130", "33123", "L511"}  # units that tests below ask for
EVERY = {"sqlite": 1, "postgresql": 5}  # which plans each statement anew, and takes eight times as long


@pytest.fixture(scope="module")
def stories(demo: Store) -> list[UnitStory]:
    """Of every unit; on PostgreSQL of every fifth, and of those named."""
    with demo.reading() as connection:
        world = open_world(connection, as_of=AS_OF, kept=demo.kept)
        units = list(unit_ids(connection))
        states = world.states(units)
        told = [
            unit
            for place, unit in enumerate(units)
            if place % EVERY[demo.dialect] == 0 or states[unit].serial_number in NAMED
        ]
        return [story_of(world, unit, card_of(world, unit)) for unit in told]


def untold(story: UnitStory) -> list[tuple[date, date]]:
    """The times that no stay and no hole covers, from its manufacture (else from its first stay) to the day asked."""
    spans = [(line.since, line.until) for line in story.lines if line.topic == "stay" and line.standing == "stands"]
    spans += [(hole.since, hole.until) for hole in story.holes if hole.what == "where"]
    covered = sorted(
        (date.fromisoformat((since or "0001-01-01")[:10]), date.fromisoformat(until[:10]) if until else AS_OF)
        for since, until in spans
    )
    reached = parse_partial(story.manufactured).first_day if story.manufactured else covered[0][0]
    gaps = []
    for since, until in covered:
        if since > reached:
            gaps.append((reached, since))
        reached = max(reached, until)
    return gaps if reached >= AS_OF else [*gaps, (reached, AS_OF)]


def test_there_are_as_many_as_units(demo: Store, stories: list[UnitStory]) -> None:
    with demo.reading() as connection:
        units = len(list(unit_ids(connection)))
    assert len(stories) >= units // EVERY[demo.dialect]
    assert units > 300
    assert len(stories) == units or demo.dialect != "sqlite"


def test_stays_tile_a_life_or_the_gap_is_named(stories: list[UnitStory]) -> None:
    assert {f"{story.part_number} {story.serial_number}": untold(story) for story in stories if untold(story)} == {}


def test_a_stay_that_is_taken_away_would_be_missed(stories: list[UnitStory]) -> None:
    from dataclasses import replace

    story = next(each for each in stories if sum(line.topic == "stay" for line in each.lines) > 2)
    second = [line for line in story.lines if line.topic == "stay"][1]
    assert untold(replace(story, lines=tuple(line for line in story.lines if line is not second)))


def test_every_line_has_a_topic_an_entry_and_comes_in_order(stories: list[UnitStory]) -> None:
    for story in stories:
        assert {line.topic for line in story.lines} <= set(TOPICS)
        assert all(line.entry for line in story.lines)
        days = [line.since or "" for line in story.lines]
        assert days == sorted(days)


def test_every_one_can_be_shown(stories: list[UnitStory]) -> None:
    for story in stories:
        assert story.serial_number in rendered(unit_story(story), 80)


def test_the_unit_that_nobody_finds_has_an_open_gap(stories: list[UnitStory]) -> None:
    [lost] = [story for story in stories if story.serial_number == "33116"]
    [hole] = [hole for hole in lost.holes if hole.kind == "gap" and hole.until is None]
    assert (hole.what, hole.since) == ("where", "2026-06-11")
    assert any(line.topic == "found" and line.doubtful for line in lost.lines)


def test_every_record_of_the_demo_is_listed_with_its_rules(demo: Store) -> None:
    answer = retention(demo, as_of=AS_OF)
    assert {row.record for row in answer.rows} == {
        *("certificate", "work", "modification", "technical log", "life-limited history")
    }
    assert all(row.rules and row.kept_until_eu and row.kept_until_us for row in answer.rows)
    assert sum(count for _, count in answer.counts()) == len(answer.rows)
    paper = next(row for row in answer.rows if row.what.startswith("certificate SHC-22-0011"))
    # overhauled 2022-11-14, and again 2026-03-10: superseded then, and later than 36 months
    assert (paper.superseded_on, paper.kept_until_eu) == ("2026-03-10", "2026-03-10")
    latest = next(row for row in answer.rows if row.what.startswith("certificate SHC-26-0003"))
    assert (latest.superseded_on, latest.kept_until, latest.standing) == (None, None, "no end")


def test_a_re_identified_unit_tells_when_and_bears_both_numbers(stories: list[UnitStory]) -> None:
    [story] = [each for each in stories if each.serial_number == "20130"]
    [line] = [line for line in story.lines if line.topic == "modification"]
    assert (line.since, "re-identified as KV-2100-3" in line.text) == ("2024-08-15", True)
    assert story.part_numbers_borne == ("KV-2100-1", "KV-2100-3")


def test_a_variation_and_a_counter_are_told_with_their_figures(stories: list[UnitStory]) -> None:
    [varied] = [each for each in stories if each.serial_number == "33123"]
    [line] = [line for line in varied.lines if line.topic == "variation"]
    assert line.since == "2026-09-18"
    assert line.text == (
        "permitted variation of OVH until 2026-12-31, approved by S-501, reference SKARHOLM variation 26-05"
    )
    [counted] = [each for each in stories if each.serial_number == "L511"]
    assert "landings: 7290 since new, beside the opening statement" in {line.text for line in counted.lines}
