"""`identity` as it is typed: shown before it is recorded, told after, refused with a way on."""

from __future__ import annotations

import pytest

from .running import CLEAN, REFUSED, TODAY, WRONG_USE, fleetlife, head

CORRECT = ("identity", "correct", "TH-410-1", "R41007")
WHY = ("--reason", "misread", "--authorised-by", "Q2", "--as-of", TODAY)


class TestCorrect:
    def test_what_moves_is_shown_and_nothing_recorded(self, own_demo: str) -> None:
        before = head(own_demo)
        said = fleetlife(*CORRECT, "--serial", "R41070", *WHY, "--preview", database=own_demo)
        assert said.status == CLEAN, said.err
        for words in ("serial number", "R41007", "R41070", "Nothing was recorded."):
            assert words in said.words
        assert head(own_demo) == before

    def test_it_is_recorded_and_both_spellings_find_it(self, own_demo: str) -> None:
        number, _ = head(own_demo)
        said = fleetlife(*CORRECT, "--serial", "R41070", *WHY, "--yes", database=own_demo)
        assert said.status == CLEAN, said.err
        entry, digest = head(own_demo)
        assert entry == number + 1
        assert f"Entry {entry} corrects entry" in said.words
        assert digest in said.words
        new = fleetlife("unit", "TH-410-1", "R41070", "--as-of", TODAY, database=own_demo)
        old = fleetlife("unit", "TH-410-1", "R41007", "--as-of", TODAY, database=own_demo)
        note = f"NOTE: TH-410-1 R41007 is recorded as TH-410-1 R41070 since entry {entry}."
        assert note in old.words
        assert note not in new.words
        then = fleetlife(
            "unit", "TH-410-1", "R41007", "--as-of", TODAY, "--known-at", str(number), database=own_demo
        )  # fmt: skip
        assert "NOTE" not in then.words
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_the_fitting_says_so_too(self, own_demo: str) -> None:
        unit = ("KV-2100-3", "20110")
        asked = ("swap", "check", "Q-SKA", "L1", *unit, "--as-of", TODAY)
        assert (
            fleetlife("identity", "correct", *unit, "--serial", "20011", *WHY, "--yes", database=own_demo).status == 0
        )
        note = f"KV-2100-3 20110 is recorded as KV-2100-3 20011 since entry {head(own_demo)[0]}."
        assert note in fleetlife(*asked, database=own_demo).words
        assert fleetlife(*asked, "--format", "json", database=own_demo).json["about"]["notes"] == [note]

    @pytest.mark.parametrize(
        ("right", "status", "words"),
        [
            (("--serial", "R41007"), REFUSED, "nothing-changes"),
            (("--part", "TH-999"), REFUSED, "part-unknown"),
            (("--serial", "N/A"), REFUSED, "serial-missing"),
            ((), WRONG_USE, "--serial"),
        ],
    )
    def test_refused(self, demo: str, right: tuple[str, ...], status: int, words: str) -> None:
        said = fleetlife(*CORRECT, *right, *WHY, "--yes", database=demo)
        assert said.status == status
        assert words in said.words
