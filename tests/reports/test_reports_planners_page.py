"""The planner's page: well formed, self-contained, readable without colour, and nothing in the data becomes markup."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from typing import Any

import pytest

from fleetlife.reports.pictures import LOOKS, STYLE, door_look, doors_picture, months_picture, stock_picture
from fleetlife.reports.planners_page import planners_page
from fleetlife.terms.planned import AirframeDoors, DoorLeft, Planned, Removal, RemovalMonth
from fleetlife.terms.spares import OutlookLine, OutlookMonth, SpareChoice, SparesOutlook
from fleetlife.terms.views import DueRow

from . import invented as given
from .invented_spares import LISTED
from .pages_read import read

HOSTILE = '</p></svg><script>alert(1)</script><img src=x onerror="a()"> & \'"\x1b[31m\u202e'


def door(position: str = "L1", **more: Any) -> DoorLeft:
    told: dict[str, Any] = {
        "side": "left" if position.startswith("L") else "right",
        "pair": position[1:],
        "required": True,
        "part_number": "KW-4100-3",
        "serial_number": "00815",
        "state": "in date",
        "requirement": "OVH",
        "due_on": "2027-11-25",
        "days_left": 365,
    }
    return DoorLeft(position=position, **told | more)


def empty(*, required: bool) -> DoorLeft:
    return DoorLeft(position="R1", side="right", pair="1", required=required)


def month(name: str, level: int, expected: float, out: float) -> OutlookMonth:
    return OutlookMonth(
        line="KW4100", rig="left", month=name, returns=0, removals=0, level=level, expected=expected, running_out=out
    )


LINE = OutlookLine(
    line="KW4100",
    rig="left",
    part_numbers=("KW-4100-3",),
    installed=12,
    empty=1,
    stock=2,
    not_counted=1,
    in_shop=1,
    late=0,
    turnaround_median=60.0,
    turnaround_mean=61.5,
    turnaround_returns=4,
    turnaround_from="this line",
    unscheduled=1,
    unit_years=30.0,
    rate=0.03,
    rate_low=0.001,
    rate_high=0.2,
    pipeline=0.06,
    scheduled=3,
    scheduled_away=2,
    stock_wanted=3,
    stock_wanted_high=4,
    first_shortage="2027-01",
    months=(
        month("2026-11", 2, 1.9, 0.01),
        month("2026-12", 1, 0.8, 0.08),
        month("2027-01", -2, -2.1, 1.0),
    ),
)
OVERDUE = Removal(
    registration="Q-PUF",
    position="L1",
    part_number="KW-4100-3",
    serial_number="00815",
    requirement="OVH",
    due_on="2026-11-20",
    overdue=True,
)
PLAN = Planned(
    listed=LISTED,
    airframes=(
        AirframeDoors(
            registration="Q-PUF",
            type="LMX-90",
            station="Gannet Bay",
            status="parked",
            doors=(
                door(state="overdue", due_on="2026-11-20", days_left=-5, in_window=True),
                empty(required=True),
                door("L2", days_left=20, due_on="2026-12-15", in_window=True, unknown=True),
                door("R2"),
            ),
        ),
    ),
    months=(
        RemovalMonth(month="2026-11", removals=(OVERDUE,)),
        RemovalMonth(month="2026-12", removals=(replace(OVERDUE, position="R2", overdue=False, due_on="2026-12-15"),)),
        RemovalMonth(month="2027-01", removals=()),
    ),
    empty=1,
    unknown=2,
    outlook=SparesOutlook(
        about=given.about("spares outlook"), until="2027-01-31", fill_rate=0.95, lines=(LINE,), unknown=0
    ),
)


def _hostile_row(row: DueRow) -> DueRow:
    texts = {field.name for field in fields(DueRow) if isinstance(getattr(row, field.name), str)}
    return replace(
        row, **dict.fromkeys(texts - {"state", "due_date", "due_earliest", "original_due", "driver"}, HOSTILE)
    )


def _hostile_choice(row: SpareChoice) -> SpareChoice:
    texts = {field.name for field in fields(SpareChoice) if isinstance(getattr(row, field.name), str)}
    return replace(row, **dict.fromkeys(texts, HOSTILE), conditions=(HOSTILE,), stops=(HOSTILE,))


def hostile() -> Planned:
    """Every text of the page is hostile, those of the pictures too."""
    due = replace(LISTED.due, rows=tuple(_hostile_row(row) for row in LISTED.due.rows))
    due = replace(due, about=replace(due.about, known_at=HOSTILE, editions=(HOSTILE,), notes=(HOSTILE,)))
    put = tuple(replace(there, conditions=(HOSTILE,), stops=(HOSTILE,), spare_store=HOSTILE) for there in LISTED.put)
    frame = replace(
        PLAN.airframes[0],
        registration=HOSTILE,
        type=HOSTILE,
        station=HOSTILE,
        doors=(door(requirement=HOSTILE, due_on=HOSTILE), replace(door(), position=HOSTILE)),
    )
    removal = replace(OVERDUE, registration=HOSTILE, part_number=HOSTILE, serial_number=HOSTILE, requirement=HOSTILE)
    return replace(
        PLAN,
        listed=replace(LISTED, due=due, put=put, also=tuple(_hostile_choice(row) for row in LISTED.also)),
        airframes=(frame,),
        months=(RemovalMonth(month="2026-11", removals=(removal,)),),
        outlook=replace(PLAN.outlook, lines=(replace(LINE, line=HOSTILE, rig=HOSTILE),)),
    )


def bare() -> Planned:
    """Nothing at all."""
    listed = replace(LISTED, due=given.EMPTY, put=(), also=())
    months = tuple(RemovalMonth(month=each.month, removals=()) for each in PLAN.months)
    return replace(PLAN, listed=listed, airframes=(), months=months, outlook=replace(PLAN.outlook, lines=()))


PAGES = {"given": PLAN, "hostile": hostile(), "bare": bare()}


class TestPage:
    @pytest.mark.parametrize("plan", PAGES.values(), ids=PAGES)
    def test_it_is_well_formed_and_fetches_nothing(self, plan: Planned) -> None:
        page = planners_page(plan)
        reader = read(page)
        assert not {"script", "link", "img", "image", "use", "iframe", "object", "form", "a", "base"} & set(
            reader.names
        )
        names = {name for _, name, _ in reader.attributes}
        assert not {name for name in names if name.startswith("on") or name in ("src", "href", "style", "srcset")}
        assert set(re.findall(r"url\([^)]*\)", page)) <= {f"url(#look-{name})" for name in LOOKS}, "of this page alone"
        assert "@import" not in page

    def test_hostile_text_is_shown_and_is_no_markup(self) -> None:
        page = planners_page(hostile())
        text = "".join(read(page).words)
        assert "<script" not in page
        assert "<img" not in page
        assert "\x1b" not in page
        assert "\u202e" not in page
        assert text.count("<script>alert(1)</script>") > 40

    def test_it_says_what_it_is_under_which_clocks_and_what_it_covers(self) -> None:
        text = " ".join(read(planners_page(PLAN)).words)
        about = PLAN.listed.due.about
        for words in (
            about.as_of,
            about.ledger_head,
            *about.editions,
            about.oldest_reading or "",
            "4,120 units counted",
        ):
            assert words in text
        assert "not a release" in text
        assert "known at" in text.lower()

    def test_every_row_says_what_to_put_there(self) -> None:
        reader = read(planners_page(PLAN))
        text = " ".join(reader.words)
        for row in PLAN.listed.due.rows:
            assert row.serial_number in text or row.requirement is None
        assert "KW-4100-3 00830, North store B-04" in text
        assert "!! no spare" in reader.words
        assert "12 spares in stores are of parts that are not eligible there." in text

    def test_units_without_a_programme_stand_by_part(self) -> None:
        text = " ".join(read(planners_page(PLAN)).words)
        assert "No programme: not the same as nothing due" in text
        without = [row for row in PLAN.listed.due.rows if row.requirement is None]
        assert without
        for row in without:
            assert f"{row.serial_number} at " in text

    def test_many_rows_without_a_date_stand_by_cause_alone(self) -> None:
        unknown = next(row for row in PLAN.listed.due.rows if row.state == "unknown" and row.requirement)
        rows = tuple(replace(unknown, serial_number=f"U-{number}") for number in range(41))
        due = replace(PLAN.listed.due, rows=rows)
        put = (replace(LISTED.put[0], put="cannot be told"),) * 41
        text = " ".join(read(planners_page(replace(PLAN, listed=replace(LISTED, due=due, put=put)))).words)
        assert "?? 41 rows of which no date can be told" in text
        assert "U-40" not in text
        few = replace(PLAN, listed=replace(LISTED, due=replace(due, rows=rows[:40]), put=put[:40]))
        assert "U-39" in " ".join(read(planners_page(few)).words)

    def test_the_same_plan_gives_the_same_bytes(self) -> None:
        assert planners_page(PLAN) == planners_page(PLAN)


class TestDoors:
    @pytest.mark.parametrize(
        ("given_door", "look", "words"),
        [
            (empty(required=True), "past", "!! empty"),
            (empty(required=False), "none", "-- empty"),
            (door(state="overdue", days_left=-5, in_window=True), "past", "!! overdue"),
            (door(state="overdue", days_left=-5, unknown=True), "past", "!! overdue ??"),
            (door(state="no refill"), "varied", "!- no refill"),
            (door(state="in variation", in_window=True), "varied", "!+ in variation"),
            (door(days_left=20, in_window=True), "window", ">> 20 d"),
            (door(state="unknown", days_left=20, in_window=True, unknown=True), "window", ">> 20 d ??"),
            (door(state="unknown", unknown=True), "unknown", "?? unknown"),
            (door(days_left=90), "soon", "-> 90 d"),
            (door(days_left=91), "later", "== 91 d"),
            (door(days_left=1_200, unknown=True), "later", "== 1,200 d ??"),
            (door(due_on=None, days_left=None, state="waiting"), "later", "== no date"),
        ],
    )
    def test_sign_and_words_carry_the_meaning(self, given_door: DoorLeft, look: str, words: str) -> None:
        assert door_look(given_door) == (look, words)
        assert f".strip.{look} " in STYLE or look == "none"

    def test_left_doors_lie_left_and_right_ones_right_pair_under_pair(self) -> None:
        page = planners_page(PLAN)
        cells = {
            words: (float(x), float(y))
            for x, y, words in re.findall(r'<text x="([\d.]+)" y="([\d.]+)" class="strong">([LR]\d)', page)
        }
        assert cells["L1"][0] == cells["L2"][0] < cells["R1"][0] == cells["R2"][0]
        assert cells["L1"][1] == cells["R1"][1] < cells["L2"][1] == cells["R2"][1]

    def test_a_long_line_is_drawn_narrower_and_whole(self) -> None:
        long = door(requirement="HYDROSTATIC-60-MONTHS")
        picture = doors_picture(replace(PLAN.airframes[0], doors=(door(), long)))
        assert picture.count("textLength") == 1
        assert "2027-11-25 HYDROSTATIC-60-MONTHS" in read(picture).words


class TestMonths:
    def test_a_box_a_removal_and_the_number_beside(self) -> None:
        picture = months_picture(PLAN.months)
        assert picture.count('class="strip past"') == 1
        assert picture.count('class="strip window"') == 1
        words = read(picture).words
        assert words == ["2026-11", "1, overdue 1", "2026-12", "1", "2027-01", "0"]

    def test_many_removals_stay_inside_the_picture(self) -> None:
        many = RemovalMonth(month="2026-12", removals=(OVERDUE,) * 400)
        picture = months_picture([many])
        ends = [
            float(x) + float(wide) for x, wide in re.findall(r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', picture)
        ]
        assert len(ends) == 400
        assert max(ends) < 260


class TestStock:
    def test_each_month_has_its_sign_and_its_number(self) -> None:
        words = read(stock_picture(LINE)).words
        assert words == ["2", "==", "11", "2026", "1", ">>", "12", "-2", "!!", "01", "2027"]

    def test_a_column_of_what_is_short_hangs_under_the_line(self) -> None:
        picture = stock_picture(LINE)
        zero = float(re.search(r'd="M0 ([\d.]+)H360" class="axis"', picture)[1])  # type: ignore[index]
        tops = [float(y) for y in re.findall(r'<rect x="[\d.]+" y="([\d.]+)"', picture)]
        assert tops[0] < tops[1] < zero == tops[2]
