"""The sketch of a board: its outline, a few landmarks, and the one point where the probe goes.

As text in character cells (twice as high as wide), as words for a screen reader, and as SVG for a report.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nextprobe.pack.pack import BoardSheet

Box = tuple[float, float, float, float]
Point = tuple[float, float]

#: The mark of the point.
MARK = "◉"
#: Landmarks drawn in text: the nearest parts, and the largest.
NEAREST, LARGEST = 3, 2
#: A cell is so much higher than wide.
TALL = 2.0
#: Words of place: the board in thirds.
ACROSS, DOWN = ("left", "middle", "right"), ("upper", "middle", "lower")


@dataclass(frozen=True, slots=True)
class Landmark:
    """A part of the board: its name, its box (left, top, width, height) in millimetres."""

    say: str
    box: Box

    @property
    def middle(self) -> Point:
        """Its middle."""
        left, top, width, height = self.box
        return left + width / 2, top + height / 2

    def far(self, at: Point) -> float:
        """Millimetres from `at` to its edge; 0 inside it."""
        left, top, width, height = self.box
        across = max(left - at[0], 0.0, at[0] - left - width)
        down = max(top - at[1], 0.0, at[1] - top - height)
        return float((across**2 + down**2) ** 0.5)


def landmarks(board: BoardSheet, at: Point, nearest: int = NEAREST, largest: int = LARGEST) -> list[Landmark]:
    """The parts that help to find `at`: those closest to it, then the largest ones."""
    parts = [Landmark(say, box) for box, say in board.sketch.parts.values()]
    close = sorted(parts, key=lambda part: (part.far(at), part.say))[:nearest]
    large = sorted((p for p in parts if p not in close), key=lambda p: (-p.box[2] * p.box[3], p.say))[:largest]
    return close + large


def has_sketch(board: BoardSheet | None, at: Point | None) -> bool:
    """Whether there is anything to draw."""
    return board is not None and at is not None and len(board.sketch.outline) > 2


def extent(board: BoardSheet) -> Box:
    """Left, top, width and height of the outline."""
    xs, ys = [x for x, _ in board.sketch.outline], [y for _, y in board.sketch.outline]
    return min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)


def place_words(board: BoardSheet, at: Point) -> str:
    """Where a point is, in words: which part of the board, and how far from the nearest landmark."""
    left, top, width, height = extent(board)
    column = ACROSS[min(2, max(0, int(3 * (at[0] - left) / max(width, 1e-9))))]
    row = DOWN[min(2, max(0, int(3 * (at[1] - top) / max(height, 1e-9))))]
    where = "in the middle of the board" if (column, row) == ("middle", "middle") else f"{row} {column} of the board"
    nearest = landmarks(board, at, 1, 0)
    if not nearest:
        return where
    part = nearest[0]
    name = part.say[:1].lower() + part.say[1:] if part.say[1:2].islower() else part.say
    if part.far(at) == 0:
        return f"{where}, at: {name}"
    across, down = at[0] - part.middle[0], at[1] - part.middle[1]
    side = ("right of" if across > 0 else "left of") if abs(across) > abs(down) else ("below" if down > 0 else "above")
    return f"{where}, {part.far(at):.0f} mm {side}: {name}"


def sketch_lines(board: BoardSheet, at: Point, columns: int, rows: int) -> list[str]:
    """The sketch in at most `columns` x `rows` cells; a legend of the numbered landmarks stands below it.

    The board keeps its proportions, so it may take less. Numbers stand for names, which would not fit.
    """
    left, top, width, height = extent(board)
    marks = landmarks(board, at)
    legend = [f"{number} {part.say}" for number, part in enumerate(marks, 1)]
    room = max(4, rows - len(legend) - 1)
    scale = min((columns - 1) / max(width, 1e-9), TALL * (room - 1) / max(height, 1e-9))
    wide, high = max(8, round(width * scale) + 1), max(4, round(height * scale / TALL) + 1)
    grid = [[" "] * wide for _ in range(high)]

    def cell(x: float, y: float) -> tuple[int, int]:
        column = round((x - left) / max(width, 1e-9) * (wide - 1))
        row = round((y - top) / max(height, 1e-9) * (high - 1))
        return min(wide - 1, max(0, column)), min(high - 1, max(0, row))

    _frame(grid, (0, 0), (wide - 1, high - 1))
    point = cell(*at)
    for number, part in enumerate(marks, 1):
        x, y, w, h = part.box
        first, last = cell(x, y), cell(x + w, y + h)
        if last[0] - first[0] >= 2 and last[1] - first[1] >= 2:
            _frame(grid, first, last)
        else:
            _fill(grid, first, last)
        _put(grid, cell(*part.middle), str(number), point)
    grid[point[1]][point[0]] = MARK
    return ["".join(row).rstrip() for row in grid] + [line[:columns] for line in legend] + [f"{MARK} here"]


def _frame(grid: list[list[str]], first: tuple[int, int], last: tuple[int, int]) -> None:
    (left, top), (right, bottom) = first, last
    for column in range(left, right + 1):
        grid[top][column] = grid[bottom][column] = "─"
    for row in range(top, bottom + 1):
        grid[row][left] = grid[row][right] = "│"
    for corner, sign in (((left, top), "┌"), ((right, top), "┐"), ((left, bottom), "└"), ((right, bottom), "┘")):
        grid[corner[1]][corner[0]] = sign


def _fill(grid: list[list[str]], first: tuple[int, int], last: tuple[int, int]) -> None:
    for row in range(first[1], last[1] + 1):
        for column in range(first[0], last[0] + 1):
            if grid[row][column] == " ":
                grid[row][column] = "▒"


def _put(grid: list[list[str]], where: tuple[int, int], sign: str, taken: tuple[int, int]) -> None:
    """Write a number where it hides neither the point nor another number, as near as it can."""
    column, row = where
    for shift in (0, 1, -1, 2, -2, 3, -3):
        place = (column + shift, row)
        free = 0 <= place[0] < len(grid[0]) and place != taken and not grid[row][place[0]].isdigit()
        if free:
            grid[row][place[0]] = sign
            return


def sketch_svg(board: BoardSheet, points: Sequence[tuple[str, Point]], wide: float = 480.0) -> str:
    """The board to scale with all its parts and numbered points, `wide` units across; text at least 7 units high."""
    from html import escape

    left, top, width, height = extent(board)
    scale = wide / max(width, 1e-9)

    def at(x: float, y: float) -> str:
        return f"{(x - left) * scale:.1f},{(y - top) * scale:.1f}"

    high = height * scale
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 {wide + 20:.0f} {high + 24 + 11 * len(points):.0f}"'
        ' font-family="Arial, Helvetica, sans-serif" font-size="8">',
        f'<polygon points="{" ".join(at(*corner) for corner in board.sketch.outline)}" fill="#fff" stroke="#000"/>',
    ]
    for box, say in board.sketch.parts.values():
        x, y, w, h = box
        corner = at(x, y).split(",")
        rows.append(
            f'<rect x="{corner[0]}" y="{corner[1]}" width="{w * scale:.1f}" height="{h * scale:.1f}" fill="#eee"'
            f' stroke="#666"><title>{escape(say)}</title></rect>'
        )
    for number, (_, point) in enumerate(points, 1):
        across, down = at(*point).split(",")
        rows.append(f'<circle cx="{across}" cy="{down}" r="5.5" fill="#fff" stroke="#000" stroke-width="1.4"/>')
        rows.append(f'<text x="{across}" y="{float(down) + 2.8:.1f}" text-anchor="middle">{number}</text>')
    for number, (say, _) in enumerate(points, 1):
        rows.append(f'<text x="0" y="{high + 12 + 11 * number:.1f}">{number}  {escape(say)}</text>')
    return "\n".join([*rows, "</svg>"])
