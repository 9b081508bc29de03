"""Planning problems whose optimum was stated elsewhere, as arguments of `Model.from_arrays`; the source beside each."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Any

#: Quoting so dear that no plan of these does.
DEAR = 1000.0


def identification(prior: Sequence[float], outcomes: Sequence[Sequence[int]], of: int) -> dict[str, Any]:
    """Unit-cost tests without noise: outcomes[t][h] is what test t reads for hypothesis h, one of `of`."""
    tables = [[[1.0 if o == one else 0.0 for o in range(of)] for one in row] for row in outcomes]
    return {"prior": list(prior), "likelihoods": tables, "minutes": [1.0] * len(tables)}


def repairing(prior: Sequence[float], fixed: Sequence[set[int]], costs: Sequence[float]) -> dict[str, Any]:
    """Perfect repairs, each of a set of causes (counted from 1), and no measurement."""
    fixes = [[1.0 if h + 1 in one else 0.0 for h in range(len(prior))] for one in fixed]
    return {"prior": list(prior), "likelihoods": [], "minutes": [], "repairs": (fixes, list(costs)), "refer": DEAR}


# Pattipati & Alexandridis, IEEE Trans. SMC 1990 (inputs from memory, value recomputed): the tests 1 to 5 that fail in
# each of six states; optimal expected cost 2.18, first test 2 or 4; greedy information gain gives 2.86.
FAILING: list[set[int]] = [set(), {2, 5}, {3, 4}, {1, 4, 5}, {1, 2}, {1, 2, 3, 4}]
SIX = identification((0.70, 0.01, 0.02, 0.10, 0.05, 0.12), [[int(t in one) for one in FAILING] for t in range(1, 6)], 2)

# Huffman 1952, table I: average length 3.42, entropy 3.354561.
HUFFMAN_TABLE = (0.20, 0.18, 0.10, 0.10, 0.10, 0.06, 0.06, 0.04, 0.04, 0.04, 0.04, 0.03, 0.01)
HUFFMAN_FIVE = (0.25, 0.25, 0.2, 0.15, 0.15)
DYADIC = (1 / 2, 1 / 4, 1 / 8, 1 / 16, 1 / 64, 1 / 64, 1 / 64, 1 / 64)

# Kadane & Simon 1977; Kalagnanam & Henrion 1990; Heckerman, Breese & Rommelse 1995: order 3, 2, 1, cost 38/5.
SINGLE = repairing((0.5, 0.3, 0.2), [{1}, {2}, {3}], (10.0, 2.0, 1.0))

# Dependent repairs, recomputed by independent code: p/c recomputed at each step costs 4.9, the optimum is 4.5.
DEPENDENT = repairing([1 / 6] * 6, [{1, 2, 3}, {4, 5, 6}, {3, 4}], (3.0, 3.0, 1.9))

# An opening cost of 6, paid once, before repairs 3 and 4; closing is free; repairs 1 and 2 are possible opened too.
# Recomputed by independent code: best order 1, 3, 4, 2, cost 509/50; plain p/c 547/50.
OPENING = {
    **repairing((0.14, 0.20, 0.36, 0.30), [{1}, {2}, {3}, {4}], (1.0, 4.0, 2.0, 3.0)),
    "setup": ([[0.0, 6.0], [0.0, 0.0]], None, [[True, True], [True, True], [False, True], [False, True]], 0),
}


def every_partition(prior: Sequence[float]) -> dict[str, Any]:
    """Every binary partition a unit-cost test."""
    count = len(prior)
    return identification(prior, [[mask >> h & 1 for h in range(count)] for mask in range(1, 1 << (count - 1))], 2)


def coins(spared: int = 0, none_false: bool = False) -> dict[str, Any]:
    """12 coins, one false, heavier or lighter: weighings of the classic puzzle that suffice, as ternary tests.

    Hypotheses 2c and 2c + 1: coin c is heavy, light; the last, with `none_false`: no coin is. Each coin lies left (1),
    right (2) or aside (0) in each of three weighings, no two in the same or in mirrored ways, as many left as right.
    With `spared` coins that are never weighed the others use ways of which the first two places tell them apart.
    """
    places = _ways_of_twelve(spared)
    outcomes = []
    for place in zip(*places, strict=True):
        row = [one for coin in place for one in (coin, (0, 2, 1)[coin])]
        outcomes.append([*row, 0] if none_false else row)
    return identification([1.0] * len(outcomes[0]), outcomes, 3)


def _ways_of_twelve(spared: int) -> list[tuple[int, ...]]:
    pairs = [way for way in product((0, 1, 2), repeat=3) if next((one for one in way if one), 0) == 1]
    pairs = [way for way in pairs if way != ((1, 1, 0) if spared else (1, 1, 1)) and not (spared and way[:2] == (0, 0))]
    mirror = {0: 0, 1: 2, 2: 1}
    for flips in product((False, True), repeat=len(pairs)):
        ways = [tuple(mirror[one] for one in way) if flip else way for way, flip in zip(pairs, flips, strict=True)]
        if all(place.count(1) == place.count(2) for place in zip(*ways, strict=True)):
            return [*ways, *[(0, 0, 0)] * spared]
    raise ValueError("No balanced way of weighing was found.")
