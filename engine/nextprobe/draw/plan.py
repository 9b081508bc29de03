"""The plan as one file: an A4 page as SVG, or as many pages as it takes as HTML."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from nextprobe.draw.layout import DETAIL, LEADING, Layout, Page, lay_out, paginate
from nextprobe.draw.rows import rows_of
from nextprobe.draw.svg import BOXES, HEAD, HIGH, MARGIN, WIDE, clean, page_height, page_lines, shortened, svg, text_at
from nextprobe.draw.text import Span, wrap
from nextprobe.draw.words import Words, numbers_said, share
from nextprobe.pack.pack import Pack
from nextprobe.plan.follow import Place
from nextprobe.plan.plan import Plan

#: No branch that fewer jobs take has rows of its own.
FINEST = 0.002
#: A share that no branch has: everything below the first step is folded.
ALL = 2.0
#: Pages that an HTML file has at most, where folding can reach that.
PAGES = 6
#: Height that the heading takes on the first page of an HTML file.
HEADING = 204.0
KEY = (
    "The likeliest course of a job runs straight down; rarer answers turn off to the right. Bold: what was told. "
    "Share: of all jobs. Min. left: expected minutes from there to the end of the job, parts, risk and waiting counted "
    "in. A thick left edge: a repair. Dotted frame: ask the owner. Round: quoted or stopped. Without a frame: folded."
)


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands above a drawing: a title, and facts in pairs of name and value."""

    title: str
    facts: tuple[tuple[str, str], ...]


def heading_of(pack: Pack, words: Words, plan: Plan, drawn: date) -> Heading:
    """What a reader must know of a plan: both ends, the status, the first step, and which pack it was made from."""
    status = {"optimal": "optimal: no plan is cheaper", "within_gap": "at most 1 % above what no plan can go below"}
    facts = [
        ("Expected", f"{plan.expected_cost:.1f} minutes a job, parts, risk and waiting counted in"),
        ("No plan can go below", f"{plan.lower_bound:.1f} minutes"),
        ("Status", status.get(plan.status, "stopped: a cheaper plan is not ruled out")),
        ("First", words.title(plan.first)),
        ("Pack", f"{pack.id} {pack.version}" + (f", contents {pack.hash[:12]}" if pack.hash else "")),
        ("Numbers", numbers_said(pack)),
        ("Board", pack.board.title if pack.board is not None else "any"),
        ("Drawn", drawn.isoformat()),
    ]
    return Heading(f"{pack.title}: which check next", tuple(facts))


def plan_svg(heading: Heading, words: Words, root: Place) -> str:
    """One A4 page: the plan folded as far as it takes to fit."""
    above = [*_heading_lines(heading)]
    top = sum(size * LEADING for _, size, _ in above) + 8
    foot = (len(wrap((Span(KEY),), DETAIL, WIDE)) + 2) * DETAIL * LEADING + 8
    layout, least = _folded(words, root, 1, HIGH - top - foot - HEAD, HIGH)
    page = paginate(layout, float("inf"), float("inf"))[0]
    body, y = [f'<rect class="paper" width="100%" height="100%"/><g transform="translate({MARGIN:g} {MARGIN:g})">'], 0.0
    for text, size, bold in above:
        y += size * LEADING
        body.append(text_at(0, y, text, size, bold=bold))
    body += [f'<g transform="translate(0 {y + 8:.2f})">', *page_lines(page), "</g>"]
    y += 8 + page_height(page) + 8
    for line in wrap((Span(f"{KEY} {_folding(least)}"),), DETAIL, WIDE):
        y += line.size * LEADING
        body.append(text_at(0, y, line.spans[0].text, line.size))
    body.append("</g>")
    high = max(HIGH, y) + 2 * MARGIN
    about = _about(heading, least)
    return svg(body, WIDE + 2 * MARGIN, high, heading.title, about, id_="plan") + "\n"


