"""A folder is written whole or not at all, and nothing is written over."""

from __future__ import annotations

from pathlib import Path

import pytest

from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.folder import whole_folder


class TestWholeFolder:
    @pytest.mark.parametrize("there", [False, True])
    def test_a_new_or_an_empty_one_is_filled(self, tmp_path: Path, there: bool) -> None:
        target = tmp_path / "pack"
        if there:
            target.mkdir()
        with whole_folder(target) as beside:
            (beside / "cards").mkdir()
            (beside / "cards" / "1.txt").write_text("one")
            assert not there or list(target.iterdir()) == []
        assert (target / "cards" / "1.txt").read_text() == "one"
        assert [path.name for path in tmp_path.iterdir()] == ["pack"]

    def test_what_breaks_off_leaves_nothing(self, tmp_path: Path) -> None:
        def write() -> None:
            with whole_folder(tmp_path / "pack") as beside:
                (beside / "1.txt").write_text("one")
                raise RuntimeError("the disk is full")

        with pytest.raises(RuntimeError, match="disk"):
            write()
        assert list(tmp_path.iterdir()) == []

    def test_one_that_holds_something_is_refused_and_left_alone(self, tmp_path: Path) -> None:
        (tmp_path / "kept.txt").write_text("mine")
        with pytest.raises(Refusal) as refused, whole_folder(tmp_path):
            pytest.fail("nothing is written")
        assert refused.value.code == "folder-not-empty"
        assert (tmp_path / "kept.txt").read_text() == "mine"

    def test_a_file_of_that_name_is_refused(self, tmp_path: Path) -> None:
        (tmp_path / "pack").write_text("mine")
        with pytest.raises(Refusal), whole_folder(tmp_path / "pack"):
            pytest.fail("nothing is written")

    def test_one_that_was_filled_meanwhile_is_not_written_over(self, tmp_path: Path) -> None:
        target = tmp_path / "pack"

        def write() -> None:
            with whole_folder(target) as beside:
                (beside / "1.txt").write_text("ours")
                target.mkdir()
                (target / "2.txt").write_text("theirs")

        with pytest.raises(Refusal):
            write()
        assert [path.name for path in target.iterdir()] == ["2.txt"]
