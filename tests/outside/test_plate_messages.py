"""Data plates against what is published of them: worked strings, MIL-STD-130N table A-II, and symbols made by others.

Three of the strings and the table are READ in MIL-STD-130N with Change 1 and in a reader's manual; the blank after a
text element is from memory of practice. The symbols are made by ppf-datamatrix, which shares nothing with the program.
"""

from __future__ import annotations

import random
from datetime import date
from pathlib import Path

import pytest
from PIL import Image, ImageFilter
from ppf.datamatrix import DataMatrix

from fleetlife.cli.scanning import text_of
from fleetlife.paper.symbol import Plate, read_symbol
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.photo import texts_in_photo
from tests.cli.running import CLEAN, REFUSED, in_a_shell

STANDARD = "MIL-STD-130N Change 1, worked string, READ"
TABLE = "MIL-STD-130N Change 1, table A-II, READ (the scan prints I for 1)"
MANUAL = "a reader's manual, READ; it prints D987654MKLJHUIYD, with an L too many"
HEADER = "ISO/IEC 15434 with ISO/IEC 16022's macro 05: 5B 29 3E 1E 30 35 1D ... 1E 04, READ"
DAY = date(2026, 11, 25)


def message(format: str, *fields: str) -> str:
    return f"[)>\x1e{format}\x1d" + "\x1d".join(fields) + "\x1e\x04"


def plate(format: str, *fields: str) -> Plate:
    return read_symbol(message(format, *fields), as_of=DAY)


def identifier(said: Plate) -> str | None:
    return said.identifier.text if said.identifier else None


class TestWorkedStrings:
    @pytest.mark.parametrize(
        ("format", "fields", "expected", "source"),
        [
            ("12", ("CAG A3309", "SER 1234567"), "DA33091234567", STANDARD),
            ("12", ("CAGA3309", "SER1234567"), "DA33091234567", STANDARD),
            ("06", ("18SOCVA5674A36458",), "DOCVA5674A36458", STANDARD),
            ("05", ("0100061414199999", "211A0B9C3D6"), "000614141999991A0B9C3D6", STANDARD),
            ("DD", ("CAG987654", "SERMKJHUIYD"), "D987654MKJHUIYD", MANUAL),
        ],
    )
    def test_its_identifier(self, format: str, fields: tuple[str, ...], expected: str, source: str) -> None:
        assert identifier(plate(format, *fields)) == expected, source

    def test_the_misprint_is_not_reproduced(self) -> None:
        assert identifier(plate("DD", "CAG987654", "SERMKJHUIYD")) != "D987654MKLJHUIYD", MANUAL

    def test_the_bytes_of_the_header_and_the_trailer(self) -> None:
        text = bytes.fromhex("5B 29 3E 1E 30 35 1D").decode() + "211A0B" + bytes.fromhex("1E 04").decode()
        assert read_symbol(text, as_of=DAY).serial == "1A0B", HEADER


PART, LOT, SERIAL = "1PQ-41-7", "1TL88", "S00417"


class TestTableAII:
    @pytest.mark.parametrize(
        ("fields", "expected", "construct"),
        [
            (("18SQ0KV100417",), "DQ0KV100417", "1"),
            (("25SDQ0KV100417",), "DQ0KV100417", "complete"),
            (("17VQ0KV1", PART, SERIAL), "DQ0KV1Q-41-700417", "2"),
            (("12V194532636", PART, SERIAL), "UN194532636Q-41-700417", "2"),
            (("3V0614141", PART, SERIAL), "0614141Q-41-700417", "2"),
            (("7LQ08172", PART, SERIAL), "LDQ08172Q-41-700417", "2"),
            (("18VDQ0KV1", PART, SERIAL), "DQ0KV1Q-41-700417", "2"),
            (("17VQ0KV1", LOT, SERIAL), "DQ0KV1L8800417", "2"),
            (("12V194532636", LOT, SERIAL), "UN194532636L8800417", "2"),
            (("3V0614141", LOT, SERIAL), "0614141L8800417", "2"),
            (("7LQ08172", LOT, SERIAL), "LDQ08172L8800417", "2"),
            (("18VDQ0KV1", LOT, SERIAL), "DQ0KV1L8800417", "2"),
            (("IQFA1HG3B4CD567890",), "QFA1HG3B4CD567890", "equivalent"),
            (("22S1A2B3C4D",), "1A2B3C4D", "equivalent"),
        ],
    )
    def test_every_row(self, fields: tuple[str, ...], expected: str, construct: str) -> None:
        for order in (fields, fields[::-1]):
            found = plate("06", *order).identifier
            assert found is not None, TABLE
            assert (found.text, found.construct) == (expected, construct), TABLE

    @pytest.mark.parametrize("lacking", [("17VQ0KV1", PART), ("17VQ0KV1", SERIAL), (PART, SERIAL), (SERIAL,)])
    def test_a_set_that_lacks_one_makes_none(self, lacking: tuple[str, ...]) -> None:
        said = plate("06", *lacking)
        assert said.identifier is None, TABLE
        assert any("no unique item identifier" in remark for remark in said.remarks)

    def test_a_rolled_part_number_and_a_trace_number_change_nothing(self) -> None:
        """Table IV, READ: the original part number is never changed; the current one and 30T are no part of it."""
        rolled = plate("06", "17VQ0KV1", PART, "30PQ-41-9", "30TL7", SERIAL)
        assert identifier(rolled) == "DQ0KV1Q-41-700417"
        assert (rolled.part, rolled.original_part) == ("Q-41-9", "Q-41-7")
        assert rolled.lot is None


