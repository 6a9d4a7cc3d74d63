"""The due list as a planner asks: by station, type, operator, source and side, in a window of days, grouped."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

import fleetlife as package

from .running import FINDINGS, FIRST_INTAKE, TODAY, WRONG_USE, fleetlife

DAY = ("--as-of", TODAY)


def rows(database: str, *more: str) -> list[dict[str, Any]]:
    return list(fleetlife("due", "--all", *DAY, *more, "--format", "json", database=database).json["rows"])


class TestNarrowed:
    @pytest.mark.parametrize(
        ("option", "value", "column", "kept"),
        [
            ("--station", "Ytrevik", "station", {"Ytrevik"}),
            ("--station", "ytrevik", "station", {"Ytrevik"}),
            ("--source", "dangerous_goods", "source", {"dangerous_goods"}),
            ("--source", "airworthiness_limitation", "source", {"airworthiness_limitation"}),
        ],
    )
    def test_to_what_is_asked_for(self, demo: str, option: str, value: str, column: str, kept: set[str]) -> None:
        every, narrowed = rows(demo), rows(demo, option, value)
        assert {row[column] for row in narrowed} == kept
        assert narrowed == [row for row in every if row[column] in kept]

    def test_by_the_type_and_the_operator_of_the_airframe(self, demo: str) -> None:
        every = rows(demo)
        tiny = rows(demo, "--type", "HVN-20")
        assert {row["registration"] for row in tiny} == {"Q-SKN", "Q-SKP"}
        operators = {row["operator"] for row in every if row["operator"]}
        for operator in operators:
            assert {row["operator"] for row in rows(demo, "--operator", operator)} == {operator}

    def test_by_side_the_doors_of_it_and_the_spares_for_it(self, demo: str) -> None:
        left, right = rows(demo, "--side", "left"), rows(demo, "--side", "right")
        on_doors = {row["position"][0] for row in left if row["position"]}
        assert on_doors == {"L"}
        spares = {row["serial_number"] for row in left if row["store"]}
        assert "20211" in spares  # rigged left
        assert not spares & {row["serial_number"] for row in right if row["store"]}

    def test_together_they_narrow_together(self, demo: str) -> None:
        narrowed = rows(demo, "--station", "Skarholm", "--side", "left", "--source", "dangerous_goods")
        assert narrowed
        assert {(row["station"], row["position"][0], row["source"]) for row in narrowed} == {
            ("Skarholm", "L", "dangerous_goods")
        }

    @pytest.mark.parametrize(
        ("option", "value", "says"),
        [
            ("--station", "Skarhom", "Did you mean Skarholm?"),
            ("--type", "SKR-61", "SKR-60"),
            ("--operator", "Nobody", "operator-unknown"),
            ("--source", "maker", "none of"),
            ("--side", "port", "none of left, right, centre"),
            ("--by", "store", "station, part"),
            ("--within", "-1", "from 0 on"),
        ],
    )
    def test_a_slip_does_not_look_like_nothing_due(self, demo: str, option: str, value: str, says: str) -> None:
        said = fleetlife("due", *DAY, option, value, database=demo)
        assert said.status >= WRONG_USE
        assert says in said.words

    def test_a_number_of_days_is_one_window(self, demo: str) -> None:
        by_days = fleetlife("due", "--within", "30", *DAY, database=demo)
        assert by_days.out == fleetlife("due", *DAY, database=demo).out
        assert fleetlife("due", "--within", "30", "--next-month", *DAY, database=demo).status == WRONG_USE


class TestGrouped:
    @pytest.mark.parametrize("columns", [80, 100])
    @pytest.mark.parametrize(("by", "heading"), [("station", "Skarholm ("), ("part", "KV-3300-1 (")])
    def test_by_station_and_by_part(self, demo: str, by: str, heading: str, columns: int) -> None:
        out = fleetlife("due", "--within", "90", "--by", by, *DAY, database=demo, columns=columns).out
        assert heading in out
        assert max(map(len, out.splitlines())) <= columns

    def test_soft_lives_stand_apart(self, demo: str) -> None:
        out = fleetlife("due", "--next-month", *DAY, database=demo).out
        soft = out.index("SOFT LIFE, apart: it stops nothing (1)")
        assert "SFT" not in out[out.index("OVERDUE (") : out.index("UNKNOWN:")]
        assert "SFT" in out[soft:]


class TestGoesOn:
    def test_as_a_calendar(self, demo: str, tmp_path: Path) -> None:
        file = tmp_path / "due.ics"
        said = fleetlife("due", "--within", "60", "--station", "Skarholm", "--calendar", file, *DAY, database=demo)
        assert said.out == fleetlife("due", "--within", "60", "--station", "Skarholm", *DAY, database=demo).out
        icalendar = pytest.importorskip("icalendar")
        calendar = icalendar.Calendar.from_ical(file.read_bytes())
        listed = fleetlife("due", "--within", "60", "--station", "Skarholm", *DAY, "--format", "json", database=demo)
        dated = [row for row in listed.json["rows"] if row["due_earliest"] or row["due_date"]]
        events = [event for event in calendar.walk("VEVENT") if "no day in these records" not in event["summary"]]
        assert len(events) == len(dated)

    def test_as_frames_in_python(self, demo: str) -> None:
        with package.open(demo) as records:
            day = date.fromisoformat(TODAY)
            frame = records.due(as_of=day)
            assert len(frame) == len(rows(demo))
            assert frame.attrs["as_of"] == TODAY
            assert set(records.due(as_of=day, stations=["Ytrevik"])["station"]) == {"Ytrevik"}
            window = records.due(as_of=day, window_until=date(2026, 12, 31))
            assert 0 < len(window) < len(frame)
            assert "SWP103" in set(records.findings(as_of=day)["finding"])
            swaps = records.swaps(as_of=day)
            assert list(swaps["swap"])[:2] == ["SK-26-024", "SK-26-026"]
            assert list(swaps["findings"])[1] == "PLN102"


class TestSince:
    def test_in_every_format_with_the_exit_status_of_the_list(self, demo: str, tmp_path: Path) -> None:
        asked = ("due", "--within", "60", *DAY)
        plain = fleetlife(*asked, database=demo)
        told = fleetlife(*asked, "--since", FIRST_INTAKE, database=demo)
        assert told.status == plain.status == FINDINGS
        assert "CAME IN" in told.out
        assert "Done on 2026-11-13" in told.words
        as_json = fleetlife(*asked, "--since", FIRST_INTAKE, "--format", "json", database=demo).json
        assert as_json["about"]["since"]["entry"] == int(FIRST_INTAKE)
        assert sum(as_json["about"]["since"]["counts"].values()) == len(as_json["rows"])
        done = next(row for row in as_json["rows"] if (row["serial_number"], row["requirement"]) == ("33107", "FNT"))
        assert (done["since"], done["due_date_then"], done["state"]) == ("went out", "2026-11-22", "in date")
        lines = fleetlife(*asked, "--since", FIRST_INTAKE, "--format", "csv", database=demo).out.splitlines()
        assert lines[0].startswith(
            "since,state_then,due_date_then,due_earliest_then,place_then,why,entries,registration"
        )
        book = tmp_path / "since.xlsx"
        fleetlife(*asked, "--since", FIRST_INTAKE, "--format", "xlsx", "--output", book, database=demo)
        assert book.stat().st_size > 5_000

    @pytest.mark.parametrize("more", [("--since-as-of", "2026-11-01"), ("--since", "1282", "--by", "month")])
    def test_what_does_not_go_together_is_refused(self, demo: str, more: tuple[str, ...]) -> None:
        assert fleetlife("due", *DAY, *more, database=demo).status == WRONG_USE

    @pytest.mark.parametrize("columns", [80, 100])
    def test_it_fits_its_width(self, demo: str, columns: int) -> None:
        out = fleetlife("due", "--since", FIRST_INTAKE, *DAY, database=demo, columns=columns).out
        assert max(len(line) for line in out.splitlines()) <= columns
