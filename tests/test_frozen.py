"""The house's frozen classes against those of the standard library, which they stand in for."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Mapping
from functools import partial
from typing import Any

import pytest

from nextprobe.frozen import dataclass
from nextprobe.pack.pack import Origin, Outcome
from nextprobe.walk.ask import Ask, Choice

House: Any = dataclass


def classes() -> tuple[Any, Any]:
    """The same class twice: as the standard library makes it, and as the house does."""
    made = []
    for maker in (dataclasses.dataclass, House):

        @maker(frozen=True, slots=True)
        class Part:
            """A part."""

            name: str
            pins: int = 2
            notes: Mapping[str, str] = dataclasses.field(default_factory=dict)
            lot: str = dataclasses.field(default="", compare=False)
            drawn: str = dataclasses.field(default="", repr=False)

            @property
            def many(self) -> bool:
                return self.pins > 3

        made.append(Part)
    return made[0], made[1]


def both(work: Any) -> list[Any]:
    """What `work` says of either: its value, or the kind of its error and whether that is a TypeError."""
    said: list[Any] = []
    for cls in classes():
        try:
            said.append(work(cls))
        except Exception as error:
            said.append(type(error))
    return said


@pytest.mark.parametrize(
    "work",
    [
        lambda cls: repr(cls("a", 3, {"x": "y"}, lot="7", drawn="now")),
        lambda cls: (cls("a"), cls("a", 4).many, cls(name="a", pins=3).pins) == (cls("a"), True, 3),
        lambda cls: cls("a", lot="1") == cls("a", lot="2"),
        lambda cls: cls("a", drawn="1") == cls("a", drawn="2"),
        lambda cls: cls("a") == ("a", 2, {}, "", ""),
        lambda cls: cls("a") != cls("b"),
        lambda cls: hash(cls("a", 2, ())) == hash(cls("a", 2, (), lot="3")),
        lambda cls: len({cls("a", 2, ()), cls("a", 2, (), lot="3"), cls("b", 2, ())}),
        lambda cls: hash(cls("a")),
        lambda cls: cls(),
        lambda cls: cls("a", 1, {}, "", "", "too many"),
        lambda cls: cls("a", wrong=1),
        lambda cls: setattr(cls("a"), "name", "b"),
        lambda cls: delattr(cls("a"), "name"),
        lambda cls: hasattr(cls("a"), "__dict__"),
        lambda cls: dataclasses.asdict(cls("a", notes={"x": "y"})),
        lambda cls: dataclasses.astuple(dataclasses.replace(cls("a"), pins=5)),
        lambda cls: dataclasses.replace(cls("a"), wrong=5),
        lambda cls: [field.name for field in dataclasses.fields(cls)],
        lambda cls: cls.__match_args__,
        lambda cls: cls("a").notes is cls("a").notes,
        lambda cls: copy.deepcopy(cls("a", notes={"x": "y"})) == cls("a", notes={"x": "y"}),
        lambda cls: copy.copy(cls("a", lot="3")).lot,
    ],
)
def test_it_behaves_as_the_standard_one(work: Any) -> None:
    standard, house = both(work)
    assert house == standard


def test_what_is_frozen_stays() -> None:
    _, house = classes()
    for change in (partial(setattr, house("a"), "name", "b"), partial(delattr, house("a"), "name")):
        with pytest.raises(dataclasses.FrozenInstanceError, match="frozen: 'name'"):
            change()


@pytest.mark.parametrize("one", [Origin("records", doubt=2.0), Outcome("low", "Low"), Ask("measure", "a", "A")])
def test_it_can_be_sent_elsewhere(one: object) -> None:
    assert pickle.loads(pickle.dumps(one)) == one


def test_with_a_dict_of_its_own_where_it_has_no_slots() -> None:
    class Bare:
        a: int
        b: int = 1

    made = House(frozen=True)(Bare)
    assert vars(made(2)) == {"a": 2, "b": 1}
    assert pickle.loads(pickle.dumps(Choice("a", "b"))) == Choice("a", "b")


def test_what_it_cannot_make_it_refuses() -> None:
    class Later:
        a: int = dataclasses.field(default=0, init=False)

    class Then:
        a: int

        def __post_init__(self) -> None:
            """Something more."""

    for cls in (Later, Then):
        with pytest.raises(TypeError, match=r"needs what only dataclasses\.dataclass makes"):
            House(frozen=True)(cls)
    with pytest.raises(TypeError, match="Only frozen classes"):
        House(frozen=False)(Later)
