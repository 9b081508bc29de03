"""A study as text, at most 79 columns wide: the few lines first, then what a senior asks, in that order."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.said import fold
from nextprobe.study.cases import CaseResult
from nextprobe.study.readings import Use
from nextprobe.study.study import Study
from nextprobe.study.testability import Fractions
from nextprobe.study.walking import Mean
from nextprobe.study.why import minutes, percent, whys

#: Measurements that are listed by use.
LISTED = 15


def lines(study: Study) -> Iterator[str]:
    """The whole study."""
    yield from short(study)
    yield ""
    yield from _by_cause(study)
    yield ""
    yield from _cases(study)
    yield ""
    yield from _dear(study)
    yield ""
    yield from _measurements(study)
    yield ""
    yield from _testability(study)
    if study.simulated is not None:
        yield ""
        yield from _simulated(study)
    if study.doubts is not None:
        from nextprobe.study.doubts import lines as doubt_lines

        yield ""
        yield from doubt_lines(study.doubts, study.subject.pack.title_of)


def heading(study: Study) -> tuple[str, str]:
    """What is studied, and what the figures count."""
    pack = study.subject.pack
    board = f" on {pack.board.title}" if pack.board is not None else ""
    symptom = pack.symptoms[study.subject.symptom].title
    shown = f": {symptom}" if len(pack.symptoms) > 1 or symptom != pack.title else ""
    without = "".join(f"; without {pack.title_of(id_)}" for id_ in study.subject.lacks)
    others = [id_ for id_ in pack.symptoms if id_ != study.subject.symptom]
    chosen = f" Of the symptoms only this one; with --symptom also: {', '.join(others)}." if others else ""
    counted = "parts, risk and waiting counted in minutes" if not study.subject.model.identify else "measuring only"
    return f"{pack.title} ({pack.id} {pack.version}{board}){shown}", (
        f"One fault at a time, from the bench as a machine arrives{without}; {counted}.{chosen}"
    )


def quoted_word(study: Study) -> str:
    """What a job that is not repaired ends as."""
    return "quoted" if study.subject.pack.refer is not None else "nothing left to try"


def short(study: Study) -> Iterator[str]:
    """The few lines."""
    title, counted = heading(study)
    yield from fold(title)
    yield from fold(counted)
    if study.stopped_early:
        yield "Stopped by Ctrl-C: the figures so far."
    yield ""
    best = ", and no plan is better" if study.figures.optimal else ""
    if study.subject.model.identify:
        yield f"  {minutes(study.mean('minutes'))} minutes until the cause is known as well as the pack can tell{best}"
        yield f"  {study.mean('steps'):.1f} measurements a job"
    else:
        yield f"  {minutes(study.mean('minutes'))} minutes a job, expected{best}"
        yield (
            f"  {minutes(study.mean('known'))} would do if every cause were known at once; "
            f"{minutes(study.mean('looking'))} go into measuring,"
        )
        yield f"  {minutes(study.mean('in_vain'))} into repairs that do not cure it; {study.mean('steps'):.1f} steps"
        ends = [f"{percent(study.mean('repaired'))} repaired", f"{percent(study.mean('quoted'))} {quoted_word(study)}"]
        if study.mean("stopped") > 0:
            ends.append(f"{percent(study.mean('stopped'))} stopped for safety")
        yield f"  {', '.join(ends)}"
    yield f"  {cases_line(study)}"
    if always_line(study):
        yield from fold(always_line(study), "  ")


def always_line(study: Study) -> str:
    """What the figures leave out: what every job begins with, whatever the plan; "" where there is nothing."""
    ids, spent = study.subject.always
    if not ids:
        return ""
    titles = "; ".join(study.subject.pack.title_of(id_) for id_ in ids).rstrip("?.")
    return f"Every job begins with what the pack always asks first ({minutes(spent)} minutes, not counted): {titles}."


def cases_line(study: Study) -> str:
    """How many cases hold."""
    if not study.cases_of:
        return "The pack has no cases: write them into cases.yaml beside its pack.yaml."
    ran = "" if len(study.cases) == study.cases_of else f", {study.cases_of - len(study.cases)} not run"
    count = len(study.cases)
    return f"{count} {'case' if count == 1 else 'cases'}, {len(study.failed)} failed{ran}."


def _by_cause(study: Study) -> Iterator[str]:
    identify = study.subject.model.identify
    yield "BY CAUSE: share of jobs; for a job of it the minutes expected, the minutes if"
    yield "it were known at once, the share repaired, the steps"
    yield f"{'share':>8} {'minutes':>7} {'known':>6} {'repaired':>8} {'steps':>5}  cause"
    for cause in study.causes:
        repaired = "-" if identify else percent(cause.repaired)
        known = "-" if identify else minutes(cause.known)
        figures = f"{_narrow(cause.share):>8} {minutes(cause.minutes):>7} {known:>6}"
        yield from fold(cause.title, f"{figures} {_narrow_text(repaired):>8} {cause.steps:>5.1f}  ")


def _narrow(share: float) -> str:
    return _narrow_text(percent(share))


def _narrow_text(text: str) -> str:
    return text.replace("under ", "<")


def case_lines(case: CaseResult) -> Iterator[str]:
    """A case that does not hold: what was expected, and the step at which it went astray."""
    yield from fold(case.name, "FAILED  ")
    for wish in case.wishes:
        if not wish.holds:
            yield from fold(f"expected {wish.wish}; found {wish.found}", "        ")
    if case.astray:
        yield from fold(case.astray, "        ")


def _cases(study: Study) -> Iterator[str]:
    yield f"CASES: {cases_line(study)}"
    for case in study.failed:
        yield from case_lines(case)


def _dear(study: Study) -> Iterator[str]:
    if study.subject.model.identify:
        yield "FOUND BADLY: the causes that are least sure when measuring is over"
    else:
        yield "FOUND TOO DEAR: the causes that cost all jobs most beside what they need"
    if not study.dear:
        yield "  none"
    for dear in study.dear:
        cost = f"; {minutes(dear.cause.more)} minutes of the average job" if not study.subject.model.identify else ""
        yield from fold(f"{dear.cause.title} ({percent(dear.cause.share)} of jobs{cost})", "- ")
        for said in whys(dear, study.subject.pack, identify=study.subject.model.identify):
            yield from fold(said, "    ")


def _measurements(study: Study) -> Iterator[str]:
    never = study.never
    same = "; without them a job costs the same" if never else ""
    yield f"NEVER PAY: {len(never)} of {len(study.uses)} measurements{same}"
    for use in never:
        yield from fold(use.title, "  - ")
    yield ""
    yield "BY USE: the chance that a job comes to it, and what a job costs more without"
    yield "it, by a quick plan for both (first: other steps want it told first)"
    for use in [use for use in study.uses if use not in never][:LISTED]:
        yield from fold(use.title, f"{_narrow(use.asked):>8} {without_words(use):>6}  ")


def without_words(use: Use) -> str:
    """What a job costs more without a measurement, in minutes; nothing where the quick plan does as well without."""
    if use.wanted:
        return "first"
    return "" if use.without is None else f"+{use.without:.1f}" if use.without >= 0.05 else "0"


def _fractions(told: Fractions) -> str:
    isolated = ", ".join(
        f"{percent(share)} to {'one cause' if size == 1 else f'at most {size}'}"
        for size, share in told.isolated.items()
    )
    return (
        f"detected {percent(told.detected)}; of these isolated {isolated or 'none'}; "
        f"mean ambiguity {told.mean_ambiguity:.2f}"
    )


def group_lines(study: Study) -> Iterator[str]:
    """The ambiguity groups in words, one each."""
    for group in study.testability.groups:
        yield ", ".join(study.subject.pack.title_of(cause) for cause in group)


def confidence_line(study: Study) -> str:
    """How far all measurements together isolate a cause."""
    told = study.testability
    parts = [f"{percent(told.at_confidence[0])} of jobs one cause" if told.at_confidence else "nothing"]
    parts += [f"{percent(told.at_confidence[n - 1])} at most {n}" for n in (2, 3, 5) if n <= len(told.at_confidence)]
    return f"With every measurement told, {percent(told.confidence)} of the belief is held by: {'; '.join(parts)}."


def _testability(study: Study) -> Iterator[str]:
    told = study.testability
    yield "TESTABILITY (terms of IEEE 1522), by the measurements alone"
    yield from fold(f"By weight: {_fractions(told.by_weight)}.", "  ", "    ")
    yield from fold(f"By count: {_fractions(told.by_count)}.", "  ", "    ")
    groups = list(group_lines(study))
    yield f"  Ambiguity groups, causes that no measurement tells apart: {len(groups) or 'none'}"
    for group in groups:
        yield from fold(group, "  - ")
    yield from fold(confidence_line(study), "  ", "    ")


def _simulated(study: Study) -> Iterator[str]:
    told = study.simulated
    if told is None:
        return
    of = "" if told.jobs == told.wanted else f" of {told.wanted}"
    yield f"SIMULATED: {told.jobs}{of} jobs planned anew at every step, one fault, seed {told.seed}"
    yield f"  {told.minutes.mean:.1f}{error_words(told.minutes)} minutes a job (± standard error)"
    yield f"  {100 * told.repaired.mean:.1f}{error_words(told.repaired, 100)} % repaired"
    yield f"  {told.steps.mean:.1f}{error_words(told.steps)} steps"


def error_words(mean: Mean, times: float = 1.0) -> str:
    """` ± 1.2`, the standard error; nothing where there is none."""
    return "" if mean.standard_error is None else f" ± {times * mean.standard_error:.1f}"
