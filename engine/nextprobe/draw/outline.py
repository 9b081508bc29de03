"""The plan as lines of text, to any depth."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.draw.rows import end_of
from nextprobe.draw.words import Words, minutes, share
from nextprobe.plan.follow import Place


def outline(words: Words, root: Place, depth: float) -> Iterator[str]:
    """Each step on a line, indented below what led to it; what is deeper than `depth` steps is counted."""
    if not root.branches:
        yield end_of(words, root)
        return
    yield f"{words.title(root.action)}  [{minutes(root.own)}]"
    yield from _below(words, root, depth, "  ")


def _below(words: Words, place: Place, depth: float, indent: str) -> Iterator[str]:
    if depth <= 0:
        return
    for branch in place.branches:
        told = f"{indent}if {words.outcome(place.action, branch)} ({share(branch.chance)}"
        told += f", {branch.minutes:.0f} min left): "
        after = branch.place
        if after is None:
            yield f"{told}stop for safety, and quote"
        elif not after.branches:
            yield f"{told}{end_of(words, after)}"
        else:
            moved = words.moves(after)
            first = f"; first {moved}" if moved else ""
            more = f"  … {after.ends} more branches" if depth <= 1 else ""
            yield f"{told}{words.title(after.action)}  [{minutes(after.own)}{first}]{more}"
            yield from _below(words, after, depth - 1, indent + "  ")
