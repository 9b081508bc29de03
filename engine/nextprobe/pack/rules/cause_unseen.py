"""A cause that changes no reading."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.reach import reached

CODE = "NP361"
TITLE = "A cause that no measurement sees"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for a cause when no rule depends on it or on an effect that it can reach."""
    if not any(not ctx.is_check(entry.id) for entry in ctx.entries("measurements")):
        return
    read = ctx.read_ids
    for entry in ctx.entries("causes"):
        if not read & {entry.id, *reached(ctx, entry.id)}:
            cure = "Add a rule for it or for one of its effects, or a measurement that tells it from the others."
            yield Note(entry.path, f"No measurement reads anything that `{entry.id}` changes.", cure, True)
