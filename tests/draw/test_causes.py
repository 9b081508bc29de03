"""The graph from causes to the symptom: nothing overlaps, is cut or left out; A4 is 297 x 210 mm (ISO 216)."""

from __future__ import annotations

import re
from collections import Counter
from datetime import date
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import networkx
import numpy as np
import pytest

from nextprobe.draw.causes import facts_of, graph_html, graph_svg
from nextprobe.draw.graph import Arc, Graph, Node, around, graph_of
from nextprobe.draw.layers import crossings, heights_at, ordered
from nextprobe.draw.layout import LEADING, PAD_X
from nextprobe.draw.sheet import DETAIL, PAPER_HIGH, PAPER_WIDE, ROOM, SAID, WIDE, Drawn, Sheet
from nextprobe.draw.sheets import parts_of
from nextprobe.draw.widths import width
from nextprobe.errors import UsageError
from nextprobe.pack.load import load_pack

PACKS = [
    ("no-picture", None),
    ("no-picture", "brindle-14"),
    ("no-picture", "tansy-12"),
    ("no-reaction", None),
    ("dynamo-light", None),
]
WORDS = ["supply", "<b>&amp;", "Überspannungsschutzgerätegehäuse", "W" * 90, "ok", "Ω ≥ 5", "電源", "\x00\u202e"]
SVG = "{http://www.w3.org/2000/svg}"


def drawn_graph(rng: np.random.Generator, causes: int, effects: int) -> Graph:
    """A graph with one symptom, effects that lead to later ones or to the symptom, and causes of one to three."""
    nodes = {}
    for number in range(causes + effects):
        id_ = f"cause_{number}" if number < causes else f"effect_{number - causes}"
        title = " ".join(rng.choice(WORDS, 1 + int(rng.integers(5))))
        nodes[id_] = Node(id_, id_.split("_")[0], title, "3 % of jobs")
    nodes["dark"] = Node("dark", "symptom", "Stays dark", "")
    arcs = []
    for number in range(effects):
        later = [f"effect_{other}" for other in range(number + 1, effects)] + ["dark"]
        arcs += [Arc(f"effect_{number}", str(to), 0.5, "50 %") for to in set(rng.choice(later, 2))]
    for number in range(causes):
        many = min(effects, 1 + int(rng.integers(3)))
        arcs += [
            Arc(f"cause_{number}", f"effect_{to}", 0.97, "97 %") for to in rng.choice(effects, many, replace=False)
        ]
    return Graph(nodes, tuple(arcs))


def check_sheet(sheet: Sheet) -> None:
    """Boxes apart, text in its box, arcs in the channels or past the columns between boxes."""
    for one, other in combinations(sheet.boxes, 2):
        apart = one.x + one.width < other.x or other.x + other.width < one.x
        assert apart or one.y + one.height < other.y or other.y + other.height < one.y
    said = {arc.arc.source for arc in sheet.arcs if arc.arc.label}
    for box in sheet.boxes:
        assert box.x >= 0
        assert box.x + box.width <= WIDE + 1e-6
        assert box.y >= -1e-6
        assert box.y + box.height <= sheet.height + 1e-6
        room = box.width - 2 * PAD_X - (SAID if box.node.id in said else 0)
        assert all(line.width <= room + 1e-6 and line.size >= 7 for line in box.lines)
        assert sum(line.size * LEADING for line in box.lines) <= box.height
    for arc in sheet.arcs:
        check_arc(sheet, arc)
    places = [arc.said_at for arc in sheet.arcs if arc.arc.label]
    for (x, y), (other_x, other_y) in combinations(places, 2):
        assert x != other_x or abs(y - other_y) >= DETAIL


