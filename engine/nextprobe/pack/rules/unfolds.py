"""A cause whose arcs unfold into more hypotheses than belief can carry at the bench."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.reach import unfolded

CODE = "NP364"
TITLE = "A cause that unfolds into too many hypotheses"
SEVERITY = "warning"
MOST = 64


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for a cause with more than 64 sets of read effects, given a symptom."""
    for entry in ctx.entries("causes"):
        count = unfolded(ctx, entry.id)
        if count > MOST:
            cure = "Write 1 for arcs that nearly always fire, leave out those that hardly do, or split the cause."
            yield Note(entry.path, f"`{entry.id}` unfolds into more than {MOST} hypotheses ({count}).", cure, True)
