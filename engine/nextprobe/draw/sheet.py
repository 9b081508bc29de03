"""Where everything of a graph stands on one sheet: columns of boxes from left to right, arcs in the channels between.

No text stands in a channel: what an arc says is written inside the box that it leaves, at the height where it
leaves. An arc that passes a column has a place of its own between its boxes. So no arc crosses a text. All lengths
in points (1/72 inch).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from nextprobe.draw.graph import Arc, Graph, Node
from nextprobe.draw.layers import Link, Slot, heights_at, ordered
from nextprobe.draw.layout import LEADING, PAD_X, PAD_Y
from nextprobe.draw.text import Line, Span, wrap

#: A4 on its side, in points; what is inside its margins; the part of it that a graph may take.
PAPER_WIDE, PAPER_HIGH, EDGE = 841.89, 595.28, 28.0
WIDE, ROOM = PAPER_WIDE - 2 * EDGE, 462.0
TITLE, DETAIL = 8.0, 7.0
#: Room for what an arc says, and its height.
SAID, SAID_HIGH = 32.0, 9.0
#: Between boxes, beside an arc that passes, between the ends of arcs at one box.
GAP, PASSING, ENTRY = 7.0, 3.5, 2.6
#: A channel between columns is at least so wide, and a box at least and at most.
CHANNEL, NARROWEST, WIDEST = 40.0, 96.0, 300.0
#: Steps towards the heights at which arcs are straightest.
STEPS = 16


@dataclass(frozen=True, slots=True)
class Placed:
    """A node's box and its lines."""

    node: Node
    x: float
    y: float
    width: float
    height: float
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """An arc: what it says ends at `said_at` (right, middle); it goes through `points`, level in the columns."""

    arc: Arc
    said_at: tuple[float, float]
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Boxes and arcs on one sheet, within WIDE x `height`."""

    boxes: tuple[Placed, ...]
    arcs: tuple[Drawn, ...]
    height: float


def most_columns() -> int:
    """How many columns of the narrowest boxes stand side by side."""
    return int((WIDE + CHANNEL) // (NARROWEST + CHANNEL))


def fits(graph: Graph, room: float = ROOM) -> bool:
    """Whether the graph takes no more columns than a sheet has and no more height than `room`."""
    depths = graph.depths()
    count = max(depths.values(), default=0) + 1
    if count > most_columns():
        return False
    slots, _, _ = _slots(graph, _columns(depths), count)
    heights = _heights(slots, _boxes(graph, _widths(count)[0]))
    return all(_height(each, heights) <= room for each in slots)


def place(graph: Graph) -> Sheet:
    """The graph on one sheet; what does not fit takes more room than a sheet has, and nothing is left out."""
    depths = graph.depths()
    count = max(depths.values(), default=0) + 1
    wide, channel = _widths(count)
    column = _columns(depths)
    slots, links, ways = _slots(graph, column, count)
    placed = _boxes(graph, wide)
    heights = _heights(slots, placed)
    slots = ordered(slots, links)
    room = max(_height(each, heights) for each in slots)
    tops = _tops(slots, links, heights, room)
    boxes = tuple(
        Placed(graph.nodes[id_], column[id_] * (wide + channel), tops[id_], wide, placed[id_][1], placed[id_][0])
        for each in slots
        for id_ in each
        if id_ in placed
    )
    return Sheet(boxes, _arcs(graph, boxes, ways, tops, wide + channel), room)


def _columns(depths: Mapping[str, int]) -> dict[str, int]:
    deepest = max(depths.values(), default=0)
    return {id_: deepest - depth for id_, depth in depths.items()}


def _widths(count: int) -> tuple[float, float]:
    """How wide boxes and channels are where there are `count` columns."""
    least = CHANNEL * (2 if count < 4 else 1.5 if count < 5 else 1)
    wide = min(WIDEST, max(NARROWEST, (WIDE - (count - 1) * least) / count))
    return wide, max(CHANNEL, (WIDE - count * wide) / (count - 1)) if count > 1 else 0.0


def _heights(slots: list[list[Slot]], placed: Mapping[str, tuple[tuple[Line, ...], float]]) -> dict[Slot, float]:
    return {slot: placed[slot][1] if slot in placed else 0.0 for each in slots for slot in each}


def _slots(
    graph: Graph, column: Mapping[str, int], count: int
) -> tuple[list[list[Slot]], list[Link], dict[Arc, list[Slot]]]:
    """Columns of slots, the links between neighbouring columns, and the slots that each arc passes."""
    slots: list[list[Slot]] = [[] for _ in range(count)]
    for id_ in graph.nodes:
        slots[column[id_]].append(id_)
    links: list[Link] = []
    ways: dict[Arc, list[Slot]] = {}
    for arc in graph.arcs:
        ways[arc] = []
        last = arc.source
        for passed in range(column[arc.source] + 1, column[arc.target]):
            # An id holds no blank, so no node has this name. Arcs to one target run together from where they meet.
            slot = f"to {arc.target} {passed}"
            slots[passed].append(slot)
            ways[arc].append(slot)
            links.append((last, slot))
            last = slot
        links.append((last, arc.target))
    return [list(dict.fromkeys(each)) for each in slots], list(dict.fromkeys(links)), ways


def _boxes(graph: Graph, wide: float) -> dict[str, tuple[tuple[Line, ...], float]]:
    """The lines and the height of each node's box."""
    found = {}
    for id_, node in graph.nodes.items():
        leaving = sum(arc.source == id_ for arc in graph.arcs)
        entering = sum(arc.target == id_ for arc in graph.arcs)
        said = any(arc.label for arc in graph.arcs if arc.source == id_)
        room = wide - 2 * PAD_X - (SAID if said else 0.0)
        lines = wrap((Span(node.title, bold=node.kind == "symptom"),), TITLE, room)
        if node.detail:
            lines += wrap((Span(node.detail),), DETAIL, room)
        text = sum(line.size * LEADING for line in lines)
        height = max(text, leaving * (SAID_HIGH if said else ENTRY), entering * ENTRY) + 2 * PAD_Y
        found[id_] = tuple(lines), height
    return found


