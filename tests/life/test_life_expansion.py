"""Expansion tests judged: at the limit and beyond it, what is not stated, what cannot be."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.life.expansion import (
    ExpansionJudged,
    ExpansionTest,
    Permit,
    expansion_told,
    judge_expansion,
    judge_recorded,
    parse_expansion,
    specification_of,
    unfit_figures,
    volume,
)
from fleetlife.terms.refusal import Refusal

VOLUMES = st.decimals(Decimal("0.001"), Decimal(9999), places=3)


def judge(specification: str, total: str, permanent: str, marked: str | None = None, **fields: Any) -> ExpansionJudged:
    return judge_expansion(
        specification=specification,
        total=Decimal(total),
        permanent=Decimal(permanent),
        rejection_elastic=None if marked is None else Decimal(marked),
        **fields,
    )


def refused(*arguments: Any, **fields: Any) -> Refusal:
    with pytest.raises(Refusal) as found:
        judge(*arguments, **fields)
    assert found.value.remedy
    return found.value


class TestPermanent:
    @pytest.mark.parametrize(
        ("specification", "permanent", "outcome"),
        [("3AA", "20.000000", "passed"), ("3AA", "20.000001", "condemned"), ("4E", "24", "passed"),
         ("4E", "24.000001", "condemned"), ("4E240", "22", "passed"), ("DOT-3AL", "22", "condemned")],
    )  # fmt: skip
    def test_exactly_at_the_limit_it_passes(self, specification: str, permanent: str, outcome: str) -> None:
        assert judge(specification, "200", permanent).outcome == outcome

    def test_the_reason_names_figures_and_rule(self) -> None:
        judged = judge("3AA", "200.0", "20.1")
        assert judged.reasons == ("Permanent expansion 20.1 is over 10 % of the total 200.0 (49 CFR 180.205).",)
        assert "within 10 %" in judge("3AA", "200.0", "20.0").reasons[0]

    def test_the_percentage_is_rounded_up(self) -> None:
        assert judge("3AA", "200", "20.1").permanent_percent == Decimal("10.05")
        assert judge("3AA", "200", "20.000001").permanent_percent == Decimal("10.01")
        assert judge("3AA", "200", "0").permanent_percent == 0

    @given(VOLUMES, VOLUMES, st.sampled_from(["3AA", "4E"]))
    def test_it_is_the_exact_comparison(self, total: Decimal, permanent: Decimal, specification: str) -> None:
        total, permanent = max(total, permanent), min(total, permanent)
        over = Fraction(permanent) / Fraction(total) > Fraction(12 if specification == "4E" else 10, 100)
        judged = judge_expansion(specification=specification, total=total, permanent=permanent)
        assert judged.outcome == ("condemned" if over else "passed")
        assert judged.elastic + permanent == total

    @given(VOLUMES, VOLUMES, VOLUMES)
    def test_more_permanent_expansion_never_makes_it_pass(self, total: Decimal, one: Decimal, other: Decimal) -> None:
        less, more = sorted((min(one, total), min(other, total)))
        if judge_expansion(specification="3A", total=total, permanent=less).outcome == "condemned":
            assert judge_expansion(specification="3A", total=total, permanent=more).outcome == "condemned"


class TestElastic:
    def test_over_the_marked_figure_it_is_condemned_and_at_it_not(self) -> None:
        assert judge("3HT", "110", "5", "105").outcome == "passed"
        judged = judge("3HT", "110", "4.999", "105")
        assert judged.outcome == "condemned"
        assert judged.reasons == ("Elastic expansion 105.001 is over the marked 105 (49 CFR 180.205).",)

    def test_with_both_past_both_are_said(self) -> None:
        assert len(judge("3HT", "200", "30", "105").reasons) == 2

    def test_without_the_marked_figure_it_is_unknown(self) -> None:
        judged = judge("DOT-3HT1850", "110", "5")
        assert judged.outcome == "unknown"
        assert "marked" in judged.reasons[0]

    def test_what_condemns_is_not_hidden_behind_what_is_unknown(self) -> None:
        judged = judge("3HT", "200", "30")
        assert judged.outcome == "condemned"
        assert "over 10 %" in judged.reasons[0]

    def test_of_another_specification_it_is_not_asked(self) -> None:
        assert judge("3AA", "110", "5", "50").outcome == "passed"


class TestSpecification:
    @pytest.mark.parametrize(
        ("mark", "name"),
        [("3HT", "3HT"), ("dot 3ht", "3HT"), ("DOT-3HT1850", "3HT"), ("DOT-3HT-1850", "3HT"), ("ICC-3AA 1800", "3AA"),
         ("3AAX2400", "3AAX"), ("3A2015", "3A"), ("4AA480", "4AA480"), ("4B-240ET", "4B-240ET"), ("4BA240", "4BA"),
         ("8AL", "8AL"), ("E 8162", None), ("3E", None), ("4L", None), ("", None), ("3HTX", None), ("3X", None)],
    )  # fmt: skip
    def test_is_read_from_its_mark(self, mark: str, name: str | None) -> None:
        assert specification_of(mark) == name

    def test_one_that_is_not_known_has_no_limit_and_passes_nothing(self) -> None:
        judged = judge("E 8162", "200", "1")
        assert judged.outcome == "unknown"
        assert "permit" in judged.reasons[0]

    def test_a_permit_has_its_own_figures(self) -> None:
        permit = Permit(number="E 8162", permanent_percent=Decimal(5), by_elastic=True)
        assert judge("E 8162", "200", "10", "190", permit=permit).outcome == "passed"
        assert judge("E 8162", "200", "10.1", "190", permit=permit).outcome == "condemned"
        assert judge("E 8162", "200", "9", "190", permit=permit).outcome == "condemned"
        assert judge("E 8162", "200", "9", permit=permit).outcome == "unknown"


class TestRefused:
    @pytest.mark.parametrize(
        ("total", "permanent", "marked"),
        [("0", "0", None), ("200", "200.1", None), ("200", "-1", None), ("-200", "-1", None), ("200", "1", "0")],
    )
    def test_what_cannot_be(self, total: str, permanent: str, marked: str | None) -> None:
        assert refused("3HT", total, permanent, marked).code == "expansion-impossible"

    @pytest.mark.parametrize("value", ["NaN", "Infinity", "0.0000001", "1000000000"])
    def test_what_is_no_exact_figure(self, value: str) -> None:
        assert refused("3AA", value, "1").code == "expansion-not-read"

    def test_a_floating_point_number(self) -> None:
        with pytest.raises(Refusal) as found:
            judge_expansion(specification="3AA", total=200.0, permanent=Decimal(1))  # type: ignore[arg-type]
        assert found.value.code == "expansion-not-read"

    @pytest.mark.parametrize("text", ["", "188,5", "1e2", "-1", "1.", ".5", "1 000", "nan", "1.0000001", "١٢"])
    def test_text_that_is_no_volume(self, text: str) -> None:
        with pytest.raises(Refusal) as found:
            parse_expansion(text)
        assert found.value.code == "expansion-not-read"

    def test_text_keeps_its_decimals(self) -> None:
        assert str(parse_expansion(" 200.0 ")) == "200.0"


class TestRecorded:
    """In thousandths of a cubic centimetre, as the records hold it."""

    @given(st.integers(1, 10**9), st.integers(0, 10**9), st.none() | st.integers(1, 10**9))
    def test_it_is_judged_as_the_figures_in_cubic_centimetres_are(
        self, total: int, permanent: int, limit: int | None
    ) -> None:
        total, permanent = max(total, permanent), min(total, permanent)
        recorded = judge_recorded(ExpansionTest(total=total, permanent=permanent, limit=limit, specification="3HT"))
        assert recorded == judge_expansion(
            specification="3HT",
            total=Decimal(total) / 1000,
            permanent=Decimal(permanent) / 1000,
            rejection_elastic=None if limit is None else Decimal(limit) / 1000,
        )

    @pytest.mark.parametrize(
        ("thousandths", "told"),
        [(0, "0"), (1, "0.001"), (200_000, "200"), (188_500, "188.5"), (1_000_050, "1000.05"), (-1_500, "-1.5")],
    )
    def test_a_volume_is_written_without_trailing_zeros(self, thousandths: int, told: str) -> None:
        assert str(volume(thousandths)) == told

    def test_the_passage_tells_figures_percentage_outcome_limit_and_where_it_was_read(self) -> None:
        told = expansion_told(ExpansionTest(total=110_500, permanent=5_000, limit=105_000, specification="DOT-3HT1850"))
        assert told == (
            "expansion test of a DOT-3HT1850 cylinder, in cubic centimetres: total 110.5, permanent 5, which is 4.53 % "
            "of the total, elastic 105.5 (marked limit 105): over the published limit, the cylinder is condemned. "
            "Elastic expansion 105.5 is over the marked 105 (49 CFR 180.205). By limits: 49 CFR 180.205 (read in a "
            "reproduction, edition not stated); elastic expansion and condemned: 49 CFR 180.203 (2004 edition)."
        )

    def test_what_is_not_shown_is_not_told_as_passed(self) -> None:
        told = expansion_told(ExpansionTest(total=110_500, permanent=5_000, specification="3HT"))
        assert "not shown to be within the published limit" in told
        assert "marked limit" not in told


class TestUnfit:
    GOOD = {"total": 200_000, "permanent": 20_000, "limit": None, "specification": "3AA"}  # noqa: RUF012

    def test_nothing_stated_and_what_can_be_judged_fit(self) -> None:
        assert unfit_figures(total=None, permanent=None, limit=None, specification=None) is None
        assert unfit_figures(**self.GOOD) is None  # type: ignore[arg-type]
        assert unfit_figures(**{**self.GOOD, "permanent": 0, "limit": 1}) is None  # type: ignore[arg-type]
        assert unfit_figures(**{**self.GOOD, "permanent": 200_000}) is None  # type: ignore[arg-type]

    @pytest.mark.parametrize(
        ("stated", "figure", "words"),
        [
            ({"total": None}, "total", "incomplete"),
            ({"permanent": None}, "permanent", "incomplete"),
            ({"specification": None}, "specification", "incomplete"),
            ({"total": None, "permanent": None, "specification": None, "limit": 5}, "total", "incomplete"),
            ({"total": 0, "permanent": 0}, "total", "of 0 cannot be"),
            ({"total": -1}, "total", "of -0.001 cannot be"),
            ({"permanent": -1}, "permanent", "cannot be"),
            ({"limit": 0}, "limit", "cannot be"),
            ({"permanent": 200_001}, "permanent", "200.001 is more than the total of 200"),
            ({"total": 10**12}, "total", "so much"),
            ({"specification": "3E1800"}, "specification", "'3E1800'"),
        ],
    )
    def test_what_cannot_be_names_the_figure(self, stated: dict[str, Any], figure: str, words: str) -> None:
        unfit = unfit_figures(**{**self.GOOD, **stated})
        assert unfit is not None
        assert unfit.figure == figure
        assert words in unfit.reason
        assert unfit.remedy

    @given(st.integers(-2, 4), st.integers(-2, 4), st.none() | st.integers(-2, 4), st.sampled_from(["3AA", "3HT"]))
    def test_what_fits_is_never_refused_by_the_judgement(
        self, total: int, permanent: int, limit: int | None, specification: str
    ) -> None:
        unfit = unfit_figures(total=total, permanent=permanent, limit=limit, specification=specification)
        test = ExpansionTest(total=total, permanent=permanent, limit=limit, specification=specification)
        if unfit is None:
            assert judge_recorded(test).outcome
        else:
            with pytest.raises(Refusal) as found:
                judge_recorded(test)
            assert found.value.code == "expansion-impossible"
