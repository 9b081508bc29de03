"""The graph from causes to the symptom as one file: A4 sheets on their side, under one another in SVG or HTML."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from nextprobe.draw.graph import Graph
from nextprobe.draw.layout import LEADING, PAD_X
from nextprobe.draw.sheet import DETAIL, EDGE, PAPER_HIGH, PAPER_WIDE, WIDE, Drawn, Placed, Sheet
from nextprobe.draw.sheets import Part, parts_of
from nextprobe.draw.svg import clean, svg, text_at
from nextprobe.draw.text import Span, wrap
from nextprobe.draw.words import numbers_said
from nextprobe.pack.pack import Pack

#: Sizes of a sheet's heading.
HEADLINE, FACTS = 12.0, 7.5
KEY = (
    "Read from left to right: a cause switches on effects, effects bring about the symptom. White box: a cause, with "
    "its share of all jobs. Grey box: an effect. Thick frame: a symptom. A figure at the right edge of a box: the "
    "chance that this line fires when the box is present, each line by itself; the likelier, the thicker the line. "
    "“Only where”: machines on which the box exists at all. Lines that meet lead to the same box."
)
READING = " Dotted frame, broken line: a measurement that reads the box."


def facts_of(pack: Pack, drawn: date, about: str = "") -> tuple[str, str]:
    """The title of a drawing, and what a reader must know of the pack it was made from, in one line."""
    facts = [
        f"pack {pack.id} {pack.version}",
        f"numbers {numbers_said(pack)}",
        f"board: {pack.board.title}" if pack.board is not None else "board: any",
        f"drawn {drawn.isoformat()}",
    ]
    title = f"{pack.title}: what leads to what"
    return f"{title}, around “{pack.title_of(about)}”" if about else title, " · ".join(facts)


def graph_svg(title: str, facts: str, graph: Graph) -> str:
    """One SVG with all sheets, each as large as A4 on its side, one below the other."""
    parts = parts_of(graph)
    # A browser that prints the file alone cuts it where each sheet ends.
    body, top = [f"<style>{_PAPER}</style>", '<rect class="paper" width="100%" height="100%"/>'], 0.0
    for number, part in enumerate(parts, 1):
        lines, high = _sheet(title, facts, part, number, len(parts))
        body += [f'<g transform="translate(0 {top:.2f})">', *lines, "</g>"]
        top += high
    return svg(body, PAPER_WIDE, top, title, f"{facts}. {KEY}", id_="graph") + "\n"


def graph_html(title: str, facts: str, graph: Graph) -> str:
    """One page of HTML; a printer puts each sheet on A4 paper of its own."""
    parts = parts_of(graph)
    drawn = []
    for number, part in enumerate(parts, 1):
        lines, high = _sheet(title, facts, part, number, len(parts))
        about = f"{facts}. {', '.join(box.node.title for box in part.sheet.boxes)}"
        drawn.append(svg(lines, PAPER_WIDE, high, f"{title}: {part.title}", about, id_=f"sheet{number}"))
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{clean(title)}</title>\n'
        f'<meta name="viewport" content="width=device-width">\n<style>{_CSS}</style>\n</head>\n<body>\n'
        + "\n".join(drawn)
        + "\n</body>\n</html>\n"
    )


_PAPER = "@page{size:841.89pt 595.28pt;margin:0}"
_CSS = (
    _PAPER + "body{margin:0;background:#fff}svg{display:block;margin:0 auto;max-width:100%;"
    "height:auto}@media screen{svg{border-bottom:1px solid #999}}"
    "@media print{svg{width:297mm;max-height:209.9mm;break-inside:avoid}svg+svg{break-before:page}}"
)


def _sheet(title: str, facts: str, part: Part, number: int, count: int) -> tuple[list[str], float]:
    """What stands on one sheet of paper, and how high that is: A4, or more where something does not fit."""
    body, y = [f'<g transform="translate({EDGE:g} {EDGE:g})">'], 0.0
    for line in wrap((Span(title, bold=True),), HEADLINE, WIDE):
        y += line.size * LEADING
        body.append(text_at(0, y, line.spans[0].text, line.size, bold=True))
    where = f"{part.title} · sheet {number} of {count}" if count > 1 else part.title
    for text, bold in ((where, True), (facts, False)):
        for line in wrap((Span(text, bold=bold),), FACTS, WIDE):
            y += line.size * LEADING
            body.append(text_at(0, y, line.spans[0].text, line.size, bold=bold))
    y += 9
    body += [f'<g transform="translate(0 {y:.2f})">', *_drawn(part.sheet), "</g>"]
    y += part.sheet.height + 6
    reads = any(box.node.kind == "measurement" for box in part.sheet.boxes)
    key = wrap((Span(KEY + (READING if reads else "")),), DETAIL, WIDE)
    # The key stands at the foot of the paper.
    y = max(y, PAPER_HIGH - 2 * EDGE - sum(line.size * LEADING for line in key))
    for line in key:
        y += line.size * LEADING
        body.append(text_at(0, y, line.spans[0].text, line.size))
    return [*body, "</g>"], max(PAPER_HIGH, y + 2 * EDGE)


def _drawn(sheet: Sheet) -> Iterator[str]:
    for arc in sheet.arcs:
        yield _arc(arc)
    for box in sheet.boxes:
        yield from _box(box)
    for arc in sheet.arcs:
        if arc.arc.label:
            x, y = arc.said_at
            yield text_at(x, y + DETAIL * 0.36, arc.arc.label, DETAIL, end=True)


def _arc(drawn: Drawn) -> str:
    """A curve across each channel, level where it enters and leaves, and a straight line past each column."""
    (x, y), *others = drawn.points
    path = [f"M{x:.2f} {y:.2f}"]
    for number, (to_x, to_y) in enumerate(others):
        middle = (x + to_x) / 2
        path.append(
            f"H{to_x:.2f}" if number % 2 else f"C{middle:.2f} {y:.2f} {middle:.2f} {to_y:.2f} {to_x:.2f} {to_y:.2f}"
        )
        x, y = to_x, to_y
    kind = "arc" if drawn.arc.label else "arc reading"
    return f'<path class="{kind}" stroke-width="{0.35 + 0.75 * drawn.arc.chance:.2f}" d="{" ".join(path)}"/>'


def _box(box: Placed) -> Iterator[str]:
    kind = "history" if box.node.kind == "measurement" else box.node.kind
    yield (f'<rect class="{kind}" x="{box.x:.2f}" y="{box.y:.2f}" width="{box.width:.2f}" height="{box.height:.2f}"/>')
    base = box.y + (box.height - sum(line.size * LEADING for line in box.lines)) / 2
    for line in box.lines:
        bold = line.spans[0].bold
        yield text_at(box.x + PAD_X, base + line.size, "".join(s.text for s in line.spans), line.size, bold=bold)
        base += line.size * LEADING
