"""Files that cannot be taken in: refused cleanly, nothing written, every problem with its place, cause and remedy."""

from __future__ import annotations

import csv
import datetime
import subprocess
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from .bad_files import BAD, READINGS, TRANSFERS, UNIT, UNITS, Bad
from .running import CLEAN, FINDINGS, NOWHERE, REFUSED, ROOT, TODAY, WRONG_USE, Said, fleetlife, head

ON = ("--as-of", TODAY)


def taken(database: str, folder: Path, bad: Bad, *options: str | Path) -> Said:
    path = folder / "in" / bad.file
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(bad.content.encode("utf-8") if isinstance(bad.content, str) else bad.content)
    return fleetlife("import", path.parent, *options, *ON, database=database)


def problems_in(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD)
def test_is_refused_with_its_place_cause_and_remedy_and_nothing_is_written(demo: str, tmp_path: Path, bad: Bad) -> None:
    before = head(demo)
    told = tmp_path / "problems.csv"
    said = taken(demo, tmp_path, bad, "--problems", told)
    assert (said.status, said.out) == (REFUSED, "")
    assert head(demo) == before
    found = problems_in(told)
    (problem,) = [p for p in found if (int(p["line"]), p["column"]) == (bad.line, bad.column)] or found
    assert (problem["file"], int(problem["line"]), problem["column"]) == (bad.file, bad.line, bad.column)
    assert bad.value in problem["value"].lstrip("\xa0")
    assert bad.words in f"{problem['reason']} {problem['remedy']}"
    assert problem["reason"].strip().endswith((".", "?"))
    assert problem["remedy"].strip().endswith((".", "?"))
    for shown in (bad.file, bad.column, f"{len(found)} problem", "nothing was taken in", str(told)):
        assert shown in said.err
    assert bad.words in said.words or len(bad.words.split()) > 1
    assert "\x1b" not in said.err
    assert "\0" not in said.err
    assert "\u202e" not in said.err


class TestSaidHowItIsMeant:
    def test_hours_with_a_point(self, own_demo: str, tmp_path: Path) -> None:
        bad = Bad("readings.csv", READINGS + f"Q-SKA,{TODAY},99999.30,99999\n", 2, "", "", "")
        assert taken(own_demo, tmp_path, bad).status == REFUSED
        assert taken(own_demo, tmp_path, bad, "--hours", "minutes").status == CLEAN
        card = fleetlife("airframe", "Q-SKA", *ON, "--format", "json", database=own_demo).json
        assert card["hours_total"].startswith("99999:30")
        assert "hold 99999:30" in taken(own_demo, tmp_path, bad, "--hours", "decimal").words

    @pytest.mark.parametrize(("order", "day"), [("dmy", "2026-04-03"), ("mdy", "2026-03-04")])
    def test_a_day_with_strokes(self, own_demo: str, tmp_path: Path, order: str, day: str) -> None:
        content = "part_number,serial_number,requirement,date\nKV-2100-3,20301,FNT,03/04/2026\n"
        bad = Bad("accomplishments.csv", content, 2, "", "", "")
        assert taken(own_demo, tmp_path, bad).status == REFUSED
        assert taken(own_demo, tmp_path, bad, "--date-order", order).status == CLEAN
        assert f"{day} FNT" in fleetlife("unit", "KV-2100-3", "20301", *ON, database=own_demo).words


