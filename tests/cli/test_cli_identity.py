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


UNIT = ("KV-2100-3", "20110")
DIFFERS = ("identity", "plate-differs", *UNIT, "--plate-part", "KV-2100-3", "--plate-serial", "20011")
SEEN = ("--seen-by", "S-204", "--reference", "W-4471", "--on", "2026-11-24", "--as-of", TODAY)
ASKED = ("swap", "check", "Q-SKA", "L1", *UNIT, "--as-of", TODAY)
AUDIT = ("audit", "--code", "IDN102", "--as-of", TODAY, "--format", "json")


def open_plates(database: str) -> list[str]:
    return sorted(row["serial_number"] for row in fleetlife(*AUDIT, database=database).json["rows"])


class TestPlates:
    def test_one_that_differs_puts_the_unit_on_hold(self, own_demo: str) -> None:
        before = head(own_demo)
        shown = fleetlife(*DIFFERS, *SEEN, "--preview", database=own_demo)
        assert shown.status == CLEAN, shown.err
        assert "the data plate reads KV-2100-3 20011" in shown.words
        assert head(own_demo) == before
        said = fleetlife(*DIFFERS, *SEEN, "--yes", database=own_demo)
        assert said.status == CLEAN, said.err
        assert f"Entry {before[0] + 1}: the data plate of KV-2100-3 20110 reads KV-2100-3 20011." in said.words
        assert "On hold: the data plate reads KV-2100-3 20011." in said.words
        assert open_plates(own_demo) == ["20110", "L620"]
        assert "On hold: the data plate reads KV-2100-3 20011" in fleetlife(*ASKED, database=own_demo).words
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_read_again_it_agrees(self, own_demo: str) -> None:
        fleetlife(*DIFFERS, *SEEN, "--yes", database=own_demo)
        said = fleetlife("identity", "plate-agrees", *UNIT, *SEEN, "--yes", database=own_demo)
        assert said.status == CLEAN, said.err
        assert "It is not on hold." in said.words
        assert open_plates(own_demo) == ["L620"]
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_the_record_put_right_answers_it(self, own_demo: str) -> None:
        right = ("identity", "correct", "KV-3350-1L", "L620", "--serial", "L640")
        assert fleetlife(*right, *WHY, "--yes", database=own_demo).status == CLEAN
        assert open_plates(own_demo) == []

    @pytest.mark.parametrize(
        ("arguments", "status", "words"),
        [
            ((*DIFFERS[:-1], "20110", *SEEN), REFUSED, "plate-agrees"),
            ((*DIFFERS, "--seen-by", " ", "--as-of", TODAY), WRONG_USE, "seen-by-missing"),
            ((*DIFFERS, "--seen-by", "S-204", "--on", "2026-11-30", "--as-of", TODAY), REFUSED, "in-the-future"),
        ],
    )
    def test_refused(self, demo: str, arguments: tuple[str, ...], status: int, words: str) -> None:
        before = head(demo)
        said = fleetlife(*arguments, "--yes", database=demo)
        assert said.status == status
        assert words in said.words
        assert head(demo) == before


class TestMerge:
    MERGE = ("identity", "merge", "TH-880-1", "R8895O", "TH-880-1", "R88950", *WHY)

    def test_shown_and_then_recorded(self, own_demo: str) -> None:
        before = head(own_demo)
        shown = fleetlife(*self.MERGE, "--preview", database=own_demo)
        assert shown.status == CLEAN, shown.err
        assert "Nothing was recorded." in shown.words
        assert head(own_demo) == before
        said = fleetlife(*self.MERGE, "--yes", database=own_demo)
        assert said.status == CLEAN, said.err
        assert "TH-880-1 R8895O is TH-880-1 R88950." in said.words
        asked = fleetlife("unit", "TH-880-1", "R8895O", "--as-of", TODAY, database=own_demo)
        assert "NOTE: TH-880-1 R8895O is recorded as TH-880-1 R88950 since entry" in asked.words
        audit = fleetlife("audit", "--code", "IDN101", "--as-of", TODAY, "--format", "json", database=own_demo)
        assert audit.json["rows"] == []
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_two_that_moved_are_refused(self, demo: str) -> None:
        both = ("identity", "merge", "KV-2100-3", "20118", "KV-2100-3", "20110", *WHY, "--yes")
        said = fleetlife(*both, database=demo)
        assert said.status == REFUSED
        assert "histories-overlap" in said.words
