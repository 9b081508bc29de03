"""A range, share or spread that cannot be read as the quantity of its measurement."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from nextprobe.pack.bandsets import band_sets
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path
from nextprobe.pack.range_meant import range_meant

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
                    meant = range_meant(_text(entry.row, path[len(entry.path) :]), entry.row.get("quantity"))
                    yield Note(path, fault.message, f"Write it so: `{meant}`." if meant else fault.cure)


def _text(row: Any, path: Path) -> str:
    """What stands at `path` of an entry."""
    for part in path:
        row = row.get(part) if isinstance(row, Mapping) else None
    return row if isinstance(row, str) else ""
