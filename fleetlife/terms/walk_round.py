"""What was found hanging at each position of an airframe, beside what the records hold there."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.views import About

AGREE, OTHER_TEXT, OTHER_UNIT, EMPTY, NOT_RECORDED, UNKNOWN, NOT_LOOKED_AT = (
    "agree",
    "other text",
    "other unit",
    "empty",
    "not recorded",
    "unknown",
    "not looked at",
)
VERDICTS = (EMPTY, UNKNOWN, OTHER_UNIT, NOT_RECORDED, OTHER_TEXT, AGREE, NOT_LOOKED_AT)
DIFFER = frozenset((EMPTY, UNKNOWN, OTHER_UNIT, NOT_RECORDED, OTHER_TEXT))


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenAt:
    """What somebody saw at a position. part_number None: nothing hung there. harness: the side it was rigged for, where
    that was looked at."""

    position: str
    part_number: str | None = None
    serial_number: str | None = None
    manufacturer: str | None = None
    harness: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkRow:
    """A position with what was found and what is recorded.

    verdict: agree; other text: the recorded unit, its plate read otherwise; other unit: one that the records have
    elsewhere; empty: nothing, where a unit is recorded; not recorded: a unit, where the records hold none; unknown: no
    unit of these numbers is recorded, and it is not the recorded one misread; not looked at.
    why: the class of the difference; marks: of part and serial number, what was seen beside what is recorded.
    elsewhere: where the records have the unit found, `unit` which that is. action: what to do about it.
    """

    position: str
    verdict: str
    recorded_part_number: str | None
    recorded_serial_number: str | None
    found_part_number: str | None
    found_serial_number: str | None
    why: str
    elsewhere: str | None = None
    harness: str | None = None
    recorded_harness: str | None = None
    note: str | None = None
    action: str | None = None
    unit: int | None = None
    part_marks: tuple[tuple[str, str, bool], ...] = ()
    serial_marks: tuple[tuple[str, str, bool], ...] = ()


WALK_COLUMNS = tuple(name for name in WalkRow.__dataclass_fields__ if not name.endswith("_marks") and name != "unit")


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkRound:
    """The positions of an airframe in order, differences told by their actions. on: the day of the walk-round."""

    about: About
    registration: str
    type: str
    on: str
    rows: tuple[WalkRow, ...]
    harness_differs: tuple[str, ...]
    deferrals: tuple[str, ...] = ()

    @property
    def clean(self) -> bool:
        return not self.harness_differs and all(row.verdict not in DIFFER for row in self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkRecorded:
    """What a walk-round recorded: how many plates agreed, how many read otherwise (the units recorded there are on
    hold), and how many units were found elsewhere than recorded, or gone."""

    entries: tuple[int, ...]
    ledger_head: str
    agreed: int
    read_otherwise: int
    moved: int
