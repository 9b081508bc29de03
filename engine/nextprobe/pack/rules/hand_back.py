"""A bench state from which the machine cannot be handed back."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.benchgraph import BenchGraph, needs_of
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path

CODE = "NP342"
TITLE = "No way back to the owner"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note where `hand_back` cannot be reached from a state that the moves lead to."""
    graph = BenchGraph(ctx)
    if graph.too_large or not graph.conditions:
        return
    path: Path = ("bench", "hand_back")
    if "hand_back" in ctx.bench:
        goal = needs_of(ctx, ctx.bench["hand_back"], path)
    else:
        path = ("bench", "moves")
        started = zip(graph.conditions, graph.start, strict=True)
        goal = {name: (value,) for name, value in started if name != "supply"}
    if goal is None:
        return
    stranded = graph.stranded(goal)
    if stranded:
        listed = ", ".join(f"{name} {' or '.join(values)}" for name, values in goal.items())
        message = f"From {graph.named(stranded[0])} no moves lead back to {listed}."
        yield Note(
            path,
            message,
            "Add the moves that undo what the others do, or change `hand_back`.",
            "hand_back" not in ctx.bench,
        )