def plan_html(heading: Heading, words: Words, root: Place) -> str:
    """As many A4 pages as it takes, at most PAGES where folding can reach that, under a heading in text."""
    layout, least = _folded(words, root, PAGES, HIGH - HEADING - HEAD, HIGH - HEAD - 24)
    pages = paginate(layout, HIGH - HEADING - HEAD, HIGH - HEAD - 24)
    sections = [_section(heading, page, number, len(pages)) for number, page in enumerate(pages, 1)]
    facts = "".join(f"<dt>{clean(name)}</dt><dd>{clean(value)}</dd>" for name, value in heading.facts)
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{clean(heading.title)}</title>\n'
        f'<meta name="viewport" content="width=device-width">\n<style>{_CSS}</style>\n</head>\n<body>\n<main>\n'
        f"<h1>{clean(heading.title)}</h1>\n<dl>{facts}</dl>\n<p>{clean(KEY)} {clean(_folding(least))}</p>\n"
        + "\n".join(sections)
        + "\n</main>\n</body>\n</html>\n"
    )


_CSS = (
    "@page{size:A4 portrait;margin:12mm}body{margin:0;background:#fff;color:#000;"
    "font:9.5pt/1.35 Arial,Helvetica,'Liberation Sans','DejaVu Sans',sans-serif}"
    "main{max-width:186mm;margin:0 auto}h1{font-size:15pt;margin:0 0 2mm}"
    "dl{display:grid;grid-template-columns:max-content 1fr;gap:.4mm 4mm;margin:0 0 2mm}dt{font-weight:bold}dd{margin:0}"
    "p{margin:0 0 3mm;font-size:8pt}figure{margin:0 0 6mm}figcaption{font-size:8pt}svg{display:block;width:100%;"
    "height:auto}@media screen{body{padding:6mm}}@media print{figure{margin:0}figure+figure{break-before:page}}"
)


def _section(heading: Heading, page: Page, number: int, count: int) -> str:
    told = page.boxes[0].path[:-1] if number > 1 else ()
    so_far = f"So far: {shortened(told, DETAIL, WIDE - 50, bold=True)}" if told else ""
    title = f"{heading.title}, part {number} of {count}"
    about = f"Rows {page.boxes[0].row.title} to {page.boxes[-1].row.title}. {so_far}".strip()
    drawn = svg(page_lines(page, so_far), WIDE, page_height(page) + 1, title, about, id_=f"part{number}")
    caption = f"<figcaption>Part {number} of {count}</figcaption>" if count > 1 else ""
    return f"<figure>{caption}{drawn}</figure>"


def _folded(words: Words, root: Place, pages: int, first: float, other: float) -> tuple[Layout, float]:
    """The finest folding that keeps within `pages`, and the share below which it folds."""
    # Folding more at a higher share never takes more room, so the place between fits and not is halved.
    shares = [*sorted({chance for chance in _chances(root) if chance >= FINEST} | {FINEST}), ALL]
    low, high = 0, len(shares) - 1
    while low < high:
        middle = (low + high) // 2
        if len(paginate(lay_out(rows_of(words, root, shares[middle]), BOXES), first, other)) <= pages:
            high = middle
        else:
            low = middle + 1
    return lay_out(rows_of(words, root, shares[low]), BOXES), shares[low]


def _chances(place: Place) -> Iterator[float]:
    for branch in place.branches:
        yield branch.chance
        if branch.place is not None:
            yield from _chances(branch.place)


def _heading_lines(heading: Heading) -> list[tuple[str, float, bool]]:
    lines = [(line.spans[0].text, line.size, True) for line in wrap((Span(heading.title, bold=True),), 13.0, WIDE)]
    facts = " · ".join(f"{name}: {value}" for name, value in heading.facts)
    return lines + [(line.spans[0].text, line.size, False) for line in wrap((Span(facts),), 8.0, WIDE)]


def _folding(least: float) -> str:
    if least > 1:
        return "All branches are folded."
    return f"Branches that fewer than {share(least)} of all jobs take are folded."


def _about(heading: Heading, least: float) -> str:
    return f"{'; '.join(f'{name}: {value}' for name, value in heading.facts)}. {KEY} {_folding(least)}"
