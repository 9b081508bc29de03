"""A share of a reading that it cannot be a share of."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.bandsets import outcome_rows
from nextprobe.pack.context import Context, Note

CODE = "NP330"
TITLE = "A share of the wrong reading"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note where `of` names the measurement itself or one of another quantity."""
    rows = ctx.block("measurements")
    for entry in ctx.entries("measurements"):
        for _, row, path in outcome_rows(entry):
            other = row.get("of")
            if other == entry.id:
                yield Note((*path, "of"), "This is a share of itself.", "Name the reading it is compared with.")
            elif isinstance(other, str) and "quantity" in entry.row and isinstance(rows.get(other), dict):
                theirs, ours = rows[other].get("quantity"), entry.row["quantity"]
                if theirs is None and ctx.has("measurements", other, "quantity"):
                    continue  # it is misspelt there
                if theirs != ours:
                    yield Note(
                        (*path, "of"),
                        f"`{other}` is read as {theirs or 'a word'}, this as {ours}.",
                        f"Name a measurement whose quantity is {ours}.",
                    )
