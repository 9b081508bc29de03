"""The bench as a graph: states are combinations of condition values, moves are edges with minutes.

The way of a person to one step is found without arrays, which take a tenth of a start: the first step of a job is on
screen before they are loaded. The planner, who asks for every way at once, gets them as arrays.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from heapq import heappop, heappush
from itertools import product
from math import inf
from typing import TYPE_CHECKING

from nextprobe.errors import SituationError

if TYPE_CHECKING:
    from nextprobe.model.arrays import Bools, Floats
    from nextprobe.pack.pack import Bench, Move, Needs

State = Mapping[str, str]

#: Minutes of a way are kept to so many digits, so that two ways that are equally long are so however they are added up.
DIGITS = 9


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
    def minutes(self) -> Floats:
        """(S, S) minutes of the shortest way between states; inf where there is none."""
        import numpy as np  # see above

        count = len(self.states)
        minutes = np.full((count, count), np.inf)
        np.fill_diagonal(minutes, 0.0)
        for start, onward in enumerate(self._onward):
            for end, (own, _) in onward.items():
                minutes[start, end] = own
        for middle in range(count):  # Floyd & Warshall 1962
            np.minimum(minutes, minutes[:, middle, None] + minutes[None, middle, :], out=minutes)
        return np.round(minutes, DIGITS)

    @cached_property
    def _onward(self) -> list[dict[int, tuple[float, int]]]:
        """Of each state: where one move leads, its minutes and the number of the edge, the first of the cheapest."""
        onward: list[dict[int, tuple[float, int]]] = [{} for _ in self.states]
        for number, (start, end, move) in enumerate(self.edges):
            own = round(self.moves[move].minutes, DIGITS)
            if end not in onward[start] or own < onward[start][end][0]:
                onward[start][end] = own, number
        return onward

    @cached_property
    def _ways(self) -> dict[int, tuple[list[float], list[int]]]:
        """What `_from` found so far."""
        return {}

    def _from(self, start: int) -> tuple[list[float], list[int]]:
        """Minutes (S,) of the shortest way from `start`, inf where there is none, and its first edge (S,), -1 for none.

        Of equally long ways the one whose highest state in between is lowest: a direct move before any other, and the
        same whatever else can be reached (Dijkstra 1959, on both in this order).
        """
        if start in self._ways:
            return self._ways[start]
        minutes, middle = [inf] * len(self.states), [-1] * len(self.states)
        first, settled = [-1] * len(self.states), [False] * len(self.states)
        minutes[start] = 0.0
        waiting = [(0.0, -1, start)]
        while waiting:
            spent, highest, here = heappop(waiting)
            if settled[here]:
                continue
            settled[here] = True
            if here != start:
                first[here] = self._onward[start][here][1] if highest < 0 else first[highest]
            for there, (own, _) in self._onward[here].items():
                so_far = round(spent + own, DIGITS), max(highest, here) if here != start else -1
                if not settled[there] and so_far < (minutes[there], middle[there]):
                    minutes[there], middle[there] = so_far
                    heappush(waiting, (*so_far, there))
        self._ways[start] = minutes, first
        return minutes, first

    @cached_property
    def _place(self) -> dict[tuple[str, ...], int]:
        return {tuple(state.values()): index for index, state in enumerate(self.states)}

    def index(self, state: State) -> int:
        """The index of `state`, which must name every condition."""
        order = self.states[0]
        return self._place[tuple(state[condition] for condition in order)]

    def mask(self, needs: Needs) -> Bools:
        """(S,) the states that satisfy `needs`."""
        import numpy as np  # see above

        return np.array([serves(state, needs) for state in self.states])

    def nearest(self, start: int, needs: Needs) -> int | None:
        """The nearest state that satisfies `needs`, the first of those equally near; None where none can be reached."""
        minutes, _ = self._from(start)
        best, least = None, inf
        for index, state in enumerate(self.states):
            if minutes[index] < least and serves(state, needs):
                best, least = index, minutes[index]
        return best

    def way(self, start: int, end: int) -> list[tuple[Move, int]]:
        """The moves of the shortest way and the state after each."""
        found: list[tuple[Move, int]] = []
        here = start
        while here != end:
            number = self._from(here)[1][end]
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
