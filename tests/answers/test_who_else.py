"""Who else: what shares a batch, a visit, a signatory or an organisation with a paper, on both databases."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from fleetlife.actions.swap import SwapRequest, UnitName, record_swap
from fleetlife.answers.audit import audit
from fleetlife.answers.who_else import who_else
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.shared import PLACES, SHARED, WhoElse
from tests.checks.fleet import AS_OF, Fleet, fleet
from tests.checks.test_audit import counted

DOUBTED = {
    "tracking_number": "FR-0001",
    "batch": "B-77",
    "signatory": "FR 4",
    "work_order": "WO-9",
}


def told(answer: WhoElse) -> list[tuple[str, str]]:
    return [(unit.serial_number, "+".join(unit.shares)) for unit in answer.units]


def doubted() -> Fleet:
    """FR-0001 of pack 0001 shares a batch with 0005, a visit with 0002, a signatory with 9001; all are one shop's but
    0006, whose other shop has a work order of the same number and a batch of the same name on another part."""
    made = fleet()
    made.row("certificates", tracking_number="FR-0001").update(DOUBTED)
    made.row("certificates", tracking_number="FR-0005").update(batch="b-77")
    made.row("certificates", tracking_number="FR-0002").update(work_order="WO-9", signatory="FR 5")
    made.row("certificates", tracking_number="FR-9001").update(signatory="FR 4")
    made.row("certificates", tracking_number="FR-0006").update(organisation="Other Shop", work_order="WO-9")
    made.row("accomplishments", certificate="FR-0006").update(certificate_organisation="Other Shop")
    made.add(
        "certificates",
        {
            "tracking_number": "OS-1",
            "organisation": "Other Shop",
            "part_number": "RV-7",
            "serial_number": "R0003",
            "status": "New",
            "date": "2016-04-01",
            "batch": "B-77",
        },
    )
    return made


@pytest.fixture
def filed(store: Store, tmp_path: Path) -> Store:
    doubted().take(store, tmp_path / "files")
    return store


class TestShared:
    def test_every_unit_of_the_shop_but_its_own_and_what_each_shares(self, filed: Store) -> None:
        answer = who_else(filed, tracking_number="FR-0001", as_of=AS_OF)
        shares = dict(told(answer))
        assert "0001" not in shares
        assert "0006" not in shares
        assert "R0003" not in shares
        assert shares["0002"] == "visit+organisation"
        assert shares["9001"] == "signatory+organisation"
        assert len(shares) == 8
        assert answer.common == (
            ("batch", "B-77 of SL-100-1"),
            ("visit", "WO-9 of Fulmar Repair"),
            ("signatory", "FR 4"),
            ("organisation", "Fulmar Repair"),
        )
        assert answer.missing == ()

    def test_only_what_is_asked_for(self, filed: Store) -> None:
        for what, serials in (("visit", ["0002"]), ("signatory", ["9001"])):
            answer = who_else(filed, tracking_number="FR-0001", by=[what], as_of=AS_OF)
            assert [unit.serial_number for unit in answer.units] == serials
            assert {word for word, _ in answer.common} == {what}

    def test_the_batch_of_an_opening_statement_counts_too(self, store: Store, tmp_path: Path) -> None:
        made = doubted()
        made.row("units", serial_number="0007").update(batch="B-77")
        made.row("units", serial_number="R0007").update(batch="B-77")
        made.take(store, tmp_path / "files")
        answer = who_else(store, tracking_number="FR-0001", by=["batch"], as_of=AS_OF)
        assert told(answer) == [("0007", "batch")]

    def test_what_the_paper_does_not_state_is_named(self, filed: Store) -> None:
        answer = who_else(filed, tracking_number="FR-0003", as_of=AS_OF)
        assert answer.missing == ("batch", "visit", "signatory")
        assert {shares for _, shares in told(answer)} == {"organisation"}


class TestOrder:
    def test_installed_ones_come_before_stores_and_the_worst_first_in_each(self, store: Store, tmp_path: Path) -> None:
        made = doubted()
        made.row("certificates", tracking_number="FR-0004").update(serial_number="0040", filed_part_number="SL-100-1")
        made.row("certificates", tracking_number="FR-0004").update(filed_serial_number="0004")
        made.take(store, tmp_path / "files")
        answer = who_else(store, tracking_number="FR-0001", as_of=AS_OF)
        places = [PLACES.index(unit.standing) for unit in answer.units]
        assert places == sorted(places)
        assert {unit.standing for unit in answer.units} == {"installed", "stores"}
        first = answer.units[0]
        assert first.serial_number == "0004"
        [found] = [each for each in audit(store, as_of=AS_OF).findings if each.code == "PAP102"]
        assert found in first.findings
        assert first.place == "Q-AAA R2"

    def test_where_a_unit_is_follows_the_clocks(self, filed: Store) -> None:
        with filed.reading() as connection:
            number, _ = head_of(connection)
        record_swap(
            filed,
            SwapRequest(
                registration="Q-AAA",
                position="L1",
                on=AS_OF,
                install=UnitName(part_number="SL-100-1", serial_number="9001"),
                harness="left",
                removed_condition="serviceable",
            ),
            as_of=AS_OF,
            recorded_by="C1",
        )
        asked = {"tracking_number": "FR-0001", "by": ["signatory"], "as_of": AS_OF}
        [now] = who_else(filed, **asked).units  # type: ignore[arg-type]
        [then] = who_else(filed, known_at=str(number), **asked).units  # type: ignore[arg-type]
        assert (now.standing, now.place) == ("installed", "Q-AAA L1")
        assert (then.standing, then.place) == ("stores", "store Main store, bin B-4")


class TestRefused:
    @pytest.mark.parametrize(
        ("asked", "code"),
        [
            ({"tracking_number": "FR-9999"}, "certificate-unknown"),
            ({"tracking_number": "FR-0001", "organisation": "Nobody"}, "certificate-unknown"),
            ({"tracking_number": "FR-0001", "by": ["shop"]}, "shared-unknown"),
        ],
        ids=lambda each: str(each),
    )
    def test_with_what_to_do(self, filed: Store, asked: dict[str, object], code: str) -> None:
        with pytest.raises(Refusal) as refused:
            who_else(filed, as_of=AS_OF, **asked)  # type: ignore[arg-type]
        assert refused.value.code == code
        assert refused.value.remedy


def test_the_words_are_in_the_order_of_what_they_tell() -> None:
    assert SHARED == ("batch", "visit", "signatory", "organisation")


def test_the_number_of_statements_does_not_grow_with_what_is_found(store: Store, tmp_path: Path) -> None:
    counts = []
    for size in (2, 10):
        made = fleet(size)
        if size > 2:
            kept = ("airframes", "units", "certificates", "accomplishments", "readings")
            made.files = {name: rows for name, rows in made.files.items() if name in kept}
        made.take(store, tmp_path / str(size), at=datetime(2025, 1, 9 + size, tzinfo=UTC))
        who_else(store, tracking_number="FR-0001", as_of=AS_OF)
        with counted(store) as statements:
            answer = who_else(store, tracking_number="FR-0001", as_of=AS_OF)
        counts.append((len(answer.units), len(statements)))
    assert counts[0][0] < counts[1][0]
    assert counts[0][1] == counts[1][1]
