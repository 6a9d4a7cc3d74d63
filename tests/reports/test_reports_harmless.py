"""Data cannot steer the terminal, colour itself, hide in a number or widen a line."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from rich.cells import cell_len

from fleetlife.reports import airframe, certificate, due, findings, intake, swap, unit
from fleetlife.reports.harmless import harmless, whole
from fleetlife.reports.lines import Paragraph

from . import invented as given
from .rendered import WIDTHS, rendered

HOSTILE = "[red]7[/red]\x1b[31m\u202e\u200b\x07\u00a0é:smile:"
SHOWN = "[red]7[/red]\\x1b[31m\\u202e\\u200b\\x07\\xa0é:smile:"


def hostile_row(state: str = "overdue") -> Any:
    return replace(
        given.OVERDUE,
        registration=HOSTILE,
        part_number=HOSTILE,
        serial_number=HOSTILE,
        manufacturer=HOSTILE,
        requirement=HOSTILE,
        state=state,
        state_reason=HOSTILE,
        variation=HOSTILE,
        basis=HOSTILE,
        reference=HOSTILE,
        edition=HOSTILE,
        unknown_measures=HOSTILE,
        parent_part_number=HOSTILE,
        parent_serial_number=HOSTILE,
    )


HOSTILE_FINDING = replace(
    given.STALE,
    code=HOSTILE,
    name=HOSTILE,
    message=HOSTILE,
    hint=HOSTILE,
    registration=HOSTILE,
    serial_number=HOSTILE,
    certificate=HOSTILE,
    expected=HOSTILE,
    found=HOSTILE,
    published_rule=HOSTILE,
    status=HOSTILE,
)
HOSTILE_PAPER = replace(
    given.LOOK_ALIKE,
    tracking_number=HOSTILE,
    organisation=HOSTILE,
    status=HOSTILE,
    form=HOSTILE,
    part_number=HOSTILE,
    serial_number=HOSTILE,
    unit=HOSTILE,
    remarks=f"{HOSTILE}\n{HOSTILE}",
    part_marks=((HOSTILE, "7", False),),
    serial_marks=((HOSTILE, HOSTILE, True),),
)
HOSTILE_ABOUT = replace(
    given.about(HOSTILE), known_at=HOSTILE, editions=(HOSTILE,), rules=(HOSTILE,), oldest_reading_airframe=HOSTILE
)
REPORTS: dict[str, Any] = {
    "due": lambda: due.due_report(
        replace(given.WINDOW, about=HOSTILE_ABOUT, rows=(hostile_row(),), findings=(HOSTILE_FINDING,)), full=True
    ),
    "due by airframe": lambda: due.due_report(replace(given.WINDOW, rows=(hostile_row(),)), by="airframe"),
    "due unknown": lambda: due.due_report(replace(given.WINDOW, rows=(hostile_row("unknown"),)), full=True),
    "due without programme": lambda: due.due_report(
        replace(given.WINDOW, rows=(replace(hostile_row("unknown"), requirement=None),))
    ),
    "causes": lambda: due.due_report(
        replace(
            given.WINDOW,
            rows=(),
            coverage=replace(
                given.COVERAGE,
                causes=(replace(given.CAUSES[0], cause=HOSTILE, sentence=HOSTILE, cleared_by=HOSTILE),),
            ),
        )
    ),
    "swap answer": lambda: swap.swap_answer(
        replace(
            given.STOP_ANSWER,
            about=HOSTILE_ABOUT,
            registration=HOSTILE,
            part_number=HOSTILE,
            serial_number=HOSTILE,
            manufacturer=HOSTILE,
            outgoing=HOSTILE,
            type=HOSTILE,
            reasons=(replace(given.REASONS[4], text=HOSTILE, topic=HOSTILE, code=HOSTILE),),
            life=(replace(given.CLEAR_ANSWER.life[0], serial_number=HOSTILE, requirement=HOSTILE),),
            not_checked=(HOSTILE,),
            cautions=(HOSTILE,),
        )
    ),
    "swap recorded": lambda: swap.swap_recorded(
        replace(given.RECORDED, before=((HOSTILE, HOSTILE),), after=((HOSTILE, HOSTILE),), findings=(HOSTILE_FINDING,))
    ),
    "unit": lambda: unit.unit_card(
        replace(
            given.UNIT,
            part_number=HOSTILE,
            serial_number=HOSTILE,
            description=HOSTILE,
            place=HOSTILE,
            condition=HOSTILE,
            hold=HOSTILE,
            owner=HOSTILE,
            batch=HOSTILE,
            children=(HOSTILE,),
            done=(HOSTILE,),
            stays=(replace(given.UNIT.stays[0], place=HOSTILE, condition=HOSTILE),),
            papers=(HOSTILE_PAPER,),
        )
    ),
    "airframe": lambda: airframe.airframe_card(
        replace(
            given.AIRFRAME,
            registration=HOSTILE,
            operator=HOSTILE,
            registrations=(HOSTILE,),
            doors=tuple(
                replace(door, part_number=HOSTILE, serial_number=HOSTILE, retained=HOSTILE, signs=(HOSTILE,))
                for door in given.AIRFRAME.doors[:2]
            ),
        )
    ),
    "airframe position": lambda: airframe.airframe_card(
        replace(given.AIRFRAME, doors=(replace(given.AIRFRAME.doors[5], position=HOSTILE),))
    ),
    "certificate": lambda: certificate.certificate_card(
        replace(given.CERTIFICATE, lines=(HOSTILE_PAPER,), findings=(HOSTILE_FINDING,))
    ),
    "audit": lambda: findings.findings_report(
        replace(given.AUDIT, scope=HOSTILE, findings=(HOSTILE_FINDING,), not_checked=(HOSTILE,), checks_run=(HOSTILE,))
    ),
    "intake": lambda: intake.intake_report(replace(given.INTAKE, files=((HOSTILE, 1, 1, 0),), notes=(HOSTILE,))),
    "problems": lambda: intake.problems_table(
        [given.Wrong(HOSTILE, 1, HOSTILE, HOSTILE, HOSTILE, HOSTILE), given.Wrong("x", 2, "y", HOSTILE * 9, "r", "m")]
    ),
}


class TestHarmless:
    def test_plain_text_stays_as_it_is(self) -> None:
        assert harmless("KW-4100-3 [red] \\x1b Ørsta 部品") == "KW-4100-3 [red] \\x1b Ørsta 部品"

    @pytest.mark.parametrize(
        ("unseen", "shown"),
        [
            ("\x1b[2J", "\\x1b[2J"),
            ("\x9b31m", "\\x9b31m"),
            ("a\nb\tc\r", "a\\x0ab\\x09c\\x0d"),
            ("0\u200b1", "0\\u200b1"),
            ("a\u202eb", "a\\u202eb"),
            ("a\u00a0b\u2003c", "a\\xa0b\\u2003c"),
            ("a\u2028b", "a\\u2028b"),
            ("\ue000", "\\ue000"),
            ("\U000e0041", "\\U000e0041"),
            ("\ud800", "\\ud800"),
            ("\x7f\x00", "\\x7f\\x00"),
        ],
    )
    def test_what_cannot_be_seen_is_written_out(self, unseen: str, shown: str) -> None:
        assert harmless(unseen) == shown

    def test_nothing_is_empty(self) -> None:
        assert harmless(None) == ""

    @pytest.mark.parametrize("width", WIDTHS)
    @pytest.mark.parametrize("name", REPORTS)
    def test_hostile_data_comes_out_visible_and_harmless(self, name: str, width: int) -> None:
        text = rendered(REPORTS[name](), width)
        assert SHOWN in text or SHOWN.upper() in text
        for unseen in "\x1b\u202e\u200b\x07\u00a0\ue000":
            assert unseen not in text
        assert all(cell_len(line) <= width for line in text.splitlines())

    def test_markup_in_data_is_text(self) -> None:
        shown = rendered(Paragraph(whole("[bold]KW[/bold] [/]")), 80)
        assert shown == "[bold]KW[/bold] [/]\n"

    def test_a_terminal_that_knows_ascii_alone_gets_ascii_and_is_told(self) -> None:
        report = due.due_report(replace(given.WINDOW, rows=(replace(given.OVERDUE, serial_number="Ø815"),)))
        text = rendered(report, 80, encoding="ascii")
        assert "?815" in text
        assert "character set" in text
        assert "-" * 80 in text
