"""A figure that is read with nothing."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP369"
TITLE = "A figure without its instrument"
SEVERITY = "info"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for a measurement of a quantity that names no instrument, where the pack has instruments."""
    if not ctx.block("instruments"):
        return
    for entry in ctx.entries("measurements"):
        if "quantity" in entry.row and "with" not in entry.row and not ctx.has("measurements", entry.id, "instrument"):
            message = f"`{entry.id}` is read as {entry.row['quantity']}, and with no instrument."
            cure = "Name it under `instrument`: a shop may lack it, and its accuracy says how sure a figure is."
            yield Note((*entry.path, "quantity"), message, cure)
