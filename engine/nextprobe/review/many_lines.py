"""Many jobs as plain lines, 79 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nextprobe.review.many import Many, Row
from nextprobe.review.review import minutes_words
from nextprobe.review.spread import FEWEST, Spread
from nextprobe.said import fold

#: So many steps are listed; all stand in --json.
MOST_STEPS = 12
TOO_FEW = "too few jobs to say"


def many_lines(many: Many) -> Iterator[str]:
    """The lines."""
    yield from fold(f"{_jobs(many.jobs)} reviewed.")
    if many.left:
        yield from fold(f"{_jobs(many.left)} left out: there was no time. Give more --seconds.", "! ")
    if many.broken:
        yield from fold(f"Not counted, the record is not as it was written: {', '.join(many.broken)}.", "! ")
    if many.unread:
        yield from fold(f"Not counted, nothing told or not to be replayed: {', '.join(many.unread)}.", "! ")
    if not many.jobs:
        return
    yield from _rows("By person", many.people)
    yield from _rows("By pack", many.packs)
    said = [row for row in many.steps if row.lost is not None]
    yield from _rows("By step, in the jobs in which it was taken", said[:MOST_STEPS])
    rest = len(many.steps) - len(said[:MOST_STEPS])
    if rest:
        few = len(many.steps) - len(said)
        yield from fold(f"{rest} more in --json; of {few} there are {TOO_FEW}.", "  ")
    yield ""
    yield from fold(
        "A median, and in brackets the figures between which it lies with 90 % or more, whatever the spread. Lost:"
        f" by steps that cost more than what was asked. Nothing is said of fewer than {FEWEST} jobs."
    )


def _rows(head: str, rows: Sequence[Row]) -> Iterator[str]:
    yield ""
    yield head
    for row in rows:
        if row.minutes is None or row.lost is None:
            yield from fold(f"{row.title}: {_jobs(row.jobs)}, {TOO_FEW}", "- ")
            continue
        yield from fold(
            f"{row.title}: {_jobs(row.jobs)}, {_spread(row.minutes)} each; lost {_spread(row.lost)},"
            f" {minutes_words(row.mean_lost)} in the mean, any in {row.costly} of them",
            "- ",
        )


def _spread(one: Spread) -> str:
    return f"{minutes_words(one.median)} ({minutes_words(one.low)} to {minutes_words(one.high)})"


def _jobs(count: int) -> str:
    return f"{count} {'job' if count == 1 else 'jobs'}"
