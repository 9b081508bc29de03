"""A technician who answers at random, and whose every step is watched."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import numpy as np

from nextprobe import Ask, Walk
from tests.oracle.packs import typed
from tests.walk.packs import whole_pack

Event = tuple[str, dict[str, Any]]

#: Figures that lie inside, between and on the ranges of the generated packs.
FIGURES = {
    "voltage": ["0.4", "0,98", "1.00 V", "1V2", "1500 mV", "2.01", "7"],
    "resistance": ["0.3", "1R0", "2.9", "4k7", "OL"],
}


def start(
    seed: int, sink: Callable[[str, dict[str, Any]], None] | None = None
) -> tuple[Walk, dict[str, Any], np.random.Generator]:
    """A walk on a generated pack in a shop that may lack something, with the pack's plain data."""
    rng = np.random.default_rng(seed)
    data = whole_pack(rng)
    return open_walk(rng, data, sink), data, rng


def open_walk(
    rng: np.random.Generator, data: dict[str, Any], sink: Callable[[str, dict[str, Any]], None] | None = None
) -> Walk:
    lacks = [tool for tool in ("scope", "meter", "fine_work") if rng.random() < 0.2]
    limit = float(rng.choice([5, 60])) if rng.random() < 0.25 else None
    options = {"fitted": "two"} if rng.random() < 0.3 else {}
    bench = {"cover": "removed"} if rng.random() < 0.2 else None
    return Walk(typed(copy.deepcopy(data)), options=options, lacks=lacks, limit=limit, bench=bench, sink=sink)


def answer(rng: np.random.Generator, ask: Ask) -> str | None:
    """What is told of `ask`; None: skip it."""
    if ask.kind in ("option", "history", "measure", "check") and rng.random() < 0.12:
        return None
    if ask.quantity and rng.random() < 0.6:
        return str(rng.choice(FIGURES[ask.quantity]))
    if ask.kind == "repair":
        return str(rng.choice(["done", "given_up", "ruined"], p=[0.86, 0.1, 0.04]))
    if ask.id == "seen":
        return str(rng.choice(["gone", "still"], p=[0.35, 0.65]))
    if ask.kind == "check":
        return str(rng.choice(["passed", "failed"], p=[0.8, 0.2]))
    return str(rng.choice([choice.id for choice in ask.choices]))


def step(walk: Walk, rng: np.random.Generator) -> Ask:
    """Ask and answer once; the ask."""
    ask = walk.ask()
    told = answer(rng, ask)
    if ask.kind == "done":
        return ask
    if told is None:
        walk.skip(ask.id, "for a reason")
    else:
        walk.tell(ask.id, told)
    return ask
