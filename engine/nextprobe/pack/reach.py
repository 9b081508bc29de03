"""What a cause can switch on: reachable effects, and the sets of read effects it unfolds into."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nextprobe.pack.context import Context

#: Counting stops here; more is "too many" whatever the exact number.
_MOST = 4096


def _arcs(ctx: Context, id_: str) -> dict[str, float]:
    row: Any = ctx.block("causes").get(id_) or ctx.block("effects").get(id_) or {}
    arcs = row.get("leads_to")
    return {key: float(chance) for key, chance in arcs.items() if chance > 0} if isinstance(arcs, Mapping) else {}


def reached(ctx: Context, cause: str) -> set[str]:
    """All effects and symptoms that `cause` can bring about."""
    found: set[str] = set()
    todo = [cause]
    while todo:
        for target in _arcs(ctx, todo.pop()):
            if target not in found:
                found.add(target)
                todo.append(target)
    return found


def unfolded(ctx: Context, cause: str) -> int:
    """How many different sets of read effects `cause` can have switched on, given a symptom (at most 4096)."""
    import networkx as nx

    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_node(cause)
    for id_ in {cause, *reached(ctx, cause)}:
        graph.add_weighted_edges_from((id_, target, chance) for target, chance in _arcs(ctx, id_).items())
    order = [node for node in nx.topological_sort(graph) if node != cause]
    symptoms = set(ctx.block("symptoms"))
    kept = ctx.read_ids | symptoms
    last_use = {node: max((order.index(after) for after in graph[node]), default=-1) for node in graph}
    states = {frozenset([cause])}
    for index, node in enumerate(order):
        grown = set()
        for state in states:
            chances = [graph[parent][node]["weight"] for parent in graph.predecessors(node) if parent in state]
            for present in (True, False):
                possible = bool(chances) if present else not any(chance >= 1 for chance in chances)
                if possible:
                    full = state | {node} if present else state
                    grown.add(frozenset(one for one in full if one in kept or last_use[one] > index))
        states = grown
        if len(states) > _MOST:
            return _MOST
    counts = [len({state - symptoms for state in states if symptom in state}) for symptom in symptoms]
    return max(counts, default=len(states))
