"""A repair that removes no cause."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP355"
TITLE = "A repair that removes nothing"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every repair without `fixes`."""
    for entry in ctx.entries("repairs"):
        if not any(chance > 0 for chance in (entry.row.get("fixes") or {}).values()):
            cure = "Add `fixes: {cause: chance}`; a trial with a part that goes back out is a measurement."
            yield Note(entry.path, f"`{entry.id}` fixes no cause, so it is never proposed.", cure, True)
