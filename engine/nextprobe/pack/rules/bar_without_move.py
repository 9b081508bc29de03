"""A bar that no move would ever meet."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.bandsets import outcome_rows
from nextprobe.pack.context import Context, Note
from nextprobe.pack.walkers import choices

CODE = "NP331"
TITLE = "A bar that bars nothing"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every barred value into which no move of the pack leads."""
    changes = [entry.row.get("change") or {} for entry in ctx.bench_entries("moves")]
    for entry in ctx.entries("measurements"):
        for _, row, path in outcome_rows(entry):
            for choice in choices(row.get("bars"), (*path, "bars")):
                for word in choice.values:
                    if not any(change.get(choice.name.text) == word.text for change in changes):
                        cure = "Name the value that a move leads to, or delete it."
                        yield Note(word.path, f"No move leads to {choice.name.text} {word.text}.", cure)
