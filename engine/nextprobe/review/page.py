"""A review as one HTML page with a time line: no network, no script, for A4 paper."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from nextprobe.draw.paper import paper
from nextprobe.review import words
from nextprobe.review.review import COST, Review, StepReview

STYLE = """
@page{size:A4;margin:12mm 14mm}
*{box-sizing:border-box}
body{font:13px/1.35 'Liberation Sans',Arial,Helvetica,sans-serif;color:#111;background:#fff;max-width:720px;
margin:20px auto;padding:0 14px}
h1{font-size:19px;margin:0 0 6px}
h2{font-size:13px;margin:12px 0 2px;break-after:avoid}
p,ul,dl{margin:2px 0}
ul{padding-left:16px}
dl{display:grid;grid-template-columns:max-content 1fr;gap:0 12px}
dt{color:#555}
dd{margin:0}
table{border-collapse:collapse;width:100%;margin-top:3px}
th{text-align:left;font-weight:normal;color:#555;padding:0 6px 1px 0;vertical-align:bottom}
td{border-top:1px solid #bbb;padding:1px 6px 1px 0;vertical-align:top;overflow-wrap:anywhere}
tr,figure{break-inside:avoid}
td.n{white-space:nowrap;text-align:right}
td:nth-child(3){width:30%}
.cost td{font-weight:bold}
.small{font-size:10.5px;color:#444;font-weight:normal}
.first{border:2px solid #111;padding:5px 9px;font-weight:bold}
figure{margin:6px 0}
svg{width:100%;height:auto;display:block}
@media print{body{font-size:9px;margin:0;padding:0;max-width:none}h1{font-size:15px}h2{font-size:10.5px}
.small{font-size:8px}}
"""
#: The time line, in its own units; a step is never drawn narrower than a hand can point at.
WIDTH, HIGH, NARROWEST = 1000.0, 112.0, 6.0
#: A step narrower than this has no number beside it.
ROOM = 15.0
#: More steps than this do not fit one page: those with nothing to say of them are left to the other forms.
MOST_ROWS = 30


def page(review: Review) -> str:
    """The whole page as text."""
    head = words.title(review)
    return paper(head, STYLE, [f"<h1>{escape(head)}</h1>", *_body(review)])


def _body(review: Review) -> Iterator[str]:
    for warning in words.warnings(review):
        yield f'<p class="first">{escape(warning)}</p>'
    pairs = [f"<dt>{escape(word)}</dt><dd>{escape(text)}</dd>" for word, text in words.facts(review)]
    yield f"<dl>{''.join(pairs)}</dl>"
    yield "<h2>In short</h2>" + "".join(f"<p>{escape(line)}</p>" for line in words.in_short(review))
    if review.steps:
        yield f"<figure>{timeline(review)}</figure>"
    talk = words.to_talk_about(review)
    if talk:
        yield f"<h2>To talk about</h2><ul>{''.join(f'<li>{escape(line)}</li>' for line in talk)}</ul>"
    if review.notes:
        notes = "".join(f"<li>{escape(words.note_words(note, review))}</li>" for note in review.notes)
        yield f"<h2>The trainer on this job</h2><ul>{notes}</ul>"
    yield from _table(review)
    yield f'<p class="small">{escape(words.READ)} {escape(words.SAFE)}</p>'


def _table(review: Review) -> Iterator[str]:
    shown = review.steps if len(review.steps) <= MOST_ROWS else [one for one in review.steps if _says_much(one)]
    yield "<table><thead><tr><th>No.</th><th>Step</th><th>Judged</th><th>Luck</th><th>Pack</th><th>Clock</th>"
    yield "</tr></thead><tbody>"
    for one in shown:
        yield _row(one, review)
    yield "</tbody></table>"
    yield '<p class="small">Luck: minutes that it turned out better (+) or worse (−) than could be expected.</p>'
    if len(shown) < len(review.steps):
        yield f'<p class="small">{len(review.steps) - len(shown)} steps as asked, with nothing to say, left out.</p>'


def _says_much(one: StepReview) -> bool:
    return bool(not one.as_asked or one.flags or one.notes or one.kind in ("measure", "repair", "refer"))


def _row(one: StepReview, review: Review) -> str:
    said = f' <span class="small">{escape(one.say)}</span>' if one.say else ""
    notes = "".join(f'<div class="small">✎ {escape(words.note_words(note, review))}</div>' for note in one.notes)
    turned = "" if one.turned is None or one.taken_back else f"{-one.turned:+.1f}".replace("-", "−")
    if turned in ("+0.0", "−0.0"):
        turned = "0"
    cells = [
        f'<td class="n">{one.number}</td>',
        f"<td>{escape(_asked(one.title))}{said}{notes}</td>",
        f"<td>{escape(words.step_words(one))}</td>",
        f'<td class="n">{turned}</td>',
        f'<td class="n">{_figure(one.minutes)}</td>',
        f'<td class="n">{"" if one.took is None else _figure(one.took)}</td>',
    ]
    return f'<tr class="{"cost" if one.verdict.startswith(COST) else "as"}">{"".join(cells)}</tr>'


def _asked(title: str) -> str:
    """A question without the help behind it."""
    return title[: title.find("?") + 1] or title


def _figure(minutes: float) -> str:
    return f"{minutes:.1f}".removesuffix(".0") if minutes < 100 else f"{minutes:.0f}"


def timeline(review: Review) -> str:
    """The steps along the minutes that they took, as SVG; those that cost more stand out and say how much."""
    spent = [one.minutes if one.took is None else one.took for one in review.steps]
    total = sum(spent)
    scale = (WIDTH - NARROWEST * len(spent)) / total if total > 0 else 0.0
    scale = max(scale, 0.0)
    widths = [NARROWEST + minutes * scale for minutes in spent]
    fit = WIDTH / sum(widths)
    parts, at = [], 0.0
    for one, width in zip(review.steps, (width * fit for width in widths), strict=True):
        parts.append(_segment(one, at, width))
        at += width
    label = f"The steps along {total:.0f} minutes; dark: cost more than what was asked, with the minutes above."
    parts.append(f'<text x="0" y="{HIGH - 4}" font-size="13" fill="#555">{escape(label)}</text>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HIGH:.0f}" role="img"'
        f' aria-label="{escape(label)}" font-family="Liberation Sans,Arial,sans-serif">{"".join(parts)}</svg>'
    )


def _segment(one: StepReview, at: float, width: float) -> str:
    cost = one.verdict.startswith(COST)
    fill = "#222" if cost else "#fff" if one.taken_back or one.skipped else "#ddd"
    middle = at + width / 2
    parts = [
        f'<rect x="{at:.1f}" y="34" width="{width:.1f}" height="30" fill="{fill}" stroke="#111" stroke-width="0.8">'
        f"<title>{one.number}. {escape(one.title)}: {escape(words.step_words(one))}</title></rect>"
    ]
    if cost:
        parts.append(
            f'<text x="{min(max(middle, 20), WIDTH - 20):.1f}" y="26" font-size="15" font-weight="bold"'
            f' text-anchor="middle">+{one.regret:.0f}</text>'
        )
    if width >= ROOM or cost:
        parts.append(f'<text x="{middle:.1f}" y="82" font-size="13" text-anchor="middle">{one.number}</text>')
    return "".join(parts)