class TestWorkbooks:
    @staticmethod
    def _book(folder: Path, *rows: list[Any], name: str = "units.xlsx") -> Path:
        (folder / "in").mkdir(exist_ok=True)
        book = openpyxl.Workbook()
        for row in ([*UNITS.strip().split(",")], *rows):
            book.active.append(row)
        book.save(folder / "in" / name)
        return folder / "in"

    @pytest.mark.parametrize(
        ("column", "cell", "shown", "words"),
        [
            ("serial_number", "=1+1", "=1+1", "formula"),
            ("store", '=HYPERLINK("http://x")', "=HYPERLINK", "formula"),
            ("serial_number", 417, "417", "turned this serial into a number"),
            ("serial_number", 4.17e22, "4", "turned this serial into a number"),
            ("serial_number", datetime.date(2026, 4, 3), "2026-04-03", "into a date"),
            ("part_number", 2100, "2100", "turned this part number into a number"),
            ("as_of", 46000, "46000", "a number, not a date"),
            ("serial_number", True, "True", "true or false"),
        ],
    )
    def test_what_a_workbook_may_have_changed_is_refused(
        self, demo: str, tmp_path: Path, column: str, cell: Any, shown: str, words: str
    ) -> None:
        before = head(demo)
        row: list[Any] = UNIT.format("Z1").strip().split(",")
        row[UNITS.strip().split(",").index(column)] = cell
        told = tmp_path / "problems.csv"
        said = fleetlife("import", self._book(tmp_path, row), "--problems", told, *ON, database=demo)
        assert said.status == REFUSED
        (problem,) = problems_in(told)
        assert (problem["file"], problem["line"], problem["column"]) == ("units.xlsx", "2", column)
        assert shown in problem["value"]
        assert words in problem["reason"]
        assert head(demo) == before

    def test_two_sheets_with_rows_are_refused(self, demo: str, tmp_path: Path) -> None:
        folder = self._book(tmp_path, UNIT.format("Z1").strip().split(","))
        book = openpyxl.load_workbook(folder / "units.xlsx")
        book.create_sheet("more").append(["x"])
        book.save(folder / "units.xlsx")
        said = fleetlife("import", folder, *ON, database=demo)
        assert said.status == REFUSED
        assert "2 sheets" in said.words

    def test_the_same_file_twice_is_refused(self, demo: str, tmp_path: Path) -> None:
        folder = self._book(tmp_path, UNIT.format("Z1").strip().split(","))
        (folder / "units.csv").write_text(UNITS + UNIT.format("Z1"), encoding="utf-8")
        said = fleetlife("import", folder, *ON, database=demo)
        assert said.status == REFUSED
        assert "twice" in said.words

    def test_typed_as_text_it_is_taken(self, own_demo: str, tmp_path: Path) -> None:
        folder = self._book(tmp_path, UNIT.format("0417").strip().split(","))
        assert fleetlife("import", folder, *ON, database=own_demo).status == CLEAN
        assert fleetlife("unit", "KV-2100-3", "0417", *ON, database=own_demo).status in (CLEAN, FINDINGS)
        assert fleetlife("unit", "KV-2100-3", "417", *ON, database=own_demo).status == REFUSED


