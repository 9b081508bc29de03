"""The sentences of a report, shared by its forms."""

from __future__ import annotations

from dataclasses import dataclass

from nextprobe.draw.sketch import place_words
from nextprobe.report.conformity import GUARDED, SIMPLE
from nextprobe.report.report import Done, Looked, Measured, Report
from nextprobe.said import minutes

RULES = {
    GUARDED: (
        "Statements after ILAC-G8:09/2019 with a guard band w = U (4.2.3): pass, inside the limits by U or more; "
        "conditional pass, inside by less; conditional fail, outside by U at most; fail, outside by more. "
        "U = 2 u, u = a/√3 of the meter's stated accuracy a (JCGM 100), so that U holds all of it."
    ),
    SIMPLE: (
        "Where the accuracy of the meter is not stated, or it read over-limit: simple acceptance, w = 0 "
        "(ILAC-G8:09/2019, 4.2.1): pass is inside the limits."
    ),
}
ACCURACY_FROM = (
    "Limits and the accuracy of the meter are those of the pack and the board sheet named above, not of a calibration."
)
#: U above this part of half the band is said beside the statement.
COARSE = 0.5
SAFE = "Local codes, the maker's instructions and licensed practice come first."


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the report: its head and its lines; strong: what must not be overlooked."""

    head: str
    lines: tuple[str, ...]
    strong: bool = False


def title(report: Report) -> str:
    """The head of the whole."""
    return f"Report of job {report.job}"


def warnings(report: Report) -> list[str]:
    """What must be read first: a record that is not sound, a job that goes on."""
    found = [f"The record of this job is not as it was written: {' '.join(report.broken)}"] if report.broken else []
    if not report.ending:
        found.append("This job is still open: what follows is how it stands.")
    return found


def facts(report: Report) -> list[tuple[str, str]]:
    """What the job is about, in pairs of word and text."""
    found = [("Machine", report.machine or "not stated"), ("Complaint", report.symptom)]
    found += [(role.capitalize(), name) for role, name in report.people]
    ended = f", ended {_time(report.ended)}" if report.ended else ""
    found.append(("Opened", f"{_time(report.opened)}{ended} (UTC)"))
    found.append(("By the pack", "; then ".join(report.packs)))
    return found


def before(report: Report) -> list[Section]:
    """What stands before the figures."""
    found = f"{report.cause} ({report.odds})" if report.cause else ""
    result = [f"{report.ending.capitalize()}. {report.why}".strip() if report.ending else "", _cause(report, found)]
    return _filled(
        Section("Told by the owner", _pairs(report.history)),
        Section("The machine", _pairs(report.options)),
        Section("Result", tuple(line for line in result if line), strong=True),
    )


def behind(report: Report) -> list[Section]:
    """What stands behind the figures."""
    return _filled(
        Section("Seen and tried", _pairs(report.looked)),
        Section("Done", tuple(done_words(one) for one in report.done)),
        Section("Proven by", ("; ".join(report.proven),) if report.proven else ()),
        Section("NOT proved", report.not_proved, strong=True),
        Section("Temporary", report.temporary, strong=True),
        Section("To be told to the owner", report.remarks),
        Section("Notes", report.notes),
        Section("Left out", _pairs(report.skipped)),
        Section("Time and parts", times_words(report)),
        Section("The record", (chain_words(report),)),
    )


def done_words(one: Done) -> str:
    """A repair and what came of it."""
    ticked = f" ({len(one.ticked)} of {one.steps} steps ticked off)" if one.ticked else ""
    return f"{one.title}{ticked}: {one.result}."


def limits_words(one: Measured) -> str:
    """The limits, or why there are none."""
    return one.conformity.limits if one.conformity is not None else one.why_none


def statement_words(one: Measured) -> str:
    """The statement; how sure it is, where the limit is near."""
    found = one.conformity
    if found is None:
        return "no statement"
    if found.inside is None:
        return f"{found.statement} (simple)"
    near = f", {100 * found.inside:.0f} % inside" if found.statement.startswith("conditional") else ""
    coarse = f"; the meter is coarse for this: U is {100 * found.share:.0f} % of half the band"
    return f"{found.statement}{near}{coarse if found.share > COARSE else ''}"


def meter_words(one: Measured) -> str:
    """The meter and its accuracy."""
    return ", ".join(part for part in (one.meter, one.accuracy) if part) or "no meter stated"


def where_words(one: Measured, report: Report) -> str:
    """The place in the pack's words, and where that is on the board, where it is drawn."""
    if report.sketch is None or one.at is None or not one.point:
        return one.where
    return f"{one.where} ({place_words(report.sketch, one.at)})".strip()


def rules_words(report: Report) -> list[str]:
    """By which rules the statements of this report were made."""
    used = {one.conformity.rule for one in report.measured if one.conformity is not None}
    return [*(text for rule, text in RULES.items() if rule in used), *([ACCURACY_FROM] if report.measured else [])]


def times_words(report: Report) -> tuple[str, ...]:
    """Minutes and parts."""
    times = report.times
    wait = f", {minutes(times.wait)} unattended" if times.wait else ""
    lines = [f"Hands-on {minutes(times.hands_on)} by the pack's reckoning{wait}."]
    if times.clocked:
        some = "" if times.clocked == times.steps else f", measured at {times.clocked} of {times.steps} steps"
        lines.append(f"By the clock {minutes(times.clock)}{some}.")
    lines.append(f"Parts {report.parts:g} {report.currency}".strip() + "." if report.parts else "No parts.")
    return tuple(lines)


def chain_words(report: Report) -> str:
    """What shows later that nothing was changed or cut off."""
    return (
        f"{report.events} events, the last one with the hash {report.head}. "
        f"Compare with what this says: nextprobe jobs verify {report.job}"
    )


def _cause(report: Report, found: str) -> str:
    if not found:
        return "" if not report.ending else "No cause is held for found."
    # Only a repair that worked, or measuring to the end, makes a cause more than the likeliest one.
    return f"Cause: {found}." if report.ending in ("repaired", "found") else f"Most likely, not proven: {found}."


def _pairs(rows: tuple[Looked, ...]) -> tuple[str, ...]:
    return tuple(
        f"{one.title}{'' if one.title.endswith('?') else ':'} {one.say}" if one.say else one.title for one in rows
    )


def _filled(*sections: Section) -> list[Section]:
    return [section for section in sections if section.lines]


def _time(at: str) -> str:
    return at[:16].replace("T", " ")
