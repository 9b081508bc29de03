"""Something that needs the bench as no move can make it."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.benchgraph import BenchGraph, all_needs
from nextprobe.pack.context import Context, Note

CODE = "NP341"
TITLE = "A bench state that no move reaches"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every `needs` (and `look_when`) that no reachable state serves."""
    graph = BenchGraph(ctx)
    if graph.too_large:
        yield Note(("bench",), "The bench has too many combinations to follow.", "Join or drop some conditions.", True)
        return
    for path, needs in all_needs(ctx):
        if not graph.reachable(needs):
            listed = ", ".join(f"{name} {' or '.join(values)}" for name, values in needs.items())
            lone = [name for name, values in needs.items() if not graph.reachable({name: values})]
            cure = "No sequence of moves makes all of it hold at once; change the needs, or those of a move."
            if lone:
                cure = f"No move leads to {lone[0]} {' or '.join(needs[lone[0]])}; add one to the bench's moves."
            yield Note(path, f"The bench can never be so: {listed}.", cure)
