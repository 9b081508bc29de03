"""A graph on as many sheets as it takes: how effects lead to the symptom, then which causes lead to which effect.

Each arc is drawn once; an effect that several sheets need stands on each of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from nextprobe.draw.graph import SEPARATOR, Arc, Graph
from nextprobe.draw.sheet import ROOM, Sheet, fits, place

#: A sheet that is fuller than this is closed before a group that would not fit on it.
FULL = 0.7
#: The most that a sheet holds, however small its boxes.
MOST = 60


@dataclass(frozen=True, slots=True)
class Part:
    """One sheet and what it shows."""

    title: str
    sheet: Sheet


def parts_of(graph: Graph) -> list[Part]:
    """The sheets in reading order; one where everything fits on it."""
    if len(graph.arcs) <= MOST and fits(graph):
        symptom = any(node.kind == "symptom" for node in graph.nodes.values())
        title = "From causes to the symptom" if symptom else "From causes to what is read"
        return [Part(title if graph.arcs else "Nothing leads here, and it leads to nothing", place(graph))]
    last = {arc for arc in graph.arcs if graph.nodes[arc.target].kind == "measurement"}
    first = [arc for arc in graph.arcs if arc not in last and graph.nodes[arc.source].kind == "cause"]
    between = [arc for arc in graph.arcs if arc not in last and graph.nodes[arc.source].kind != "cause"]
    depths = graph.depths()
    on = {arc.source for arc in between}
    # The longest that can be said of where an effect goes on, until it is known.
    graph = graph.with_detail(dict.fromkeys(on, _on(100)))
    causes = _packed(graph, _grouped(graph, first, depths))
    readings = _packed(graph, _grouped(graph, last, depths))
    effects: list[Graph] = []
    for _ in range(3):
        # What an effect says of the causes' sheets depends on how many sheets the effects take.
        effects = _effects(graph.only(between).with_detail(_found_on(causes, len(effects))), depths)
    sheets = [*effects, *causes, *readings]
    where: dict[str, list[int]] = {}
    for number, one in enumerate(effects, 1):
        for source in dict.fromkeys(arc.source for arc in one.arcs):
            where.setdefault(source, []).append(number)
    return [Part(_title(one), place(_said_on(one, number, where))) for number, one in enumerate(sheets, 1)]


def _title(graph: Graph) -> str:
    kinds = [node.kind for node in graph.nodes.values()]
    if "measurement" in kinds:
        return "Which measurements read it"
    if "cause" in kinds:
        count = kinds.count("cause")
        return f"{count} {'cause and what it leads' if count == 1 else 'causes and what they lead'} to"
    return "How effects lead to the symptom" if "symptom" in kinds else "How effects lead to other effects"


def _on(*sheets: int) -> str:
    return f"goes on: sheet{'s' if len(sheets) > 1 else ''} {', '.join(map(str, sheets))}"


def _said_on(graph: Graph, number: int, where: Mapping[str, Sequence[int]]) -> Graph:
    """The sheet `number` with what its effects say of the sheets on which they go on; nothing of this sheet itself."""
    nodes = {}
    for id_, node in graph.nodes.items():
        others = [sheet for sheet in where.get(id_, ()) if sheet != number]
        said = [part for part in node.detail.split(SEPARATOR) if part != _on(100)]
        nodes[id_] = replace(node, detail=SEPARATOR.join([*said, _on(*others)] if others else said).strip(SEPARATOR))
    return Graph(nodes, graph.arcs)


def _effects(graph: Graph, depths: dict[str, int]) -> list[Graph]:
    """All effects on one sheet, or else from the farthest from the symptom on."""
    if not graph.arcs:
        return []
    if fits(graph):
        return [graph]
    deep = sorted({depths[arc.source] for arc in graph.arcs}, reverse=True)
    sheets: list[Graph] = []
    for depth in deep:
        arcs = [arc for arc in graph.arcs if depths[arc.source] == depth]
        together = graph.only([*(sheets[-1].arcs if sheets else ()), *arcs])
        if fits(together):
            sheets[-1:] = [together]
        else:
            sheets += _packed(graph, _grouped(graph, arcs, depths))
    return sheets


def _grouped(graph: Graph, arcs: Iterable[Arc], depths: dict[str, int]) -> list[list[list[Arc]]]:
    """Arcs by their source, and the sources by what they most likely lead to, the largest group first."""
    by_source: dict[str, list[Arc]] = {}
    for arc in arcs:
        by_source.setdefault(arc.source, []).append(arc)
    count: dict[str, int] = {}
    for each in by_source.values():
        for arc in each:
            count[arc.target] = count.get(arc.target, 0) + 1
    groups: dict[str, list[list[Arc]]] = {}
    for each in by_source.values():
        main = max(each, key=lambda arc: (arc.chance, count[arc.target], depths[arc.target]))
        groups.setdefault(main.target, []).append(each)
    for found in groups.values():
        found.sort(key=lambda each: sorted(arc.target for arc in each))
    return _neighbours(list(groups.values()))


def _neighbours(groups: list[list[list[Arc]]]) -> list[list[list[Arc]]]:
    """Groups in an order in which each shares as many targets as can be with the one before it."""
    left = sorted(groups, key=lambda group: -len(group))
    found: list[list[list[Arc]]] = []
    while left:
        last = {arc.target for each in found[-1] for arc in each} if found else set()
        shared = [len(last & {arc.target for each in group for arc in each}) for group in left]
        found.append(left.pop(shared.index(max(shared))))
    return found


def _packed(graph: Graph, groups: Sequence[Sequence[Sequence[Arc]]]) -> list[Graph]:
    """Groups filled into sheets; one that would be torn begins a new sheet where the last is fairly full."""
    sheets: list[list[Arc]] = [[]]
    for group in groups:
        together = [arc for each in group for arc in each]
        full = sheets[-1] and not fits(graph.only(sheets[-1]), FULL * ROOM)
        if full and not _fits(graph, [*sheets[-1], *together]):
            sheets.append([])
        for each in group:
            if sheets[-1] and not _fits(graph, [*sheets[-1], *each]):
                sheets.append([])
            for arc in each:
                if sheets[-1] and not _fits(graph, [*sheets[-1], arc]):
                    sheets.append([])
                sheets[-1].append(arc)
    return [graph.only(arcs) for arcs in sheets if arcs]


def _fits(graph: Graph, arcs: Sequence[Arc]) -> bool:
    return len(arcs) <= MOST and fits(graph.only(arcs))


def _found_on(causes: Sequence[Graph], first: int) -> dict[str, str]:
    """For each effect: how many causes lead straight to it, and on which sheets they stand."""
    count: dict[str, int] = {}
    where: dict[str, list[int]] = {}
    for number, graph in enumerate(causes, first + 1):
        for arc in graph.arcs:
            count[arc.target] = count.get(arc.target, 0) + 1
            if number not in where.setdefault(arc.target, []):
                where[arc.target].append(number)
    return {
        id_: f"{many} {'cause' if many == 1 else 'causes'}: sheet{'s' if len(where[id_]) > 1 else ''} "
        + ", ".join(map(str, where[id_]))
        for id_, many in count.items()
    }
