"""An effect that nothing switches on, or that nothing asks for."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP363"
TITLE = "An idle effect"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for effects without an arc into them, and for those that no rule and no arc uses."""
    targets = {target for _, target in ctx.arcs()}
    read = ctx.read_ids
    for entry in ctx.entries("effects"):
        if entry.id not in targets:
            cure = "Name it under `leads_to` of the causes that have it, or delete it."
            yield Note(entry.path, f"Nothing leads to `{entry.id}`, so it is never present.", cure, True)
        elif entry.id not in read and not entry.row.get("leads_to"):
            cure = "Name it in a `when`, let it lead to something, or delete it."
            yield Note(entry.path, f"Nothing asks for `{entry.id}`: no rule reads it and it leads nowhere.", cure, True)
