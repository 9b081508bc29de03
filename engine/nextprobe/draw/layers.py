"""The order within columns: what is linked stands side by side, so that few arcs cross.

Layered drawing as Sugiyama, Tagawa & Toda 1981 describe it: long arcs pass the columns between through places of
their own; each column in turn is ordered by the mean place of its neighbours, and the order with the fewest
crossings is kept.
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Mapping, Sequence
from itertools import pairwise

#: Sweeps over the columns, there and back.
SWEEPS = 24
#: A place in a column: a node's id, or what stands for an arc that passes.
Slot = str
Link = tuple[Slot, Slot]


def ordered(columns: Sequence[Sequence[Slot]], links: Sequence[Link]) -> list[list[Slot]]:
    """The columns with their slots in an order that has few crossings; links join neighbouring columns."""
    before: dict[Slot, list[Slot]] = {}
    after: dict[Slot, list[Slot]] = {}
    for left, right in links:
        after.setdefault(left, []).append(right)
        before.setdefault(right, []).append(left)
    now = [list(column) for column in columns]
    best, least = now, crossings(now, after)
    for sweep in range(SWEEPS):
        backward = sweep % 2 == 0
        now = [list(column) for column in now]
        order = range(len(now) - 2, -1, -1) if backward else range(1, len(now))
        for number in order:
            beside = now[number + 1 if backward else number - 1]
            now[number] = _by_mean(now[number], beside, after if backward else before)
        count = crossings(now, after)
        if count < least:
            best, least = now, count
    return best


def crossings(columns: Sequence[Sequence[Slot]], after: Mapping[Slot, Sequence[Slot]]) -> int:
    """How many pairs of links cross between neighbouring columns."""
    count = 0
    for left, right in pairwise(columns):
        place = {slot: number for number, slot in enumerate(right)}
        seen: list[int] = []
        for slot in left:
            ends = [place[target] for target in after.get(slot, ())]
            count += sum(len(seen) - bisect_right(seen, end) for end in ends)
            for end in ends:
                insort(seen, end)
    return count


def _by_mean(column: Sequence[Slot], beside: Sequence[Slot], linked: Mapping[Slot, Sequence[Slot]]) -> list[Slot]:
    place = {slot: number / max(1, len(beside) - 1) for number, slot in enumerate(beside)}

    def mean(number: int) -> float:
        found = [place[other] for other in linked.get(column[number], ())]
        return sum(found) / len(found) if found else number / max(1, len(column) - 1)

    means = [mean(number) for number in range(len(column))]
    return [column[number] for number in sorted(range(len(column)), key=lambda number: (means[number], number))]


def heights_at(wanted: Sequence[float], heights: Sequence[float], gaps: Sequence[float], room: float) -> list[float]:
    """Tops of a column's slots, as near to where their middles are wanted as their order, the gaps and `room` allow.

    Least squares under an order: pooled neighbours (isotonic regression; Barlow, Bartholomew, Bremner & Brunk 1972).
    `gaps[i]` stands above slot i (the first is not used).
    """
    offsets, at = [], 0.0
    for number, height in enumerate(heights):
        at += gaps[number] if number else 0.0
        offsets.append(at)
        at += height
    spare = max(0.0, room - at)
    pools: list[tuple[float, int]] = []
    for middle, height, offset in zip(wanted, heights, offsets, strict=True):
        pools.append((middle - height / 2 - offset, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (a, n), (b, m) = pools[-2:]
            pools[-2:] = [((a * n + b * m) / (n + m), n + m)]
    shifts = [min(max(shift, 0.0), spare) for shift, count in pools for _ in range(count)]
    return [shift + offset for shift, offset in zip(shifts, offsets, strict=True)]
