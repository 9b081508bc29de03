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
        raw = ctx.raw("measurements", entry.id)
        if "reads" in raw and "outcomes" not in raw:
            yield Note(
                (*entry.path, "reads"),
                f"`{entry.id}` has rules but no `outcomes`.",
                "Add `outcomes`, each with `say` or `range`.",
                True,
            )
        if "outcomes" in raw and "reads" not in raw:
            yield Note(
                (*entry.path, "outcomes"),
                f"`{entry.id}` has outcomes but no `reads`: nothing follows from them.",
                "Add `reads`, ending in `otherwise`; or take `outcomes` out: a check is told passed or failed.",
                True,
            )
