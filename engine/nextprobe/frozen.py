"""Frozen classes of data that are quick to make.

The standard library writes and compiles six functions for each of them, a fourteenth of what a walk took to start.
Here only `__init__` is written; the rest goes by the fields, once for all. What comes of it behaves as with
`dataclasses.dataclass(frozen=True, …)`, and is that for whoever checks types.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(*, frozen: bool, slots: bool = False) -> Callable[[type], type]:
        """Make a class of data; what is not frozen is for the standard library."""
        if not frozen:
            raise TypeError("Only frozen classes are made here: take dataclasses.dataclass.")
        return lambda cls: _made(cls, slots)


def _made(cls: type, slots: bool) -> type:
    made: type[Any] = dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)(cls)
    known = dataclasses.fields(made)
    if "__post_init__" in vars(made) or any(not field.init or field.kw_only for field in known):
        raise TypeError(f"{cls.__qualname__} needs what only dataclasses.dataclass makes.")
    methods = {
        "__init__": _init(known),
        **_by_value(tuple(field.name for field in known if field.compare)),
        "__repr__": _repr(tuple(field.name for field in known if field.repr)),
        "__setattr__": _refuse,
        "__delattr__": _refuse,
        "__getstate__": _state,
        "__setstate__": _restore,
    }
    for name, method in methods.items():
        if name not in vars(made):
            setattr(made, name, method)
    return made


def _init(known: tuple[dataclasses.Field[Any], ...]) -> Callable[..., None]:
    scope: dict[str, Any] = {"_put": object.__setattr__, "_left_out": dataclasses.MISSING}
    given, lines = ["self"], ["    pass"]
    for field in known:
        name, value = field.name, field.name
        if field.default is not dataclasses.MISSING:
            scope[f"_default_{name}"] = field.default
            given.append(f"{name}=_default_{name}")
        elif field.default_factory is not dataclasses.MISSING:
            scope[f"_new_{name}"] = field.default_factory
            given.append(f"{name}=_left_out")
            value = f"_new_{name}() if {name} is _left_out else {name}"
        else:
            given.append(name)
        lines.append(f"    _put(self, {name!r}, {value})")
    exec("\n".join([f"def __init__({', '.join(given)}):", *lines]), scope)
    made: Callable[..., None] = scope["__init__"]
    return made


def _by_value(names: tuple[str, ...]) -> dict[str, Callable[..., Any]]:
    # For one name the getter gives the value alone, for none there is no getter.
    values: Callable[[object], object]
    values = attrgetter(*names) if len(names) > 1 else lambda one: tuple(getattr(one, name) for name in names)

    def equal(self: object, other: object) -> bool:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    def hashed(self: object) -> int:
        return hash(values(self))

    return {"__eq__": equal, "__hash__": hashed}


def _repr(names: tuple[str, ...]) -> Callable[[object], str]:
    def shown(self: object) -> str:
        return f"{self.__class__.__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in names)})"

    return shown


def _refuse(self: object, name: str, *_: object) -> None:
    raise dataclasses.FrozenInstanceError(f"{self.__class__.__qualname__} is frozen: {name!r} stays as it is.")


def _state(self: Any) -> list[Any]:
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _restore(self: Any, state: list[Any]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)
