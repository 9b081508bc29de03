"""A bar on a condition in which the bench already is, and stays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nextprobe.pack.bandsets import outcome_rows
from nextprobe.pack.benchgraph import needs_of
from nextprobe.pack.context import Context, Note
from nextprobe.pack.walkers import choices

CODE = "NP344"
TITLE = "A bar that leaves the bench as it is"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for an outcome that bars what its own measurement needs, and does not say that it is left."""
    for entry in ctx.entries("measurements"):
        needs = needs_of(ctx, entry.row.get("needs"), (*entry.path, "needs")) or {}
        for name, row, path in outcome_rows(entry):
            leaves = row.get("leaves")
            left = leaves if isinstance(leaves, Mapping) else {}
            for choice in choices(row.get("bars"), (*path, "bars")):
                barred = {word.text for word in choice.values}
                condition = choice.name.text
                if condition in left or not barred & set(needs.get(condition, ())):
                    continue
                held = " or ".join(sorted(barred & set(needs[condition])))
                message = f"`{name}` bars {condition} {held}, and leaves the bench in it."
                cure = f"Say what is done at once: `leaves: {{{condition}: …}}`."
                yield Note((*path, "bars"), message, cure)
