"""`document file` and `document check`, as they are typed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.papers import draw

from .running import CLEAN, FINDINGS, REFUSED, TODAY, UNREACHABLE, WRONG_USE, Said, fleetlife, head
from .test_cli_ledger import entries

ONE, SIX = "KVS-23-0001", "LCL-24-0001"


class Desk:
    """A copy of the demo and a place for its documents."""

    def __init__(self, database: str, folder: Path) -> None:
        self.database = database
        self.folder = folder
        self.place = folder / "kept"

    def scan(self, content: bytes = b"%PDF a scan", name: str = "scan.pdf") -> Path:
        path = self.folder / name
        path.write_bytes(content)
        return path

    def __call__(self, *words: str | Path) -> Said:
        return fleetlife("document", *words, "--documents", self.place, database=self.database)

    def check(self, *words: str) -> Said:
        return self("check", "--as-of", TODAY, *words)

    def kept(self) -> list[Path]:
        return [path for path in self.place.rglob("*") if path.is_file()]


@pytest.fixture
def desk(own_demo: str, tmp_path: Path) -> Desk:
    return Desk(own_demo, tmp_path)


class TestFile:
    def test_every_line_of_the_certificate_names_it(self, desk: Desk, tmp_path: Path) -> None:
        number, _ = head(desk.database)
        said = desk("file", desk.scan(), "--certificate", SIX)
        assert said.status == CLEAN, said.words
        assert "6 lines" in said.words
        (path,) = desk.kept()
        assert path.read_bytes() == b"%PDF a scan"
        found = [e for e in entries(desk.database, tmp_path / "out") if e["number"] > number]
        assert {item["value"]["document"] for e in found for item in e["items"]} == {f"sha256:{path.name}"}
        assert sum(len(e["items"]) for e in found) == 6

    def test_again_nothing_is_recorded(self, desk: Desk) -> None:
        desk("file", desk.scan(), "--certificate", ONE)
        before = head(desk.database)
        said = desk("file", desk.scan(), "--certificate", ONE)
        assert said.status == CLEAN
        assert "nothing was recorded" in said.words
        assert head(desk.database) == before

    def test_another_paper_needs_a_reason_and_the_first_stays_kept(self, desk: Desk) -> None:
        desk("file", desk.scan(), "--certificate", ONE)
        before = head(desk.database)
        better = desk.scan(b"%PDF a better scan", "better.pdf")
        said = desk("file", better, "--certificate", ONE)
        assert said.status == REFUSED
        assert "(document-differs)" in said.err
        assert head(desk.database) == before
        said = desk("file", better, "--certificate", ONE, "--instead", "the first was cut at the edge")
        assert said.status == CLEAN, said.words
        assert len(desk.kept()) == 2

    @pytest.mark.parametrize(
        ("words", "code"),
        [
            (["none.pdf", "--certificate", ONE], "document-not-read"),
            (["scan.pdf", "--certificate", "NO-SUCH"], "certificate-unknown"),
            (["scan.pdf", "--certificate", ONE, "--organisation", "Somebody"], "certificate-unknown"),
        ],
    )
    def test_refused_and_nothing_kept_or_recorded(self, desk: Desk, words: list[str], code: str) -> None:
        desk.scan()
        before = head(desk.database)
        said = desk("file", desk.folder / words[0], *words[1:])
        assert said.status == REFUSED
        assert f"({code})" in said.err
        assert head(desk.database) == before
        assert desk.kept() == []


class TestCheck:
    def test_in_order(self, desk: Desk) -> None:
        desk("file", desk.scan(), "--certificate", ONE)
        said = desk.check("--format", "json")
        assert said.status == CLEAN, said.words
        rows = {row["tracking_number"]: row for row in said.json["rows"]}
        assert rows[ONE]["state"] == "there"
        assert (rows[SIX]["state"], rows[SIX]["lines"]) == ("elsewhere", 6)
        assert said.json["about"]["unnamed"] == []
        shown = desk.check()
        assert ONE not in shown.out
        assert "1 there" in shown.words
        assert ONE in desk.check("--all").out

    @pytest.mark.parametrize(("content", "code", "state"), [(None, "DOC101", "missing"), (b"x", "DOC102", "altered")])
    def test_missing_or_altered(self, desk: Desk, content: bytes | None, code: str, state: str) -> None:
        desk("file", desk.scan(), "--certificate", SIX)
        (path,) = desk.kept()
        if content is None:
            path.unlink()
        else:
            path.write_bytes(content)
        said = desk.check()
        assert said.status == FINDINGS
        assert code in said.out
        assert SIX in said.out
        rows = json.loads(desk.check("--format", "json").out)["rows"]
        assert (rows[0]["tracking_number"], rows[0]["state"]) == (SIX, state)

    def test_what_is_kept_and_no_longer_named_is_listed(self, desk: Desk) -> None:
        desk("file", desk.scan(), "--certificate", ONE)
        desk("file", desk.scan(b"another"), "--certificate", ONE, "--instead", "the wrong page")
        said = desk.check("--format", "json")
        assert said.status == CLEAN
        assert len(said.json["about"]["unnamed"]) == 1

    def test_a_place_that_cannot_be_reached(self, own_demo: str) -> None:
        said = fleetlife("document", "check", "--documents", "nosuch://papers", database=own_demo)
        assert said.status == UNREACHABLE
        assert "(documents-not-reachable)" in said.err


class TestThePlace:
    def test_beside_an_sqlite_file_else_named(self, demo: str, tmp_path: Path) -> None:
        said = fleetlife("document", "check", "--format", "json", database=demo)
        if demo.startswith("sqlite"):
            assert said.json["about"]["documents"] == f"{demo.partition(':///')[2]}.documents"
        else:
            assert said.status == REFUSED
            assert "(documents-not-settled)" in said.err

    def test_from_the_environment_and_the_settings(self, demo: str, tmp_path: Path) -> None:
        settings = tmp_path / "settings.toml"
        settings.write_text(f'documents = "{tmp_path}/settled"')
        for env, place in (
            ({"FLEETLIFE_SETTINGS": str(settings)}, "settled"),
            ({"FLEETLIFE_SETTINGS": str(settings), "FLEETLIFE_DOCUMENTS": f"{tmp_path}/told"}, "told"),
        ):
            said = fleetlife("document", "check", "--format", "json", database=demo, env=env)
            assert said.json["about"]["documents"] == f"{tmp_path}/{place}"


DEMO = (("1", "Evacuation slide", "KV-2100-3", "1", "20118", "Overhauled"),)
LOOKS_LIKE = (("1", "Evacuation slide", "KV-2100-3", "1", "2O118", "Overhauled"),)


def recorded(desk: Desk) -> tuple[int, str]:
    return head(desk.database)


class TestRead:
    def read(self, desk: Desk, *words: str, stdin: str | None = None, **drawn: Any) -> Said:
        path = draw(desk.folder / "paper.pdf", **{"rows": DEMO, "date": "10 Nov 2026"} | drawn)
        place = ("--documents", desk.place, "--as-of", TODAY)
        return fleetlife("document", "read", path, *words, *place, database=desk.database, stdin=stdin)

    def test_shown_beside_the_unit_and_nothing_filed(self, desk: Desk) -> None:
        before = recorded(desk)
        said = self.read(desk, "--preview")
        assert said.status == CLEAN, said.words
        for words in ("block 10 serial number 20118", "block 3 tracking number HB-40117", "14e date 10 Nov 2026"):
            assert words in said.words
        assert "serial number exact" in said.words
        assert recorded(desk) == before
        assert desk.kept() == []

    def test_what_differs_is_marked_where_the_unit_is_named(self, desk: Desk) -> None:
        said = self.read(desk, "--preview", "--against-part", "KV-2100-3", "--against-serial", "20118", rows=LOOKS_LIKE)
        assert "look-alike" in said.words
        assert "letter O" in said.words

    def test_a_serial_number_nobody_bears_is_filed_against_no_unit(self, desk: Desk) -> None:
        said = self.read(desk, "--preview", rows=LOOKS_LIKE)
        assert "filed against no unit" in said.words

    def test_no_files_nothing_yes_files_it_with_its_paper(self, desk: Desk) -> None:
        before = recorded(desk)
        said = self.read(desk, stdin="n\n")
        assert "Nothing was filed." in said.words
        assert recorded(desk) == before
        assert desk.kept() == []
        said = self.read(desk, stdin="y\n")
        assert said.status == CLEAN, said.words
        assert "1 new" in said.words
        card = fleetlife("certificate", "HB-40117", "--as-of", TODAY, database=desk.database)
        for words in ("Hvalba Overhaul", "FU.145.0042", "2026-11-10", "A. Fitter", "EASA Form 1 - MF/145 Issue 2"):
            assert words in card.words
        rows = {row["tracking_number"]: row for row in desk.check("--format", "json").json["rows"]}
        assert rows["HB-40117"]["state"] == "there"

    def test_again_nothing_is_new(self, desk: Desk) -> None:
        self.read(desk, "--yes")
        before = recorded(desk)
        said = self.read(desk, "--yes")
        assert "0 new, 1 unchanged" in said.words
        assert recorded(desk) == before

    def test_put_right_by_hand(self, desk: Desk) -> None:
        said = self.read(desk, "--yes", "--set", "1.serial_number=20118", "--set", "date=2026-11-11", rows=LOOKS_LIKE)
        assert said.status == CLEAN, said.words
        assert "PUT RIGHT BY HAND" in said.words
        card = fleetlife("certificate", "HB-40117", "--as-of", TODAY, database=desk.database)
        assert "2026-11-11" in card.words
        assert "serial number exact" in card.words

    def test_a_date_that_could_be_read_two_ways_is_not_taken(self, desk: Desk) -> None:
        before = recorded(desk)
        said = self.read(desk, "--yes", date="03/04/2026")
        assert said.status == REFUSED
        assert "The date 03/04/2026" in said.words
        assert recorded(desk) == before
        said = self.read(desk, "--preview", "--date-order", "dmy", date="03/04/2026")
        assert "NOT CLEAR" not in said.words

    @pytest.mark.parametrize(
        ("words", "drawn", "code"),
        [
            ((), {"form": "", "footer": ""}, "paper-not-complete"),
            ((), {"date": ""}, "paper-not-complete"),
            ((), {"password": "secret"}, "pdf-locked"),
            (("--set", "serial=1"), {}, "column-unknown"),
            (("--set", "2.serial_number=1"), {}, "line-unknown"),
            (("--form", "Some Form 9"), {}, "form-unknown"),
            (("--against-part", "KV-2100-3", "--against-serial", "nobody"), {}, "unit-unknown"),
        ],
    )
    def test_refused(self, desk: Desk, words: tuple[str, ...], drawn: dict[str, Any], code: str) -> None:
        before = recorded(desk)
        said = self.read(desk, "--yes", *words, **drawn)
        assert said.status in (WRONG_USE, REFUSED)
        assert f"({code})" in said.err
        assert recorded(desk) == before
        assert desk.kept() == []

    @pytest.mark.parametrize(
        ("content", "code"),
        [(b"", "pdf-not-read"), (b"%PDF-1.4 rubbish", "pdf-not-read"), (b"\x00" * 4_000, "pdf-not-read")],
    )
    def test_no_pdf(self, desk: Desk, content: bytes, code: str) -> None:
        path = desk.scan(content)
        said = fleetlife("document", "read", path, database=desk.database)
        assert said.status == REFUSED
        assert f"({code})" in said.err

    def test_a_picture_has_no_text(self, desk: Desk) -> None:
        from reportlab.pdfgen.canvas import Canvas

        path = desk.folder / "picture.pdf"
        canvas: Any = Canvas(str(path))
        canvas.rect(10, 10, 100, 100)
        canvas.save()
        said = fleetlife("document", "read", path, database=desk.database)
        assert said.status == REFUSED
        assert "(pdf-without-text)" in said.err
