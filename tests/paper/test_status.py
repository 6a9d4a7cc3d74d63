"""Status terms as printed, and what each can show to be done."""

from __future__ import annotations

import pytest

from fleetlife.paper.status import TERMS, form_side, is_new, is_release, proves, status_fault, status_term
from fleetlife.terms import words

PRINTED = [
    ("Overhauled", "overhauled"),
    ("OVERHAULED", "overhauled"),
    (" overhauled. ", "overhauled"),
    ("INSPECTED/TESTED", "inspected/tested"),
    ("Inspected / Tested", "inspected/tested"),
    ("inspected and\ntested", "inspected/tested"),
    ("Inspected", "inspected"),
    ("Tested", "tested"),
    ("Repaired", "repaired"),
    ("Modified", "modified"),
    ("ALTERED", "modified"),
    ("Rebuilt", "rebuilt"),
    ("NEW", "new"),
    ("Prototype", "prototype"),
    ("Overhauled, Modified", None),
    ("Overhauled/Repaired", None),
    ("Serviceable", None),
    ("OH", None),
    ("", None),
    (None, None),
]

# kind, the terms that show it done; every other term must not
PROOF = {
    "overhaul": {"overhauled", "rebuilt", "new"},
    "requalification": {"overhauled", "rebuilt", "new", "repaired", "modified", "tested", "inspected/tested"},
    "functional_test": {"overhauled", "rebuilt", "new", "repaired", "modified", "tested", "inspected/tested"},
    "inspection": {"overhauled", "rebuilt", "new", "repaired", "modified", "inspected", "inspected/tested"},
    "storage": {"overhauled", "rebuilt", "new", "repaired", "modified", "inspected", "tested", "inspected/tested"},
    "replacement": {"new"},
    "soft_life": {"overhauled", "rebuilt", "new"},
    "life_limit": set(),
    "on_condition": set(),
}


class TestTerm:
    @pytest.mark.parametrize(("text", "term"), PRINTED)
    def test_a_term_is_read_as_printed(self, text: str | None, term: str | None) -> None:
        assert status_term(text) == term

    @pytest.mark.parametrize("term", words.RELEASE_STATUSES)
    def test_every_word_of_the_vocabulary_is_its_own_term(self, term: str) -> None:
        assert status_term(term) == term

    @pytest.mark.parametrize(("text", "term"), PRINTED)
    def test_only_a_block_without_one_term_is_at_fault(self, text: str | None, term: str | None) -> None:
        assert (status_fault(text) is None) == (term is not None)

    def test_two_terms_are_named_as_two(self) -> None:
        # Form 1 block 11 holds exactly one term (Appendix II to Part-M).
        assert "several" in (status_fault("Overhauled, Modified") or "")

    def test_a_word_that_is_no_term_is_repeated(self) -> None:
        assert "Serviceable" in (status_fault("Serviceable") or "")


class TestSide:
    @pytest.mark.parametrize(
        ("status", "side"),
        [("New", "production"), ("prototype", "production"), ("Overhauled", "maintenance"), ("?", None), (None, None)],
    )
    def test_new_and_prototype_are_production_terms(self, status: str | None, side: str | None) -> None:
        assert form_side(status) == side


class TestRelease:
    @pytest.mark.parametrize("term", TERMS)
    def test_every_term_but_prototype_releases(self, term: str) -> None:
        assert is_release(term) == (term != "prototype")

    def test_no_status_is_no_release(self) -> None:
        assert not is_release(None)
        assert not is_release("Overhauled, Modified")

    def test_only_new_is_new(self) -> None:
        assert [term for term in TERMS if is_new(term)] == ["new"]


class TestProof:
    @pytest.mark.parametrize("kind", words.REQUIREMENT_KINDS)
    def test_each_kind_is_shown_by_these_terms_and_no_others(self, kind: str) -> None:
        assert {term for term in TERMS if proves(kind, term)} == PROOF[kind]

    def test_inspected_and_tested_restarts_no_overhaul(self) -> None:
        assert not proves("overhaul", "Inspected/Tested")

    def test_the_term_is_read_as_printed(self) -> None:
        assert proves("overhaul", "OVERHAULED")

    def test_an_unknown_term_shows_nothing(self) -> None:
        assert not any(proves(kind, "Serviceable") for kind in words.REQUIREMENT_KINDS)

    def test_a_kind_that_does_not_exist_is_our_own_mistake(self) -> None:
        with pytest.raises(KeyError):
            proves("polish", "new")
