"""What was done out of the order that makes it safe, and cautions that nobody can have read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nextprobe.pack.pack import After, Pack
from nextprobe.walk import Walk
from nextprobe.walk.open_steps import Blocked

#: Words a minute at which grown-ups read plain English silently, mean of 190 studies (Brysbaert 2019, from memory).
READING = 238.0
#: A caution counts as unread only where there was less than this part of the time that a mean reader takes.
QUICK = 0.5
#: A step of fewer minutes by the pack may really be over in seconds.
LONG_ENOUGH = 1.0
NOT_OFFERED = "The pack does not offer it on this machine, or not with what this shop has: judged as telling nothing."


def offered(walk: Walk, id_: str) -> bool:
    """Whether this machine and this shop allow the step at all."""
    pack, steps = walk.pack, walk.open_steps()
    if id_ in pack.measurements:
        return steps.can_measure(pack.measurements[id_])
    return id_ not in pack.repairs or steps.can_repair(pack.repairs[id_])


def out_of_order(walk: Walk, data: Mapping[str, Any]) -> list[str]:
    """What should have come before the step told next, in words; empty where nothing is wrong."""
    pack, steps, id_ = walk.pack, walk.open_steps(), str(data["ask"])
    if data["kind"] not in ("measure", "check", "repair") or data.get("carried"):
        return []
    found = []
    if id_ not in pack.always_first and data["kind"] != "check":
        graph = walk.decider.graph(steps)
        for first in pack.always_first:
            known = pack.measurements[first]
            told = first in steps.state.told or first in steps.state.skipped
            way = graph.nearest(graph.index(walk.bench), known.needs)
            if not told and way is not None and steps.can_measure(known):
                found.append(f"Made before “{known.title}”, which always comes first.")
    after: tuple[After, ...] = ()
    if id_ in pack.measurements:
        after = tuple(pack.measurements[id_].after)
    elif id_ in pack.repairs:
        after = tuple(pack.repairs[id_].after)
    for move in data.get("moves", ()):
        if move in pack.bench.moves:
            after = (*after, *pack.bench.moves[move].after)
    needed = steps.before(tuple(dict.fromkeys(after)))
    if isinstance(needed, Blocked):
        found.append(f"Made although something stands against it: {needed.why}.")
    else:
        found += [f"Made before “{_title(pack, one)}”, which must be told first." for one in needed if one != id_]
    return found + _barred(walk, data)


def _barred(walk: Walk, data: Mapping[str, Any]) -> list[str]:
    before, after = walk.bench, dict(data.get("bench", {}))
    for needs in walk.open_steps().barred():
        for condition, values in needs.items():
            if after.get(condition) in values and before.get(condition) not in values:
                return [f"The bench was moved to {condition} {after[condition]}, which a reading bars."]
    return []


def unread(pack: Pack, data: Mapping[str, Any], known: set[str]) -> list[str]:
    """Cautions met for the first time on this job and answered before they can have been read; `known` takes them in.

    Only where a clock ran beside the step.
    """
    met = [hazard for hazard in _hazards(pack, data) if hazard not in known]
    known.update(met)
    took = data.get("took")
    if not met or not isinstance(took, (int, float)) or float(data.get("minutes", 0.0)) < LONG_ENOUGH:
        return []
    words = " ".join(f"{pack.hazards[one].signal} {pack.hazards[one].say}" for one in met).split()
    if took >= QUICK * len(words) / READING:
        return []
    said = "; ".join(f"{pack.hazards[one].signal}: {pack.hazards[one].say}" for one in met)
    return [
        f"Told {60 * took:.0f} s after it was shown, less than its cautions take to read. Ask whether they were"
        f" read, or whether the step had been made before. {said}"
    ]


def _hazards(pack: Pack, data: Mapping[str, Any]) -> list[str]:
    id_ = str(data["ask"])
    found: list[str] = []
    for move in data.get("moves", ()):
        if move in pack.bench.moves:
            found += pack.bench.moves[move].hazards
    if id_ in pack.measurements:
        found += pack.measurements[id_].hazards
    elif id_ in pack.repairs:
        found += pack.repairs[id_].hazards
    return [one for one in dict.fromkeys(found) if one in pack.hazards]


def _title(pack: Pack, id_: str) -> str:
    return pack.options[id_].ask if id_ in pack.options else pack.title_of(id_)
