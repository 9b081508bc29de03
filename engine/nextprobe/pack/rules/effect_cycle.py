"""Effects that lead to each other in a circle."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP311"
TITLE = "Effects in a circle"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield one note for each circle of `leads_to`, at the arc that closes it."""
    import networkx as nx

    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_edges_from((entry.id, target) for entry, target in ctx.arcs() if entry.path[0] == "effects")
    for group in nx.strongly_connected_components(graph):
        inner = graph.subgraph(group)
        if inner.number_of_edges() == 0:
            continue
        circle = nx.find_cycle(inner, source=min(group, key=lambda one: ctx.mark(("effects", one)).line))
        source, target = circle[-1][0], circle[-1][1]
        listed = " -> ".join([circle[0][0], *(edge[1] for edge in circle)])
        cure = "Take one of these arcs out: an effect lies between causes and readings, and nothing causes itself."
        yield Note(("effects", source, "leads_to", target), f"These effects lead to each other: {listed}.", cure, True)