def check_arc(sheet: Sheet, drawn: Drawn) -> None:
    box = {one.node.id: one for one in sheet.boxes}
    source, target = box[drawn.arc.source], box[drawn.arc.target]
    assert drawn.points[0][0] == pytest.approx(source.x + source.width)
    assert source.y <= drawn.points[0][1] <= source.y + source.height
    assert drawn.points[-1][0] == pytest.approx(target.x)
    assert target.y <= drawn.points[-1][1] <= target.y + target.height
    assert width(drawn.arc.label, DETAIL) <= SAID
    for number, ((x, y), (to_x, to_y)) in enumerate(pairwise(drawn.points)):
        assert x < to_x
        for one in sheet.boxes:
            if number % 2 and one.x < to_x and x < one.x + one.width:
                assert y == to_y
                assert not one.y <= y <= one.y + one.height
            elif not number % 2:
                assert to_x <= one.x + 1e-6 or one.x + one.width <= x + 1e-6


def check_whole(graph: Graph) -> None:
    parts = parts_of(graph)
    for part in parts:
        check_sheet(part.sheet)
        assert part.sheet.height <= ROOM or len(part.sheet.arcs) == 1
    assert Counter(drawn.arc for part in parts for drawn in part.sheet.arcs) == Counter(graph.arcs)
    assert {box.node.id for part in parts for box in part.sheet.boxes} >= {
        end for arc in graph.arcs for end in (arc.source, arc.target)
    }


@pytest.mark.parametrize(("pack", "board"), PACKS)
def test_every_arc_of_a_bundled_pack_is_drawn_once_and_readably(pack: str, board: str | None) -> None:
    loaded = load_pack(pack, board)
    graph = graph_of(loaded)
    check_whole(graph)
    # Against a general-purpose graph library: no cycle, and the same longest ways.
    other = networkx.DiGraph([(arc.source, arc.target) for arc in graph.arcs])
    depth: dict[str, int] = {}
    for id_ in reversed(list(networkx.topological_sort(other))):
        depth[id_] = max((depth[after] + 1 for after in other.successors(id_)), default=0)
    assert {id_: graph.depths()[id_] for id_ in depth} == depth
    if board is None:
        written = [t for each in (loaded.causes, loaded.effects) for one in each.values() for t in one.leads_to]
        assert len(written) == len(graph.arcs)


@pytest.mark.parametrize(("causes", "effects"), [(1, 1), (3, 2), (40, 9), (60, 37), (300, 37)])
def test_drawn_packs_of_any_size_stay_readable(causes: int, effects: int) -> None:
    check_whole(drawn_graph(np.random.default_rng(causes), causes, effects))


def test_shares_leave_what_the_pack_does_not_know() -> None:
    """Weights are shares: all causes together have what `unlisted` and `pairs` leave (the pack format's own rule)."""
    pack = load_pack("dynamo-light")
    said = [node.detail for node in graph_of(pack).nodes.values() if node.kind == "cause"]
    shares = [float(re.match(r"([\d.]+) % of jobs", text)[1]) for text in said]  # type: ignore[index]
    assert sum(shares) == pytest.approx(100 * (1 - pack.unlisted - pack.pairs), abs=0.5 * len(shares))


def test_what_the_board_rules_out_is_not_drawn() -> None:
    pack = load_pack("no-picture", "brindle-14")
    drawn = graph_of(pack).nodes
    for cause in pack.causes.values():
        known = {
            option: pack.known_options[option]
            for one in cause.only_if
            for option in one
            if option in pack.known_options
        }
        if len(cause.only_if) == 1 and len(known) == len(cause.only_if[0]):
            assert (cause.id in drawn) == all(known[option] in values for option, values in cause.only_if[0].items())


@pytest.mark.parametrize("kind", ["causes", "effects", "measurements", "symptoms"])
def test_around_every_id_of_a_pack(kind: str) -> None:
    for name in ("no-picture", "dynamo-light"):
        pack = load_pack(name)
        graph = graph_of(pack)
        for id_ in getattr(pack, kind):
            if kind == "measurements" and not any(rule.when for rule in pack.measurements[id_].reads):
                with pytest.raises(UsageError, match="reads no cause"):
                    around(pack, graph, id_)
                continue
            part = around(pack, graph, id_)
            assert id_ in part.nodes
            check_whole(part)
    with pytest.raises(UsageError, match="nothing that is called"):
        around(pack, graph, "no_such_thing")


