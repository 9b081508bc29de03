"""Rules without outcomes, or a check with outcomes of its own."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP326"
TITLE = "Rules and outcomes belong together"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for `reads` without `outcomes` and for `outcomes` without `reads`."""
    for entry in ctx.entries("measurements"):
        ruled, named = (ctx.has("measurements", entry.id, key) for key in ("reads", "outcomes"))
        if ruled and not named:
            yield Note(
                (*entry.path, "reads"),
                f"`{entry.id}` has rules but no `outcomes`.",
                "Add `outcomes`, each with `say` or `range`.",
                True,
            )
        if named and not ruled:
            yield Note(
                (*entry.path, "outcomes"),
                f"`{entry.id}` has outcomes but no `reads`: nothing follows from them.",
                "Add `reads`, ending in `otherwise`; or take `outcomes` out: a check is told passed or failed.",
                True,
            )
