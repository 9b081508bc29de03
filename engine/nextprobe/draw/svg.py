"""Pages of a layout as SVG: black on white, few lines, text as text, readable when printed on A4."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape

from nextprobe.draw.layout import DETAIL, LEADING, PAD_X, PAD_Y, TITLE, Box, Page, Rail
from nextprobe.draw.text import Line
from nextprobe.draw.widths import width
from nextprobe.draw.words import share

FONT = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"
#: The page in points: what is inside the margins of A4 (595.28 x 841.89), and where its columns stand.
WIDE, HIGH, MARGIN = 525.0, 771.0, 35.0
BOXES = 418.0
BAR_X, BAR, SHARE_X, MINUTES_X = 426.0, 26.0, 485.0, 525.0
#: Height of the words above the columns.
HEAD = 22.0


def clean(text: str) -> str:
    """`text` fit for XML: escaped, and without the characters that XML does not know."""
    known = "".join(letter if letter.isprintable() or letter == " " else " " for letter in text)
    return escape(known.encode("utf-8", "replace").decode("utf-8"))


def page_lines(page: Page, so_far: str = "") -> Iterator[str]:
    """The elements of one page, its top at 0; `so_far`: what was told before its first row."""
    if so_far:
        yield text_at(0, 8, so_far, DETAIL, bold=True)
    yield text_at(SHARE_X, 17, "share of jobs", DETAIL, end=True)
    yield text_at(MINUTES_X, 17, "min. left", DETAIL, end=True)
    shift = HEAD - page.top
    for rail in page.rails:
        yield _rail(rail, shift)
    for box in page.boxes:
        yield from _box(box, shift)


def page_height(page: Page) -> float:
    """The height of what `page_lines` draws."""
    return page.bottom - page.top + HEAD


def _rail(rail: Rail, shift: float) -> str:
    turn = f" H{_n(rail.right)}" if rail.right != rail.x else ""
    return f'<path class="rail" d="M{_n(rail.x)} {_n(rail.y + shift)} V{_n(rail.down + shift)}{turn}"/>'


def _box(box: Box, shift: float) -> Iterator[str]:
    row, y = box.row, box.y + shift
    yield (
        f'<rect class="{row.kind}" x="{_n(box.x)}" y="{_n(y)}" width="{_n(box.width)}" height="{_n(box.height)}"'
        f"{' rx=' + chr(34) + '6' + chr(34) if row.kind in ('quote', 'stop') else ''}/>"
    )
    if row.kind in ("repair", "order"):
        yield f'<rect class="mark" x="{_n(box.x)}" y="{_n(y)}" width="2.4" height="{_n(box.height)}"/>'
    base = y + PAD_Y
    for line in box.lines:
        yield _line(line, box.x + PAD_X, base + line.size)
        base += line.size * LEADING
    level = y + PAD_Y + TITLE
    if row.own:
        yield text_at(box.x + box.width - PAD_X, level, row.own, DETAIL, end=True)
    if row.chance > 0:
        long = max(0.8, BAR * row.chance)
        yield f'<rect class="bar" x="{_n(BAR_X)}" y="{_n(level - 5.5)}" width="{_n(long)}" height="5"/>'
    yield text_at(SHARE_X, level, share(row.chance).replace("under ", "< "), TITLE, end=True)
    yield text_at(MINUTES_X, level, f"{row.minutes:.0f}", TITLE, end=True)


def _line(line: Line, x: float, y: float) -> str:
    spans = "".join(
        f'<tspan font-weight="bold">{clean(span.text)}</tspan>' if span.bold else clean(span.text)
        for span in line.spans
    )
    return f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(line.size)}" xml:space="preserve">{spans}</text>'


def text_at(x: float, y: float, text: str, size: float, *, end: bool = False, bold: bool = False) -> str:
    """One line of text; `end`: it ends at x."""
    anchor = ' text-anchor="end"' if end else ""
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}"{anchor}{weight}>{clean(text)}</text>'


STYLE = (
    "text{fill:#000}.rail{fill:none;stroke:#000;stroke-width:.6}rect{fill:#fff;stroke:#000;stroke-width:.5}"
    ".history{stroke-dasharray:1 1.6}.fold,.paper{stroke:none}.mark{fill:#000;stroke:none}.bar{fill:#999;stroke:none}"
    ".arc{fill:none;stroke:#000}.reading{stroke-dasharray:3 2}.symptom{stroke-width:1.6}.effect{fill:#f1f1f1}"
)


def svg(body: Iterable[str], wide: float, high: float, title: str, about: str, *, unit: str = "pt", id_: str) -> str:
    """An SVG of `wide` x `high` points around `body`, with its title and description for those who cannot see it."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}{unit}" height="{_n(high)}{unit}"'
        f' viewBox="0 0 {_n(wide)} {_n(high)}" role="group" aria-labelledby="{id_}-title {id_}-about"'
        f' font-family="{FONT}">\n<title id="{id_}-title">{clean(title)}</title>\n'
        f'<desc id="{id_}-about">{clean(about)}</desc>\n<style>{STYLE}</style>\n' + "\n".join(body) + "\n</svg>"
    )


def shortened(parts: Sequence[str], size: float, room: float, *, bold: bool = False) -> str:
    """The last of `parts`, joined, that fit into `room`, after an ellipsis where some are left out."""
    for skip in range(len(parts)):
        text = ("… › " if skip else "") + " › ".join(parts[skip:])
        if width(text, size, bold=bold) <= room:
            return text
    return "…"


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
