"""`spares` as it is typed: which spare to which position, and how long the stock lasts, on the demo."""

from __future__ import annotations

import csv
from typing import Any

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, Said, fleetlife, head

CHOOSE = ("spares", "choose", "--as-of", TODAY)


def choose(database: str, *more: str, columns: int = 100) -> Said:
    return fleetlife(*CHOOSE, *more, database=database, columns=columns)


def chosen(database: str, *more: str) -> dict[str, dict[str, Any]]:
    rows = choose(database, *more, "--format", "json").json["rows"]
    return {f"{row['registration']} {row['position']}": row for row in rows}


WITHOUT = "Q-SKT L1"  # empty, and no pack lies in stores; Q-SKR, robbed, was in an accident and wants none


class TestChoose:
    def test_each_position_that_falls_due_and_the_empty_one(self, demo: str) -> None:
        before = head(demo)
        said = choose(demo, "--within", "60")
        assert said.status == FINDINGS, said.err
        rows = chosen(demo, "--within", "60")
        assert set(rows) == {"Q-SKA R2", "Q-SKJ R4", "Q-SKH L2", "Q-SKC L1", WITHOUT}
        assert (rows[WITHOUT]["state"], rows[WITHOUT]["spare_serial_number"]) == ("empty", None)
        assert rows["Q-SKJ R4"]["state"] == "empty"
        assert (rows["Q-SKA R2"]["due_on"], rows["Q-SKA R2"]["fit_on"]) == ("2026-11-10", TODAY)
        assert rows["Q-SKH L2"]["due_on"] == rows["Q-SKH L2"]["fit_on"] == "2027-01-07"
        assert head(demo) == before

    def test_no_pair_is_chosen_that_the_fitting_question_refuses(self, sqlite_demo: str) -> None:
        rows = chosen(sqlite_demo, "--within", "180")
        spares = [row["spare_serial_number"] for row in rows.values() if row["spare_serial_number"]]
        assert len(set(spares)) == len(spares) == 10
        for row in rows.values():
            if row["spare_serial_number"] is None:
                continue
            asked = fleetlife(
                *("swap", "check", row["registration"], row["position"], row["spare_part_number"]),
                *(row["spare_serial_number"], "--on", row["fit_on"], "--as-of", TODAY, "--format", "json"),
                database=sqlite_demo,
            ).json
            assert asked["outcome"] == row["outcome"] != "do not fit"
            assert row["rerig"] == any(
                r["topic"] == "harness" and r["verdict"] == "condition" for r in asked["reasons"]
            )

    def test_where_there_is_none_each_spare_says_why(self, demo: str) -> None:
        said = choose(demo, "--within", "180")
        assert said.status == FINDINGS, said.err
        for words in (
            "WITHOUT A SPARE (3)",
            "KV-3350-1L L620: On hold: the data plate reads KV-3350-1L L640.",
            "spares in stores are of parts that are not eligible there.",
            "CHOSEN (10)",
            "it must be rigged right before it is fitted",
            "BESIDE FIRST-COME",
        ):
            assert words in said.words

    def test_the_choice_is_never_worse_than_first_come(self, demo: str) -> None:
        for days in ("120", "180", "365"):
            totals = choose(demo, "--within", days, "--format", "json").json["about"]["totals"]
            costs = [(each["without"], each["late"], each["rigs"], each["days"]) for each in totals]
            assert costs[0] == min(costs)
        assert costs == [(17, 2083, 7, 134), (17, 2083, 9, 134), (17, 2083, 7, 134)]

    def test_one_whose_own_life_ends_earlier_is_fitted_earlier(self, demo: str) -> None:
        row = next(r for r in chosen(demo, "--within", "365").values() if r["spare_serial_number"] == "33401")
        assert (row["fit_on"], row["due_on"], row["days_thrown_away"]) == ("2027-04-08", "2027-08-20", 134)
        assert (row["second_spare"], row["second_without"], row["second_days"]) == (None, 1, -134)

    def test_life_below_the_least_is_no_pair(self, demo: str) -> None:
        rows = chosen(demo, "--within", "365", "--least-days", "400")
        assert all(row["days_of_life"] >= 400 for row in rows.values() if row["spare_serial_number"])
        told = [line for row in rows.values() for line in row["stops"]]
        assert any("days of life if fitted on" in line and "fewer than the 400 wanted" in line for line in told)

    def test_narrowed_to_airframes_and_stations(self, demo: str) -> None:
        assert set(chosen(demo, "--within", "180", "--airframe", "Q-SKC")) == {"Q-SKC L1", "Q-SKC R1", "Q-SKC R2"}
        rows = chosen(demo, "--within", "365", "--station", "Ytrevik")
        assert {row["station"] for row in rows.values()} == {"Ytrevik"}

    @pytest.mark.parametrize("columns", [80, 100])
    def test_it_fits_the_width(self, demo: str, columns: int) -> None:
        said = choose(demo, "--within", "365", columns=columns)
        assert max(len(line) for line in said.out.splitlines()) <= columns

    def test_as_comma_separated_text(self, demo: str) -> None:
        said = choose(demo, "--to", "2027-05-24", "--format", "csv")
        assert said.status == FINDINGS, said.err
        rows = list(csv.DictReader(said.out.splitlines()))
        assert len(rows) == 13
        assert sum(row["spare_serial_number"] == "" for row in rows) == 3

    @pytest.mark.parametrize(
        ("more", "status", "words"),
        [
            ((), WRONG_USE, "--to DAY, --within DAYS, --next-month"),
            (("--to", "2027-01-01", "--within", "30"), WRONG_USE, "one of them"),
            (("--within", "-1"), WRONG_USE, "from 0 on"),
            (("--within", "30", "--least-days", "-1"), WRONG_USE, "from 0 on"),
            (("--to", "2026-11-01"), WRONG_USE, "horizon-in-the-past"),
            (("--within", "30", "--station", "Skarhom"), REFUSED, "Skarholm"),
            (("--within", "30", "--airframe", "Q-NON"), REFUSED, "registration-unknown"),
        ],
    )
    def test_a_slip_is_refused(self, demo: str, more: tuple[str, ...], status: int, words: str) -> None:
        said = choose(demo, *more)
        assert said.status == status, said.words
        assert words in said.words