class TestLikeNamedUnits:
    @pytest.fixture
    def two(self, own_demo: str, tmp_path: Path) -> str:
        """A second KV-2100-3 20301, by another maker."""
        (tmp_path / "first").mkdir()
        (tmp_path / "first" / "parts.csv").write_text("part_number,manufacturer\nKV-2100-3,Somebody Else\n")
        (tmp_path / "first" / "units.csv").write_text(
            UNITS + UNIT.format("20301").replace("Kvitnes Survival", "Somebody Else")
        )
        said = fleetlife("import", tmp_path / "first", *ON, database=own_demo)
        assert said.status == CLEAN, said.err
        return own_demo

    def test_a_row_that_could_mean_either_is_refused_and_both_are_named(self, two: str, tmp_path: Path) -> None:
        before = head(two)
        bad = Bad("transfers.csv", TRANSFERS + f"{TODAY},KV-2100-3,20301,store,Ytrevik line store\n", 2, "", "", "")
        said = taken(two, tmp_path, bad)
        assert said.status == REFUSED
        assert "by Kvitnes Survival and Somebody Else" in said.words
        assert head(two) == before
        named = (
            TRANSFERS.replace("to,", "manufacturer,to,")
            + f"{TODAY},KV-2100-3,20301,Somebody Else,store,Ytrevik line store\n"
        )
        assert taken(two, tmp_path, Bad("transfers.csv", named, 2, "", "", "")).status == CLEAN

    def test_so_is_a_question(self, two: str) -> None:
        for asked in (("unit", "KV-2100-3", "20301"), ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301")):
            said = fleetlife(*asked, *ON, database=two)
            assert (said.status, said.out) == (REFUSED, "")
            assert "by Kvitnes Survival and Somebody Else" in said.words
            assert fleetlife(*asked, "--manufacturer", "Kvitnes Survival", *ON, database=two).status == CLEAN


class TestPaths:
    def test_a_folder_with_nothing_to_take(self, demo: str, tmp_path: Path) -> None:
        (tmp_path / "notes.md").write_text("x")
        said = fleetlife("import", tmp_path, database=demo)
        assert (said.status, said.out) == (REFUSED, "")
        for words in ("nothing-to-read", "units", "notes.md was passed over"):
            assert words in said.err

    def test_a_path_that_does_not_exist(self, demo: str, tmp_path: Path) -> None:
        said = fleetlife("import", tmp_path / "none", database=demo)
        assert (said.status, said.out) == (WRONG_USE, "")
        assert "path-not-found" in said.err

    def test_a_header_without_rows_is_nothing_new(self, own_demo: str, tmp_path: Path) -> None:
        before = head(own_demo)
        assert taken(own_demo, tmp_path, Bad("units.csv", UNITS, 0, "", "", "")).status == CLEAN
        assert head(own_demo) == before

    def test_a_file_is_taken_by_its_own_path_too(self, own_demo: str, tmp_path: Path) -> None:
        path = tmp_path / "units.csv"
        path.write_text(UNITS + UNIT.format("Z1"), encoding="utf-8")
        assert fleetlife("import", path, *ON, database=own_demo).status == CLEAN
        assert fleetlife("import", path, *ON, database=own_demo).status == CLEAN

    def test_a_problems_file_that_cannot_be_written_is_told(self, sqlite_demo: str, tmp_path: Path) -> None:
        bad = BAD["an unknown part"]
        said = taken(sqlite_demo, tmp_path, bad, "--problems", "/nowhere/problems.csv")
        assert said.status == REFUSED
        assert "KV-2100-8" in said.err
        assert "/nowhere/" in said.err


class TestHostileText:
    """Words that would steer a terminal, a report's markup or a workbook are data, and are shown as such."""

    HOSTILE = (
        "[red]not red[/red]",
        "=1+1",
        "\u202egnipeels",
        "<b>&amp;",
        "%s %d {0}",
        "'; DROP TABLE unit; --",
        "-" * 300,
    )

    @pytest.fixture
    def hostile(self, own_demo: str, tmp_path: Path) -> str:
        with (tmp_path / "units.csv").open("w", encoding="utf-8", newline="") as file:
            rows = csv.writer(file)
            rows.writerow(UNITS.strip().split(","))
            for number, text in enumerate(self.HOSTILE):
                rows.writerow(["KV-2100-3", f"H{number}", "Kvitnes Survival", "2026-11-20", text, "serviceable"])
        said = fleetlife("import", tmp_path, *ON, database=own_demo)
        assert said.status == CLEAN, said.err
        return own_demo

    def test_is_shown_as_it_is_and_what_cannot_be_seen_as_its_escape(self, hostile: str) -> None:
        for number, text in enumerate(self.HOSTILE):
            said = fleetlife("unit", "KV-2100-3", f"H{number}", *ON, database=hostile, columns=80)
            shown = text.replace("\u202e", "\\u202e")
            assert shown in said.words.replace(" (goes on) ", "")
            assert "\u202e" not in said.out
            assert max(len(line) for line in said.out.splitlines()) <= 80

    def test_comes_back_from_json_as_it_was(self, hostile: str) -> None:
        asked = ("due", "--all", "--part", "KV-2100-3", *ON, "--format", "json")
        rows = fleetlife(*asked, database=hostile).json["rows"]
        assert {row["store"] for row in rows} >= set(self.HOSTILE)

    def test_nothing_it_says_is_done(self, hostile: str) -> None:
        assert fleetlife("ledger", "verify", database=hostile).status == CLEAN


class TestMany:
    def test_a_thousand_are_shown_and_all_are_in_the_file(self, demo: str, tmp_path: Path) -> None:
        before = head(demo)
        told = tmp_path / "problems.csv"
        rows = "".join(UNIT.format(f"Z{n}").replace("2100-3", "2100-8") for n in range(1_500))
        said = taken(demo, tmp_path, Bad("units.csv", UNITS + rows, 0, "", "", ""), "--problems", told)
        assert said.status == REFUSED
        assert "500 more problems not shown" in said.words
        assert [int(problem["line"]) for problem in problems_in(told)] == list(range(2, 1_502))
        assert head(demo) == before


MEGABYTE = 1 << 20
# Where the system tells it, the high water of this program alone: what getrusage tells survives the start of a program,
# and so counts the process of the tests that it was started from.
MOST_HELD = """
def most_held():
    import pathlib, resource
    status = pathlib.Path("/proc/self/status")
    if status.exists():
        told = dict(line.split(":", 1) for line in status.read_text().splitlines())
        return int(told["VmHWM"].split()[0]) * 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
"""


class TestLargeFiles:
    """60 MB here; memory is that of the process, time is generous for a busy machine."""

    SIZE = 60 * MEGABYTE
    SECONDS, MEGABYTES = 60, 400

    @pytest.mark.parametrize(
        "kind", ["noise", "ragged rows", "one endless line", "one endless cell", "one endless blank line"]
    )
    def test_rubbish_ends_soon_and_in_little_memory(self, sqlite_demo: str, tmp_path: Path, kind: str) -> None:
        path = tmp_path / "readings.csv"
        with path.open("wb") as file:
            if kind == "noise":
                file.write(b"\x93\xfa\x01\xb8" * (self.SIZE // 4))
            elif kind == "ragged rows":
                file.write(READINGS.encode() + b"rubbish,x,y\n" * (self.SIZE // 12))
            elif kind == "one endless line":
                file.write(READINGS.encode() + b"x," * (self.SIZE // 2))
            elif kind == "one endless cell":
                file.write(READINGS.encode() + b'"' + b"xxxxxxx\n" * (self.SIZE // 8))
            else:
                file.write(READINGS.encode() + b"," * self.SIZE)
        said, megabytes = self._measured(sqlite_demo, path)
        assert said.status == REFUSED
        assert "nothing was taken in" in said.err
        assert megabytes < self.MEGABYTES

    def test_good_rows_with_a_bad_last_one_are_refused_by_that_line(self, sqlite_demo: str, tmp_path: Path) -> None:
        before = head(sqlite_demo)
        path = tmp_path / "readings.csv"
        lines = 0
        with path.open("w", encoding="utf-8") as file:
            file.write(READINGS)
            first = datetime.date(2023, 1, 1).toordinal()
            # the same three years again and again: what was said before is nothing new
            days = [f"Q-SKD,{datetime.date.fromordinal(first + n)},{n * 9}:00,{n * 8}\n" for n in range(300)]
            block = "".join(days)
            while file.tell() < self.SIZE:
                file.write(block)
                lines += len(days)
            file.write("Q-SKD,2026-02-30,1:00,1\n")
        said, megabytes = self._measured(sqlite_demo, path)
        assert said.status == REFUSED
        assert f"{lines + 2} date 2026-02-30" in said.words
        assert "1 problem in 1 file" in said.words
        assert megabytes < self.MEGABYTES
        assert head(sqlite_demo) == before

    def _measured(self, database: str, path: Path) -> tuple[Said, int]:
        """What the command said, and the most memory it held, in megabytes."""
        code = (
            "import sys\n"
            "from fleetlife.cli.main import app\n"
            f"{MOST_HELD}"
            "try:\n    app()\n"
            "finally:\n    print('MOST', most_held(), file=sys.stderr)\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, "import", str(path), *ON, "--database", database],
            cwd=ROOT,
            env={**NOWHERE, "HOME": "/nowhere"},
            capture_output=True,
            text=True,
            timeout=self.SECONDS,
            check=False,
        )
        err, _, most = done.stderr.rpartition("MOST ")
        return Said(done.returncode, done.stdout, err), int(most) // MEGABYTE
