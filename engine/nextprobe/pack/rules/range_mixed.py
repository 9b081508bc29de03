"""Ranges, figures and `otherwise` that do not belong together."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.bandsets import outcome_rows
from nextprobe.pack.context import Context, Note

CODE = "NP323"
TITLE = "Figures without a quantity, or outcomes that exclude each other"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for ranges without `quantity`, `quantity` without ranges, and a second or mixed `otherwise`."""
    for entry in ctx.entries("measurements"):
        rows = list(outcome_rows(entry))
        named = ctx.has("measurements", entry.id, "quantity")
        ranged = [(path, key) for _, row, path in rows for key in ("range", "share") if key in row]
        rest = [(row, path) for _, row, path in rows if row.get("otherwise") is True]
        if ranged and not named:
            path, key = ranged[0]
            yield Note(
                (*path, key),
                "A range stands here, but the measurement names no `quantity`.",
                "Add `quantity: voltage` (or what the figure is) to the measurement.",
                True,
            )
        if "quantity" in entry.row and rows and not ranged:
            yield Note(
                (*entry.path, "quantity"),
                "A figure is asked for, but no outcome has a `range`.",
                "Give the outcomes ranges, or take `quantity` out if the reading is a word.",
                True,
            )
        for _row, path in rest[1:]:
            yield Note(
                (*path, "otherwise"),
                "A second outcome takes what is left.",
                "Keep `otherwise` in one outcome only.",
                True,
            )
        for row, path in rest:
            if "range" in row or "share" in row:
                yield Note(
                    (*path, "otherwise"),
                    "This outcome has a range and takes what is left as well.",
                    "Keep one of the two.",
                    True,
                )
        if rest and not ranged:
            yield Note(
                (*rest[0][1], "otherwise"),
                "`otherwise` takes the figures that are left, but there are no ranges.",
                "Give the other outcomes ranges, or write `say` here.",
                True,
            )
