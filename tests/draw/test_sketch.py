"""The sketch of a board, as text, words and SVG. No outside source: geometry, and the two invented boards."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from nextprobe import load_pack
from nextprobe.draw.sketch import MARK, extent, has_sketch, landmarks, place_words, sketch_lines, sketch_svg
from nextprobe.pack.pack import BoardSheet, Pack, Sketch

SQUARE = BoardSheet(
    "square",
    "Square board",
    Sketch(
        ((0, 0), (90, 0), (90, 90), (0, 90)),
        {
            "chip": ((10.0, 10.0, 20.0, 20.0), "Chip"),
            "plug": ((80.0, 40.0, 10.0, 10.0), "Plug"),
            "far": ((0.0, 85.0, 5.0, 5.0), "LED row"),
        },
    ),
)
PACKS = [(pack, board) for pack in ("no-picture", "no-reaction") for board in ("tansy-12", "brindle-14")]


@pytest.fixture(scope="module", params=PACKS, ids="-".join)
def pack(request: pytest.FixtureRequest) -> Pack:
    return load_pack(*request.param)


def test_the_place_is_said_as_one_would_say_it() -> None:
    assert place_words(SQUARE, (20, 20)) == "upper left of the board, at: chip"
    assert place_words(SQUARE, (45, 22)) == "upper middle of the board, 15 mm right of: chip"
    assert place_words(SQUARE, (85, 70)) == "lower right of the board, 20 mm below: plug"
    assert place_words(SQUARE, (45, 45)).startswith("in the middle of the board, ")
    assert place_words(SQUARE, (3, 80)).endswith("above: LED row")


def test_the_nearest_landmarks_come_first_and_the_largest_after() -> None:
    assert [part.say for part in landmarks(SQUARE, (84, 60), 1, 1)] == ["Plug", "Chip"]
    assert landmarks(SQUARE, (20, 20))[0].far((20, 20)) == 0.0
    assert landmarks(SQUARE, (33, 34))[0].far((33, 34)) == pytest.approx(5.0)  # 3, 4, 5


@pytest.mark.parametrize(("columns", "rows"), [(40, 12), (60, 20), (110, 40)])
def test_every_point_of_every_board_is_drawn_whole(pack: Pack, columns: int, rows: int) -> None:
    board = pack.board
    assert board is not None
    left, top, width, height = extent(board)
    drawn = 0
    for measurement in pack.measurements.values():
        at = measurement.at
        if at is None or not has_sketch(board, at):
            continue
        drawn += 1
        assert left <= at[0] <= left + width
        assert top <= at[1] <= top + height
        lines = sketch_lines(board, at, columns, rows)
        assert max(len(line) for line in lines) <= columns
        assert len(lines) <= max(rows, 11)
        board_part = [line for line in lines if line[:1] in "┌│└" or MARK in line][:-1]
        assert sum(line.count(MARK) for line in board_part) == 1
        row, column = next((n, line.index(MARK)) for n, line in enumerate(board_part) if MARK in line)
        # The mark stands where the millimetres say, to one cell.
        wide, high = len(board_part[0]), len(board_part)
        assert column == pytest.approx((at[0] - left) / width * (wide - 1), abs=1)
        assert row == pytest.approx((at[1] - top) / height * (high - 1), abs=1)
        count = len(landmarks(board, at))
        numbers = {sign for line in board_part for sign in line if sign.isdigit()}
        assert len(numbers) >= count - 1  # of two that share a cell's surroundings one may be hidden
        assert all(any(line.startswith(f"{n} ") for line in lines) for n in range(1, count + 1))
    assert drawn >= 15


def test_proportions_hold_for_cells_twice_as_high_as_wide() -> None:
    lines = [line for line in sketch_lines(SQUARE, (45, 45), 60, 30) if line[:1] in "┌│└"]
    assert len(lines[0]) / len(lines) == pytest.approx(2.0, rel=0.1)


def test_without_a_sheet_or_a_point_there_is_no_sketch() -> None:
    assert not has_sketch(None, (1.0, 1.0))
    assert not has_sketch(SQUARE, None)
    assert not has_sketch(BoardSheet("bare", "Bare"), (1.0, 1.0))


def test_the_drawing_is_sound_to_scale_and_names_every_point(pack: Pack) -> None:
    board = pack.board
    assert board is not None
    points = [(m.title, m.at) for m in pack.measurements.values() if m.at is not None]
    text = sketch_svg(board, points)
    root = ET.fromstring(text)
    names = "{http://www.w3.org/2000/svg}"
    assert len(root.findall(f"{names}circle")) == len(points)
    assert len(root.findall(f"{names}rect")) == len(board.sketch.parts)
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
    said = {element.text for element in root.findall(f"{names}text")}
    assert all(f"{number}  {title}" in said for number, (title, _) in enumerate(points, 1))
    _, _, width, height = extent(board)
    corners = [
        tuple(map(float, pair.split(","))) for pair in root.findall(f"{names}polygon")[0].get("points", "").split()
    ]
    drawn = max(x for x, _ in corners) / max(y for _, y in corners)
    assert drawn == pytest.approx(width / height, rel=0.01)
