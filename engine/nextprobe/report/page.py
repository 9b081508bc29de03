"""A report as one HTML page: no network, no script, for A4 paper and a signature."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from nextprobe.draw.paper import paper
from nextprobe.draw.sketch import sketch_svg
from nextprobe.report import words
from nextprobe.report.report import Measured, Report

STYLE = """
@page{size:A4;margin:15mm 16mm 16mm}
*{box-sizing:border-box}
body{font:14px/1.4 'Liberation Sans',Arial,Helvetica,sans-serif;color:#111;background:#fff;max-width:690px;
margin:24px auto;padding:0 16px}
h1{font-size:21px;margin:0 0 8px}
h2{font-size:14px;margin:16px 0 3px;break-after:avoid}
p,ul,dl{margin:3px 0}
ul{padding-left:17px}
li{break-inside:avoid}
dl{display:grid;grid-template-columns:max-content 1fr;gap:1px 14px}
dt{color:#555}
dd{margin:0}
table{border-collapse:collapse;width:100%;margin-top:4px}
th{text-align:left;font-weight:normal;color:#555;padding:0 8px 2px 0;vertical-align:bottom}
td{border-top:1px solid #bbb;padding:3px 8px 3px 0;vertical-align:top;overflow-wrap:anywhere}
tr,figure,.sign{break-inside:avoid}
.n{white-space:nowrap}
.small{font-size:11px;color:#444}
.strong{border-left:4px solid #111;padding-left:10px}
.first{border:2px solid #111;padding:6px 10px;font-weight:bold}
.mono{font-family:'Liberation Mono','DejaVu Sans Mono',monospace;overflow-wrap:anywhere}
figure{margin:10px 0}
svg{max-width:100%;height:auto;max-height:110mm}
.sign{display:flex;gap:26px;margin-top:44px}
.sign div{flex:1;border-top:1px solid #111;padding-top:3px;color:#555}
@media print{body{font-size:11px;margin:0;padding:0;max-width:none}h1{font-size:18px}h2{font-size:12.5px}
.small{font-size:9.5px}}
"""


def page(report: Report) -> str:
    """The whole page as text."""
    head = words.title(report)
    return paper(head, STYLE, [f"<h1>{escape(head)}</h1>", *_body(report)])


def _body(report: Report) -> Iterator[str]:
    for warning in words.warnings(report):
        yield f'<p class="first">{escape(warning)}</p>'
    pairs = [f"<dt>{escape(word)}</dt><dd>{escape(text)}</dd>" for word, text in words.facts(report)]
    yield f"<dl>{''.join(pairs)}</dl>"
    for section in words.before(report):
        yield from _section(section)
    yield from _figures(report)
    for section in words.behind(report):
        yield from _section(section)
    yield f'<p class="small">{escape(words.SAFE)}</p>'
    yield '<div class="sign"><div>Date</div><div>Technician</div><div>Owner</div></div>'


def _section(section: words.Section) -> Iterator[str]:
    yield f'<section class="{"strong" if section.strong else "plain"}"><h2>{escape(section.head)}</h2>'
    if len(section.lines) == 1:
        yield f"<p>{escape(section.lines[0])}</p>"
    else:
        yield f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in section.lines)}</ul>"
    yield "</section>"


def _figures(report: Report) -> Iterator[str]:
    if not report.measured:
        return
    drawn = report.sketch is not None and bool(report.points)
    yield "<h2>Measured</h2><table><thead><tr>"
    heads = ["Point"] * drawn + ["What and where", "Reading", "U", "Limits", "Statement"]
    yield "".join(f"<th>{head}</th>" for head in heads) + "</tr></thead><tbody>"
    for one in report.measured:
        yield _row(one, report, drawn=drawn)
    yield "</tbody></table>"
    for rule in words.rules_words(report):
        yield f'<p class="small">{escape(rule)}</p>'
    if drawn and report.sketch is not None:
        yield f"<figure>{sketch_svg(report.sketch, report.points)}</figure>"


def _row(one: Measured, report: Report, *, drawn: bool) -> str:
    small = [words.where_words(one, report), words.meter_words(one), f"After: {one.behind}" if one.behind else ""]
    beside = "".join(f'<div class="small">{escape(line)}</div>' for line in small if line)
    cells = [f'<td class="n">{one.point or ""}</td>'] if drawn else []
    cells += [
        f"<td>{escape(one.title)}{beside}</td>",
        f'<td class="n">{escape(one.shown)}</td>',
        f'<td class="n">{escape(one.expanded or "–")}</td>',
        f'<td class="{"n" if one.conformity else "small"}">{escape(words.limits_words(one))}</td>',
        f"<td>{escape(words.statement_words(one))}</td>",
    ]
    return f"<tr>{''.join(cells)}</tr>"
