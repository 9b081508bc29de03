"""The bench as a graph: states are combinations of condition values, moves are edges with minutes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from nextprobe.errors import SituationError
from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.pack.pack import Bench, Move, Needs

State = Mapping[str, str]


def serves(state: State, needs: Needs) -> bool:
    """Whether `state` satisfies `needs`; a condition not named may have any value."""
    return all(state[condition] in values for condition, values in needs.items())


@dataclass(frozen=True)
class BenchGraph:
    """All states of a bench and the moves that are open.

    `states` (S): condition -> value. `edges`: (from, to, move). Built by `make_bench`.
    """

    states: tuple[State, ...]
    moves: tuple[Move, ...]
    edges: tuple[tuple[int, int, int], ...]

    @cached_property
    def _paths(self) -> tuple[Floats, Ints]:
        """Minutes (S, S) of the shortest way, inf where there is none, and the first edge of it."""
        count = len(self.states)
        minutes = np.full((count, count), np.inf)
        np.fill_diagonal(minutes, 0.0)
        edge = np.full((count, count), -1)
        for number, (start, end, move) in enumerate(self.edges):
            if self.moves[move].minutes < minutes[start, end]:
                minutes[start, end] = self.moves[move].minutes
                edge[start, end] = number
        for middle in range(count):  # Floyd & Warshall 1962
            through = minutes[:, middle, None] + minutes[None, middle, :]
            # A hair of slack keeps the way found first where two are equally long.
            better = through < minutes - 1e-12
            minutes = np.where(better, through, minutes)
            edge = np.where(better, edge[:, middle, None], edge)
        return minutes, edge

    @property
    def minutes(self) -> Floats:
        """(S, S) minutes of the shortest way between states; inf where there is none."""
        return self._paths[0]

    @cached_property
    def _place(self) -> dict[tuple[str, ...], int]:
        return {tuple(state.values()): index for index, state in enumerate(self.states)}

    def index(self, state: State) -> int:
        """The index of `state`, which must name every condition."""
        order = self.states[0]
        return self._place[tuple(state[condition] for condition in order)]

    def mask(self, needs: Needs) -> Bools:
        """(S,) the states that satisfy `needs`."""
        return np.array([serves(state, needs) for state in self.states])

    def nearest(self, start: int, needs: Needs) -> int | None:
        """The nearest state that satisfies `needs`; None where none can be reached."""
        minutes = np.where(self.mask(needs), self.minutes[start], np.inf)
        best = int(np.argmin(minutes))
        return best if np.isfinite(minutes[best]) else None

    def way(self, start: int, end: int) -> list[tuple[Move, int]]:
        """The moves of the shortest way and the state after each."""
        found: list[tuple[Move, int]] = []
        here = start
        while here != end:
            number = int(self._paths[1][here, end])
            if number < 0:
                raise SituationError("There is no way to that bench state.", "Check the moves of the pack.")
            _, here, move = self.edges[number]
            found.append((self.moves[move], here))
        return found


def make_bench(bench: Bench, moves: Sequence[Move], barred: Sequence[Needs] = ()) -> BenchGraph:
    """The graph of `bench` with the `moves` that are open; no move leads into a `barred` state."""
    names = list(bench.conditions)
    states = tuple(dict(zip(names, values, strict=True)) for values in product(*bench.conditions.values()))
    place = {tuple(state.values()): index for index, state in enumerate(states)}
    edges = []
    for number, move in enumerate(moves):
        for index, state in enumerate(states):
            if serves(state, move.needs):
                after = {**state, **move.change}
                target = place[tuple(after.values())]
                if target != index and not any(_enters(state, after, bar) for bar in barred):
                    edges.append((index, target, number))
    return BenchGraph(states, tuple(moves), tuple(edges))


def _enters(before: State, after: State, bar: Needs) -> bool:
    """Whether a move changes a barred condition into one of its barred values."""
    return any(
        after[condition] in values and before[condition] != after[condition] for condition, values in bar.items()
    )


def full_state(bench: Bench, changes: Mapping[str, str] | None = None) -> dict[str, str]:
    """The start state with `changes`; raises SituationError for an unknown condition or value."""
    state = dict(bench.start)
    for condition, value in (changes or {}).items():
        if condition not in bench.conditions:
            raise SituationError(
                f"The bench has no condition {condition!r}.", f"It has: {', '.join(bench.conditions)}."
            )
        if value not in bench.conditions[condition]:
            raise SituationError(
                f"The bench condition {condition!r} is never {value!r}.",
                f"It is one of: {', '.join(bench.conditions[condition])}.",
            )
        state[condition] = value
    return state
