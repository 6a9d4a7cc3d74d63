"""Patterns over the fleet on both databases, and the exact test against published and enumerated figures."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction
from itertools import combinations
from math import comb
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.actions.mend import waive
from fleetlife.answers.audit import audit
from fleetlife.checks.patterns import as_many_or_more
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from tests.checks.fleet import AS_OF, Fleet, fleet

WRONG = {"R0001": "R0010", "R0002": "R0020", "R0003": "R0030", "R0004": "R0040"}


def chance(drawn: int, found: int, *, lines: int, differing: int) -> Fraction:
    return Fraction(*as_many_or_more(drawn, found, lines=lines, differing=differing))


class TestExactTest:
    def test_the_lady_tasting_tea(self) -> None:
        """Fisher, The Design of Experiments (1935), chapter II: eight cups, four of each; all right 1 in 70, at least
        three of four right 17 in 70."""
        assert chance(4, 4, lines=8, differing=4) == Fraction(1, 70)
        assert chance(4, 3, lines=8, differing=4) == Fraction(17, 70)

    def test_every_way_counted_one_by_one(self) -> None:
        for lines, differing, drawn in ((9, 3, 4), (10, 5, 5), (8, 7, 3), (7, 2, 6)):
            bag = [place < differing for place in range(lines)]
            draws = [sum(draw) for draw in combinations(bag, drawn)]
            for found in range(drawn + 1):
                expected = Fraction(sum(each >= found for each in draws), len(draws))
                assert chance(drawn, found, lines=lines, differing=differing) == expected

    @given(st.integers(1, 300), st.data())
    def test_it_is_the_sum_of_its_terms(self, lines: int, data: st.DataObject) -> None:
        differing, drawn = data.draw(st.integers(0, lines)), data.draw(st.integers(1, lines))
        found = data.draw(st.integers(0, drawn))
        terms = sum(
            comb(differing, x) * comb(lines - differing, drawn - x) for x in range(found, min(drawn, differing) + 1)
        )
        assert chance(drawn, found, lines=lines, differing=differing) == Fraction(terms, comb(lines, drawn))


def often_wrong(made: Fleet) -> Fleet:
    """Eight papers of one shop for reservoirs, four with two digits crossed; the others' papers agree."""
    for number in range(1, 9):
        serial = f"R{number:04d}"
        row = {
            "tracking_number": f"GR-{number}",
            "organisation": "Gannet Repair",
            "part_number": "RV-7",
            "serial_number": WRONG.get(serial, serial),
            "status": "Inspected/Tested",
            "date": "2024-03-05",
        }
        filed = {"filed_part_number": "RV-7", "filed_serial_number": serial, "filed_manufacturer": "Kittiwake"}
        made.add("certificates", row | (filed if serial in WRONG else {}))
    return made


def last(store: Store) -> int:
    with store.reading() as connection:
        return head_of(connection)[0]


