"""A scan in the place of PART SERIAL: every command takes one, and finds by it the unit that its plate names."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image
from typer.main import get_command

from fleetlife.cli.main import app
from fleetlife.cli.scanning import SCANNED, TakesUnit, _doubled

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife, head, in_a_shell

UNIT = ("KV-2100-3", "20110")
MAKER = "Kvitnes Survival"


def message(*fields: str, format: str = "12") -> str:
    return f"[)>\x1e{format}\x1d" + "\x1d".join(fields) + "\x1e\x04"


PLATE = message("MFR Q0KV1", "SER 20110", "PNR KV-2100-3")
SPARE = message("MFR Q0KV1", "SER 20301", "PNR KV-2100-3")
SHOWN = PLATE.replace("\x1e", "{RS}").replace("\x1d", "{GS}").replace("\x04", "{EOT}")
AS_OF = ("--as-of", TODAY)
SEEN = ("--seen-by", "S-204", *AS_OF)
WHY = ("--reason", "misread", "--authorised-by", "Q2", *AS_OF)


class TestEveryCommand:
    @pytest.mark.parametrize("plate", [PLATE, SHOWN, f"]d1{PLATE}\r\n"])
    @pytest.mark.parametrize(
        ("before", "after"),
        [
            (("unit",), ()),
            (("unit",), ("OVH", "--explain")),
            (("unit", "--story"), ()),
            (("swap", "check", "Q-SKA", "L1"), ()),
            (("operation", "record"), ("--operation", "activation", "--preview")),
            (("identity", "plate-agrees"), ("--seen-by", "S-204", "--preview")),
            (("identity", "correct"), ("--serial", "20111", *WHY[:4], "--preview")),
        ],
        ids=lambda words: " ".join(words) or "-",
    )
    def test_it_answers_as_for_both_numbers(
        self, demo: str, before: tuple[str, ...], after: tuple[str, ...], plate: str
    ) -> None:
        typed = fleetlife(*before, *UNIT, *after, *AS_OF, database=demo)
        scanned = fleetlife(*before, plate, *after, *AS_OF, database=demo)
        assert typed.status in (CLEAN, FINDINGS), typed.err
        assert (scanned.status, scanned.out) == (typed.status, typed.out)
        assert scanned.err.replace(f"Scanned: {' '.join(UNIT)} by {MAKER}.\n", "", 1) == typed.err

    def test_a_line_from_the_scanner(self, demo: str) -> None:
        typed = fleetlife("unit", *UNIT, *AS_OF, database=demo)
        for sent in (f"{PLATE}\n", f"]d1{PLATE}\r\n", SHOWN, f"{PLATE}\nnot read\n"):
            scanned = fleetlife("unit", "-", *AS_OF, database=demo, stdin=sent)
            assert (scanned.status, scanned.out) == (typed.status, typed.out)

    def test_two_lines_for_two_units(self, demo: str) -> None:
        into = message("MFR Q0TH7", "SER R88950", "PNR TH-880-1")
        gone = message("MFR Q0TH7", "SER R8895O", "PNR TH-880-1")
        said = fleetlife("identity", "merge", "-", "-", *WHY, "--preview", database=demo, stdin=f"{gone}\n{into}\n")
        assert said.status == CLEAN, said.err
        assert "Scanned: TH-880-1 R8895O by Teistholm Cylinders. Scanned: TH-880-1 R88950" in said.words

    def test_a_photograph(self, demo: str, tmp_path: Path) -> None:
        matrix = pytest.importorskip("ppf.datamatrix").DataMatrix(PLATE).matrix
        image = Image.new("L", (len(matrix) + 8, len(matrix) + 8), 255)
        for y, row in enumerate(matrix):
            for x, dark in enumerate(row):
                image.putpixel((x + 4, y + 4), 0 if dark else 255)
        image.resize((image.width * 6, image.height * 6), Image.Resampling.NEAREST).save(tmp_path / "plate.png")
        said = fleetlife("unit", f"photo:{tmp_path / 'plate.png'}", *AS_OF, database=demo)
        assert said.out == fleetlife("unit", *UNIT, *AS_OF, database=demo).out

    def test_every_command_of_a_unit_takes_one(self) -> None:
        lacking = []

        def walk(group: object, path: tuple[str, ...]) -> None:
            for name, command in group.commands.items():  # type: ignore[attr-defined]
                if hasattr(command, "commands"):
                    walk(command, (*path, name))
                    continue
                takes = any(str(each.metavar).startswith("PART") and each.nargs <= 2 for each in command.params
                            if each.param_type_name == "argument" or each.nargs == 2)  # fmt: skip
                if takes != isinstance(command, TakesUnit):
                    lacking.append(" ".join((*path, name)))

        walk(get_command(app), ())
        assert lacking == []

    def test_help_loads_no_reader_of_photographs(self) -> None:
        script = "import sys; from fleetlife.cli.main import app; from typer.testing import CliRunner; " \
                 "r = CliRunner().invoke(app, ['unit', '--help']); assert r.exit_code == 0; " \
                 "assert not {'zxingcpp', 'PIL', 'sqlalchemy'} & set(sys.modules)"  # fmt: skip
        import subprocess
        import sys

        done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr


class TestWords:
    """Where a scan is one word for two, and where a word that looks like one is not."""

    def doubled(self, *words: str) -> list[str]:
        command = get_command(app).commands["swap"].commands["record"]  # type: ignore[attr-defined]
        return _doubled(command.params, words)

    def test_of_an_option_of_two_and_of_an_argument(self) -> None:
        assert self.doubled("Q-SKA", "L1", "--install", PLATE, "--yes") == [
            "Q-SKA", "L1", "--install", PLATE, SCANNED, "--yes",
        ]  # fmt: skip

    def test_the_value_of_an_option_of_one_is_left_alone(self) -> None:
        assert self.doubled("--file", "-", "--defect", PLATE) == ["--file", "-", "--defect", PLATE]
        assert self.doubled("--defect=photo:x", "--yes") == ["--defect=photo:x", "--yes"]

    def test_both_numbers_typed_are_left_alone(self) -> None:
        assert self.doubled("--install", *UNIT) == ["--install", *UNIT]

    def test_an_option_without_its_value_is_left_to_the_parser(self) -> None:
        assert self.doubled("--install") == ["--install"]


class TestSwapRecord:
    ASKED = ("swap", "record", "Q-SKA", "R2", "--harness", "right", "--on", TODAY, *AS_OF)

    def test_by_options_and_by_file_it_is_the_same_swap(self, sqlite_demo: str, tmp_path: Path) -> None:
        typed = fleetlife(*self.ASKED, "--install", "KV-2100-3", "20301", "--preview", database=sqlite_demo)
        assert typed.status in (CLEAN, FINDINGS), typed.err
        scanned = fleetlife(*self.ASKED, "--install", SPARE, "--preview", database=sqlite_demo)
        assert scanned.out == typed.out
        file = tmp_path / "swap.json"
        stated = {"registration": "Q-SKA", "position": "R2", "harness": "right", "on": TODAY}
        file.write_text(json.dumps({**stated, "install": {"scan": SPARE}}), encoding="utf-8")
        by_file = fleetlife("swap", "record", "--file", file, "--preview", *AS_OF, database=sqlite_demo)
        assert by_file.out == typed.out

    def test_it_is_recorded_under_both_numbers(self, own_demo: str) -> None:
        said = fleetlife(*self.ASKED, "--install", "-", "--yes", database=own_demo, stdin=f"{SPARE}\n")
        assert said.status in (CLEAN, FINDINGS), said.err
        assert "Q-SKA R2" in fleetlife("unit", "KV-2100-3", "20301", *AS_OF, database=own_demo).words
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    @pytest.mark.parametrize("scan", ["-", "photo:plate.jpg", "KV-2100-3"])
    def test_a_file_holds_messages_alone(self, demo: str, tmp_path: Path, scan: str) -> None:
        file = tmp_path / "swap.json"
        stated = {"registration": "Q-SKA", "position": "R2", "on": TODAY, "install": {"scan": scan}}
        file.write_text(json.dumps(stated), encoding="utf-8")
        said = fleetlife("swap", "record", "--file", file, "--preview", *AS_OF, database=demo)
        assert said.status == REFUSED
        assert "field-not-read" in said.err


class TestFound:
    @pytest.mark.parametrize(
        ("plate", "words"),
        [
            (message("PNR KV-2100-3", "SER 20110"), "Scanned: KV-2100-3 20110."),
            (message("MFR Q0ZZ9", "PNR KV-2100-3", "SER 20110"), "CAGE Q0ZZ9 is tied to no manufacturer"),
            (message("SPL Q0TH7", "PNR KV-2100-3", "UCN 20110"), "Scanned: KV-2100-3 20110."),
            (message("MFR Q0KV1", "SER 20110"), "Found by serial number and maker alone"),
            (message("18SQ0KV120110", format="06"), "Found by serial number and maker alone"),
            (message("17VQ0KV1", "1PKV-2100-3", "S20110", format="06"), f"by {MAKER}"),
            (message("17VQ0KV1", "1PKV-2100-77", "30PKV-2100-3", "S20110", format="06"), "KV-2100-77 is not recorded"),
            ("[)>06{GS}17VQ0KV1{GS}1PKV-2100-3{GS}S20110", "left out the record separators"),
        ],
    )
    def test_and_what_is_to_be_known_is_said(self, demo: str, plate: str, words: str) -> None:
        said = fleetlife("unit", plate, *AS_OF, database=demo)
        assert said.out == fleetlife("unit", *UNIT, *AS_OF, database=demo).out
        assert words in said.err

    @pytest.mark.parametrize(
        ("plate", "code"),
        [
            (message("MFR Q0TH7", "PNR KV-2100-3", "SER 20110"), "plate-of-another-maker"),
            (message("MFR Q0KV1", "PNR KV-2100-3", "SER 99999"), "unit-unknown"),
            (message("MFR Q0KV1", "SER 99999"), "unit-unknown"),
            (message("MFR Q0KV1", "SEQ 20110"), "plate-names-no-part"),
            (message("MFR Q0ZZ9", "SER 20110"), "plate-names-no-part"),
            (message("010006141419999", "2120110", format="05"), "plate-names-no-part"),
            (message("MFR Q0KV1", "PNR KV-2100-3"), "plate-names-no-serial"),
            (message("PNR KV-2100-3", "SER 20110", "SEQ 20111"), "plate-names-no-serial"),
            (message("PNO KV-2100-3", "PNR KV-2100-77", "SER 20110"), "plate-part-not-recorded"),
            ("[)>0617VQ0KV11PKV-2100-3S20110", "symbol-separators-missing"),
            ("photo:/nowhere/plate.png", "photo-not-read"),
        ],
    )
    def test_refused_with_a_way_on(self, demo: str, plate: str, code: str) -> None:
        said = fleetlife("unit", plate, *AS_OF, database=demo)
        assert (said.status, said.out) == (REFUSED, "")
        assert f"Refused ({code})" in said.err
        assert "What to do:" in said.err

    def test_nothing_scanned_is_refused(self, demo: str) -> None:
        said = fleetlife("unit", "-", *AS_OF, database=demo, stdin="")
        assert said.status == REFUSED
        assert "symbol-empty" in said.err

    def test_a_manufacturer_named_by_hand_goes_before_the_code(self, demo: str) -> None:
        other = message("MFR Q0TH7", "PNR KV-2100-3", "SER 20110")
        said = fleetlife("unit", other, "--manufacturer", MAKER, *AS_OF, database=demo)
        assert said.out == fleetlife("unit", *UNIT, *AS_OF, database=demo).out

    def test_a_scan_and_a_serial_are_one_word_too_many(self) -> None:
        assert in_a_shell("swap", "check", "Q-SKA", "L1", SHOWN, "20110").status == WRONG_USE


class TestExpired:
    PLATE = ("MFR Q0KV1", "SER 20301", "PNR KV-2100-3")
    ASKED = ("swap", "check", "Q-SKA", "R2")

    def test_a_fitting_asked_by_a_plate_that_expired_is_refused(self, demo: str) -> None:
        old = message(*self.PLATE, "EXP 20261124")
        said = fleetlife(*self.ASKED, old, *AS_OF, database=demo)
        assert said.status == REFUSED
        assert "plate-expired" in said.err
        assert "The plate says that it expires 2026-11-24; the record says nothing of it." in said.words

    def test_by_the_day_of_the_fitting(self, demo: str) -> None:
        plate = message(*self.PLATE, "EXP 20261125")
        typed = fleetlife(*self.ASKED, "KV-2100-3", "20301", *AS_OF, database=demo)
        said = fleetlife(*self.ASKED, plate, *AS_OF, database=demo)
        assert (said.status, said.out) == (typed.status, typed.out)
        assert "the record says nothing of it" in said.err
        assert fleetlife(*self.ASKED, plate, "--on", "2026-11-26", *AS_OF, database=demo).status == REFUSED

    def test_what_happened_is_recorded_all_the_same(self, demo: str) -> None:
        record = ("swap", "record", "Q-SKA", "R2", "--harness", "right", "--on", TODAY, *AS_OF, "--preview")
        said = fleetlife(*record, "--install", message(*self.PLATE, "EXP 20200101"), database=demo)
        assert said.status in (CLEAN, FINDINGS)
        assert "The plate says that it expires 2020-01-01" in said.err


class TestPlate:
    def test_all_three_agree(self, demo: str) -> None:
        before = head(demo)
        said = fleetlife("identity", "plate", PLATE, *AS_OF, database=demo)
        assert said.status == CLEAN, said.words
        assert "Plate, paper and record agree." in said.words
        assert "DQ0KV120110" in said.words
        assert head(demo) == before

    def test_the_plate_is_the_odd_one(self, demo: str) -> None:
        other = message("MFR Q0KV1", "SER 20011", "PNR KV-2100-3")
        said = fleetlife("identity", "plate", *UNIT, "--scan", other, *AS_OF, database=demo)
        assert said.status == FINDINGS
        assert "They differ in serial number." in said.words
        assert "character 3 is digit zero on the plate, digit one in the record" in said.words
        assert "fleetlife identity plate-differs KV-2100-3 20110" in said.words
        assert "Paper and record say the same" in said.words

    def test_the_paper_is_the_odd_one(self, demo: str) -> None:
        plate = message("MFR Q0KV1", "SER 20361", "PNR KV-2100-3")
        said = fleetlife("identity", "plate", plate, *AS_OF, database=demo)
        assert said.status == FINDINGS
        assert "the paper is not as recorded: transposed" in said.words
        assert "fleetlife certificate ORO-24-0004" in said.words
        assert "plate-differs" not in said.words

    def test_the_record_is_the_odd_one(self, demo: str) -> None:
        typed = ("--plate-part", "KV-2100-3", "--plate-serial", "20316")
        said = fleetlife("identity", "plate", "KV-2100-3", "20361", *typed, *AS_OF, database=demo)
        assert said.status == FINDINGS
        assert "Plate and paper say the same, and the record something else" in said.words
        assert "A paper is put right" not in said.words

    def test_maker_and_dates_are_compared_where_the_plate_states_them(self, demo: str) -> None:
        fields = ("17VQ0TH7", "1PKV-2100-3", "S20110", "16D20200101", "1TL5")
        asked = ("identity", "plate", *UNIT, "--scan", message(*fields, format="06"), "--format", "json")
        said = fleetlife(*asked, *AS_OF, database=demo)
        rows = {row["what"]: row for row in said.json["rows"]}
        assert said.status == FINDINGS
        assert {what for what, row in rows.items() if row["differs"]} == {"manufacturer", "manufactured"}
        assert rows["manufacturer"]["record"] == MAKER
        assert (rows["manufactured"]["plate"], rows["manufactured"]["record"]) == ("2020-01-01", "2017-12")
        assert rows["lot"]["plate_verdict"] == "not compared"
        assert rows["serial number"]["paper"] == "20110"
        assert said.json["plate"]["elements"][3]["identifier"] == "16D"

    def test_another_unit_of_those_numbers_is_named(self, demo: str) -> None:
        said = fleetlife("identity", "plate", *UNIT, "--scan", SPARE, *AS_OF, database=demo)
        assert "fleetlife unit KV-2100-3 20301" in said.words

    @pytest.mark.parametrize(
        "options",
        [(), ("--plate-part", "KV-2100-3"), ("--scan", PLATE, "--plate-serial", "20110"), ("--plate-serial", " ")],
    )
    def test_what_does_not_say_what_the_plate_reads_is_wrong_use(self, demo: str, options: tuple[str, ...]) -> None:
        assert fleetlife("identity", "plate", *UNIT, *options, *AS_OF, database=demo).status == WRONG_USE


class TestPlateDiffers:
    def test_by_a_scan_it_is_what_it_is_typed(self, own_demo: str) -> None:
        other = message("MFR Q0KV1", "SER 20011", "PNR KV-2100-3")
        said = fleetlife("identity", "plate-differs", *UNIT, "--scan", other, *SEEN, "--yes", database=own_demo)
        assert said.status == CLEAN, said.err
        assert "the data plate of KV-2100-3 20110 reads KV-2100-3 20011" in said.words
        assert "On hold" in said.words

    def test_the_unit_and_its_plate_both_from_the_scanner(self, own_demo: str) -> None:
        other = message("MFR Q0KV1", "SER 20011", "PNR KV-2100-3")
        asked = ("identity", "plate-differs", "-", "--scan", "-", *SEEN, "--yes")
        said = fleetlife(*asked, database=own_demo, stdin=f"{other}\n{PLATE}\n")
        assert said.status == CLEAN, said.err
        assert "of KV-2100-3 20110 reads KV-2100-3 20011" in said.words

    @pytest.mark.parametrize(
        ("fields", "code"),
        [
            (("MFR Q0KV1", "SER 20110", "PNR KV-2100-3"), "plate-agrees"),
            (("MFR Q0KV1", "SEQ 20110", "PNO KV-2100-3"), "plate-agrees"),
            (("MFR Q0KV1", "SER 20110"), "plate-names-no-part"),
            (("MFR Q0KV1", "PNR KV-2100-3"), "plate-names-no-serial"),
        ],
    )
    def test_refused(self, demo: str, fields: tuple[str, ...], code: str) -> None:
        before = head(demo)
        said = fleetlife(
            "identity", "plate-differs", *UNIT, "--scan", message(*fields), *SEEN, "--yes", database=demo
        )  # fmt: skip
        assert said.status == REFUSED
        assert code in said.err
        assert head(demo) == before


class TestRead:
    def test_it_needs_no_database(self) -> None:
        said = fleetlife("identity", "read", SHOWN, *AS_OF, database="sqlite:////nowhere/none.db")
        assert said.status == CLEAN
        assert "DQ0KV120110 D + MFR + SER: construct 1, unique in the enterprise" in said.words

    def test_what_was_not_taken_is_told(self) -> None:
        said = fleetlife("identity", "read", message("99ZABC", "S20110", format="06"), *AS_OF)
        assert said.status == FINDINGS
        assert "99Z ABC not known here, kept and not used" in said.words
        assert "neither original part number nor lot" in said.words


class TestPlateAgrees:
    def test_a_scan_that_reads_otherwise_is_not_recorded_as_agreeing(self, demo: str) -> None:
        before = head(demo)
        for fields in (("MFR Q0KV1", "SER 20110"), ("MFR Q0KV1", "PNO KV-2100-3", "PNR KV-2100-77", "SER 20110")):
            said = fleetlife("identity", "plate-agrees", message(*fields), *SEEN, "--yes", database=demo)
            assert said.status == REFUSED
            assert "plate-reads-otherwise" in said.err or "plate-part-not-recorded" in said.err
        assert head(demo) == before

    def test_one_that_reads_so_is(self, own_demo: str) -> None:
        said = fleetlife("identity", "plate-agrees", PLATE, *SEEN, "--yes", database=own_demo)
        assert said.status == CLEAN, said.err
        assert "the data plate of KV-2100-3 20110 reads KV-2100-3 20110" in said.words