class TestTextElements:
    """MIL-STD-130N Change 1, text elements, READ; construct 1 with SER or UCN, construct 2 with SEQ alone."""

    @pytest.mark.parametrize("code", ["CAG", "MFR", "SPL"])
    @pytest.mark.parametrize("serial", ["SER", "UCN"])
    def test_construct_1(self, code: str, serial: str) -> None:
        assert identifier(plate("12", f"{code} Q0KV1", f"{serial} 00417")) == "DQ0KV100417"

    @pytest.mark.parametrize(
        ("code", "expected"), [("DUN 194532636", "UN194532636"), ("EUC 0614141", "0614141"), ("CAG Q0KV1", "DQ0KV1")]
    )
    @pytest.mark.parametrize(("item", "value"), [("PNO", "Q-41-7"), ("LOT", "L88")])
    def test_construct_2(self, code: str, expected: str, item: str, value: str) -> None:
        assert identifier(plate("12", code, f"{item} {value}", "SEQ 00417")) == f"{expected}{value}00417"

    def test_one_unique_in_the_part_does_not_stand_in_for_one_unique_in_the_enterprise(self) -> None:
        assert identifier(plate("12", "MFR Q0KV1", "SEQ 00417")) is None
        with_part = plate("12", "MFR Q0KV1", "PNO Q-41-7", "SER 00417").identifier
        assert with_part is not None
        assert (with_part.text, with_part.construct) == ("DQ0KV100417", "1")


class TestGS1Equivalents:
    """MIL-STD-130N table VI notes 11 to 13, READ: 8002, 8003 and 8004 are equivalents, marked whole."""

    @pytest.mark.parametrize(
        ("field", "expected"),
        [
            ("80021A2B3C4D", "1A2B3C4D"),
            ("80030061414199999417", "0061414199999417"),
            ("8004061414100417", "061414100417"),
        ],
    )
    def test_each(self, field: str, expected: str) -> None:
        assert identifier(plate("05", field)) == expected

    def test_a_returnable_asset_without_a_serial_names_no_item(self) -> None:
        assert identifier(plate("05", "800300614141999994")) is None


# -- symbols -----------------------------------------------------------------------------------------------------------

PHOTOGRAPHED = message("12", "MFR Q0KV1", "SER 00417", "PNR Q-41-9", "DMF 20190304")


def symbol(text: str, *, module: int = 8) -> Image.Image:
    """A Data Matrix of the text as the other program makes it, black on white."""
    rows = DataMatrix(text).matrix
    image = Image.new("L", (len(rows[0]) + 8, len(rows) + 8), 255)
    for y, row in enumerate(rows):
        for x, dark in enumerate(row):
            if dark:
                image.putpixel((x + 4, y + 4), 0)
    return image.resize((image.width * module, image.height * module), Image.Resampling.NEAREST)


