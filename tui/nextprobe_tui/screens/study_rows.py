"""A study as rows of a screen: the few lines first, then cause by cause, cases, what is dear, what never pays."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from textual.widget import Widget

from nextprobe_tui.screens.aside import heading
from nextprobe_tui.widgets.cause_list import CauseList
from nextprobe_tui.widgets.row import Row

if TYPE_CHECKING:
    from nextprobe.study.study import Study


def study_rows(study: Study) -> Iterator[Widget]:
    """All rows, in the order of the text output."""
    from nextprobe.study.lines import always_line, cases_line
    from nextprobe.study.lines import heading as of_what

    if study.stopped_early:
        yield Row("STOPPED", "These are the figures so far.", strong=True)
    yield Row("OF", of_what(study)[1])
    yield from _short(study)
    yield Row("CASES", cases_line(study))
    if always_line(study):
        yield Row("NOT IN IT", always_line(study))
    yield heading("By cause: share of jobs; for a job of it what is expected")
    yield CauseList(study.causes, study.subject.model.identify)
    yield from _cases(study)
    yield from _dear(study)
    yield from _never(study)


def _short(study: Study) -> Iterator[Widget]:
    from nextprobe.study.lines import quoted_word
    from nextprobe.study.why import minutes, percent

    best = ", and no plan is better" if study.figures.optimal else ""
    if study.subject.model.identify:
        text = f"{minutes(study.mean('minutes'))} minutes until the cause is known as well as the pack can tell{best}"
        yield Row("MINUTES", text, strong=True)
        yield Row("STEPS", f"{study.mean('steps'):.1f} measurements a job")
        return
    yield Row("MINUTES", f"{minutes(study.mean('minutes'))} minutes a job, expected{best}", strong=True)
    yield Row(
        "",
        f"{minutes(study.mean('known'))} would do if every cause were known at once; "
        f"{minutes(study.mean('looking'))} go into measuring, {minutes(study.mean('in_vain'))} into repairs that do "
        f"not cure it; {study.mean('steps'):.1f} steps",
    )
    yield Row("REPAIRED", percent(study.mean("repaired")))
    yield Row("QUOTED" if quoted_word(study) == "quoted" else "LEFT OVER", percent(study.mean("quoted")))
    if study.mean("stopped") > 0:
        yield Row("STOPPED", f"{percent(study.mean('stopped'))}, for safety")


def _cases(study: Study) -> Iterator[Widget]:
    if not study.cases:
        return
    yield heading("The pack's cases")
    for case in study.failed:
        yield Row("FAILED", case.name, strong=True)
        for wish in case.wishes:
            if not wish.holds:
                yield Row("", f"expected {wish.wish}; found {wish.found}")
        if case.astray:
            yield Row("ASTRAY", case.astray)
    for number, case in enumerate(case for case in study.cases if case.passed):
        yield Row("HOLD" if number == 0 else "", case.name)


def _dear(study: Study) -> Iterator[Widget]:
    from nextprobe.study.why import minutes, percent, whys

    identify = study.subject.model.identify
    yield heading(
        "Found badly: least sure when measuring is over"
        if identify
        else "Found too dear: what costs all jobs most beside what it needs"
    )
    if not study.dear:
        yield Row("", "none")
    for dear in study.dear:
        cost = "" if identify else f"; {minutes(dear.cause.more)} minutes of the average job"
        yield Row("DEAR", f"{dear.cause.title} ({percent(dear.cause.share)} of jobs{cost})", strong=True)
        for said in whys(dear, study.subject.pack, identify=identify):
            yield Row("", said)


def _never(study: Study) -> Iterator[Widget]:
    same = "; without them a job costs the same" if study.never else ""
    yield heading(f"Never pay: {len(study.never)} of {len(study.uses)} measurements{same}")
    for use in study.never:
        yield Row("", use.title)
