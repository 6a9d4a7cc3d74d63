"""Which published rules an answer rests on, and in which edition: in the heads for machines and by `explain`."""

from __future__ import annotations

from .running import CLEAN, TODAY, WRONG_USE, fleetlife

ON = ("--as-of", TODAY)


class TestAbout:
    def test_a_due_list_names_what_every_due_point_rests_on(self, demo: str) -> None:
        rules = fleetlife("due", *ON, "--format", "json", database=demo).json["about"]["published_rules"]
        assert {"rule": "PHMSA letter 11-0131", "edition": "2011-09-01", "from_memory": False} in rules
        assert "M.A.305(a)" not in {rule["rule"] for rule in rules}
        assert all(rule["edition"] for rule in rules)

    def test_an_audit_adds_those_of_its_checks(self, demo: str) -> None:
        rules = fleetlife("audit", *ON, "--format", "json", database=demo).json["about"]["published_rules"]
        assert {"rule": "M.A.504", "edition": "edition not known", "from_memory": True} in rules
        one = fleetlife("audit", "--code", "PAP109", *ON, "--format", "json", database=demo).json["about"]
        assert "M.A.305(a)" in {rule["rule"] for rule in one["published_rules"]}
        assert "M.A.504" not in {rule["rule"] for rule in one["published_rules"]}

    def test_a_finding_cites_its_rule_with_the_edition(self, demo: str) -> None:
        rows = fleetlife("audit", "--code", "FIT101", *ON, "--format", "json", database=demo).json["rows"]
        assert rows[0]["published_rule"].startswith("M.A.501(b) (Regulation (EU) 2021/700): ")


class TestExplain:
    def test_without_a_code_it_lists_findings_and_rules(self) -> None:
        said = fleetlife("explain")
        assert said.status == CLEAN
        assert "LIF109" in said.out
        assert "PUBLISHED RULES APPLIED" in said.out
        assert "M.A.504" in said.out
        assert "cited from memory" in said.words

    def test_a_rule_says_its_edition_and_what_is_done_by_it(self) -> None:
        said = fleetlife("explain", "PHMSA 11-0131")
        assert said.status == CLEAN
        assert "(2011-09-01)" in said.out
        assert "rounded up to the end of its month" in said.words
        assert "LIF107 stays-until-emptied" in said.words

    def test_neither_code_nor_rule_is_wrong_use(self) -> None:
        assert fleetlife("explain", "nothing-of-the-kind").status == WRONG_USE
