"""What is written comes back as it was, and an answer opened in a workbook stays text."""

from __future__ import annotations

import csv
import io
import json
import re
import string
import tempfile
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleetlife.terms.measure import hours_text
from fleetlife.terms.number import position_label
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer import writing
from fleetlife.transfer.column import Column, File
from fleetlife.transfer.columns import FILES, file_named
from fleetlife.transfer.reading import read_folder
from fleetlife.transfer.writing import (
    answer_csv,
    answer_json,
    answer_xlsx,
    value_text,
    write_bytes,
    write_csv,
    write_xlsx,
)

_ASCII = string.ascii_letters + string.digits + "-/.,;=+@'\"_ #:x004"
_MORE = _ASCII + "ÄÅéß–’0０漢😀"


def _trimmed(alphabet: str) -> st.SearchStrategy[str]:
    return st.text(alphabet, min_size=1, max_size=12).map(str.strip).filter(bool)


_DAYS = st.dates(min_value=date(1950, 1, 1), max_value=date(2200, 12, 31)).map(lambda day: day.isoformat())
_MONTHS = _DAYS.map(lambda day: day[:7])
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "text": st.text(_MORE + "\n\t", min_size=1, max_size=20).map(str.strip).filter(bool),
    "name": _trimmed(_MORE),
    "identifier": _trimmed(_MORE),
    "part_number": _trimmed(_MORE),
    "serial_number": _trimmed(_MORE),
    "position": _trimmed(_ASCII).map(position_label).filter(bool),
    "day": _DAYS,
    "partial_date": st.one_of(
        _DAYS,
        _MONTHS,
        st.builds("{}-Q{}".format, st.integers(1950, 2200), st.integers(1, 4)),
        _DAYS.map(lambda d: d[:4]),
    ),
    "month_mark": st.one_of(_DAYS, _MONTHS),
    "clock": st.times().map(lambda one: f"{one:%H:%M}"),
    "hours": st.integers(0, 10**8),
    "count": st.integers(0, 10**11),
    "counter_total": st.one_of(st.integers(0, 10**11).map(str), st.integers(0, 10**8).map(hours_text)),
    "sequence": st.integers(0, 9999),
    "decimal_count": st.integers(0, 10**8),
    "mass": st.integers(0, 10**8),
    "celsius": st.integers(-(10**5), 10**5),
    "yes_no": st.booleans(),
}


def _value(column: Column) -> st.SearchStrategy[Any]:
    if column.words:
        return st.sampled_from(column.words)
    if column.name == "hours_per_day":
        return st.integers(0, 1440)
    return VALUES[column.kind]


def rows_of(file: File) -> st.SearchStrategy[list[dict[str, Any]]]:
    required = {column.name: _value(column) for column in file.columns if column.required}
    optional = {column.name: _value(column) for column in file.columns if not column.required}
    return st.lists(st.fixed_dictionaries(required, optional=optional), max_size=4)


def read_back(path: Path) -> list[dict[str, object]]:
    found = read_folder(path)
    rows = [row.values for file in found.files for row in file.rows()]
    assert [problem.sentence() for problem in found.problems] == []
    return rows


@pytest.mark.parametrize("file", FILES, ids=[file.name for file in FILES])
class TestRoundTrip:
    @settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(data=st.data())
    def test_comma_separated_text_comes_back(self, file: File, data: st.DataObject) -> None:
        rows = data.draw(rows_of(file))
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"{file.name}.csv"
            assert write_csv(path, file.name, rows) == len(rows)
            assert read_back(path) == rows

    @settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(data=st.data())
    def test_a_workbook_comes_back(self, file: File, data: st.DataObject) -> None:
        rows = data.draw(rows_of(file))
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"{file.name}.xlsx"
            assert write_xlsx(path, file.name, rows) == len(rows)
            assert read_back(path) == rows


