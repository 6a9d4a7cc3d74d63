"""`document file` and `document check`, as they are typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, UNREACHABLE, Said, fleetlife, head
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
