"""What is drawn of a pack's causes, effects and symptoms: boxes, and the arcs between them."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from nextprobe.draw.words import share
from nextprobe.errors import UsageError
from nextprobe.pack.applies import applies, ids_in
from nextprobe.pack.near import did_you_mean
from nextprobe.pack.pack import Cause, Effect, Measurement, OnlyIf, Pack

#: Between the things that a box says below its title.
SEPARATOR = " · "


@dataclass(frozen=True, slots=True)
class Node:
    """A cause, effect, symptom or measurement; `detail` is said below its title."""

    id: str
    kind: str
    title: str
    detail: str


@dataclass(frozen=True, slots=True)
class Arc:
    """From one node to another with what it says: a chance, or "" where a measurement reads the node."""

    source: str
    target: str
    chance: float
    label: str


@dataclass(frozen=True, slots=True)
class Graph:
    """Nodes by id, in the pack's order, and arcs between them; there are no cycles."""

    nodes: dict[str, Node]
    arcs: tuple[Arc, ...]

    def only(self, arcs: Iterable[Arc]) -> Graph:
        """The given arcs with the nodes at their ends."""
        kept = tuple(arcs)
        ends = {end for arc in kept for end in (arc.source, arc.target)}
        return Graph({id_: node for id_, node in self.nodes.items() if id_ in ends}, kept)

    def with_detail(self, more: dict[str, str]) -> Graph:
        """The same, with `more` added to what the nodes named in it say."""
        nodes = {
            id_: replace(node, detail=SEPARATOR.join(filter(None, (node.detail, more.get(id_, "")))))
            for id_, node in self.nodes.items()
        }
        return Graph(nodes, self.arcs)

    def depths(self) -> dict[str, int]:
        """How many arcs the longest way on from each node has."""
        after: dict[str, list[str]] = {id_: [] for id_ in self.nodes}
        before: dict[str, list[str]] = {id_: [] for id_ in self.nodes}
        for arc in self.arcs:
            after[arc.source].append(arc.target)
            before[arc.target].append(arc.source)
        left = {id_: len(targets) for id_, targets in after.items()}
        ready = [id_ for id_, count in left.items() if not count]
        depth: dict[str, int] = {}
        for id_ in ready:
            depth[id_] = 1 + max((depth[target] for target in after[id_]), default=-1)
            for source in before[id_]:
                left[source] -= 1
                if not left[source]:
                    ready.append(source)
        return depth


def graph_of(pack: Pack) -> Graph:
    """All causes, effects and symptoms that the known options do not rule out.

    A cause says its share of jobs: its weight beside the weights of all that are drawn, scaled so that they leave
    what the pack does not know and what jobs with two causes take.
    """
    known = pack.known_options
    causes = [cause for cause in pack.causes.values() if applies(cause.only_if, known) is not False]
    effects = [effect for effect in pack.effects.values() if applies(effect.only_if, known) is not False]
    whole = sum(cause.weight for cause in causes)
    scale = (1 - pack.unlisted - pack.pairs) / whole if whole > 0 else 0.0
    nodes: dict[str, Node] = {}
    for cause in causes:
        said = f"{share(cause.weight * scale)} of jobs{_where(pack, cause.only_if)}"
        nodes[cause.id] = Node(cause.id, "cause", cause.title, said)
    for effect in effects:
        nodes[effect.id] = Node(effect.id, "effect", effect.title, _where(pack, effect.only_if).removeprefix(SEPARATOR))
    for symptom in pack.symptoms.values():
        nodes[symptom.id] = Node(symptom.id, "symptom", symptom.title, "what the owner reports")
    sources: list[Cause | Effect] = [*causes, *effects]
    arcs = tuple(
        Arc(one.id, target, chance, share(chance))
        for one in sources
        for target, chance in one.leads_to.items()
        if target in nodes
    )
    return Graph(nodes, arcs)


def around(pack: Pack, graph: Graph, about: str) -> Graph:
    """What leads directly to `about`, all that it leads to, and the measurements that read it.

    `about` is a cause, an effect, a symptom or a measurement: of a measurement, what it reads and what leads there.

    Raises:
        UsageError: nothing in the drawing has that id, or nothing stands around it.
    """
    if about in pack.measurements:
        read = [id_ for id_ in _read_by(pack.measurements[about]) if id_ in graph.nodes]
        if not read:
            raise UsageError(f"{about!r} reads no cause and no effect of the drawing.", "Name another.")
        arcs = [arc for arc in graph.arcs if arc.target in read]
        asked = [pack.measurements[about]]
    elif about in graph.nodes:
        read, below = [about], {about}
        for id_ in sorted(graph.nodes, key=graph.depths().__getitem__, reverse=True):
            if id_ in below:
                below |= {arc.target for arc in graph.arcs if arc.source == id_}
        arcs = [arc for arc in graph.arcs if arc.target == about or arc.source in below]
        asked = list(pack.measurements.values())
    else:
        known = [*graph.nodes, *pack.measurements]
        hint = did_you_mean(about, known, "Name a cause, an effect, a symptom or a measurement.")
        raise UsageError(f"The drawing has nothing that is called {about!r}.", hint)
    nodes = dict(graph.nodes)
    for measurement in asked:
        found = [id_ for id_ in read if id_ in _read_by(measurement)]
        if found and applies(measurement.only_if, pack.known_options) is not False:
            nodes[measurement.id] = Node(measurement.id, "measurement", measurement.title, "")
            arcs += [Arc(id_, measurement.id, 0.0, "") for id_ in found]
    drawn = Graph(nodes, ()).only(arcs)
    return drawn if drawn.nodes else Graph({about: graph.nodes[about]}, ())


def _read_by(measurement: Measurement) -> list[str]:
    """Causes and effects that its rules name, each once."""
    return list(dict.fromkeys(id_ for rule in measurement.reads for id_ in ids_in(rule.when)))


def _where(pack: Pack, only_if: OnlyIf) -> str:
    """The options under which something applies, in words; "" where it always does."""
    if not only_if or applies(only_if, pack.known_options) is True:
        return ""
    return f"{SEPARATOR}only where " + ", or ".join(
        " and ".join(_value(pack, option, values) for option, values in one.items()) for one in only_if
    )


def _value(pack: Pack, option: str, values: Collection[str]) -> str:
    """An option and the values that serve; the ones that do not, where these are fewer."""
    known = pack.options[option].values if option in pack.options else ()
    others = [value for value in known if value not in values]
    if others and len(others) < len(values):
        return f"{_plain([option])} is not {_plain(others)}"
    return f"{_plain([option])}: {_plain(values)}"


def _plain(ids: Collection[str]) -> str:
    return " or ".join(id_.replace("_", " ") for id_ in ids)