class TestFiles:
    def test_the_text_of_a_file(self, tmp_path: Path) -> None:
        path = tmp_path / "utilisation.csv"
        values = {
            "registration": "Q-ABC",
            "from": "2026-01-01",
            "to": "2026-03-31",
            "hours_per_day": 485,
            "cycles_per_day": 4500,
        }
        write_csv(path, "utilisation", [values])
        assert path.read_bytes() == (
            b"registration,from,to,hours_per_day,cycles_per_day\r\nQ-ABC,2026-01-01,2026-03-31,8:05,4.5\r\n"
        )

    def test_none_and_absent_are_empty(self, tmp_path: Path) -> None:
        write_csv(tmp_path / "types.csv", "types", [{"type": "MERO", "name": None}, {"type": "PALU"}])
        assert (tmp_path / "types.csv").read_text().splitlines()[1:] == ["MERO,", "PALU,"]

    @pytest.mark.parametrize(("value", "text"), [(0, "0"), (4000, "4"), (4500, "4.5"), (4005, "4.005"), (10, "0.01")])
    def test_thousandths_are_written_as_short_as_they_are(self, value: int, text: str) -> None:
        assert value_text(file_named("utilisation").column("cycles_per_day"), value) == text

    def test_text_that_looks_like_a_formula_is_written_as_it_is(self, tmp_path: Path) -> None:
        write_csv(tmp_path / "types.csv", "types", [{"type": "=1+1", "name": "@x"}])
        assert (tmp_path / "types.csv").read_text().splitlines()[1] == "=1+1,@x"

    def test_a_workbook_holds_dates_numbers_and_text_under_a_frozen_header(self, tmp_path: Path) -> None:
        path = tmp_path / "readings.xlsx"
        values = {"registration": "=Q", "date": "2024-03-01", "hours_total": 74070, "cycles_total": 800}
        write_xlsx(path, "readings", [values])
        sheet = openpyxl.load_workbook(path).active
        assert sheet.freeze_panes == "A2"
        assert [cell.value for cell in sheet[1]] == ["registration", "date", "hours_total", "cycles_total"]
        assert [cell.value for cell in sheet[2]] == ["=Q", datetime.fromisoformat("2024-03-01"), "1234:30", 800]
        assert [cell.data_type for cell in sheet[2]] == ["s", "d", "s", "n"]

    @pytest.mark.parametrize(
        ("text", "code"),
        [("x" * 32_768, "text-too-long-for-workbook"), ("bell\x07", "text-not-storable")],
    )
    def test_what_no_cell_can_hold_is_refused_and_nothing_written(self, tmp_path: Path, text: str, code: str) -> None:
        with pytest.raises(Refusal) as caught:
            write_xlsx(tmp_path / "types.xlsx", "types", [{"type": "MERO", "name": text}])
        assert caught.value.code == code
        assert list(tmp_path.iterdir()) == []

    def test_more_rows_than_a_sheet_holds_are_refused(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(writing, "SHEET_ROWS", 3)
        write_xlsx(tmp_path / "types.xlsx", "types", [{"type": "A"}, {"type": "B"}])
        with pytest.raises(Refusal) as caught:
            write_xlsx(tmp_path / "types.xlsx", "types", [{"type": "A"}, {"type": "B"}, {"type": "C"}])
        assert caught.value.code == "too-many-rows-for-workbook"
        assert read_back(tmp_path / "types.xlsx") == [{"type": "A"}, {"type": "B"}]


class TestWholeFiles:
    @pytest.mark.parametrize("write", [write_csv, write_xlsx])
    def test_a_file_that_fails_leaves_the_old_one(self, tmp_path: Path, write: Any) -> None:
        def rows() -> Any:
            yield {"type": "MERO"}
            raise RuntimeError("the source broke off")

        path = tmp_path / ("types.csv" if write is write_csv else "types.xlsx")
        path.write_text("old")
        with pytest.raises(RuntimeError):
            write(path, "types", rows())
        assert path.read_text() == "old"
        assert list(tmp_path.iterdir()) == [path]

    def test_bytes_and_text_are_written_whole(self, tmp_path: Path) -> None:
        write_bytes(tmp_path / "page.html", "Å\n")
        write_bytes(tmp_path / "answer.xlsx", b"\x00\x01")
        assert (tmp_path / "page.html").read_bytes() == "Å\n".encode()
        assert (tmp_path / "answer.xlsx").read_bytes() == b"\x00\x01"
        assert len(list(tmp_path.iterdir())) == 2


DANGEROUS = [
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "=cmd|' /C x'!A1",
    "＝1+1",
    "-",
    "-A12",
    "-1:2:3",
]
HARMLESS = ["-12:30", "-5", "-4.25", "2024-03-01", "D4512-101", "a=b", "", " x", "0012"]


class TestAnswers:
    @pytest.mark.parametrize("text", DANGEROUS)
    def test_no_cell_of_an_answer_begins_a_formula(self, text: str) -> None:
        row = list(csv.reader(io.StringIO(answer_csv([{"a": text, "b": 1}], ["a", "b"]), newline="")))[1]
        assert row == ["\u00a0" + text, "1"]
        assert row[0].strip() == text.strip()

    @pytest.mark.parametrize("text", HARMLESS)
    def test_other_text_stays_as_it_is(self, text: str) -> None:
        rows = list(csv.reader(io.StringIO(answer_csv([{"a": text, "b": "x"}], ["a", "b"]))))
        assert rows[1] == [text, "x"]

    def test_values_in_csv(self) -> None:
        values = {"a": None, "b": True, "c": -3, "d": ("x", "y"), "e": False}
        assert answer_csv([values], ["a", "b", "c", "d", "e"]) == "a,b,c,d,e\r\n,true,-3,x; y,false\r\n"

    def test_no_rows_are_a_header(self) -> None:
        assert answer_csv([], ["a", "b"]) == "a,b\r\n"

    def test_json_has_what_it_is_about_and_the_rows_in_order(self) -> None:
        text = answer_json({"as_of": "2026-03-01"}, [{"b": None, "a": "=1"}, {"a": "Å"}], ["a", "b"])
        assert json.loads(text) == {
            "about": {"as_of": "2026-03-01"},
            "rows": [{"a": "=1", "b": None}, {"a": "Å", "b": None}],
        }
        assert "Å" in text
        assert text.index('"a"') < text.index('"b"')

    def test_json_refuses_what_is_no_json(self) -> None:
        with pytest.raises(ValueError):
            answer_json({}, [{"a": float("nan")}])

    @pytest.mark.parametrize("text", [*DANGEROUS, "_x0041_"])
    def test_a_workbook_holds_every_text_unchanged_as_text(self, text: str) -> None:
        cell = openpyxl.load_workbook(io.BytesIO(answer_xlsx([{"a": text}], ["a"]))).active["A2"]
        assert cell.data_type == "s"
        assert cell.number_format == "@"
        unescaped = re.sub("_x([0-9A-F]{4})_", lambda match: chr(int(match[1], 16)), cell.value)
        assert unescaped == text

    def test_values_in_a_workbook(self) -> None:
        values = {"day": "2026-03-01", "none": None, "flag": True, "count": -3, "hours": "-12:30", "odd": "bell\x07"}
        book = openpyxl.load_workbook(io.BytesIO(answer_xlsx([values], list(values), about={"as_of": "2026-03-01"})))
        assert [cell.value for cell in book.worksheets[0][2]] == [
            datetime.fromisoformat("2026-03-01"),
            None,
            "true",
            -3,
            "-12:30",
            "bell\ufffd",
        ]
        assert [cell.value for cell in book["about"][1]] == ["as_of", datetime.fromisoformat("2026-03-01")]

    def test_figures_with_a_point_are_numbers(self) -> None:
        book = openpyxl.load_workbook(io.BytesIO(answer_xlsx([{"expected": -0.25, "rate": 1.5}], ["expected", "rate"])))
        cells = book.worksheets[0][2]
        assert [(cell.value, cell.data_type) for cell in cells] == [(-0.25, "n"), (1.5, "n")]

    def test_text_that_is_shaped_like_a_day_and_is_none_stays_text(self) -> None:
        book = openpyxl.load_workbook(io.BytesIO(answer_xlsx([{"a": "2026-13-01"}], ["a"])))
        assert book.active["A2"].value == "2026-13-01"
