"""`swap check`: three outcomes, each with every reason and with what was not checked."""

from __future__ import annotations

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, fleetlife

ON = ("--as-of", TODAY)
OUTCOMES = {
    "no objection in these records": (CLEAN, ("Q-SKA", "R2", "KV-2100-3", "20301"), set()),
    "conditions to meet first": (FINDINGS, ("Q-SKA", "R2", "KV-2100-3", "20112"), {"FIT102"}),
    "do not fit": (FINDINGS, ("Q-SKJ", "R4", "KV-3300-1", "33123"), {"LIF101", "PAP104", "FIT102"}),
}


@pytest.mark.parametrize("outcome", OUTCOMES)
class TestOutcomes:
    def test_as_a_table(self, demo: str, outcome: str) -> None:
        status, asked, codes = OUTCOMES[outcome]
        said = fleetlife("swap", "check", *asked, *ON, database=demo)
        assert said.status == status
        assert outcome.upper() in said.out
        assert all(code in said.out for code in codes)
        for words in ("physical condition", "gauge", "by eye", "directives", "current revision", "last reading"):
            assert words in said.out.partition("NOT CHECKED")[2]
        assert "certifying staff decide. This is not a release." in said.words

    def test_as_json(self, demo: str, outcome: str) -> None:
        status, asked, codes = OUTCOMES[outcome]
        said = fleetlife("swap", "check", *asked, *ON, "--format", "json", database=demo)
        answer = said.json
        assert (said.status, answer["outcome"]) == (status, outcome)
        stopping = {reason["code"] for reason in answer["reasons"] if reason["verdict"] in ("stop", "condition")}
        assert stopping == codes
        topics = {reason["topic"] for reason in answer["reasons"]}
        assert {"place", "eligibility", "condition", "release", "paper", "life", "assembly", "harness"} <= topics
        assert len(answer["not_checked"]) >= 6
        assert answer["about"]["as_of"] == TODAY


class TestNaming:
    def test_positions_and_numbers_are_read_as_they_are_spoken(self, demo: str) -> None:
        asked = ("swap", "check", "q-ska", "2r", "kv-2100-3", " 20301 ", *ON, "--format", "json")
        answer = fleetlife(*asked, database=demo).json
        assert (answer["registration"], answer["position"], answer["serial_number"]) == ("Q-SKA", "R2", "20301")

    def test_the_manufacturer_may_be_named(self, demo: str) -> None:
        asked = ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301", *ON)
        assert fleetlife(*asked, "--manufacturer", "Kvitnes Survival", database=demo).status == CLEAN
        wrong = fleetlife(*asked, "--manufacturer", "Lundey", database=demo)
        assert (wrong.status, wrong.out) == (REFUSED, "")

    def test_a_part_without_a_programme_is_stopped(self, demo: str) -> None:
        said = fleetlife("swap", "check", "Q-SKA", "R2", "KV-2100-9", "29001", *ON, database=demo)
        assert said.status == FINDINGS
        assert "DO NOT FIT" in said.out
        assert "LIF103" in said.out
