"""Two versions of a pack side by side, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nextprobe.said import fold
from nextprobe.study.versions_changes import Change
from nextprobe.study.versions_told import BothCase, Side
from nextprobe.study.why import percent

#: Causes whose jobs change by less than this, of all jobs, are not listed; and so many are.
FELT, CAUSES = 0.05, 8


def version_lines(
    old: Side | None, new: Side | None, changes: Sequence[Change], cases: Sequence[BothCase], listed: int | None
) -> Iterator[str]:
    """First what changed, then the minutes, then the cases."""
    yield f"WHAT CHANGED: {len(changes)} {'thing' if len(changes) == 1 else 'things'}"
    if not changes:
        yield "  Nothing that means anything."
    for change in changes[:listed]:
        yield from fold(change.words, "  - ")
    if listed is not None and len(changes) > listed:
        yield f"  … and {len(changes) - listed} more"
    yield ""
    yield from _minutes(old, new)
    yield ""
    yield from _cases(cases)


def _minutes(old: Side | None, new: Side | None) -> Iterator[str]:
    yield "WHAT IT DOES: by a plan for each, equally deep"
    if old is None or new is None:
        yield "  not planned"
        return
    yield f"{'':>14} {_named('old', old):>14} {_named('new', new):>14}"
    yield f"{'minutes a job':>14} {old.minutes:>14.1f} {new.minutes:>14.1f}   {new.minutes - old.minutes:+.1f}"
    yield f"{'repaired':>14} {percent(old.repaired):>14} {percent(new.repaired):>14}"
    yield f"{'quoted':>14} {percent(old.quoted):>14} {percent(new.quoted):>14}"
    before = {cause.id: cause for cause in old.causes}
    moved = []
    for cause in new.causes:
        was = before.get(cause.id)
        if was is not None:
            moved.append((cause.share * cause.minutes - was.share * was.minutes, was, cause))
    moved.sort(key=lambda one: -abs(one[0]))
    felt = [one for one in moved if abs(one[0]) >= FELT][:CAUSES]
    if felt:
        yield "  Most of it by these causes: minutes of the average job; of a job of the cause"
    for more, was, cause in felt:
        yield from fold(cause.title, f"  {more:>+7.1f}  {was.minutes:>6.0f} → {cause.minutes:<6.0f}")


def _named(which: str, side: Side) -> str:
    return f"{which} {side.version}".strip()[:14]


def _cases(cases: Sequence[BothCase]) -> Iterator[str]:
    both = sum(bool(case.old and case.new) for case in cases)
    neither = sum(case.old is False and case.new is False for case in cases)
    yield f"CASES of both on both: {both} hold on both, {neither} on neither"
    for case in cases:
        if case.old and case.new is False:
            yield from fold(f"holds no more: {case.name}", "  - ")
            yield from fold(case.why_new, "      ")
    for case in cases:
        if case.new and case.old is False:
            yield from fold(f"holds now: {case.name}", "  + ")
            yield from fold(case.why_old, "      before: ", "      ")