def _gap(above: Slot, below: Slot, heights: Mapping[Slot, float]) -> float:
    return GAP if heights[above] and heights[below] else PASSING


def _height(column: list[Slot], heights: Mapping[Slot, float]) -> float:
    # Before slots are in order the gaps are the widest that the order can bring.
    boxes = sum(heights[slot] > 0 for slot in column)
    gaps = max(0, boxes - 1) * GAP + 2 * (len(column) - boxes) * PASSING
    return sum(heights[slot] for slot in column) + gaps


def _tops(slots: list[list[Slot]], links: list[Link], heights: Mapping[Slot, float], room: float) -> dict[Slot, float]:
    """Heights at which arcs are as level as the order allows; columns take turns."""
    beside: dict[Slot, list[Slot]] = {slot: [] for each in slots for slot in each}
    for left, right in links:
        beside[left].append(right)
        beside[right].append(left)
    tops: dict[Slot, float] = {}
    for each in slots:
        spread = (room - sum(heights[slot] for slot in each)) / (len(each) + 1)
        at = spread
        for slot in each:
            tops[slot] = at
            at += heights[slot] + spread
    for step in range(STEPS):
        for each in slots if step % 2 else reversed(slots):
            wanted = []
            for slot in each:
                middles = [tops[other] + heights[other] / 2 for other in beside[slot]]
                wanted.append(sum(middles) / len(middles) if middles else tops[slot] + heights[slot] / 2)
            gaps = [0.0, *(_gap(a, b, heights) for a, b in pairwise(each))]
            found = heights_at(wanted, [heights[slot] for slot in each], gaps, room)
            tops.update(zip(each, found, strict=True))
    return tops


def _arcs(
    graph: Graph,
    boxes: tuple[Placed, ...],
    ways: Mapping[Arc, list[Slot]],
    tops: Mapping[Slot, float],
    pitch: float,
) -> tuple[Drawn, ...]:
    """Each arc from a place of its own at the box it leaves to one at the box it enters, none swapped needlessly."""
    box = {one.node.id: one for one in boxes}

    def middle(slot: Slot) -> float:
        return tops[slot] + (box[slot].height / 2 if slot in box else 0.0)

    starts, ends = {}, {}
    for one in boxes:
        leaving = sorted(
            (arc for arc in graph.arcs if arc.source == one.node.id),
            key=lambda arc: middle([*ways[arc], arc.target][0]),
        )
        step = SAID_HIGH if any(arc.label for arc in leaving) else ENTRY
        for number, arc in enumerate(leaving):
            starts[arc] = one.y + one.height / 2 + (number - (len(leaving) - 1) / 2) * step
    for one in boxes:
        # Arcs that ran together on the way enter at one place.
        entering: dict[object, list[Arc]] = {}
        for arc in graph.arcs:
            if arc.target == one.node.id:
                entering.setdefault(ways[arc][-1] if ways[arc] else arc, []).append(arc)
        groups = sorted(
            entering.values(), key=lambda arcs: tops[ways[arcs[0]][-1]] if ways[arcs[0]] else starts[arcs[0]]
        )
        step = min((one.height - 2 * PAD_Y) / max(1, len(groups)), 3 * ENTRY)
        for number, arcs in enumerate(groups):
            ends.update(dict.fromkeys(arcs, one.y + one.height / 2 + (number - (len(groups) - 1) / 2) * step))
    drawn = []
    for arc in graph.arcs:
        source, target = box[arc.source], box[arc.target]
        points = [(source.x + source.width, starts[arc])]
        for number, slot in enumerate(ways[arc], 1):
            left = source.x + number * pitch
            points += [(left, tops[slot]), (left + source.width, tops[slot])]
        points.append((target.x, ends[arc]))
        drawn.append(Drawn(arc, (source.x + source.width - PAD_X, starts[arc]), tuple(points)))
    return tuple(drawn)
