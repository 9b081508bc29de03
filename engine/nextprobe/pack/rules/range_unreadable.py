"""A range, share or spread that cannot be read as the quantity of its measurement."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.bandsets import band_sets
from nextprobe.pack.context import Context, Note

CODE = "NP321"
TITLE = "A range that cannot be read"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every range with a wrong unit, an unknown end or no meaning, once a place."""
    for entry in ctx.entries("measurements"):
        said = set()
        for found in [*band_sets(ctx, entry), *band_sets(ctx, entry, shares=True)]:
            for path, fault in found.faults:
                if path not in said:
                    said.add(path)
                    yield Note(path, fault.message, fault.cure)
