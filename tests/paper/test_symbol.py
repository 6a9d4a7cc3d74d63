"""A plate's symbol as scanners send it: what is read, what is kept, what is refused and why."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fleetlife.paper.envelope import is_message, open_envelope
from fleetlife.paper.symbol import Plate, read_symbol
from fleetlife.terms.refusal import Refusal

DAY = date(2026, 11, 25)
RS, GS, EOT = "\x1e", "\x1d", "\x04"
WHOLE = f"[)>{RS}06{GS}17VQ0KV1{GS}1PQ-41-7{GS}S00417{RS}{EOT}"


def read(text: str, *, as_of: date = DAY) -> Plate:
    return read_symbol(text, as_of=as_of)


def di(*fields: str) -> Plate:
    return read(f"[)>{RS}06{GS}{GS.join(fields)}{RS}{EOT}")


def ai(*fields: str, as_of: date = DAY) -> Plate:
    return read(f"[)>{RS}05{GS}{GS.join(fields)}{RS}{EOT}", as_of=as_of)


def te(*fields: str) -> Plate:
    return read(f"[)>{RS}12{GS}{GS.join(fields)}{RS}{EOT}")


def refused(text: str) -> Refusal:
    with pytest.raises(Refusal) as caught:
        read(text)
    return caught.value


def written(record: str, group: str, end: str) -> str:
    return WHOLE.replace(RS, record).replace(GS, group).replace(EOT, end)


def answered(text: str) -> bool:
    """That it is read or refused by a code of symbols; anything else escapes."""
    try:
        return isinstance(read(text), Plate)
    except Refusal as refusal:
        return refusal.code.startswith("symbol-")


class TestAsScannersSendIt:
    @pytest.mark.parametrize(
        "text",
        [
            WHOLE,
            written("{RS}", "{GS}", "{EOT}"),
            written("{rs}", "{gs}", "{eot}"),
            written("<RS>", "<GS>", "<EOT>"),
            written("[RS]", "[GS]", "[EOT]"),
            written("^^", "^]", "^D"),
            written(r"\x1e", r"\x1d", r"\x04"),
            written(r"\u001E", r"\u001D", r"\u0004"),
            written("<0x1E>", "<0x1D>", "<0x04>"),
            written("\u241e", "\u241d", "\u2404"),  # their pictures
            written(RS, "{GS}", EOT),
            written("{RS}", GS, ""),
            WHOLE.removesuffix(EOT),
            WHOLE.removesuffix(RS + EOT) + EOT,
            "]d1" + WHOLE,
            "]Q1" + WHOLE + "\r\n",
            "  " + WHOLE + "\r",
            "\x02]d1" + WHOLE + "\x03\n",
        ],
    )  # fmt: skip
    def test_it_is_one_message(self, text: str) -> None:
        assert is_message(text)
        assert read(text) == read(WHOLE)

    @pytest.mark.parametrize("end", ["", EOT, "{EOT}"])
    def test_group_separators_alone_divide_one_format(self, end: str) -> None:
        said = read(f"[)>06{GS}17VQ0KV1{GS}1PQ-41-7{GS}S00417{end}")
        assert (said.part, said.serial) == ("Q-41-7", "00417")
        assert any("left out the record separators" in remark for remark in said.remarks)

    @pytest.mark.parametrize("text", ["12CAG Q0KV1{GS}SER 417", "DDCAG Q0KV1{GS}SER 417", "ddCAGQ0KV1{GS}SER417"])
    def test_the_earlier_spelling_of_12_and_no_blank(self, text: str) -> None:
        said = read(f"[)>{RS}{text[:2]}{GS}{text[2:].replace('{GS}', GS)}{RS}{EOT}")
        assert said.identifier is not None
        assert said.identifier.text == "DQ0KV1417"

    @given(
        st.lists(
            st.text("0127SPTVD-./ OI", min_size=1, max_size=12).map(str.strip).filter(bool), min_size=1, max_size=5
        ),
        st.sampled_from(["06", "12", "DD"]),
        st.sampled_from(
            [("{RS}", "{GS}", "{EOT}"), ("<RS>", "<GS>", "<EOT>"), ("^^", "^]", "^D"), (r"\x1e", r"\x1d", "")]
        ),
    )
    def test_every_spelling_says_what_the_control_characters_say(
        self, fields: list[str], named: str, signs: tuple[str, str, str]
    ) -> None:
        whole = f"[)>{RS}{named}{GS}{GS.join(fields)}{RS}{EOT}"
        shown = whole
        for sign, seen in zip((RS, GS, EOT), signs, strict=True):
            shown = shown.replace(sign, seen)
        assert read(shown) == read(whole)

    def test_a_number_may_hold_what_looks_like_a_separator_of_another_spelling(self) -> None:
        said = di("1PQ{GS}7", "S^]417")
        assert (said.part, said.serial) == ("Q{GS}7", "^]417")

    def test_several_formats_in_one_message(self) -> None:
        said = read(f"[)>{RS}06{GS}17VQ0KV1{GS}1PQ-41-7{GS}S00417{RS}05{GS}17270331{RS}12{GS}DMF 20190304{RS}{EOT}")
        assert said.identifier is not None
        assert said.identifier.text == "DQ0KV1Q-41-700417"
        assert [str(said.expires), str(said.manufactured)] == ["2027-03-31", "2019-03-04"]

    def test_what_makes_an_identifier_stands_in_one_format(self) -> None:
        said = read(f"[)>{RS}06{GS}17VQ0KV1{GS}1PQ-41-7{RS}12{GS}SEQ 00417{RS}{EOT}")
        assert said.identifier is None


class TestRefused:
    @pytest.mark.parametrize(
        ("text", "code", "word"),
        [
            ("", "symbol-empty", "nothing"),
            ("\r\n", "symbol-empty", "nothing"),
            ("KV-2100-3", "symbol-no-message", "[)>"),
            ("]d2010006141419999921417", "symbol-no-message", "[)>"),
            ("[)>", "symbol-damaged", "nothing follows"),
            (f"[)>{RS}{EOT}", "symbol-damaged", "no format"),
            (f"[)>{RS}06{RS}{EOT}", "symbol-damaged", "no fields"),
            (f"[)>{RS}06{GS}{RS}{EOT}", "symbol-damaged", "no fields"),
            (f"[)>{RS}06{GS}S417{RS}{EOT}S418", "symbol-damaged", "follows its end"),
            (WHOLE + WHOLE, "symbol-damaged", "twice"),
            (f"[)>{RS}06{GS}S4\x0017{RS}{EOT}", "symbol-damaged", "control character 00"),
            (f"[)>{RS}06{GS}S41{RS}1", "symbol-cut-off", "no end"),
            (f"[)>{RS}06{GS}17VQ0KV1{GS}1PQ-41-7{GS}S0041", "symbol-cut-off", "may lack characters"),
            (f"[)>{RS}07{GS}free text{RS}{EOT}", "symbol-format-not-known", "format 07"),
            ("[)>0617VQ0KV11PQ-41-7S00417", "symbol-separators-missing", "1P12S34"),
            ("[)>12CAG Q0KV1SER 00417", "symbol-separators-missing", "12SER34"),
            ("[)>050100061414199999211A0B9C3D6", "symbol-separators-missing", "batch"),
            (f"[)>{RS}0617VQ0KV11PQ-41-7S00417{RS}{EOT}", "symbol-separators-missing", "1P12S34"),
            (f"[)>06{GS}1PQ-4106{GS}S00417", "symbol-separators-missing", "may end in 06"),
            ("[)>" + "9" * 5_000, "symbol-too-long", "more than a symbol"),
        ],
    )
    def test_with_its_reason_and_what_to_do(self, text: str, code: str, word: str) -> None:
        refusal = refused(text)
        assert refusal.code == code
        assert word in refusal.message
        assert refusal.remedy.endswith(".")

    def test_where_every_element_has_its_own_length_nothing_is_guessed(self) -> None:
        said = read("[)>05010006141419999911190304")
        assert str(said.manufactured) == "2019-03-04"
        assert [each.identifier for each in said.elements] == ["01", "11"]

    def test_a_part_that_ends_in_a_format_of_other_identifiers_is_no_other_format(self) -> None:
        assert read(f"[)>06{GS}1PQ-4112{GS}S00417").part == "Q-4112"

    @given(st.text(max_size=80))
    @example("[)>\x1e06\x1d1P\x1e\x04")
    @example("[)>\x1e05\x1d²³\x1e\x04")
    def test_any_text_is_an_answer_or_a_refusal(self, text: str) -> None:
        for each in (text, f"[)>{RS}06{GS}{text}{RS}{EOT}", f"[)>{RS}05{GS}{text}{RS}{EOT}", f"[)>{text}"):
            assert answered(each)

    @given(
        st.sampled_from(["05", "06", "12", "DD", "07"]),
        st.lists(st.text(st.sampled_from("0127SPTVDLIMFREXCAG -." + RS + GS + EOT + "{}^"), max_size=14), max_size=5),
        st.integers(min_value=0, max_value=60),
    )
    def test_any_message_cut_or_whole_is_an_answer_or_a_refusal(self, named: str, fields: list[str], cut: int) -> None:
        text = f"[)>{RS}{named}{GS}{GS.join(fields)}{RS}{EOT}"
        for each in (text, text[:cut], text.replace(RS, ""), text.replace(GS, "")):
            assert answered(each)

    @given(st.integers(min_value=1, max_value=len(WHOLE) - 3))
    def test_a_message_cut_short_never_names_a_unit(self, length: int) -> None:
        assert refused(WHOLE[:length]).code != ""


class TestElements:
    def test_every_element_is_kept_in_order_and_one_not_known_is_named_so(self) -> None:
        said = di("17VQ0KV1", "99ZABC", "1PQ-41-7", "lower", "S00417")
        assert [(each.identifier, each.value, each.used) for each in said.elements] == [
            ("17V", "Q0KV1", True),
            ("99Z", "ABC", False),
            ("1P", "Q-41-7", True),
            ("", "lower", False),
            ("S", "00417", True),
        ]
        assert said.elements[1].says == "not known here"
        assert said.elements[3].says == "no identifier"
        assert said.identifier is not None

    def test_a_format_not_read_is_kept_as_it_stands(self) -> None:
        said = read(f"[)>{RS}07{GS}free text{RS}06{GS}18SQ0KV100417{RS}{EOT}")
        assert (said.elements[0].format, said.elements[0].used) == ("07", False)
        assert said.identifier is not None
        assert any("Format 07 is not read here" in remark for remark in said.remarks)

    def test_elements_of_their_own_length_need_no_separator(self) -> None:
        said = ai("010006141419999911190304211A0B")
        assert [(each.identifier, each.value) for each in said.elements] == [
            ("01", "00061414199999"),
            ("11", "190304"),
            ("21", "1A0B"),
        ]

    @pytest.mark.parametrize(
        ("field", "identifier", "value"),
        [("95INTERNAL", "95", "INTERNAL"), ("7003260101", "7003", "260101"), ("10L7", "10", "L7"), ("ZZ", "", "ZZ")],
    )
    def test_application_identifiers_have_their_own_lengths(self, field: str, identifier: str, value: str) -> None:
        [element] = ai(field).elements
        assert (element.identifier, element.value) == (identifier, value)

    @pytest.mark.parametrize(
        ("fields", "word"),
        [(("1P", "S1"), "1P (original part number) is empty"), (("18SQ0KV1", "S1"), "too short")],
    )
    def test_what_cannot_be_is_remarked_on_and_not_used(self, fields: tuple[str, ...], word: str) -> None:
        said = di(*fields)
        assert not said.elements[0].used
        assert any(word in remark for remark in said.remarks)


class TestNumbers:
    def test_original_and_current_part_number_are_two_things(self) -> None:
        said = di("1PQ-41-7", "30PQ-41-9", "S00417")
        assert (said.original_part, said.current_part, said.part) == ("Q-41-7", "Q-41-9", "Q-41-9")

    def test_a_serial_of_the_enterprise_and_one_of_the_part_are_not_one_number(self) -> None:
        said = te("MFR Q0KV1", "PNO Q-41-7", "SER 900417", "SEQ 00417")
        assert said.serial is None
        assert said.identifier is None
        assert any("2 serial numbers, 900417 and 00417" in remark for remark in said.remarks)
        assert any("2 unique item identifiers" in remark for remark in said.remarks)

    @pytest.mark.parametrize(
        ("fields", "where"), [(("SER 417",), "enterprise"), (("UCN 417",), "enterprise"), (("SEQ 417",), "part or lot")]
    )
    def test_in_what_the_serial_is_unique_is_told(self, fields: tuple[str, ...], where: str) -> None:
        said = te(*fields)
        assert (said.serial, said.serial_unique_in) == ("417", where)

    @pytest.mark.parametrize("fields", [("S1", "S2"), ("1PA", "1PB", "S1")])
    def test_stated_twice_and_not_alike_none_is_taken(self, fields: tuple[str, ...]) -> None:
        said = di(*fields)
        assert said.serial is None or said.original_part is None
        assert any("none is taken" in remark for remark in said.remarks)

    def test_stated_twice_alike_is_stated(self) -> None:
        assert di("18SQ0KV100417", "S00417").serial == "00417"

    def test_part_and_lot_both_make_no_identifier(self) -> None:
        assert di("17VQ0KV1", "1PQ-41-7", "1TL88", "S1").identifier is None

    def test_a_complete_identifier_that_contradicts_the_rest_is_not_taken(self) -> None:
        assert di("25SDQ0KV1Q-41-700418", "17VQ0KV1", "1PQ-41-7", "S00417").identifier is None
        same = di("25SDQ0KV1Q-41-700417", "17VQ0KV1", "1PQ-41-7", "S00417").identifier
        assert same is not None
        assert same.construct == "complete"

    def test_a_complete_identifier_is_not_taken_apart_into_a_serial(self) -> None:
        """It may be of construct 2, and then holds part or lot before the serial."""
        said = di("25SDQ0KV100417")
        assert (said.serial, said.part) == (None, None)
        assert [each.named for each in said.enterprises] == ["CAGE Q0KV1"]

    @pytest.mark.parametrize(
        ("field", "named"),
        [
            ("17VQ0KV1", "CAGE Q0KV1"),
            ("12V194532636", "DUNS 194532636"),
            ("7LQ08172", "DoDAAC Q08172"),
            ("3V0614141", "GS1 company prefix 0614141"),
            ("18VUN194532636", "DUNS 194532636"),
            ("18V0614141", "GS1 company prefix 0614141"),
            ("18VLH1234", "enterprise LH1234"),
            ("18SQ0KV100417", "CAGE Q0KV1"),
        ],
    )
    def test_whose_code_it_is(self, field: str, named: str) -> None:
        assert [each.named for each in di(field, "S1").enterprises] == [named]


class TestDates:
    @pytest.mark.parametrize(
        ("said", "made", "expires"),
        [
            (lambda: di("16D20190304", "14D20340303"), "2019-03-04", "2034-03-03"),
            (lambda: di("17D04032019", "15D03032034"), "2019-03-04", "2034-03-03"),
            (lambda: te("DMF 20190304", "EXP 20340303"), "2019-03-04", "2034-03-03"),
            (lambda: ai("11190304", "17340303"), "2019-03-04", "2034-03-03"),
            (lambda: ai("11190300", "17340300"), "2019-03", "2034-03"),
        ],
    )
    def test_in_the_layout_of_its_identifier(self, said: object, made: str, expires: str) -> None:
        plate = said()  # type: ignore[operator]
        assert [str(plate.manufactured), str(plate.expires)] == [made, expires]

    @pytest.mark.parametrize(
        ("year", "as_of", "expected"),
        [
            (26, 2026, 2026),
            (76, 2026, 2076),  # 50 ahead: this century
            (77, 2026, 1977),  # 51 ahead: the one before
            (99, 2026, 1999),
            (0, 2026, 2000),
            (10, 2060, 2110),  # 50 behind: the next
            (11, 2060, 2011),
            (0, 1999, 2000),
        ],
    )
    def test_the_century_is_the_nearest(self, year: int, as_of: int, expected: int) -> None:
        said = ai(f"17{year:02d}0615", as_of=date(as_of, 11, 25))
        assert said.expires is not None
        assert said.expires.first_day.year == expected

    @pytest.mark.parametrize("field", ["16D20190230", "16D201903", "16D2019-03-04", "16D18990101", "16D", "DMF"])
    def test_what_is_no_date_is_remarked_on_and_not_taken(self, field: str) -> None:
        said = di(field, "S1")
        assert said.manufactured is None
        assert said.remarks

    def test_a_date_of_manufacture_to_come_is_not_taken(self) -> None:
        said = di("16D20261126", "S1")
        assert said.manufactured is None
        assert any("after 2026-11-25" in remark for remark in said.remarks)
        assert str(di("16D20261125").manufactured) == "2026-11-25"


def test_fields_are_divided_by_separators_and_nothing_else() -> None:
    [record] = open_envelope(WHOLE).records
    assert record.fields == ("17VQ0KV1", "1PQ-41-7", "S00417")
