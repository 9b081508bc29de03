"""The drawing of drawn plans: boxes that do not overlap, text that fits, pages that hold what they promise."""

from __future__ import annotations

from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.ft2font import FT2Font, LoadFlags

from nextprobe.draw.layout import PAD_X, lay_out, paginate
from nextprobe.draw.rows import Row
from nextprobe.draw.svg import page_lines, svg
from nextprobe.draw.widths import width

WORDS = ["supply", "<b>&amp;", "Widerstand", "W" * 60, "ok", "Ω ≥ 5", "the light follows the key", "\x00\u202e"]


def drawn_rows(rng: np.random.Generator, depth: int, chance: float) -> Row:
    """A tree of rows in which sides are taken by at most half of the jobs."""
    text = " ".join(rng.choice(WORDS, 1 + int(rng.integers(6))))
    kind = str(rng.choice(["measure", "repair", "order", "quote", "fold"]))
    if depth == 0:
        return Row(kind, text, text, "", text, chance, 3.0)
    sides = [drawn_rows(rng, depth - 1 - int(rng.integers(2)) if depth > 1 else 0, chance / 4) for _ in range(2)]
    return Row(kind, text, text, "2 min", text, chance, 4.0, tuple(sides), drawn_rows(rng, depth - 1, chance / 2))


@pytest.mark.parametrize("seed", range(12))
def test_no_boxes_overlap_and_every_text_fits(seed: int) -> None:
    layout = lay_out(drawn_rows(np.random.default_rng(seed), 5, 1.0), 418.0)
    for above, below in zip(layout.boxes, layout.boxes[1:], strict=False):
        assert above.y + above.height < below.y
    for box in layout.boxes:
        assert box.x >= 0
        assert box.width >= 200
        assert sum(line.size for line in box.lines) <= box.height
        assert all(line.width <= box.width - 2 * PAD_X + 1e-6 for line in box.lines)


@pytest.mark.parametrize("seed", range(4))
def test_pages_hold_every_box_once_and_no_more_than_fits(seed: int) -> None:
    layout = lay_out(drawn_rows(np.random.default_rng(seed), 5, 1.0), 418.0)
    pages = paginate(layout, 300.0, 700.0)
    assert [box for page in pages for box in page.boxes] == list(layout.boxes)
    for number, page in enumerate(pages):
        last = page.boxes[-1]
        assert len(page.boxes) == 1 or last.y + last.height - page.top <= (300.0 if number == 0 else 700.0)
    body = [line for page in pages for line in page_lines(page)]
    assert svg(body, 1, 1, "<&>", "a", id_="x") == svg(body, 1, 1, "<&>", "a", id_="x")


@pytest.mark.parametrize(("name", "bold"), [("DejaVuSans.ttf", False), ("DejaVuSans-Bold.ttf", True)])
def test_widths_are_never_too_small(name: str, bold: bool) -> None:
    """Against the advance widths in the font files of DejaVu Sans, as a general-purpose plotting library ships them."""
    font = FT2Font(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name))
    font.set_size(100, 72)
    for code in [*range(32, 127), *range(0xA0, 0x180), 0x3A9, 0x2013, 0x2026, 0x2265]:
        advance = font.load_char(code, flags=LoadFlags.NO_HINTING).linearHoriAdvance / 65536
        assert advance <= width(chr(code), 100.0, bold=bold) + 0.01, chr(code)