def scratched(image: Image.Image, *, share: float) -> Image.Image:
    """Grey metal, soft, unevenly lit, with specks on a share of its points."""
    chance = random.Random(417)
    shade = Image.linear_gradient("L").resize(image.size).point(lambda value: value // 3)
    metal = Image.composite(Image.new("L", image.size, 200), Image.new("L", image.size, 60), image)
    lit = Image.blend(metal, shade, 0.15).filter(ImageFilter.GaussianBlur(2))
    for _ in range(round(lit.width * lit.height * share)):
        lit.putpixel((chance.randrange(lit.width), chance.randrange(lit.height)), chance.randrange(256))
    return lit


class TestSymbols:
    @pytest.mark.parametrize("kind", ["png", "jpg", "bmp", "tiff"])
    @pytest.mark.parametrize("text", [PHOTOGRAPHED, message("06", "18SQ0KV100417"), message("05", "211A0B")])
    def test_what_was_encoded_is_what_is_read(self, tmp_path: Path, text: str, kind: str) -> None:
        path = tmp_path / f"plate.{kind}"
        symbol(text).save(path)
        assert texts_in_photo(path) == (text,)

    @pytest.mark.parametrize("degrees", [7, 90, 133, 180, 261])
    def test_turned(self, tmp_path: Path, degrees: int) -> None:
        path = tmp_path / "plate.png"
        symbol(PHOTOGRAPHED).rotate(degrees, expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC).save(path)
        assert texts_in_photo(path) == (PHOTOGRAPHED,)

    def test_scratched_and_badly_lit(self, tmp_path: Path) -> None:
        path = tmp_path / "plate.jpg"
        scratched(symbol(PHOTOGRAPHED, module=12), share=0.02).rotate(4, expand=True, fillcolor=200).save(path)
        assert texts_in_photo(path) == (PHOTOGRAPHED,)

    def test_a_symbol_too_damaged_is_refused_and_never_half_read(self, tmp_path: Path) -> None:
        path = tmp_path / "plate.png"
        image = symbol(PHOTOGRAPHED)
        image.paste(255, (image.width // 4, 0, image.width, image.height))
        image.save(path)
        with pytest.raises(Refusal) as refused:
            texts_in_photo(path)
        assert refused.value.code == "photo-without-symbol"

    @pytest.mark.parametrize("kind", ["png", "jpg"])
    def test_a_damaged_file_is_read_right_or_refused(self, tmp_path: Path, kind: str) -> None:
        path = tmp_path / f"plate.{kind}"
        symbol(PHOTOGRAPHED, module=4).save(path)
        whole, chance = path.read_bytes(), random.Random(417)
        for turn in range(40):
            damaged = bytearray(whole)
            for _ in range(chance.randrange(1, 12)):
                damaged[chance.randrange(len(damaged))] = chance.randrange(256)
            path.write_bytes(damaged[: chance.randrange(len(damaged))] if turn % 5 == 0 else damaged)
            try:
                read = texts_in_photo(path)
            except Refusal as refusal:
                read = (PHOTOGRAPHED,) if refusal.code in ("photo-not-read", "photo-without-symbol") else ()
            assert read == (PHOTOGRAPHED,)

    def test_the_message_is_taken_among_other_codes_and_never_one_of_two(self, tmp_path: Path) -> None:
        one, other = symbol(PHOTOGRAPHED), symbol(message("06", "18SQ0KV100418"))
        label = symbol("Handle with care")
        for name, second, code in (("label", label, None), ("other", other, "photo-two-symbols")):
            page = Image.new("L", (one.width + second.width + 60, max(one.height, second.height) + 40), 255)
            page.paste(one, (10, 10))
            page.paste(second, (one.width + 50, 10))
            page.save(tmp_path / f"{name}.png")
            word = f"photo:{tmp_path / name}.png"
            if code is None:
                assert text_of(word) == PHOTOGRAPHED
                continue
            with pytest.raises(Refusal) as refused:
                text_of(word)
            assert refused.value.code == code

    def test_a_photograph_is_read_by_the_command(self, tmp_path: Path) -> None:
        symbol(PHOTOGRAPHED).save(tmp_path / "plate.png")
        said = in_a_shell("identity", "read", f"photo:{tmp_path / 'plate.png'}", "--format", "json")
        assert said.status == CLEAN, said.err
        assert said.json["unique_item_identifier"] == "DQ0KV100417"
        assert (said.json["current_part_number"], said.json["manufactured"]) == ("Q-41-9", "2019-03-04")

    def test_without_the_extra_it_is_named(self, tmp_path: Path) -> None:
        (tmp_path / "zxingcpp.py").write_text("raise ImportError('not here')\n", encoding="utf-8")
        symbol(PHOTOGRAPHED).save(tmp_path / "plate.png")
        where = {"PYTHONPATH": f"{tmp_path}:{Path(__file__).parents[2]}"}
        said = in_a_shell("identity", "read", f"photo:{tmp_path / 'plate.png'}", env=where)
        assert said.status == REFUSED
        assert "extra-missing" in said.err
        assert "fleetlife[scan]" in said.err