@pytest.mark.parametrize(("pack", "board"), PACKS)
def test_files_are_well_formed_complete_and_the_same_each_time(pack: str, board: str | None) -> None:
    loaded = load_pack(pack, board)
    title, facts = facts_of(loaded, date(2026, 1, 2))
    graph = graph_of(loaded)
    count = len(parts_of(graph))
    page = graph_html(title, facts, graph)
    assert page == graph_html(title, facts, graph_of(loaded))
    roots = [ElementTree.fromstring(found) for found in re.findall(r"<svg.*?</svg>", page, re.S)]
    assert len(roots) == count
    tall = ElementTree.fromstring(graph_svg(title, facts, graph))
    for root, high in [*((root, 1) for root in roots), (tall, count)]:
        wide, height = (float(root.attrib[key].removesuffix("pt")) for key in ("width", "height"))
        assert wide * 25.4 / 72 == pytest.approx(297, abs=0.1)
        assert height * 25.4 / 72 == pytest.approx(210 * high, abs=0.1 * high)
        sizes = [float(text.attrib["font-size"]) for text in root.iter(f"{SVG}text")]
        assert min(sizes) >= 7
    for text in (page, ElementTree.tostring(tall, encoding="unicode")):
        assert not re.search(r"href|src=|url\(|@import|<script", text)
        assert text.count('class="arc"') == len(graph.arcs)
    assert f"{loaded.id} {loaded.version}" in facts
    assert "estimates" in facts
    assert "2026-01-02" in facts


def test_hostile_words_stay_words(tmp_path: Path) -> None:
    graph = drawn_graph(np.random.default_rng(3), 12, 4)
    root = ElementTree.fromstring(graph_svg("<script>&\x00", "a", graph))
    assert root.attrib["width"] == f"{PAPER_WIDE:.2f}pt"
    assert float(root.attrib["height"].removesuffix("pt")) % PAPER_HIGH == pytest.approx(0, abs=0.1)


def test_order_has_no_more_crossings_than_pairs_counted_one_by_one() -> None:
    """The count against its definition; ordering never adds to it, and undoes a plain twist."""
    rng = np.random.default_rng(1)
    for _ in range(20):
        left, right = [f"l{n}" for n in range(7)], [f"r{n}" for n in range(6)]
        links = sorted({(str(rng.choice(left)), str(rng.choice(right))) for _ in range(14)})
        after: dict[str, list[str]] = {}
        for one, other in links:
            after.setdefault(one, []).append(other)
        counted = sum(
            (left.index(a) - left.index(b)) * (right.index(c) - right.index(d)) < 0
            for (a, c), (b, d) in combinations(links, 2)
        )
        assert crossings([left, right], after) == counted
        assert crossings(ordered([left, right], links), after) <= counted
    twist = [("a", "y"), ("b", "x")]
    assert crossings(ordered([["a", "b"], ["x", "y"]], twist), {"a": ["y"], "b": ["x"]}) == 0


def test_heights_keep_order_gaps_and_room_and_are_wanted_ones_where_they_can_be() -> None:
    """Least squares under an order, by its definition: no move of one slot that is free to move comes nearer."""
    assert heights_at([10, 50], [4, 4], [0, 2], 100) == pytest.approx([8, 48])
    rng = np.random.default_rng(2)
    for _ in range(50):
        wanted, heights = list(rng.uniform(0, 90, 6)), list(rng.uniform(2, 10, 6))
        found = heights_at(wanted, heights, [3.0] * 6, 100)
        assert found[0] >= -1e-9
        assert found[-1] + heights[-1] <= 100 + 1e-9
        for above, below, height in zip(found, found[1:], heights, strict=False):
            assert below >= above + height + 3 - 1e-9
        for number, (top, height) in enumerate(zip(found, heights, strict=True)):
            least = found[number - 1] + heights[number - 1] + 3 if number else 0.0
            most = found[number + 1] - height - 3 if number < 5 else 100 - height
            free = min(max(wanted[number] - height / 2, least), most)
            assert abs(top - (wanted[number] - height / 2)) <= abs(free - (wanted[number] - height / 2)) + 1e-6
