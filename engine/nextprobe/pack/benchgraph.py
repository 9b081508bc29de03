"""The bench as a graph: which combinations of conditions the moves can reach."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from nextprobe.pack.context import Context
from nextprobe.pack.marks import Path
from nextprobe.pack.walkers import choices

#: A state: the value of each condition, in the order of the pack.
State = tuple[str, ...]
Needs = Mapping[str, tuple[str, ...]]
#: Beyond this many combinations the graph is not built (a finding says so).
MAX_STATES = 20_000


def needs_of(ctx: Context, value: Any, path: Path) -> Needs | None:
    """Needs as condition -> values; None where a name in them is unknown (another rule says so)."""
    if isinstance(value, str):
        states = ctx.bench.get("states")
        named = states.get(value) if isinstance(states, Mapping) else None
        if not isinstance(named, Mapping):
            return None
        value = named
    found = {choice.name.text: tuple(word.text for word in choice.values) for choice in choices(value or {}, path)}
    known = ctx.condition_values
    if any(name not in known or not set(values) <= set(known[name]) for name, values in found.items()):
        return None
    return found


def all_needs(ctx: Context) -> Iterator[tuple[Path, Needs]]:
    """Every place where bench needs stand (moves apart), with the needs."""
    for block in ("measurements", "repairs"):
        for entry in ctx.entries(block):
            yield from _at(ctx, entry.row.get("needs"), (*entry.path, "needs"))
    for entry in ctx.entries("symptoms"):
        seen = entry.row.get("seen")
        if isinstance(seen, Mapping):
            yield from _at(ctx, seen.get("needs"), (*entry.path, "seen", "needs"))
    for entry in ctx.entries("remarks"):
        yield from _at(ctx, entry.row.get("look_when"), (*entry.path, "look_when"))
    yield from _at(ctx, ctx.block("refer").get("needs"), ("refer", "needs"))


def _at(ctx: Context, value: Any, path: Path) -> Iterator[tuple[Path, Needs]]:
    if value is not None:
        needs = needs_of(ctx, value, path)
        if needs is not None:
            yield path, needs


class BenchGraph:
    """States reachable from where machines start, by the pack's moves (whatever options they need)."""

    def __init__(self, ctx: Context) -> None:
        import networkx as nx

        self.conditions = list(ctx.condition_values)
        values = ctx.condition_values
        start = []
        for entry in ctx.bench_entries("conditions"):
            first = values[entry.id][0] if values[entry.id] else ""
            start.append(str(entry.row.get("start", first)))
        self.start: State = tuple(start)
        self.moves: dict[str, tuple[Needs, Mapping[str, str]]] = {}
        for entry in ctx.bench_entries("moves"):
            needs = needs_of(ctx, entry.row.get("needs"), entry.path)
            change = entry.row.get("change")
            if (
                needs is not None
                and isinstance(change, Mapping)
                and all(value in values.get(name, ()) for name, value in change.items())
            ):
                self.moves[entry.id] = (needs, change)
        self.graph: Any = nx.DiGraph()
        self.usable: set[str] = set()
        self.too_large = False
        self._grow()

    def _grow(self) -> None:
        self.graph.add_node(self.start)
        todo = [self.start]
        while todo and not self.too_large:
            state = todo.pop()
            for name, (needs, change) in self.moves.items():
                if not self.serves(state, needs):
                    continue
                self.usable.add(name)
                after = tuple(change.get(condition, old) for condition, old in zip(self.conditions, state, strict=True))
                if after not in self.graph:
                    todo.append(after)
                self.graph.add_edge(state, after)
            self.too_large = len(self.graph) > MAX_STATES

    def serves(self, state: State, needs: Needs) -> bool:
        """Whether `needs` hold in `state`."""
        return all(state[self.conditions.index(name)] in values for name, values in needs.items())

    def reachable(self, needs: Needs) -> bool:
        """Whether any reachable state serves."""
        return any(self.serves(state, needs) for state in self.graph)

    def stranded(self, goal: Needs) -> list[State]:
        """Reachable states from which no state that serves `goal` can be reached."""
        import networkx as nx

        back = self.graph.reverse(copy=True)
        home = object()
        back.add_edges_from((home, state) for state in list(self.graph) if self.serves(state, goal))
        served = nx.descendants(back, home) if home in back else set()
        return [state for state in self.graph if state not in served]

    def named(self, state: State) -> str:
        """A state in words."""
        return ", ".join(f"{name} {value}" for name, value in zip(self.conditions, state, strict=True))