OUTLOOK = ("spares", "outlook", "--as-of", TODAY)


def lines(database: str, *more: str) -> dict[tuple[str, str], dict[str, Any]]:
    about = fleetlife(*OUTLOOK, *more, "--format", "json", database=database).json["about"]
    return {(line["line"], line["rig"]): line for line in about["lines"]}


class TestOutlook:
    def test_what_runs_short_and_what_lasts(self, demo: str) -> None:
        before = head(demo)
        said = fleetlife(*OUTLOOK, "--months", "6", database=demo)
        assert said.status == FINDINGS, said.err
        for words in (
            "4 of 10 run short",
            "KV3350 early, rig left",
            "short from 2027-04",
            "lasts",
            "42 returns of all",
        ):
            assert words in said.words
        assert head(demo) == before

    def test_a_line_is_what_stands_in_for_one_another(self, demo: str) -> None:
        line = lines(demo)["KV2100 short", "either"]
        assert line["part_numbers"] == ["KV-2100-1", "KV-2100-3"]
        held = fleetlife("stores", "list", "--as-of", TODAY, "--format", "json", database=demo).json["rows"]
        there = [row for row in held if row["part_number"] in line["part_numbers"]]
        assert line["stock"] + line["not_counted"] == len(there)
        raft = lines(demo)["KV3300", "either"]
        assert (raft["stock"], raft["not_counted"], raft["empty"]) == (5, 2, 1), "one overdue, one unserviceable"

    def test_the_rate_is_what_the_removals_say_with_its_exact_interval(self, demo: str) -> None:
        line = lines(demo)["KV2100 short", "either"]
        assert line["unscheduled"] == 2
        assert line["rate"] == pytest.approx(2 / line["unit_years"], abs=1e-4)
        assert line["rate_low"] == pytest.approx(0.2422 / line["unit_years"], abs=1e-4)
        assert line["rate_high"] == pytest.approx(7.2247 / line["unit_years"], abs=1e-4)
        away = line["installed"] * line["rate"] * line["turnaround_mean"] / 365.25
        assert line["pipeline"] == pytest.approx(away, abs=2e-3)

    def test_a_turnaround_given_takes_the_place_of_the_measured_one(self, demo: str) -> None:
        line = lines(demo, "--turnaround", "90")["KV2100 short", "either"]
        assert (line["turnaround_median"], line["turnaround_returns"], line["turnaround_from"]) == (90, 0, "given")

    def test_scheduled_removals_are_the_positions_that_want_a_spare(self, demo: str) -> None:
        rows = fleetlife(*OUTLOOK, "--months", "5", "--format", "json", database=demo).json["rows"]
        wanted = chosen(demo, "--to", "2027-04-30")
        assert sum(row["removals"] for row in rows) == sum(row["state"] != "empty" for row in wanted.values())

    def test_months_follow_one_another_a_row_each(self, demo: str) -> None:
        said = fleetlife(*OUTLOOK, "--part", "KV-2100-3", "--months", "3", "--format", "csv", database=demo)
        assert said.status == CLEAN, said.err
        rows = list(csv.DictReader(said.out.splitlines()))
        assert [row["month"] for row in rows] == ["2026-11", "2026-12", "2027-01", "2027-02"]
        assert {row["line"] for row in rows} == {"KV2100 short"}
        assert all(0 <= float(row["running_out"]) <= 1 for row in rows)

    def test_as_it_was_known_then(self, demo: str) -> None:
        then = fleetlife(*OUTLOOK[:2], "--as-of", "2026-06-01", "--format", "json", database=demo)
        assert then.status in (CLEAN, FINDINGS), then.err
        rows = [row for row in then.json["rows"] if row["line"] == "KV3300"]
        assert rows[0]["month"] == "2026-06"
        line = next(each for each in then.json["about"]["lines"] if each["line"] == "KV3300")
        assert line["unit_years"] < lines(demo)["KV3300", "either"]["unit_years"]

    @pytest.mark.parametrize("columns", [80, 100])
    def test_it_fits_the_width(self, demo: str, columns: int) -> None:
        said = fleetlife(*OUTLOOK, database=demo, columns=columns)
        assert max(len(line) for line in said.out.splitlines()) <= columns

    @pytest.mark.parametrize(
        ("more", "status", "words"),
        [
            (("--months", "-1"), WRONG_USE, "--months"),
            (("--fill-rate", "1"), WRONG_USE, "--fill-rate"),
            (("--turnaround", "-5"), WRONG_USE, "--turnaround"),
            (("--part", "KV-2100-33"), REFUSED, "part-unknown"),
        ],
    )
    def test_a_slip_is_refused(self, demo: str, more: tuple[str, ...], status: int, words: str) -> None:
        said = fleetlife(*OUTLOOK, *more, database=demo)
        assert said.status == status, said.words
        assert words in said.words
