"""Documents kept by their digest: whole, once, unchanged, in a folder or an object store."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from fleetlife.store.documents import Documents, is_kept
from fleetlife.terms.refusal import Refusal


@pytest.fixture
def paper(tmp_path: Path) -> Path:
    path = tmp_path / "scan 0412.PDF"
    path.write_bytes(b"a paper" * 100_000)
    return path


@pytest.fixture(params=["folder", "object store"])
def kept(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Documents]:
    """In a folder that is not there yet, and in the memory store that fsspec brings: no file, no folder, only names."""
    if request.param == "folder":
        yield Documents(str(tmp_path / "papers"))
        return
    import fsspec

    yield Documents(f"memory://{tmp_path.name}")
    fsspec.filesystem("memory").store.clear()


class TestKept:
    def test_under_the_digest_of_the_content(self, kept: Documents, paper: Path) -> None:
        name = kept.keep(paper)
        assert name == f"sha256:{hashlib.sha256(paper.read_bytes()).hexdigest()}.pdf"
        assert is_kept(name)
        assert kept.state(name) == "there"
        assert list(kept.names()) == [name]

    def test_once(self, kept: Documents, paper: Path, tmp_path: Path) -> None:
        other = tmp_path / "again.pdf"
        other.write_bytes(paper.read_bytes())
        assert kept.keep(paper) == kept.keep(other)
        assert len(list(kept.names())) == 1

    def test_two_papers_are_two(self, kept: Documents, paper: Path, tmp_path: Path) -> None:
        other = tmp_path / "other"
        other.write_bytes(b"another")
        names = {kept.keep(paper), kept.keep(other)}
        assert set(kept.names()) == names
        assert {name.partition(".")[2] for name in names} == {"pdf", ""}

    def test_the_file_itself_is_left_alone(self, kept: Documents, paper: Path) -> None:
        before = paper.read_bytes()
        kept.keep(paper)
        assert paper.read_bytes() == before

    def test_a_place_where_nothing_was_kept_holds_nothing(self, kept: Documents) -> None:
        assert list(kept.names()) == []
        assert kept.state(f"sha256:{'0' * 64}.pdf") == "missing"


class TestInAFolder:
    def kept(self, tmp_path: Path, paper: Path) -> tuple[Documents, str, Path]:
        documents = Documents(str(tmp_path / "papers"))
        name = documents.keep(paper)
        [path] = (tmp_path / "papers").rglob("*.pdf")
        return documents, name, path

    def test_a_byte_changed_is_seen(self, tmp_path: Path, paper: Path) -> None:
        documents, name, path = self.kept(tmp_path, paper)
        content = bytearray(path.read_bytes())
        content[-1] ^= 1
        path.write_bytes(content)
        assert documents.state(name) == "altered"

    def test_cut_short_is_seen(self, tmp_path: Path, paper: Path) -> None:
        documents, name, path = self.kept(tmp_path, paper)
        path.write_bytes(path.read_bytes()[:-1])
        assert documents.state(name) == "altered"

    def test_taken_away_is_seen_and_can_be_kept_again(self, tmp_path: Path, paper: Path) -> None:
        documents, name, path = self.kept(tmp_path, paper)
        path.unlink()
        assert documents.state(name) == "missing"
        assert documents.keep(paper) == name
        assert documents.state(name) == "there"

    def test_what_was_altered_is_not_written_over(self, tmp_path: Path, paper: Path) -> None:
        """The changed file is evidence."""
        documents, _, path = self.kept(tmp_path, paper)
        path.write_bytes(b"changed")
        with pytest.raises(Refusal) as refused:
            documents.keep(paper)
        assert refused.value.code == "document-altered"
        assert path.read_bytes() == b"changed"

    def test_what_did_not_arrive_whole_has_no_name(self, tmp_path: Path, paper: Path) -> None:
        documents, name, path = self.kept(tmp_path, paper)
        path.rename(path.with_name(f"{path.name}.arriving"))
        assert list(documents.names()) == []
        assert documents.state(name) == "missing"


class TestRefused:
    def refused(self, documents: Documents, path: Path) -> Refusal:
        with pytest.raises(Refusal) as refused:
            documents.keep(path)
        assert list(documents.names()) == []
        return refused.value

    def test_no_file(self, tmp_path: Path) -> None:
        documents = Documents(str(tmp_path / "papers"))
        assert self.refused(documents, tmp_path / "none.pdf").code == "document-not-read"
        assert self.refused(documents, tmp_path).code == "document-not-read"

    def test_an_empty_one(self, tmp_path: Path) -> None:
        (tmp_path / "empty.pdf").touch()
        assert self.refused(Documents(str(tmp_path / "papers")), tmp_path / "empty.pdf").code == "document-empty"

    def test_one_too_large(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, paper: Path) -> None:
        monkeypatch.setattr("fleetlife.store.documents.LARGEST", 1_000)
        assert self.refused(Documents(str(tmp_path / "papers")), paper).code == "document-too-large"

    def test_a_place_no_library_speaks_to(self) -> None:
        with pytest.raises(Refusal) as refused:
            Documents("nosuch://papers")
        assert (refused.value.code, refused.value.status) == ("documents-not-reachable", 4)

    def test_a_place_that_is_a_file(self, tmp_path: Path, paper: Path) -> None:
        (tmp_path / "papers").write_text("a file")
        with pytest.raises(Refusal) as refused:
            Documents(str(tmp_path / "papers")).keep(paper)
        assert refused.value.code == "documents-not-reachable"

    @pytest.mark.parametrize(
        "text", [None, "", "scan/12.pdf", "sha256:ab", f"sha256:{'A' * 64}", f"sha256:{'a' * 64}/x"]
    )
    def test_no_name_of_a_kept_document(self, text: str | None) -> None:
        assert not is_kept(text)
