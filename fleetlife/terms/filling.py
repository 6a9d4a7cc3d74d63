"""Frozen values made and changed at the price of plain ones.

A frozen dataclass sets each field through the check that exists to refuse setting it; a swap makes some five hundred
of them. Here the slots are filled directly: making costs half, changing a quarter. The values stay as frozen as before,
and equality, order, hash and text are the dataclass's own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import MISSING, fields
from typing import Any, TypeVar

T = TypeVar("T")

_COPIED: dict[type[Any], Callable[[Any], Any]] = {}
_SETTERS: dict[type[Any], dict[str, Any]] = {}


def filled(made: type[T]) -> type[T]:
    """The frozen, slotted dataclass with an `__init__` of the same signature that fills its slots directly."""
    names: dict[str, Any] = {}
    positional: list[str] = []
    named: list[str] = []
    body: list[str] = []
    for field in fields(made):  # type: ignore[arg-type]
        name = field.name
        names[f"set_{name}"] = getattr(made, name).__set__
        value = name
        parameter = name
        if field.default is not MISSING:
            names[f"default_{name}"] = field.default
            parameter = f"{name}=default_{name}"
        elif field.default_factory is not MISSING:
            names[f"factory_{name}"] = field.default_factory
            names["missing"] = MISSING
            parameter = f"{name}=missing"
            value = f"factory_{name}() if {name} is missing else {name}"
        (named if field.kw_only else positional).append(parameter)
        body.append(f"    set_{name}(self, {value})")
    assert not hasattr(made, "__post_init__"), "what is done after the fields are set would be left out"
    parameters = ", ".join(["self", *positional, *(["*", *named] if named else [])])
    exec(f"def __init__({parameters}):\n" + "\n".join(body), names)
    names["__init__"].__qualname__ = f"{made.__qualname__}.__init__"
    made.__init__ = names["__init__"]  # type: ignore[method-assign]
    return made


def changed(value: T, **changes: Any) -> T:
    """`dataclasses.replace` for values whose fields need no check, at a quarter of its price. An unknown field is a
    KeyError."""
    made = type(value)
    copied = _COPIED.get(made)
    if copied is None:
        copied = _COPIED[made] = _copier(made)
        _SETTERS[made] = {field.name: getattr(made, field.name).__set__ for field in fields(made)}  # type: ignore[arg-type]
    new: T = copied(value)
    setters = _SETTERS[made]
    for name, anew in changes.items():
        setters[name](new, anew)
    return new


def quick_maker(made: type[T]) -> Callable[[Sequence[Any]], T]:
    """What makes a value of the class from its fields' values in order: what a row of the database is. More or fewer
    values than fields are a ValueError."""
    names, setters = _setters(made)
    taken = "".join(f"{name}, " for name in names)
    body = [f"({taken}) = _values", *(f"set_{name}(_made, {name})" for name in names)]
    return _written("make(_values)", body, setters)


def _copier(made: type[T]) -> Callable[[T], T]:
    names, setters = _setters(made)
    return _written("copied(_value)", [f"set_{name}(_made, _value.{name})" for name in names], setters)


def _setters(made: type[Any]) -> tuple[list[str], dict[str, Any]]:
    names = [field.name for field in fields(made)]
    return names, {"_new": object.__new__, "_kind": made} | {f"set_{n}": getattr(made, n).__set__ for n in names}


def _written(head: str, body: list[str], names: dict[str, Any]) -> Callable[[Any], Any]:
    """A function that fills the slots of a new value line by line: a loop over them costs as much again."""
    exec("\n    ".join([f"def {head}:", "_made = _new(_kind)", *body, "return _made"]), names)
    written: Callable[[Any], Any] = names[head.split("(")[0]]
    return written
