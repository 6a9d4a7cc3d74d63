"""Every check tried on its cases: found, clean, not applicable. A code without cases or a full page fails here."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from fleetlife.answers.explain import SECTIONS, all_codes, explain, page_of
from fleetlife.checks.every import FAMILIES, REGISTER
from fleetlife.terms.finding import SEVERITY_ORDER
from fleetlife.terms.refusal import Refusal
from tests.checks.in_words import JUDGED

CASES = Path(__file__).parent / "cases"
YAML = "tag:yaml.org,2002:"
KINDS = ("found", "clean", "not applicable")
COMMANDS = (
    *("fleetlife import", "fleetlife due", "fleetlife swap check", "fleetlife swap record", "fleetlife audit"),
    *("fleetlife unit", "fleetlife airframe", "fleetlife certificate", "fleetlife ledger verify"),
    "fleetlife swap",
    *(
        "fleetlife ledger correct",
        "fleetlife ledger withdraw",
        "fleetlife identity correct",
        "fleetlife stores clear",
        "fleetlife identity merge",
        "fleetlife document file",
        "fleetlife document check",
        "fleetlife stores",
        "fleetlife deferral close",
        "fleetlife loan",
    ),
)


class _Words(yaml.SafeLoader):
    """Plain words: `on` is a word and a date is text; true, false, null and numbers are what they say."""


_Words.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag not in (f"{YAML}timestamp", f"{YAML}bool")]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
_Words.add_implicit_resolver(f"{YAML}bool", re.compile("^(?:true|false)$"), list("tf"))


def cases_of(code: str) -> list[dict[str, Any]]:
    return list(yaml.load((CASES / f"{code}.yaml").read_text(encoding="utf-8"), Loader=_Words))


def every_case() -> list[Any]:
    return [
        pytest.param(path.stem, case, id=f"{path.stem}: {case['case']}")
        for path in sorted(CASES.glob("*.yaml"))
        for case in cases_of(path.stem)
    ]


class TestCases:
    @pytest.mark.parametrize("code", sorted(REGISTER))
    def test_every_code_has_a_case_of_every_kind(self, code: str) -> None:
        kinds = [case["kind"] for case in cases_of(code)]
        assert len(kinds) >= 3
        assert set(kinds) == set(KINDS)

    def test_no_case_file_is_for_an_unknown_code(self) -> None:
        assert {path.stem for path in CASES.iterdir()} == set(REGISTER) == set(JUDGED)

    @pytest.mark.parametrize(("code", "case"), every_case())
    def test_the_check_says_of_each_case_what_the_case_expects(self, code: str, case: dict[str, Any]) -> None:
        found = list(JUDGED[code](case["given"]))
        if case["kind"] != "found":
            assert found == []
            assert "expect" not in case
            return
        expected = case["expect"]
        assert [each.severity for each in found] == [each["severity"] for each in expected]
        for finding, told in zip(found, expected, strict=True):
            assert finding.code == code
            for words in told["says"]:
                assert words in finding.message
            assert "\n" not in finding.message
            assert finding.hint
            assert "fleetlife " in finding.hint

    @pytest.mark.parametrize("code", sorted(REGISTER))
    def test_every_finding_shows_its_evidence(self, code: str) -> None:
        for case in cases_of(code):
            if case["kind"] == "found":
                for finding in JUDGED[code](case["given"]):
                    assert finding.evidence
                    assert finding.expected or finding.found

    def test_findings_come_in_the_same_order_whatever_order_the_rows_come_in(self) -> None:
        given = cases_of("PAP105")[0]["given"]
        turned = {**given, "filed": list(reversed(given["filed"]))}
        first = sorted(JUDGED["PAP105"](given), key=lambda each: each.sort_key())
        second = sorted(JUDGED["PAP105"](turned), key=lambda each: each.sort_key())
        assert len(first) == len(second) == 1


class TestPages:
    @pytest.mark.parametrize("code", sorted(REGISTER))
    def test_every_page_has_every_section_in_order(self, code: str) -> None:
        page = REGISTER[code].page
        places = [page.find(f"\n\n{section}") for section in SECTIONS]
        assert all(place > 0 for place in places), dict(zip(SECTIONS, places, strict=True))
        assert places == sorted(places)

    @pytest.mark.parametrize("code", sorted(REGISTER))
    def test_every_page_names_a_command_that_exists(self, code: str) -> None:
        assert any(command in REGISTER[code].page for command in COMMANDS)

    @pytest.mark.parametrize("code", sorted(REGISTER))
    def test_codes_and_names_are_well_formed(self, code: str) -> None:
        check = REGISTER[code]
        assert code[:3].isalpha()
        assert code[:3].isupper()
        assert code[3:].isdigit()
        assert len(code) == 6
        assert check.name == check.name.lower()
        assert " " not in check.name
        assert check.severity in SEVERITY_ORDER

    def test_no_two_codes_share_a_name(self) -> None:
        assert len({check.name for check in REGISTER.values()}) == len(REGISTER)

    def test_every_check_is_in_a_family_module(self) -> None:
        families = {family.__name__ for family in FAMILIES}
        assert {check.function.__module__ for check in REGISTER.values()} == families

    def test_what_is_cited_from_memory_says_so(self) -> None:
        for code in ("FIT107", "LIF104"):
            assert "from memory" in (REGISTER[code].published_rule or "")


class TestExplain:
    def test_a_page_is_found_by_code_and_by_name(self) -> None:
        assert explain("PAP102") == explain("serial-number-differs") == explain("pap102")

    def test_a_page_begins_with_code_name_and_severity(self) -> None:
        assert explain("LIF103").startswith("LIF103 no-programme (stop)\n\nNo requirement is in force")

    def test_a_page_ends_with_the_rule_and_whether_it_can_be_waived(self) -> None:
        text = explain("PAP109")
        assert "Published rule: M.A.305(a)" in text
        assert text.endswith("This finding may be waived by name and reason until a day.")
        assert explain("LIF101").endswith("This finding is never waived.")

    def test_an_unknown_code_names_the_nearest(self) -> None:
        with pytest.raises(Refusal) as refused:
            page_of("PAP199")
        assert refused.value.code == "code-unknown"
        assert "Did you mean PAP1" in refused.value.message
        with pytest.raises(Refusal) as refused:
            page_of("serial-number-difers")
        assert "Did you mean serial-number-differs?" in refused.value.message

    def test_the_list_has_every_code_with_its_first_sentence(self) -> None:
        rows = all_codes()
        assert [row[0] for row in rows] == sorted(REGISTER)
        assert ("PAP103", "no-certificate", "rectify") in {row[:3] for row in rows}
        assert all(row[3].endswith(".") for row in rows)
