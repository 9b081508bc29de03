"""A cause that no repair of the pack removes."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP354"
TITLE = "A cause that no repair removes"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every cause that no repair fixes, in a pack with repairs."""
    fixed = {
        cause
        for entry in ctx.entries("repairs")
        for cause, chance in (entry.row.get("fixes") or {}).items()
        if chance > 0
    }
    if ctx.block("repairs"):
        for entry in ctx.entries("causes"):
            if entry.id not in fixed:
                cure = (
                    "Name it under `fixes` of a repair; if quoting is all one can do, leave it and say so in a comment."
                )
                yield Note(entry.path, f"No repair fixes `{entry.id}`.", cure, True)
