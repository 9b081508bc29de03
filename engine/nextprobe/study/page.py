"""A study as one HTML page: no network, no script, readable in two minutes and on A4 paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from html import escape

from nextprobe.study.causes import Dear
from nextprobe.study.lines import (
    always_line,
    cases_line,
    confidence_line,
    error_words,
    group_lines,
    heading,
    quoted_word,
    without_words,
)
from nextprobe.study.marks import bar, parts, squares, use
from nextprobe.study.study import Study
from nextprobe.study.why import minutes, percent, verdict, whys

#: Measurements drawn by use; the rest is told in one line.
DRAWN = 20
#: Doubtful numbers that are listed.
DOUBTED = 15

STYLE = """
@page{size:A4;margin:15mm 14mm}
*{box-sizing:border-box}
body{font:14px/1.42 Georgia,'Liberation Serif','DejaVu Serif',serif;color:#1c2326;background:#fff;max-width:720px;
margin:26px auto;padding:0 18px;-webkit-print-color-adjust:exact;print-color-adjust:exact}
h1{font-size:24px;line-height:1.2;margin:0 0 2px}
h2{font-size:16px;margin:26px 0 6px;padding-top:7px;border-top:2px solid #1c2326;break-after:avoid}
h3{font-size:14px;margin:12px 0 2px;break-after:avoid}
p{margin:4px 0}
.quiet,th,figcaption,footer{color:#565f63;font-size:12px}
dl{display:flex;flex-wrap:wrap;gap:6px 24px;margin:14px 0}
dt{color:#565f63;font-size:12px}
dd{margin:0;font-size:25px;line-height:1.15}
dd small{font-size:13px}
table{border-collapse:collapse;width:100%}
th{text-align:left;font-weight:normal;padding:0 8px 3px 0;vertical-align:bottom}
td{padding:2px 8px 2px 0;vertical-align:top;border-top:1px solid #dfe3e4}
tr{break-inside:avoid}
.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
td svg{display:block;margin-top:4px}
svg{max-width:100%}
svg text{font:12px Georgia,'Liberation Serif','DejaVu Serif',serif;fill:#1c2326}
svg .light{fill:#fff}
.need{fill:#27566b}.more{fill:#d9c7a0;stroke:#8a7440;stroke-width:.6}.rest{fill:#eceff0;stroke:#aab3b6;stroke-width:.6}
.none{fill:#fff;stroke:#1c2326;stroke-width:.6}
.case{fill:#fff;stroke:#8b9599}.tick{fill:none;stroke:#27566b;stroke-width:1.6}
.bad{fill:#1c2326}.cross{fill:none;stroke:#fff;stroke-width:1.8}
.key svg{vertical-align:-1px}
ul{margin:4px 0;padding-left:18px}
.miss{font-weight:bold}
.astray{break-inside:avoid;border-left:4px solid #1c2326;padding-left:9px;margin:8px 0}
section.dear{break-inside:avoid;margin-bottom:14px}
section.dear table,section.dear th{font-size:12px}
section.dear table{table-layout:fixed}
section.dear th:nth-child(1){width:30%}section.dear th:nth-child(2){width:7%}section.dear th:nth-child(3){width:34%}
section.dear th:nth-child(4){width:7%}section.dear th:nth-child(5){width:6%}
section.cases{break-inside:avoid}
@media print{body{font-size:11.5px;margin:0;max-width:none;padding:0}dd{font-size:21px}}
footer{margin-top:26px;border-top:1px solid #aab3b6;padding-top:6px}
"""


def page(study: Study, today: date) -> str:
    """The whole page as text."""
    title, counted = heading(study)
    body = [
        f"<h1>{escape(title)}</h1>",
        f'<p class="quiet">What this pack can and cannot find. {escape(counted)}</p>',
        *_short(study),
        *_cases(study),
        *_dear(study),
        *_causes(study),
        *_measurements(study),
        *_doubts(study),
        *_testability(study),
        f"<footer>Studied on {today.isoformat()} with nextprobe. The figures are exact for the plan studied, if the "
        "numbers of the pack are right. Local codes, the maker's instructions and licensed practice come first."
        "</footer>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(title)}</title><style>{STYLE}</style></head>\n<body>\n"
        + "\n".join(body)
        + "\n</body></html>\n"
    )


def _short(study: Study) -> Iterator[str]:
    if study.stopped_early:
        yield "<p><b>Stopped by Ctrl-C: the figures so far.</b></p>"
    identify = study.subject.model.identify
    figures = [(minutes(study.mean("minutes")), "min", "a job, expected")]
    if not identify:
        figures.append((minutes(study.mean("known")), "min", "if it were known"))
        figures.append((minutes(study.mean("looking")), "min", "measuring"))
        figures.append((minutes(study.mean("in_vain")), "min", "repairs in vain"))
    figures.append((f"{study.mean('steps'):.1f}", "", "steps"))
    figures.append((f"{len(study.cases) - len(study.failed)}/{len(study.cases)}", "", "cases hold"))
    cells = [f"<div><dt>{escape(word)}</dt><dd>{n} <small>{unit}</small></dd></div>" for n, unit, word in figures]
    yield f"<dl>{''.join(cells)}</dl>"
    if not identify:
        ends = [("repaired", study.mean("repaired")), (quoted_word(study), study.mean("quoted"))]
        ends.append(("stopped for safety", study.mean("stopped")))
        said = ", ".join(f"{percent(share)} {word}" for word, share in ends if share > 0)
        drawn = parts([(f"{percent(share)} {word}", share) for word, share in ends], say=said)
        yield f"<figure style='margin:0'>{drawn}<figcaption>How jobs end: {escape(said)}.</figcaption></figure>"
    if always_line(study):
        yield f'<p class="quiet">{escape(always_line(study))}</p>'
    told = study.simulated
    if told is not None:
        yield (
            f"<p>{told.jobs} simulated jobs, planned anew at every step (seed {told.seed}): "
            f"{told.minutes.mean:.1f}{error_words(told.minutes)} minutes, "
            f"{100 * told.repaired.mean:.1f}{error_words(told.repaired, 100)} % repaired (± standard error).</p>"
        )


def _dear(study: Study) -> Iterator[str]:
    identify = study.subject.model.identify
    yield f"<h2>{'Found badly' if identify else 'Found too dear'}</h2>"
    if identify:
        yield '<p class="quiet">The causes that are least sure when measuring is over.</p>'
    else:
        yield '<p class="quiet">The causes that cost all jobs most beside what they would if they were known.</p>'
    most = max((dear.cause.minutes for dear in study.dear), default=1.0)
    if study.dear and not identify:
        yield _key()
    for dear in study.dear:
        yield from _one_dear(study, dear, most)
    if not study.dear:
        yield "<p>None.</p>"


def _one_dear(study: Study, dear: Dear, most: float) -> Iterator[str]:
    """A cause that is found too dear, and what it is taken for, a line each."""
    pack, identify, cause = study.subject.pack, study.subject.model.identify, dear.cause
    known = 0.0 if identify else cause.known
    said = whys(dear, pack, identify=identify)
    yield '<section class="dear">'
    yield f"<h3>{escape(cause.title)}</h3>"
    yield bar(known, cause.minutes, most, wide=480, say=f"{minutes(cause.minutes)} minutes, {minutes(known)} if known")
    costs = f"{percent(cause.share)} of jobs" + ("." if identify else f"; {minutes(cause.more)} of the average job.")
    yield f"<p>{escape(said[0])} <span class='quiet'>{costs}</span></p>"
    if dear.rivals:
        when = "when measuring is over" if identify else "where repairs and quotes are chosen"
        yield f"<table><tr><th>believed {when}</th><th></th><th>best measurement to tell them apart</th>"
        yield '<th class="n">apart</th><th class="n">min</th><th>in its jobs</th></tr>'
        yield f'<tr><td>itself</td><td class="n">{percent(dear.own)}</td><td></td><td></td><td></td><td></td></tr>'
    for rival in dear.rivals:
        word = verdict(rival, identify=identify)
        mark = ' class="miss"' if "missing" in word else ""
        best = pack.title_of(rival.best) if rival.best else "none"
        yield (
            f'<tr><td>{escape(rival.title)}</td><td class="n">{percent(rival.belief)}</td><td>{escape(best)}</td>'
            f'<td class="n">{percent(rival.apart)}</td><td class="n">{minutes(rival.best_minutes)}</td>'
            f"<td{mark}>{word}</td></tr>"
        )
    yield f"{'</table>' if dear.rivals else ''}</section>"


def _key() -> str:
    return (
        f'<p class="quiet key">{use(1, wide=14)} minutes if the cause were known at once &ensp; '
        f"{bar(0, 1, 1, wide=14)} what finding it adds</p>"
    )


def _cases(study: Study) -> Iterator[str]:
    yield f"<section class='cases'><h2>The pack's own cases</h2><p>{escape(cases_line(study))}</p>"
    yield squares([(case.name, case.passed) for case in study.cases]) if study.cases else ""
    yield "</section>"
    for case in study.failed:
        said = "; ".join([f"expected {w.wish}, found {w.found}" for w in case.wishes if not w.holds] + [case.astray])
        yield f'<div class="astray"><b>{escape(case.name)}</b><br>{escape(said)}</div>'


def _causes(study: Study) -> Iterator[str]:
    identify = study.subject.model.identify
    most = max((cause.minutes for cause in study.causes), default=1.0)
    yield "<h2>By cause</h2>"
    if not identify:
        yield _key()
    end = "" if identify else '<th class="n">repaired</th>'
    yield f'<table><tr><th>cause</th><th class="n">share</th><th class="n">minutes</th><th></th>{end}'
    yield '<th class="n">steps</th></tr>'
    for cause in study.causes:
        known = 0.0 if identify else cause.known
        drawn = bar(known, cause.minutes, most, wide=150, say=f"{minutes(known)} of {minutes(cause.minutes)} minutes")
        ended = "" if identify else f'<td class="n">{percent(cause.repaired)}</td>'
        yield (
            f'<tr><td>{escape(cause.title)}</td><td class="n">{percent(cause.share)}</td>'
            f'<td class="n">{minutes(cause.minutes)}</td><td>{drawn}</td>{ended}'
            f'<td class="n">{cause.steps:.1f}</td></tr>'
        )
    yield "</table>"


def _measurements(study: Study) -> Iterator[str]:
    yield "<h2>Measurements by use</h2>"
    yield (
        '<p class="quiet">How many jobs come to it; what a job costs more without it, by a quick plan for both. '
        "First: other steps want it told first.</p>"
    )
    yield '<table><tr><th>measurement</th><th colspan="2">jobs</th><th class="n">without it, min</th></tr>'
    for one in [busy for busy in study.uses if busy not in study.never][:DRAWN]:
        yield (
            f"<tr><td>{escape(one.title)}</td><td>{use(one.asked, say=percent(one.asked))}</td>"
            f'<td class="n">{percent(one.asked)}</td><td class="n">{without_words(one)}</td></tr>'
        )
    yield "</table>"
    never = "; ".join(one.title for one in study.never)
    yield (
        f"<h3>Never pay: {len(study.never)} of {len(study.uses)}</h3>"
        f"<p>{escape(never) or 'None.'}{' Without them a job costs the same.' if never else ''}</p>"
    )


def _doubts(study: Study) -> Iterator[str]:
    """Which numbers to go and measure."""
    if study.doubts is None:
        return
    yield "<h2>Which number to measure</h2>"
    yield (
        '<p class="quiet">The minutes that a job takes more or less if the number is really its doubt times what is '
        "written, or one part in that, the plan as it is; and what a plan made for the right number saves.</p>"
    )
    yield '<table><tr><th>number</th><th class="n">doubt</th><th class="n">times</th><th class="n">one part</th>'
    yield '<th class="n">saves</th></tr>'
    for doubt in study.doubts[:DOUBTED]:
        number, saves = doubt.number, "" if doubt.lost is None else f"{doubt.lost:.1f}"
        yield (
            f"<tr><td>{escape(number.shown)} {escape(str(number.value))}</td>"
            f'<td class="n">{number.doubt:g}</td><td class="n">{doubt.times:+.1f}</td>'
            f'<td class="n">{doubt.over:+.1f}</td><td class="n">{saves}</td></tr>'
        )
    yield "</table>"


def _testability(study: Study) -> Iterator[str]:
    told = study.testability
    yield "<h2>Testability</h2>"
    yield '<p class="quiet">In the terms of IEEE 1522, by the measurements alone.</p>'
    yield "<table><tr><th></th><th>detected</th><th>isolated to</th><th>mean ambiguity</th></tr>"
    for name, by in (("by weight", told.by_weight), ("by count", told.by_count)):
        to = ", ".join(f"{size} cause{'s' * (size > 1)}: {percent(share)}" for size, share in by.isolated.items())
        yield (
            f"<tr><td>{name}</td><td>{percent(by.detected)}</td><td>{to or 'none'}</td>"
            f"<td>{by.mean_ambiguity:.2f}</td></tr>"
        )
    yield "</table>"
    groups = list(group_lines(study))
    if groups:
        yield f"<p>No measurement tells these apart:</p><ul>{''.join(f'<li>{escape(g)}</li>' for g in groups)}</ul>"
    else:
        yield "<p>There are no two causes that every measurement reads alike.</p>"
    shares = list(told.at_confidence)
    steps = [1, 2, 3, 5]
    sizes = [size for size in steps if size <= len(shares)]
    told_so, before = [], 0.0
    for size in sizes:
        told_so.append((f"{'up to ' if size > 1 else ''}{size}", max(0.0, shares[size - 1] - before)))
        before = shares[size - 1]
    told_so.append(("more", max(0.0, 1.0 - before)))
    yield f"<p>{escape(confidence_line(study))}</p>{parts(told_so, high=20, say=confidence_line(study))}"
