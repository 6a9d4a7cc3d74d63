"""What a column and a file of columns are, and the kinds of value there are."""

from __future__ import annotations

from dataclasses import dataclass

# What a reader finds in Row.values for each kind, and how the value is written.
KINDS: dict[str, str] = {
    "text": "Free text; may run over several lines.",
    "name": "Text on one line.",
    "identifier": "A number on paper, kept as text: leading zeros and letters stay.",
    "part_number": "A part number exactly as marked; only outer white space is dropped.",
    "serial_number": "A serial number exactly as marked; an operator's own tracking number begins with OWN:.",
    "position": "A position; L1, 1L and l1 are the same.",
    "day": "A day, YYYY-MM-DD.",
    "partial_date": "A day, or as much as is known: YYYY-MM-DD, YYYY-MM, YYYY-Qn or YYYY.",
    "month_mark": "A day, or the month of a mark: YYYY-MM-DD, YYYY-MM or MM/YYYY. Where the date is a mark "
    "(`date_basis` mark, or left out with a requalification) also as stamped: `06 * 99`, `06 A123 99`, `8-70`, `3 22`; "
    "what is stamped behind the year (`+`, a star, E, S, UE, X) is read past. A year of two digits is the latest in "
    "which the month is not after the day of the import (`--as-of`, else today), and is refused where that is before "
    "the cylinder was made or before 1950. `05/07` is refused: on some cylinders the year stands first.",
    "clock": "A time of day, HH:MM.",
    "hours": "Hours, HHHH:MM; with a point or comma only together with --hours.",
    "count": "A whole number, 0 or more.",
    "counter_total": "A whole number or, of a counter in hours, HHHH:MM; with a point or comma only together with "
    "--hours.",
    "sequence": "The order within a day, 0 to 9999.",
    "decimal_count": "A number with up to three decimals after a point.",
    "celsius": "Degrees Celsius, with up to three decimals after a point; below zero with a minus in front.",
    "mass": "Kilograms, with up to three decimals after a point.",
    "yes_no": "yes or no.",
    "word": "One of the words listed.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """`kind` is one of KINDS. `words` are the allowed words of a word column.

    `up` says that hours in decimals which are no whole minute round up: what a unit has run. Limits and totals of
    airframes round down, totals all alike so that a total never falls between two papers.
    """

    name: str
    kind: str
    meaning: str
    required: bool = False
    words: tuple[str, ...] = ()
    up: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class File:
    """`name` is the stem of the file's name; `key` are the columns of the natural key."""

    name: str
    meaning: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]

    @property
    def column_names(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns)

    @property
    def required_names(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns if column.required)

    def column(self, name: str) -> Column:
        """The column of that name; KeyError when there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


def col(
    name: str, kind: str, meaning: str, *, required: bool = False, allowed: tuple[str, ...] = (), up: bool = False
) -> Column:
    return Column(name=name, kind=kind, meaning=meaning, required=required, words=allowed, up=up)


def must(name: str, kind: str, meaning: str, *, allowed: tuple[str, ...] = ()) -> Column:
    return col(name, kind, meaning, required=True, allowed=allowed)
