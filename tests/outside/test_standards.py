"""Published formats: RFC 8785, RFC 4180, ISO 8601, FIPS 180-4."""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields
from pathlib import Path

import pytest
import rfc8785

from fleetlife.dates.partial import parse_partial
from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.facts import FACTS
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder
from fleetlife.transfer.writing import write_csv

from .trade import Row, rows_read, small_world, take, write

JCS = "RFC 8785 sections 3.2.2 and 3.2.3, examples READ in the draft it was published from; floats left out"
CSV = "RFC 4180 section 2, examples READ"
SHA = "FIPS 180-4 with NIST's example values, from memory; the same values READ in the tests of other programs"


class TestCanonicalText:
    """RFC 8785 (READ in its draft), and the reference package rfc8785."""

    sample = json.loads(
        '{"string":"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/","literals":[null, true, false]}'
    )

    def test_the_sample_of_the_document(self) -> None:
        expected = '{"literals":[null,true,false],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
        assert canonical(self.sample) == expected, JCS
        assert canonical(self.sample).encode() == rfc8785.dumps(self.sample)

    def test_the_bytes_of_the_document(self) -> None:
        """Section 3.2.4: the text of the string in hexadecimal."""
        published = "22 e2 82 ac 24 5c 75 30 30 30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22"
        assert canonical(self.sample["string"]).encode() == bytes.fromhex(published), JCS

    def test_keys_are_sorted_at_every_depth_and_lists_are_not(self) -> None:
        """Section 3.2.3: recursive for objects; the order of elements is never changed."""
        value = {"b": [{"10": 1, "1": 2, "": 3}, {"Z": 1, "a": 2}], "a": {"\n": 1, "A": 2}}
        assert canonical(value) == '{"a":{"\\n":1,"A":2},"b":[{"":3,"1":2,"10":1},{"Z":1,"a":2}]}'
        assert canonical(value).encode() == rfc8785.dumps(value)

    def test_text_is_not_normalised(self) -> None:
        """Section 3.1: string data is preserved as it is, whatever Unicode normal form it has (from memory)."""
        apart, joined = "A\u030a", "\u00c5"
        assert canonical(apart) != canonical(joined)
        assert canonical(apart).encode() == rfc8785.dumps(apart)

    def test_no_key_of_a_fact_could_be_sorted_otherwise(self) -> None:
        """Section 3.2.3 sorts by UTF-16 units, which differs from code points only beyond ASCII: keys are ASCII."""
        assert all(field.name.isascii() for kind in FACTS.values() for field in fields(kind))

    def test_an_outsider_can_follow_the_chain_with_published_standards_alone(
        self, store: Store, tmp_path: Path
    ) -> None:
        """RFC 8785 by the reference package and SHA-256: every entry's text and digest come out the same."""
        part = {"part_number": "QÄ-1", "serial_number": "0815", "manufacturer": "Gannet"}
        files = small_world(
            parts=[{"part_number": "QÄ-1", "manufacturer": "Gannet", "description": 'slide "A",\n€ 😀'}],
            units=[{**part, "as_of": "2024-01-01", "store": "Ålesund"}],
        )
        take(store, tmp_path / "files", files)
        with store.reading() as connection:
            entries = list(all_entries(connection))
        previous = entries[0].previous
        for number, entry in enumerate(entries, start=1):
            body = json.loads(entry.text)
            told = rfc8785.dumps(body)
            assert told == entry.text.encode()
            assert hashlib.sha256(told).hexdigest() == entry.digest
            assert (body["number"], body["previous"]) == (number, previous)
            previous = entry.digest
        assert len(entries) > 5


