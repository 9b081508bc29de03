"""A cause that cannot bring about any symptom of the pack."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.reach import reached

CODE = "NP362"
TITLE = "A cause without a symptom"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every cause from which no arcs lead to a symptom."""
    symptoms = set(ctx.block("symptoms"))
    if not symptoms:
        return
    for entry in ctx.entries("causes"):
        if not symptoms & reached(ctx, entry.id):
            cure = "Let it lead to a symptom, or to an effect that does; as it is, every walk leaves it out."
            yield Note(entry.path, f"`{entry.id}` cannot bring about any symptom.", cure, True)
