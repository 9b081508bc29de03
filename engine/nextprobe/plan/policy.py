"""The one protocol of every way of choosing: from a belief and a bench state to the next step."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Protocol

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model


@dataclass(frozen=True, slots=True)
class Action:
    """kind: measure, repair or refer; index: of the measurement or repair, -1 for refer."""

    kind: str
    index: int = -1


@cache
def action(kind: str, index: int = -1) -> Action:
    """The one action of that kind and index: a tree of a million steps has but some hundred different ones."""
    return Action(kind, index)


class Policy(Protocol):
    """A way of choosing. It keeps no state of a job: the same question gets the same answer."""

    @property
    def name(self) -> str:
        """What it is called in a comparison."""

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The next step from `belief` (H,) in bench `state`; measured (T,) and tried (R,) are not open."""