class TestPapers:
    def test_an_organisation_that_disagrees_often_is_found_when_asked_for(self, store: Store, tmp_path: Path) -> None:
        often_wrong(fleet(6)).take(store, tmp_path / "files")
        report = audit(store, as_of=AS_OF, codes=["PAT102"])
        [found] = report.findings
        assert found.subject() == "Gannet Repair"
        assert "4 of 8 (50.0 %) lines of Gannet Repair" in found.message
        assert "0 of 26 (0.0 %) of all others" in found.message
        ways, of = as_many_or_more(8, 4, lines=34, differing=4)
        assert f"once in {of // ways:,}," in found.message
        assert [each.source for each in found.evidence] == [
            f"certificate GR-{number} of Gannet Repair" for number in (1, 2, 3, 4)
        ]
        assert {(row.organisation, row.lines, row.differing) for row in report.organisations} == {
            ("Gannet Repair", 8, 4),
            ("Fulmar Repair", 26, 0),
        }

    def test_one_slip_is_no_pattern(self, store: Store, tmp_path: Path) -> None:
        made = often_wrong(fleet(6))
        for number in (2, 3, 4):
            made.row("certificates", tracking_number=f"GR-{number}").update(serial_number=f"R000{number}")
        made.take(store, tmp_path / "files")
        assert audit(store, as_of=AS_OF, codes=["PAT102"]).findings == ()

    def test_as_known_before_it_was_not_there_and_since_tells_it_as_new(self, store: Store, tmp_path: Path) -> None:
        fleet(6).take(store, tmp_path / "files")
        number = last(store)
        wrong = often_wrong(Fleet())
        wrong.take(store, tmp_path / "wrong", at=datetime(2025, 6, 1, tzinfo=UTC))
        then = audit(store, as_of=AS_OF, codes=["PAT102"], known_at=str(number))
        assert then.findings == ()
        assert [(row.organisation, row.lines) for row in then.organisations] == [("Fulmar Repair", 26)]
        report = audit(store, as_of=AS_OF, codes=["PAT102"], earlier=str(number))
        assert report.since is not None
        assert report.since.new == {report.findings[0].number}
        again = audit(store, as_of=AS_OF, codes=["PAT102"], earlier=str(last(store)))
        assert again.since is not None
        assert (again.since.new, again.since.stood) == (frozenset(), 1)

    def test_it_may_be_waived_by_the_organisation(self, store: Store, tmp_path: Path) -> None:
        often_wrong(fleet(6)).take(store, tmp_path / "files")
        waive(
            store,
            code="PAT102",
            subject="Gannet Repair",
            reason="asked them",
            approved_by="Q7",
            expires_on=AS_OF,
            recorded_by="C1",
        )
        report = audit(store, as_of=AS_OF, codes=["PAT102"])
        assert (report.findings, report.waived) == ((), 1)

    def test_a_plain_audit_says_where_it_is_asked_for(self, store: Store, tmp_path: Path) -> None:
        often_wrong(fleet(6)).take(store, tmp_path / "files")
        report = audit(store, as_of=AS_OF)
        assert "PAT102" not in {found.code for found in report.findings}
        assert "PAT102: raised by fleetlife audit --patterns" in report.not_checked


class TestVisits:
    def _fitted(self, store: Store, folder: Path, nights: list[tuple[str, str, str | None]]) -> list[str]:
        made = fleet()
        for serial in ("0001", "0002", "0003"):
            row = made.row("units", serial_number=serial)
            for name in ("registration", "position", "installed"):
                row.pop(name)
            row.update(store="Main store")
        serials = {"L1": "0001", "R1": "0002", "L2": "0003"}
        for door, day, order in nights:
            made.add(
                "movements",
                {
                    "registration": "Q-AAA",
                    "position": door,
                    "date": day,
                    "installed_part_number": "SL-100-1",
                    "installed_serial_number": serials[door],
                    "harness": "left" if door[0] == "L" else "right",
                    "signed_by": "S1",
                    "work_order": order or "",
                },
            )
        made.take(store, folder, at=datetime(2025, 3, 10, tzinfo=UTC))
        return [each.message for each in audit(store, as_of=AS_OF, codes=["PAT101"]).findings]

    @pytest.mark.parametrize(
        ("orders", "found"),
        [(("WO-7", "WO-7", "WO-7"), 1), (("WO-7", "WO-7", "WO-8"), 0), ((None, None, None), 0)],
    )
    def test_a_visit_of_two_nights_is_one_where_its_work_order_says_so(
        self, store: Store, tmp_path: Path, orders: tuple[str | None, ...], found: int
    ) -> None:
        nights = [("L1", "2025-03-01", orders[0]), ("R1", "2025-03-01", orders[1]), ("L2", "2025-03-02", orders[2])]
        told = self._fitted(store, tmp_path / "files", nights)
        assert len(told) == found
        assert all("under work order WO-7, from 2025-03-01 to 2025-03-02: L1, L2, R1" in each for each in told)

    def test_one_night_is_a_visit_without_any_work_order(self, store: Store, tmp_path: Path) -> None:
        nights = [(door, "2025-03-01", None) for door in ("L1", "R1", "L2")]
        [told] = self._fitted(store, tmp_path / "files", nights)
        assert "3 positions on 2025-03-01: L1, L2, R1" in told
