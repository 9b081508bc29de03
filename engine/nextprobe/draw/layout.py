"""Where everything of a tree stands: one box a row, the likeliest course straight down, rarer ways to its right.

A layered layout for deep, uneven trees: a row's column is the number of times that a job on the way there took
another way than the likeliest (heavy paths: Sleator & Tarjan 1983). A way that is not the likeliest is taken by
at most half of the jobs, so a tree folded at the share s has at most log2(1/s) columns however deep it is, and
boxes stay wide enough to read. Rows never share a height, so no boxes overlap; a rail runs down left of the
columns to its right, so none is crossed. All lengths in points (1/72 inch).
"""

from __future__ import annotations

from dataclasses import dataclass

from nextprobe.draw.rows import Row
from nextprobe.draw.text import Line, Span, wrap
from nextprobe.draw.widths import width

TITLE, DETAIL = 8.0, 7.0
LEADING = 1.28
PAD_X, PAD_Y = 4.0, 2.2
#: Between rows, between columns, and from a box's left edge to the rail that leaves it.
GAP, INDENT, RAIL = 4.0, 15.0, 5.0
#: No column begins further right: what is deeper stays in the last one.
MOST_COLUMNS = 12


@dataclass(frozen=True, slots=True)
class Box:
    """A row's box and its lines; `path`: what was told on the way."""

    row: Row
    x: float
    y: float
    width: float
    height: float
    lines: tuple[Line, ...]
    path: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Rail:
    """A line from (x, y) down to `down`, then right to `right` (x itself: it only goes down)."""

    x: float
    y: float
    down: float
    right: float


@dataclass(frozen=True, slots=True)
class Layout:
    """Boxes from top to bottom and the rails between them."""

    boxes: tuple[Box, ...]
    rails: tuple[Rail, ...]
    width: float
    height: float


def lay_out(root: Row, wide: float) -> Layout:
    """Place all rows below `root` in boxes whose right edges stand at `wide`."""
    boxes: list[Box] = []
    rails: list[Rail] = []
    bottom = 0.0

    def place(first: Row, column: int, told: tuple[str, ...]) -> float:
        """Place a row, its sides and what is below; the middle of the first row's first line."""
        nonlocal bottom
        top = -1.0
        row: Row | None = first
        leave = 0.0
        x = min(column, MOST_COLUMNS) * INDENT
        while row is not None:
            path = (*told, row.label) if row.label else told
            lines = _lines(row, wide - x - 2 * PAD_X)
            height = sum(line.size * LEADING for line in lines) + 2 * PAD_Y
            box = Box(row, x, bottom, wide - x, height, tuple(lines), path)
            boxes.append(box)
            if top < 0:
                top = box.y
            else:
                rails.append(Rail(x + RAIL, leave, box.y, x + RAIL))
            leave = box.y + height
            bottom = leave + GAP
            for side in row.sides:
                at = place(side, column + 1, path) + PAD_Y + TITLE * LEADING / 2
                rails.append(Rail(x + RAIL, leave, at, min(column + 1, MOST_COLUMNS) * INDENT))
            told, row = path, row.main
        return top

    place(root, 0, ())
    return Layout(tuple(boxes), tuple(rails), wide, max(0.0, bottom - GAP))


def _lines(row: Row, room: float) -> list[Line]:
    label = (Span(f"{row.label}:", bold=True),) if row.label else ()
    # The step's own minutes stand at the right of the first line.
    aside = width(f"  {row.own}", DETAIL) if row.own else 0.0
    lines = wrap((*label, Span(row.title)), TITLE, room - aside)
    if row.detail:
        lines += wrap((Span(row.detail),), DETAIL, room)
    return lines


@dataclass(frozen=True, slots=True)
class Page:
    """Part of a layout: the boxes from `top` down to `bottom`."""

    boxes: tuple[Box, ...]
    rails: tuple[Rail, ...]
    top: float
    bottom: float


def paginate(layout: Layout, first: float, other: float) -> list[Page]:
    """Cut a layout between rows into pages, the first at most `first` high and each other one `other`.

    A box that is higher than a page stands alone on one.
    """
    groups: list[list[Box]] = [[]]
    for box in layout.boxes:
        room = first if len(groups) == 1 else other
        if groups[-1] and box.y + box.height - groups[-1][0].y > room:
            groups.append([])
        groups[-1].append(box)
    pages = []
    for number, boxes in enumerate(groups):
        top = boxes[0].y
        last = number == len(groups) - 1
        bottom = boxes[-1].y + boxes[-1].height + (0.0 if last else GAP)
        pages.append(Page(tuple(boxes), _cut(layout.rails, top - (GAP if number else 0.0), bottom), top, bottom))
    return pages


def _cut(rails: tuple[Rail, ...], top: float, bottom: float) -> tuple[Rail, ...]:
    """What is seen of the rails between two heights; one that goes on below does not turn right."""
    seen = []
    for rail in rails:
        if rail.down <= top or rail.y >= bottom:
            continue
        right = rail.right if rail.down <= bottom else rail.x
        seen.append(Rail(rail.x, max(rail.y, top), min(rail.down, bottom), right))
    return tuple(seen)
