"""A Bayesian network of discrete variables as plain values, in an order in which parents come first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from nextprobe.model.arrays import Floats, Ints


@dataclass(frozen=True, slots=True)
class Variable:
    """One variable. `table`: (states of each parent in order, …, own states); each row sums to 1. `say`: a remark."""

    name: str
    states: tuple[str, ...]
    parents: tuple[Variable, ...]
    table: Floats
    say: str = ""

    def rows(self) -> Iterator[tuple[tuple[str, ...], Floats]]:
        """For each combination of the parents' states its names and the chances (S,) of the own states."""
        for place in product(*(range(len(parent.states)) for parent in self.parents)):
            names = tuple(parent.states[at] for parent, at in zip(self.parents, place, strict=True))
            yield names, self.table[place]


@dataclass(frozen=True, slots=True)
class Network:
    """A network and what is said of it, a line each."""

    name: str
    about: tuple[str, ...]
    variables: tuple[Variable, ...]


def function_of(
    parent: Variable, name: str, states: tuple[str, ...], value: Ints, largest: int, say: str = ""
) -> list[Variable]:
    """Variables of which the last is `name`, a function of `parent`: `value` (states of the parent,) are state indices.

    Where one table would have more than `largest` entries, the state is told in two figures first, as a house by
    street and number: each table is then about the root of the states' number as wide.
    """
    count, width = len(parent.states), len(states)
    if count * width <= largest:
        return [Variable(name, states, (parent,), np.eye(width)[value], say)]
    side = int(np.ceil(np.sqrt(width)))
    digits = [
        Variable(f"{name}__{part}", tuple(f"{part}_{n + 1}" for n in range(side)), (parent,), np.eye(side)[figure])
        for part, figure in (("block", value // side), ("place", value % side))
    ]
    # Places beyond the last state are never reached; a row must still sum to 1.
    reached = np.minimum(np.arange(side * side), width - 1).reshape(side, side)
    return [*digits, Variable(name, states, (digits[0], digits[1]), np.eye(width)[reached], say)]
