"""What a hostile expert asks of the records themselves: rewritten, asked again, and what the tool does not say."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import replace
from datetime import date
from pathlib import Path

from fleetlife.actions.swap import SwapRequest, UnitName, record_swap
from fleetlife.answers.airframe import airframe_card
from fleetlife.answers.entry import ledger_head
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.cli.walk import make_database
from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.entry import GENESIS
from fleetlife.store.engine import Store, open_store
from fleetlife.terms.views import SwapAnswer

TODAY = date(2026, 11, 25)


def rebuild_chain(path: Path) -> None:
    """What an owner of the database can do in a night: change an entry and chain everything after it anew."""
    connection = sqlite3.connect(path, isolation_level=None)
    for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        connection.execute(f"DROP TRIGGER {name}")
    previous = GENESIS
    for number, body in connection.execute("SELECT number, body FROM entry ORDER BY number").fetchall():
        values = json.loads(body)
        values["previous"] = previous
        if number == 3:
            values["source"]["lines"] = [7, 7]
        text = canonical(values)
        connection.execute(
            "UPDATE entry SET previous = ?, body = ?, digest = ? WHERE number = ?",
            (previous, text, digest(text), number),
        )
        previous = digest(text)
    connection.execute("UPDATE ledger_head SET digest = ?", (previous,))
    connection.close()


class TestRewritten:
    def test_a_chain_rebuilt_over_night_agrees_with_itself_and_not_with_a_head_kept_elsewhere(
        self, tmp_path: Path
    ) -> None:
        path = tmp_path / "demo.db"
        make_database(f"sqlite:///{path}")
        store = open_store(f"sqlite:///{path}")
        _, kept, _ = ledger_head(store)
        assert verify(store, known_heads=[kept[:16]]).findings == ()
        store.close()
        rebuild_chain(path)
        store = open_store(f"sqlite:///{path}")
        assert verify(store).findings == ()
        answer = verify(store, known_heads=[kept[:16]])
        store.close()
        assert [finding.code for finding in answer.findings] == ["LED101"]
        assert "not on this chain" in answer.known_heads[0][1]

    def test_one_entry_changed_without_the_rest_is_found_and_named(self, tmp_path: Path) -> None:
        path = tmp_path / "demo.db"
        make_database(f"sqlite:///{path}")
        connection = sqlite3.connect(path, isolation_level=None)
        connection.execute("DROP TRIGGER entry_append_only_update")
        connection.execute("UPDATE entry SET body = replace(body, '\"schema\":1', '\"schema\":2') WHERE number = 40")
        connection.close()
        store = open_store(f"sqlite:///{path}")
        answer = verify(store)
        store.close()
        assert {evidence.entry for finding in answer.findings for evidence in finding.evidence} == {40}

    def test_one_derived_row_changed_is_found_and_named(self, tmp_path: Path) -> None:
        path = tmp_path / "demo.db"
        make_database(f"sqlite:///{path}")
        connection = sqlite3.connect(path, isolation_level=None)
        changed = connection.execute("SELECT unit_id FROM due_point WHERE calendar_due IS NOT NULL LIMIT 1").fetchone()[
            0
        ]
        connection.execute(
            "UPDATE due_point SET calendar_due = calendar_due + 30 WHERE calendar_due IS NOT NULL AND unit_id = ?",
            (changed,),
        )
        connection.close()
        store = open_store(f"sqlite:///{path}")
        answer = verify(store)
        store.close()
        assert [(f.code, f"unit {changed}" in f.message) for f in answer.findings] == [("LED102", True)]


class TestAskedAgain:
    def test_the_answer_before_a_swap_is_the_same_when_asked_as_known_then(self, tmp_path: Path) -> None:
        url = f"sqlite:///{tmp_path / 'demo.db'}"
        make_database(url)
        store = open_store(url)
        before = self.ask(store)
        number, *_ = ledger_head(store)
        record_swap(
            store,
            SwapRequest(
                registration="Q-SKA",
                position="R2",
                on=TODAY,
                install=UnitName(part_number="KV-2100-3", serial_number="20301"),
                harness="right",
            ),
            as_of=TODAY,
            recorded_by="M117",
        )
        after = self.ask(store)
        again = self.ask(store, known_at=str(number))
        store.close()
        assert before.outcome == "no objection in these records"
        assert after.outcome == "do not fit"
        assert replace(again, about=replace(again.about, known_at=None)) == before

    @staticmethod
    def ask(store: Store, known_at: str | None = None) -> SwapAnswer:
        return swap_check(
            store,
            registration="Q-SKA",
            position="R2",
            part_number="KV-2100-3",
            serial_number="20301",
            as_of=TODAY,
            known_at=known_at,
        )

    def test_it_lists_what_it_has_not_checked_and_is_no_release(self, demo: Store) -> None:
        answer = self.ask(demo)
        assert any("gauge" in each for each in answer.not_checked)
        assert any("rig" in each for each in answer.not_checked)
        assert any("not a release" in each for each in answer.cautions)


class TestWhatItDoesNotSay:
    def test_of_an_empty_door_it_says_that_it_is_empty_and_not_whether_it_may_fly(self, demo: Store) -> None:
        card = airframe_card(demo, registration="Q-SKJ", as_of=TODAY)
        (empty,) = [finding for finding in card.findings if finding.code == "FIT104"]
        assert empty.severity == "stop"
        text = f"{empty.message} {empty.hint}".lower()
        assert "passenger" not in text
        assert "fly" not in text

    def test_an_access_removal_leaves_its_due_date_with_its_stays_shown(self, demo: Store) -> None:
        card = unit_card(demo, part_number="KV-2100-3", serial_number="20126", as_of=TODAY)
        (overhaul,) = [row for row in card.due if row.requirement == "OVH" and row.serial_number == "20126"]
        assert overhaul.due_date == "2028-02-01"
        assert overhaul.basis is not None
        assert "2024-06-10" in overhaul.basis
        assert {"2025-09-01", "2025-09-03"} <= {stay.since for stay in card.stays}
