"""Values filled directly are the dataclasses they were."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, dataclass, field, replace
from inspect import signature

import pytest

from fleetlife.terms.filling import changed, filled


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain:
    """What `Quick` is without its filling."""

    serial: str
    minutes: int = 7
    names: tuple[str, ...] = ()
    held: list[int] = field(default_factory=list)


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Quick:
    """The same fields as `Plain`."""

    serial: str
    minutes: int = 7
    names: tuple[str, ...] = ()
    held: list[int] = field(default_factory=list)


@filled
@dataclass(frozen=True, slots=True)
class Placed:
    first: int
    second: int = 2


class TestFilled:
    def test_takes_what_the_dataclass_takes(self) -> None:
        ours, theirs = signature(Quick.__init__).parameters, signature(Plain.__init__).parameters
        assert list(ours) == list(theirs)
        assert [p.kind for p in ours.values()] == [p.kind for p in theirs.values()]

    def test_holds_the_same_values(self) -> None:
        one, other = Quick(serial="0859", names=("a",)), Plain(serial="0859", names=("a",))
        assert [getattr(one, name) for name in Quick.__slots__] == [getattr(other, name) for name in Plain.__slots__]
        assert repr(one) == repr(other).replace("Plain", "Quick")

    def test_a_factory_makes_a_new_value_each_time(self) -> None:
        assert Quick(serial="1").held is not Quick(serial="1").held
        mine = [4]
        assert Quick(serial="1", held=mine).held is mine

    def test_stays_frozen(self) -> None:
        with pytest.raises(FrozenInstanceError):
            Quick(serial="1").minutes = 8  # type: ignore[misc]

    def test_is_equal_and_hashed_by_its_fields(self) -> None:
        assert Placed(1) == Placed(1, 2) != Placed(2)
        assert len({Placed(1), Placed(1, 2)}) == 1

    def test_a_field_that_is_missing_or_unknown_is_refused(self) -> None:
        with pytest.raises(TypeError, match="serial"):
            Quick(minutes=1)  # type: ignore[call-arg]
        with pytest.raises(TypeError, match="cycles"):
            Quick(serial="1", cycles=1)  # type: ignore[call-arg]

    def test_what_would_be_done_after_is_not_left_out_silently(self) -> None:
        @dataclass(frozen=True, slots=True)
        class Checked:
            first: int

            def __post_init__(self) -> None:
                raise ValueError("looked at")

        with pytest.raises(AssertionError):
            filled(Checked)


class TestChanged:
    def test_is_what_replace_gives(self) -> None:
        value = Quick(serial="0859", minutes=3, held=[1])
        assert changed(value, minutes=9) == replace(value, minutes=9)
        assert value.minutes == 3

    def test_an_unknown_field_is_told(self) -> None:
        with pytest.raises(KeyError, match="cycles"):
            changed(Quick(serial="1"), cycles=1)
