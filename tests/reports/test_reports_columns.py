"""Numbers are never cut: columns move under their rows, and a row too long for any column is written without them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as some
from rich.cells import cell_len
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.due import due_report
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.lines import CONTINUES, Flow, Pairs, Paragraph, Space, wrap

from . import invented as given
from .rendered import WIDTHS, rendered

NUMBERS = some.text(alphabet="ABC018-/ Ø部", min_size=1, max_size=60).map(str.strip).filter(bool)


def table(*rows: tuple[str, str, str]) -> Columns:
    return Columns(
        [
            Column("part number", whole=True, under="part"),
            Column("serial number", whole=True, under="serial"),
            Column("remark", rank=1, floor=10, under="remark"),
        ],
        [Section("", [Row([whole(part), whole(serial), said(remark)]) for part, serial, remark in rows])],
    )


class TestColumns:
    def test_remark_folds_before_it_moves(self) -> None:
        text = rendered(table(("KW-1", "0815", "seen on the ramp in the rain")), 40)
        assert text.splitlines() == [
            "part number  serial number  remark",
            "KW-1         0815           seen on the",
            "                            ramp in the",
            "                            rain",
        ]

    def test_remark_moves_under_its_row_when_numbers_need_the_room(self) -> None:
        text = rendered(table(("KW-4100-3-AMENDED", "0000000000815", "seen on the ramp")), 40)
        assert text.splitlines() == [
            "part number        serial number",
            "KW-4100-3-AMENDED  0000000000815",
            "          remark seen on the ramp",
        ]

    def test_row_too_long_for_columns_leaves_the_others_in_theirs(self) -> None:
        text = rendered(table(("KW-4100-3", "0" * 35, "long"), ("KW-1", "0815", "short")), 40)
        assert text.splitlines() == [
            "part number  serial number  remark",
            "part KW-4100-3",
            "    serial",
            "    " + "0" * 35,
            "    remark long",
            "KW-1         0815           short",
        ]

    def test_number_with_spaces_stays_on_one_line(self) -> None:
        text = rendered(table(("KW 4100 3", "AB 00 815", "a remark that is long enough to fold")), 40)
        assert "KW 4100 3    AB 00 815" in text

    def test_columns_nobody_uses_are_left_out(self) -> None:
        assert "remark" not in rendered(table(("KW-1", "0815", "")), 80)

    def test_table_without_rows_shows_nothing(self) -> None:
        assert rendered(table(), 80) == ""

    @examples(some.lists(some.tuples(NUMBERS, NUMBERS, some.text("ab ", max_size=80)), min_size=1, max_size=6))
    @settings(max_examples=60, deadline=None)
    def test_every_number_is_on_one_line_or_says_that_it_goes_on(self, rows: list[tuple[str, str, str]]) -> None:
        text = rendered(table(*rows), 50)
        lines = text.splitlines()
        assert all(cell_len(line) <= 50 for line in lines)
        joined = re.sub(re.escape(CONTINUES) + r"\n +", "", text)
        for part, serial, _ in rows:
            assert part in joined
            assert serial in joined


class TestDueRows:
    @pytest.mark.parametrize("width", [*WIDTHS, 60, 132])
    def test_every_part_and_serial_number_is_whole_in_the_list(self, width: int) -> None:
        text = rendered(due_report(given.EVERYTHING, full=True), width)
        for row in given.EVERYTHING.rows:
            assert any(row.part_number in line and row.serial_number in line for line in text.splitlines()), row

    @pytest.mark.parametrize("width", WIDTHS)
    def test_longest_numbers_can_be_put_together_again(self, width: int) -> None:
        text = rendered(due_report(given.LONG_NUMBERS), width)
        joined = re.sub(re.escape(CONTINUES) + r"\n +", "", text)
        assert given.LONG_PART in joined
        assert given.LONG_SERIAL in joined

    @pytest.mark.parametrize("by", ["state", "month", "airframe", "position"])
    def test_coverage_is_the_last_line_of_every_due_list(self, by: str) -> None:
        for listed in (given.WINDOW, given.EVERYTHING, given.EMPTY):
            last = rendered(due_report(listed, by=by), 300).splitlines()[-1]
            assert last.startswith(f"{listed.coverage.units:,} units counted: ")
            assert "without; unknown: " in last

    @pytest.mark.parametrize("by", ["state", "month", "airframe", "position"])
    def test_every_dated_row_is_listed_once_in_every_grouping(self, by: str) -> None:
        text = rendered(due_report(given.EVERYTHING, by=by), 100)
        dated = [row for row in given.EVERYTHING.rows if row.state != "unknown"]
        rows = re.compile(r"\S\S [a-z ]+  .*(KW|RV|BT|GB)-")
        listed = [line for line in text.splitlines() if rows.match(line)]
        assert len(listed) == len(dated)

    def test_overdue_stands_before_due_and_due_before_unknown(self) -> None:
        text = rendered(due_report(given.WINDOW), 100)
        words = ("\nOVERDUE", "\nNO REFILL", "\nIN VARIATION", "\nFALLS DUE", "\nNO PROGRAMME", "\nUNKNOWN")
        places = [text.index(word) for word in words]
        assert places == sorted(places)

    def test_unknown_rows_are_counted_and_not_listed_unless_asked(self) -> None:
        assert "00777" not in rendered(due_report(given.WINDOW), 100)
        assert "00777" in rendered(due_report(given.WINDOW, full=True), 100)

    def test_manufacturer_stands_where_two_gave_the_same_numbers(self) -> None:
        text = rendered(due_report(given.EVERYTHING), 100)
        assert text.count("made by") == 2

    def test_estimate_is_marked_and_the_mark_explained(self) -> None:
        text = rendered(due_report(given.WINDOW), 100)
        assert "~2026-12-20" in text
        assert "~528:00 FH" in text
        assert "\n~ estimated: " in text
        stated = rendered(due_report(replace(given.WINDOW, rows=(given.OVERDUE,))), 100)
        assert "~" not in stated

    @pytest.mark.parametrize("row", given.EVERYTHING.rows)
    def test_state_is_said_in_words_and_by_sign_and_the_sign_explained(self, row: object) -> None:
        state = row.state  # type: ignore[attr-defined]
        text = rendered(due_report(replace(given.WINDOW, rows=(row,), findings=()), full=True), 100)  # type: ignore[arg-type]
        assert re.search(rf"^\S\S {state}  ", text, re.MULTILINE)
        legend = text[text.rindex("─") :]
        assert re.search(rf"\S\S {state}", legend)

    def test_child_names_its_parent(self) -> None:
        text = rendered(due_report(replace(given.WINDOW, rows=(given.DUE_CALENDAR,))), 80)
        assert "Q-TRN L2" in text
        assert "in KW-4100-3 00804" in text


class TestLines:
    def test_text_breaks_at_spaces_alone(self) -> None:
        assert [line.plain for line in wrap(Text("SL-100-1 and SL-100-2"), 12)] == ["SL-100-1 and", "SL-100-2"]

    def test_nothing_is_one_empty_line(self) -> None:
        assert [line.plain for line in wrap(Text(""), 10)] == [""]

    def test_longer_word_says_that_it_goes_on(self) -> None:
        lines = [line.plain for line in wrap(Text("0" * 45), 30)]
        assert lines == ["0" * 20 + CONTINUES, "0" * 25]

    def test_wide_characters_count_twice(self) -> None:
        assert all(line.cell_len <= 25 for line in wrap(Text("部" * 60), 25))

    def test_items_stay_together(self) -> None:
        space = Space(width=20)
        items = [Text("as of 2026"), Text("head 3f9a"), Text("editions of today")]
        lines = [line.plain for line in Flow(items).lines(space)]
        assert lines == ["as of 2026", "head 3f9a", "editions of today"]

    def test_pairs_take_two_columns_where_there_is_room(self) -> None:
        pairs = Pairs([("one", Text("1")), ("two", Text("2")), ("three", Text("3")), ("four", Text(""))])
        assert [line.plain for line in pairs.lines(Space(width=40))] == [
            "one    1              three  3",
            "two    2",
        ]
        assert len(list(pairs.lines(Space(width=16)))) == 3

    def test_folded_paragraph_hangs(self) -> None:
        lines = [line.plain for line in Paragraph(Text("-> look at the plate"), hang=3).lines(Space(width=14))]
        assert lines == ["-> look at", "   the plate"]
