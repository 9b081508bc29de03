"""A move that can never be made, or that changes nothing."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.benchgraph import BenchGraph
from nextprobe.pack.context import Context, Note

CODE = "NP343"
TITLE = "A move that can never be made"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for moves whose needs no reachable state serves, and for moves that need what they change to."""
    graph = BenchGraph(ctx)
    if graph.too_large:
        return
    for entry in ctx.bench_entries("moves"):
        if entry.id not in graph.moves:
            continue
        needs, change = graph.moves[entry.id]
        if entry.id not in graph.usable:
            yield Note(
                entry.path,
                f"`{entry.id}` can never be made: the bench is never as it needs.",
                "Change its needs, or add the move that comes before it.",
                True,
            )
        elif change and all(needs.get(name) == (value,) for name, value in change.items()):
            yield Note(
                entry.path,
                f"`{entry.id}` changes nothing: it needs what it leads to.",
                "Mend `change` or `needs`.",
                True,
            )
