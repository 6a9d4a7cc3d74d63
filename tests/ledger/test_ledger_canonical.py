"""The canonical text is that of RFC 8785, and its digest SHA-256."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.ledger.canonical import canonical, digest, is_storable
from fleetlife.ledger.entry import fact_digest
from fleetlife.ledger.facts import Fact
from fleetlife.terms.refusal import Refusal

from .samples import ANY_FACT

KEYS = st.text(st.characters(min_codepoint=0x20, max_codepoint=0x7E), max_size=8)
TEXTS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), max_size=20)
# Beyond 2^53 the published text has no whole numbers; the ledger's ids and minutes stay far below.
NUMBERS = st.integers(-(2**53) + 1, 2**53 - 1)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


class TestCanonicalText:
    @settings(max_examples=400, derandomize=True, deadline=None)
    @given(VALUES)
    def test_it_equals_the_published_form(self, value: Any) -> None:
        assert canonical(value).encode() == rfc8785.dumps(value)

    @settings(max_examples=150, derandomize=True, deadline=None)
    @given(ANY_FACT)
    def test_so_does_the_body_of_every_fact(self, fact: Fact) -> None:
        assert canonical(fact.body()).encode() == rfc8785.dumps(fact.body())

    @settings(max_examples=100, derandomize=True, deadline=None)
    @given(VALUES)
    def test_what_is_read_back_gives_the_same_text(self, value: Any) -> None:
        assert canonical(json.loads(canonical(value))) == canonical(value)

    @pytest.mark.parametrize(
        ("value", "text"),
        [
            ({"b": 1, "a": None}, '{"a":null,"b":1}'),
            ({"A": 1, "a": 2, "_": 3}, '{"A":1,"_":3,"a":2}'),
            ("\u20ac\n\x1f\x7f\u2028", '"\u20ac\\n\\u001f\x7f\u2028"'),
            ('"\\/', '"\\"\\\\/"'),
            ([True, False, -5], "[true,false,-5]"),
        ],
    )
    def test_cases_that_are_easily_got_wrong(self, value: Any, text: str) -> None:
        assert canonical(value) == text

    def test_floats_that_are_no_numbers_are_refused(self) -> None:
        with pytest.raises(ValueError, match="JSON"):
            canonical({"a": float("nan")})

    @pytest.mark.parametrize(
        "value", ["a\x00b", {"k": ["x", {"y": "\x00"}]}, {"\x00": 1}, "\ud800", {"k": "\udfff"}, ("\x00",)]
    )
    def test_what_a_database_cannot_keep_is_refused(self, value: Any) -> None:
        with pytest.raises(Refusal) as refused:
            canonical(value)
        assert refused.value.code == "text-not-storable"

    def test_a_backslash_before_u0000_is_text_like_any_other(self) -> None:
        assert canonical("\\u0000") == '"\\\\u0000"'

    @pytest.mark.parametrize(
        ("text", "storable"), [("", True), ("Ā", True), ("\U0001f6e9", True), ("\x00", False), ("a\ud83d", False)]
    )
    def test_it_can_be_asked_before(self, text: str, storable: bool) -> None:
        assert is_storable(text) is storable


class TestDigest:
    def test_it_is_sha256_of_the_utf8_text(self) -> None:
        assert digest("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        assert digest("Ä€") == hashlib.sha256("Ä€".encode()).hexdigest()

    @settings(max_examples=150, derandomize=True, deadline=None)
    @given(ANY_FACT)
    def test_a_facts_digest_is_that_of_what_it_says(self, fact: Fact) -> None:
        assert fact_digest(fact) == hashlib.sha256(rfc8785.dumps(fact.body())).hexdigest()