class TestDigest:
    """FIPS 180-4 (from memory)."""

    @pytest.mark.parametrize(
        ("text", "expected"),
        [
            ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
            ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            (
                "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
            ("a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
        ],
        ids=["empty", "abc", "two blocks", "a million"],
    )
    def test_known_answers(self, text: str, expected: str) -> None:
        assert digest(text) == expected, SHA

    def test_a_file_is_known_by_the_same_digest(self, tmp_path: Path) -> None:
        path = tmp_path / "types.csv"
        path.write_bytes(b"abc")
        (file,) = read_folder(path).files
        assert file.digest() == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


class TestCommaSeparatedText:
    """RFC 4180 section 2 (READ)."""

    header = "part_number,description,manufacturer\r\n"

    def read(self, folder: Path, text: str) -> list[tuple[object, ...]]:
        path = folder / "parts.csv"
        path.write_bytes(text.encode())
        rows, problems = rows_read(path)
        assert problems == []
        return [tuple(row.values.get(name) for name in ("part_number", "description", "manufacturer")) for row in rows]

    @pytest.mark.parametrize(
        ("text", "expected"),
        [
            ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
            ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
            ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
            ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [("aaa", "b\nbb", "ccc"), ("zzz", "yyy", "xxx")]),
            ('"aaa","b""bb","ccc"', [("aaa", 'b"bb', "ccc")]),
        ],
        ids=["two records", "no last line break", "quoted", "line break inside", "quote inside"],
    )
    def test_the_examples_of_the_document(self, tmp_path: Path, text: str, expected: list[tuple[object, ...]]) -> None:
        assert self.read(tmp_path, self.header + text) == expected, CSV

    def test_a_record_of_another_width_is_a_problem(self, tmp_path: Path) -> None:
        """Section 2, 4: each line should contain the same number of fields throughout the file."""
        (tmp_path / "parts.csv").write_bytes((self.header + "aaa,bbb\r\nzzz,yyy,xxx\r\n").encode())
        rows, problems = rows_read(tmp_path / "parts.csv")
        assert (len(rows), len(problems)) == (1, 1)

    def test_quotes_are_written_as_the_document_says_and_come_back(self, tmp_path: Path) -> None:
        """Section 2, 6 and 7: fields with line breaks, quotes and commas are enclosed; a quote is doubled."""
        hard = ['b"bb', "b,bb", "b\nbb", '"', '""', ',",\n"', "=1+1", "'x", "ü€😀", "a  b"]
        rows: list[Row] = [
            {"part_number": f"Q-{n}", "manufacturer": "Gannet", "description": text} for n, text in enumerate(hard)
        ]
        path = tmp_path / "parts.csv"
        assert write_csv(path, "parts", rows) == len(hard)
        written = path.read_bytes().decode()
        assert written.startswith("part_number,manufacturer,description,")
        assert written.endswith("\r\n")
        assert 'Q-0,Gannet,"b""bb",' in written
        assert 'Q-1,Gannet,"b,bb",' in written
        assert 'Q-2,Gannet,"b\nbb",' in written
        read, problems = rows_read(path)
        assert problems == []
        assert [row.values["description"] for row in read] == hard


class TestDates:
    """ISO 8601 (from memory): calendar date YYYY-MM-DD, year and month YYYY-MM; the Gregorian leap years."""

    @pytest.mark.parametrize(
        ("text", "first", "last"),
        [
            ("2024-02-29", "2024-02-29", "2024-02-29"),
            ("2000-02-29", "2000-02-29", "2000-02-29"),
            ("2024-02", "2024-02-01", "2024-02-29"),
            ("2023-02", "2023-02-01", "2023-02-28"),
            ("2024", "2024-01-01", "2024-12-31"),
        ],
    )
    def test_a_date_means_the_days_it_names(self, text: str, first: str, last: str) -> None:
        read = parse_partial(text)
        assert (read.first_day.isoformat(), read.last_day.isoformat(), read.text) == (first, last, text)

    @pytest.mark.parametrize(
        "text",
        ["2023-02-29", "1900-02-29", "2100-02-29", "2024-13-01", "2024-00", "2024-04-31", "2024-2-9", "24-02-09"],
    )
    def test_a_day_that_is_not_in_the_calendar_is_refused(self, text: str) -> None:
        with pytest.raises(Refusal) as refused:
            parse_partial(text)
        assert refused.value.code == "date-not-read"

    @pytest.mark.parametrize("text", ["2024-060", "2024-W09-4", "20240229", "2024-02-29T12:00:00Z", "29.02.2024"])
    def test_other_forms_are_refused_rather_than_misread(self, tmp_path: Path, text: str) -> None:
        """Ordinal and week dates, the basic format and a time of day are ISO 8601 too (from memory)."""
        row = {"registration": "Q-ONE", "date": text, "hours_total": "1:00", "cycles_total": 1}
        rows, problems = rows_read(write(tmp_path / "files", {"readings": [row]}))
        assert (rows, len(problems)) == ([], 1)
