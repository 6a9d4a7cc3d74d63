"""The same question under the same two clocks gives the same bytes, whatever has been recorded since."""

from __future__ import annotations

from pathlib import Path

import pytest

from .running import CLEAN, FINDINGS, FIRST_INTAKE, REFUSED, TODAY, WRONG_USE, fleetlife, head

ON = ("--as-of", TODAY)
FITTED = ("--install", "KV-2100-3", "20301", "--harness", "right", "--removed-to", "shop", "--on", TODAY)
SWAP = ("swap", "record", "Q-SKA", "R2", *FITTED, *ON, "--yes")
QUESTIONS = {
    "due": ("due", "--next-month", *ON),
    "all due": ("due", "--all", *ON),
    "due of one": ("due", "--all", "--airframe", "Q-SKA", *ON),
    "due of a part": ("due", "--all", "--part", "KV-2100-3", *ON),
    "due of the past": ("due", "--all", "--as-of", "2026-05-01"),
    "audit": ("audit", *ON),
    "unit that comes": ("unit", "KV-2100-3", "20301", *ON),
    "unit that goes": ("unit", "KV-2100-3", "20104", *ON),
    "story that comes": ("unit", "KV-2100-3", "20301", "--story", *ON),
    "log card that goes": ("unit", "KV-2100-3", "20104", "--log-card", *ON),
    "retention": ("retention", "--part", "KV-2100-3", *ON),
    "airframe": ("airframe", "Q-SKA", *ON),
    "certificate": ("certificate", "ORO-24-0001", *ON),
    "swap check": ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301", *ON),
}


def test_what_is_recorded_later_changes_no_answer_of_before(own_demo: str, tmp_path: Path) -> None:
    known = ("--known-at", str(head(own_demo)[0]))
    asked = [(*question, *known, "--format", format) for question in QUESTIONS.values() for format in ("json", "table")]
    before = [fleetlife(*each, database=own_demo) for each in asked]
    assert {said.status for said in before} <= {CLEAN, FINDINGS}

    _record_more(own_demo, tmp_path)
    for each, said in zip(asked, before, strict=True):
        assert fleetlife(*each, database=own_demo) == said, each
    now = {name: fleetlife(*QUESTIONS[name], database=own_demo).out for name in ("due", "audit", "airframe")}
    assert "29002" in now["audit"]
    assert "20301" in now["airframe"]


def _record_more(database: str, folder: Path) -> None:
    """A swap, a unit of a part without a programme, its paper, readings, and a reading of the past corrected."""
    assert fleetlife(*SWAP, database=database).status == CLEAN
    (folder / "units.csv").write_text(
        "part_number,serial_number,manufacturer,as_of,store,condition\n"
        "KV-2100-9,29002,Kvitnes Survival,2026-11-20,Skarholm main store,serviceable\n"
        "KV-2100-3,20999,Kvitnes Survival,2026-11-20,Skarholm main store,serviceable\n",
        encoding="utf-8",
    )
    (folder / "certificates.csv").write_text(
        "tracking_number,organisation,part_number,serial_number,status,date\n"
        "ORO-26-7777,Outer Reef Overhaul,KV-2100-9,29002,New,2026-11-19\n",
        encoding="utf-8",
    )
    (folder / "readings.csv").write_text(
        "registration,date,hours_total,cycles_total\nQ-SKE,2026-11-24,40000:00,45000\n", encoding="utf-8"
    )
    said = fleetlife("import", folder, *ON, database=database)
    assert said.status == CLEAN, said.err


class TestCoverageCountsWhatIsAskedFor:
    @pytest.mark.parametrize(
        ("asked", "line"),
        [
            ((), "280 units counted: 279 with a programme, 1 without"),
            (("--airframe", "Q-SKD"), "12 units counted: 12 with a programme, 0 without"),
            (("--part", "KV-2100-9"), "1 unit counted: 0 with a programme, 1 without"),
            (("--part", "KV-2100-9", "--requirement", "OVH"), "1 unit counted: 0 with a programme, 1 without"),
            (("--known-at", FIRST_INTAKE), "279 units counted: 279 with a programme, 0 without"),
        ],
    )
    def test_of_a_part_of_the_fleet(self, demo: str, asked: tuple[str, ...], line: str) -> None:
        assert line in fleetlife("due", *asked, *ON, database=demo).words

    def test_before_and_after_one_more(self, own_demo: str, tmp_path: Path) -> None:
        known = ("--known-at", str(head(own_demo)[0]))
        _record_more(own_demo, tmp_path)
        assert "282 units counted: 280 with a programme, 2 without" in fleetlife("due", *ON, database=own_demo).words
        then = fleetlife("due", *ON, *known, database=own_demo).words
        assert "280 units counted: 279 with a programme, 1 without" in then


class TestMoments:
    """A moment in UTC, a day (to its end), or the number of an entry."""

    def test_an_entry_a_moment_and_a_day_may_say_the_same(self, demo: str) -> None:
        number, _ = head(demo)
        (recorded_at,) = {fleetlife("ledger", "head", "--format", "json", database=demo).json["recorded_at"]}
        asked = ("airframe", "Q-SKF", *ON, "--format", "json", "--known-at")
        found = [fleetlife(*asked, known, database=demo).json for known in (str(number), recorded_at, recorded_at[:10])]
        assert {each["about"]["ledger_entry"] for each in found} == {number}
        assert [each["doors"] for each in found] == [found[0]["doors"]] * 3

    @pytest.mark.parametrize(
        ("known", "status", "code"),
        [
            ("0", REFUSED, "nothing-known-then"),
            ("1999-01-01", REFUSED, "nothing-known-then"),
            ("0001-01-01", REFUSED, "nothing-known-then"),
            ("99999", REFUSED, "entry-not-known"),
            ("20261101", REFUSED, "entry-not-known"),
            ("²", WRONG_USE, "moment-not-read"),
            ("yesterday", WRONG_USE, "moment-not-read"),
            ("2026-02-30", WRONG_USE, "moment-not-read"),
            ("0001-01-01T00:00:00+14:00", WRONG_USE, "moment-not-read"),
            ("", WRONG_USE, "moment-not-read"),
        ],
    )
    def test_what_is_none_is_told(self, demo: str, known: str, status: int, code: str) -> None:
        said = fleetlife("due", *ON, "--known-at", known, database=demo)
        assert (said.status, said.out) == (status, "")
        assert code in said.err
