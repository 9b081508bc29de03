"""Ways over the bench: as short as Floyd & Warshall (1962) find them, and of equally long ones the one they keep."""

from __future__ import annotations

import random

import pytest

from nextprobe import load_pack
from nextprobe.errors import SituationError
from nextprobe.model.bench import BenchGraph, make_bench, serves
from nextprobe.pack.pack import Move
from nextprobe.resources import bundled_packs


def scattered(seed: int, states: int = 9, edges: int = 24) -> BenchGraph:
    """A bench with moves anywhere, whose minutes are so few whole numbers that many ways are equally long."""
    luck = random.Random(seed)
    moves = tuple(Move(f"m{n}", {}, {}, float(luck.randint(0, 3)), "Move it.") for n in range(5))
    places = tuple({"at": str(n)} for n in range(states))
    found = {tuple(luck.sample(range(states), 2)) for _ in range(edges)}
    return BenchGraph(places, moves, tuple((start, end, luck.randrange(5)) for start, end in sorted(found)))


def floyd(graph: BenchGraph) -> tuple[list[list[float]], list[list[int]]]:
    """Minutes between states and the first edge: the textbook's three loops, what is found first stays."""
    count = len(graph.states)
    minutes = [[0.0 if a == b else float("inf") for b in range(count)] for a in range(count)]
    first = [[-1] * count for _ in range(count)]
    for number, (start, end, move) in enumerate(graph.edges):
        if graph.moves[move].minutes < minutes[start][end]:
            minutes[start][end], first[start][end] = graph.moves[move].minutes, number
    for middle in range(count):
        for a in range(count):
            for b in range(count):
                if minutes[a][middle] + minutes[middle][b] < minutes[a][b]:
                    minutes[a][b] = minutes[a][middle] + minutes[middle][b]
                    first[a][b] = first[a][middle]
    return minutes, first


@pytest.mark.parametrize("seed", range(40))
def test_ways_are_the_shortest_and_the_first_found_of_them(seed: int) -> None:
    graph = scattered(seed)
    minutes, first = floyd(graph)
    for start in range(len(graph.states)):
        for end in range(len(graph.states)):
            assert graph.minutes[start, end] == minutes[start][end]
            if minutes[start][end] == float("inf"):
                with pytest.raises(SituationError):
                    graph.way(start, end)
                continue
            way = graph.way(start, end)
            assert sum(move.minutes for move, _ in way) == minutes[start][end]
            if way:
                _, after, move = graph.edges[first[start][end]]
                assert way[0] == (graph.moves[move], after)


@pytest.mark.parametrize("name", bundled_packs())
def test_a_persons_way_and_the_planners_minutes_agree(name: str) -> None:
    pack = load_pack(name)
    graph = make_bench(pack.bench, list(pack.bench.moves.values()))
    wanted = [measurement.needs for measurement in pack.measurements.values()]
    for start in range(len(graph.states)):
        for needs in wanted:
            near = graph.nearest(start, needs)
            least = min(graph.minutes[start][graph.mask(needs)], default=float("inf"))
            if near is None:
                assert least == float("inf")
                continue
            assert serves(graph.states[near], needs)
            assert graph.minutes[start, near] == least
            way = graph.way(start, near)
            assert sum(move.minutes for move, _ in way) == pytest.approx(least)
            here = start
            for move, after in way:
                assert serves(graph.states[here], move.needs)
                assert {**graph.states[here], **move.change} == graph.states[after]
                here = after


def test_equally_long_ways_are_so_however_they_are_added_up() -> None:
    # 0.1 + 0.2 and 0.3 differ in their last bit: the direct move is kept, and the first of two places equally near.
    tenths = [Move(id_, {}, {}, minutes, "Move it.") for id_, minutes in (("a", 0.1), ("b", 0.2), ("c", 0.3))]
    places = tuple({"at": str(n)} for n in range(4))
    graph = BenchGraph(places, tuple(tenths), ((0, 1, 0), (1, 2, 1), (0, 2, 2), (0, 3, 2)))
    assert [move.id for move, _ in graph.way(0, 2)] == ["c"]
    assert graph.minutes[0, 2] == graph.minutes[0, 3] == 0.3
    assert graph.nearest(0, {"at": ("2", "3")}) == 2
