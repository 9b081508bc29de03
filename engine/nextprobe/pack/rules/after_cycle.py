"""Steps that wait for each other."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path

CODE = "NP312"
TITLE = "Steps that wait for each other"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield one note for each circle of `after`."""
    import networkx as nx

    graph: nx.DiGraph[str] = nx.DiGraph()
    places: dict[tuple[str, str], Path] = {}
    for entry in ctx.steps():
        for told in ctx.after(entry):
            graph.add_edge(entry.id, told.id.text)
            places[entry.id, told.id.text] = told.id.path
    for group in nx.strongly_connected_components(graph):
        inner = graph.subgraph(group)
        if inner.number_of_edges() == 0:
            continue
        first = max(
            group, key=lambda one: max((ctx.mark(p).line for (a, _), p in places.items() if a == one), default=0)
        )
        circle = nx.find_cycle(inner, source=first)
        listed = " after ".join([circle[0][0], *(edge[1] for edge in circle)])
        cure = "Take one `after` out: neither can ever be asked first."
        yield Note(places[circle[0][0], circle[0][1]], f"These steps wait for each other: {listed}.", cure)
