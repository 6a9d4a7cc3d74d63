"""The list of files and columns holds together."""

from __future__ import annotations

import pytest

from fleetlife.ledger import facts
from fleetlife.transfer.column import KINDS, File
from fleetlife.transfer.columns import FILE_NAMES, FILES, columns_page, file_named

# Files, the fact each row becomes, and the columns whose field has another name.
FACTS: dict[str, tuple[type[facts.Fact], dict[str, str]]] = {
    "types": (facts.AirframeType, {}),
    "positions": (facts.Position, {}),
    "airframes": (facts.Airframe, {"from": "registered_from", "until": "registered_until"}),
    "registrations": (
        facts.Registration,
        {"constructor_serial": "airframe", "from": "registered_from", "until": "registered_until"},
    ),
    "modifications": (facts.AirframeModification, {"registration": "airframe", "date": "embodied_on"}),
    "parts": (facts.Part, {"mass_kg": "mass_grams"}),
    "slots": (facts.Slot, {}),
    "eligibility": (facts.Eligibility, {}),
    "alternates": (facts.Alternate, {}),
    "intermix": (facts.Intermix, {}),
    "requirements": (
        facts.Requirement,
        {name: name.replace("hours", "minutes") for name in file_named("requirements").column_names},
    ),
    "bands": (facts.Band, {"repeat_hours": "repeat_minutes"}),
    "readings": (
        facts.Reading,
        {"registration": "airframe", "date": "read_on", "hours_total": "minutes", "cycles_total": "cycles"},
    ),
}


@pytest.mark.parametrize("file", FILES, ids=FILE_NAMES)
class TestFile:
    def test_every_column_has_a_kind_and_a_sentence(self, file: File) -> None:
        for column in file.columns:
            assert column.kind in KINDS
            assert column.meaning.endswith(".")
            assert (column.kind == "word") == bool(column.words)

    def test_column_names_are_unique(self, file: File) -> None:
        assert len(set(file.column_names)) == len(file.columns)

    def test_the_key_is_made_of_columns(self, file: File) -> None:
        assert set(file.key) <= set(file.column_names)

    def test_something_is_required(self, file: File) -> None:
        assert file.required_names


class TestColumns:
    @pytest.mark.parametrize("name", FACTS)
    def test_every_column_has_its_field_and_every_field_its_column(self, name: str) -> None:
        kind, renamed = FACTS[name]
        fields = set(facts.field_names(kind)) - {"airframe"}
        columns = {renamed.get(column, column) for column in file_named(name).column_names} - {"airframe"}
        assert columns == fields

    def test_what_others_rest_on_comes_first(self) -> None:
        order = {name: place for place, name in enumerate(FILE_NAMES)}
        for before, after in [
            ("types", "positions"),
            ("types", "airframes"),
            ("airframes", "registrations"),
            ("registrations", "modifications"),
            ("parts", "slots"),
            ("requirements", "bands"),
            ("parts", "units"),
            ("units", "accomplishments"),
            ("units", "movements"),
            ("readings", "movements"),
        ]:
            assert order[before] < order[after]

    def test_the_page_names_every_column_of_every_file(self) -> None:
        page = columns_page()
        sections = page.split("\n## ")[1:]
        assert [section.split("\n", 1)[0] for section in sections] == list(FILE_NAMES)
        for file, section in zip(FILES, sections, strict=True):
            for column in file.columns:
                assert f"\n| {column.name} | {'yes' if column.required else ''} |" in section

    def test_an_unknown_column_is_our_own_mistake(self) -> None:
        with pytest.raises(KeyError):
            file_named("types").column("colour")
