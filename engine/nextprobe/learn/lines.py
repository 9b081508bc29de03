"""What was learnt as lines to read: of which jobs, then each number before, after, and how sure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nextprobe.learn.bands import BOARDS, GoodBand
from nextprobe.learn.learned import Change, Learned
from nextprobe.learn.write import figure
from nextprobe.quantity import format_quantity
from nextprobe.quantity.units import base_unit
from nextprobe.said import fold

TITLES = {
    "weight": "WEIGHTS (their sum stays)",
    "unlisted": "JOBS THAT THE PACK DOES NOT KNOW",
    "fixes": "HOW OFTEN A REPAIR WORKS",
    "misread": "MISREAD OR MISTYPED",
    "minutes": "MINUTES OF STEPS",
}
_COUNTED = {"weight": "jobs", "unlisted": "jobs", "fixes": "trials", "misread": "readings", "minutes": "timings"}
_ENDED = {
    "referred": "quoted", "handed_over": "handed over", "left": "left", "stopped": "stopped for safety",
    "unknown": "ended unknown", "found": "found, not repaired", "repaired": "repaired, the proof not told",
}  # fmt: skip


def learned_lines(learned: Learned) -> Iterator[str]:
    """All of it; numbers that the records rule out as they stand bear a star."""
    yield from _head(learned)
    for kind, title in TITLES.items():
        rows = learned.of_kind(kind)
        if rows:
            yield ""
            yield title
            yield f"  {'before':>8}{'after':>9}   {f'{100 * learned.sure:.0f} % sure':<19}seen"
            yield from (line for row in rows for line in _row(row))
    if learned.minutes_told:
        yield from fold(learned.minutes_told, "  ")
    yield from _bands(learned)


def _head(learned: Learned) -> Iterator[str]:
    yield f"{learned.pack} {learned.version}: learnt from {_jobs(learned.jobs)}"
    if learned.jobs:
        yield f"  from {learned.since} to {learned.until}"
    for reason, count in sorted(learned.left_out.items(), key=lambda one: -one[1]):
        yield f"  not used: {_jobs(count)} {reason}"
    if learned.older:
        yield from fold(
            f"{_jobs(learned.older)} were led by another version of the pack or with a board sheet; "
            f"{_plural(learned.dropped, 'reading')} of theirs this pack does not know any more.",
            "  ",
        )
    if not learned.jobs:
        yield "  There is nothing to learn from: no number changes."
        return
    yield from fold(_proven(learned), "  ")
    trust = f"The pack's own numbers count for {learned.worth:g} earlier jobs"
    if learned.trusted < learned.worth:
        trust += f", its weights for {learned.trusted:.0f} only: the records contradict them too much for more"
    yield from fold(f"{trust}. A star marks a number that the records rule out.", "  ")
    if learned.two_faults:
        yield from fold(
            "Each job counts as one fault: one with two counts for the cause that explains more of it.", "  "
        )


def _proven(learned: Learned) -> str:
    said = f"Proven by a repair: {_jobs(learned.proven)}. Each counts for the causes that this repair can cure."
    if learned.open:
        ways = ", ".join(f"{count} {_ENDED.get(ending, ending)}" for ending, count in learned.open.items())
        said += (
            f" Without a proven cause: {_jobs(sum(learned.open.values()))} ({ways}). Each counts for every cause by "
            "what its readings left open, and the intervals are wider for it."
        )
    return said


def _row(row: Change) -> Iterator[str]:
    star = "*" if row.clear else " "
    reach = f"{_shown(row.low)} .. {_shown(row.high)}"
    seen = f"{row.seen:.0f} {_COUNTED[row.kind]}"
    yield f"{star} {_shown(row.before):>8}{_shown(row.after):>9}   {reach:<19}{seen:<15}".rstrip()
    yield from fold(row.title, "      ")


def _bands(learned: Learned) -> Iterator[str]:
    if not learned.bands:
        return
    yield ""
    yield "WHAT GOOD BOARDS READ"
    yield from fold(
        "Of boards that a repair proved good: read after it, or before it where the fault has no bearing on them. "
        "The interval holds 95 % of all good boards with 95 % confidence (ISO 16269-6, normal).",
        "  ",
    )
    for one in learned.bands:
        yield from fold(f"{one.title}, on {one.board}", "  ", "    ")
        yield f"      {_band(one)}"
        if one.before:
            yield f"      the pack calls healthy: {one.before}"


def _band(one: GoodBand) -> str:
    unit = base_unit(one.quantity)
    middle = f"{_plural(one.boards, 'board')}, in the middle {format_quantity(one.middle, unit)}"
    if one.low is None or one.high is None:
        return f"{middle}; too few for an interval ({BOARDS} are wanted)"
    return f"{middle}; {format_quantity(one.low, unit)} .. {format_quantity(one.high, unit)}"


def _shown(value: float) -> str:
    return figure(value) if value >= 5e-4 else "0"


def _jobs(count: int) -> str:
    return _plural(count, "job")


def _plural(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def left_lines(left: Mapping[str, str]) -> Iterator[str]:
    """What was not written, and why."""
    for path, reason in left.items():
        yield f"  not written: {path}, for {reason}"
