"""The arguments of `Model.from_arrays`, checked, as the fields of a model."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.check_arrays import (
    chances,
    indices_or_masks,
    mask,
    minutes_array,
    parts,
    shortest_ways,
    state_index,
    without_circle,
)
from nextprobe.model.still import Still, make_still
from nextprobe.model.wants import Wants


def fields(
    prior: Any,
    likelihoods: Sequence[Any],
    minutes: Any,
    repairs: tuple[Any, ...] | None,
    refer: float | None,
    setup: tuple[Any, ...] | None,
    wants: tuple[Any, Any] | None,
    excludes: Any,
    stops: Any,
    proof: tuple[Any, Any, Any] | None,
    confidence: float,
) -> dict[str, Any]:
    """The fields of a model by name. Raises ModelError that names the entry which is wrong, and why."""
    p = chances("prior", prior, (None,))
    p = p / p.sum()
    tables = tuple(
        chances(f"likelihoods[{t}]", table, (len(p), None), rows=True)
        for t, table in enumerate(parts("likelihoods", likelihoods))
    )
    cost = minutes_array("minutes", minutes, (len(tables),))
    fixes, repair_cost, *left = parts("repairs", repairs, 2, 3) if repairs is not None else (np.zeros((0, len(p))), [])
    fixes = chances("repairs[0]", fixes, (None, len(p)), total=False)
    repair_cost = minutes_array("repairs[1]", repair_cost, (len(fixes),))
    moves, at_m, at_r, first, *end = (
        parts("setup", setup, 4, 5) if setup is not None else (np.zeros((1, 1)), None, None, 0)
    )
    ways = shortest_ways("setup[0]", moves)
    states = len(ways)
    back = ways[:, state_index("setup[4]", end[0], states)] if end else np.zeros(states)
    at_measurement = indices_or_masks("setup[1]", at_m, len(tables), states)
    at_repair = indices_or_masks("setup[2]", at_r, len(fixes), states)
    start = state_index("setup[3]", first, states)
    told_first = _wants(wants, len(tables), len(fixes))
    to_seen, seen_state, tail = _proof(proof, len(fixes), states, back)
    if refer is not None:
        price = float(minutes_array("refer", [refer], (1,))[0])
    else:
        done = np.where(at_repair, to_seen, 0.0).max(axis=1, initial=0.0)
        price = _all_of(ways, at_repair, repair_cost + done)
        if told_first is not None:
            wanted = told_first.before_repair.any(axis=0)
            price += _all_of(ways, at_measurement[wanted], cost[wanted])
        closing = np.concatenate([back, tail.ravel()])
        # A hair more, so that a tie is never a quote that does not exist.
        price = (price + float(np.where(np.isfinite(closing), closing, 0.0).max())) * 1.001 + 0.001
    return {
        "prior": p,
        "likelihoods": tables,
        "minutes": cost,
        "ways": ways,
        "at_measurement": at_measurement,
        "fixes": fixes,
        "repair_minutes": repair_cost,
        "at_repair": at_repair,
        "proof": to_seen,
        "proof_state": seen_state,
        "tail": tail,
        "refer": price + back,
        "start": start,
        "stops": _stops(stops, tables),
        "identify": repairs is None and refer is None,
        "can_refer": refer is not None,
        "confidence": _confidence(confidence),
        "wants": told_first,
        "excludes": mask("excludes", excludes, (len(tables), len(tables))) if excludes is not None else None,
        "still": _still(left[0], fixes) if left and left[0] is not None else None,
    }


def _wants(wants: tuple[Any, Any] | None, tests: int, repairs: int) -> Wants | None:
    if wants is None:
        return None
    measure, repair = parts("wants", wants, 2, 2)
    measure = np.zeros((tests, tests), bool) if measure is None else mask("wants[0]", measure, (tests, tests))
    repair = np.zeros((repairs, tests), bool) if repair is None else mask("wants[1]", repair, (repairs, tests))
    return Wants(without_circle("wants[0]", measure), repair) if measure.any() or repair.any() else None


def _stops(stops: Any, tables: Sequence[Floats]) -> tuple[Bools, ...]:
    if stops is None:
        return tuple(np.zeros(table.shape[1], dtype=bool) for table in tables)
    given = parts("stops", stops, len(tables), len(tables))
    return tuple(mask(f"stops[{t}]", one, (tables[t].shape[1],)) for t, one in enumerate(given))


def _proof(proof: tuple[Any, Any, Any] | None, repairs: int, states: int, back: Floats) -> tuple[Floats, Ints, Floats]:
    """Minutes to the look at the symptom (R, S), the state then (R, S), what a cured job costs from there (R, S)."""
    shape = (repairs, states)
    if proof is None:
        return np.zeros(shape), np.broadcast_to(np.arange(states), shape), np.broadcast_to(back, shape)
    minutes, state, tail = parts("proof", proof, 3, 3)
    then = np.asarray(state)
    if then.shape != shape:
        raise ModelError(f"proof[1] has the shape {then.shape}.", f"It must be {shape}, a state index at each place.")
    for place in np.ndindex(*shape):
        state_index(f"proof[1][{place[0]}, {place[1]}]", then[place], states)
    return minutes_array("proof[0]", minutes, shape), then.astype(np.int64), minutes_array("proof[2]", tail, shape)


def _confidence(value: Any) -> float:
    share = float(chances("confidence", [value], (1,), total=False)[0])
    if share <= 0:
        raise ModelError(f"confidence is {value!r}.", "Give a share above 0 and at most 1.")
    return share


def _still(value: Any, fixes: Floats) -> Still | None:
    """The transition form of repairs: dense (R, H, H), or for each repair a tuple (source, target, chance)."""
    repairs, hypotheses = fixes.shape
    triples = isinstance(value, (list, tuple)) and len(value) > 0 and all(isinstance(one, tuple) for one in value)
    given = _triples(value, repairs, hypotheses) if triples else _dense(value, repairs, hypotheses)
    for repair, (source, _, chance) in enumerate(given):
        total = fixes[repair] + np.bincount(source, weights=chance, minlength=hypotheses)
        off = np.abs(total - 1.0) > 1e-6
        if off.any():
            h = int(np.argmax(off))
            raise ModelError(
                f"repairs[2]: repair {repair} and hypothesis {h}: fixes and what is left sum to {total[h]:.6g}.",
                "They must sum to 1: the symptom is gone, or some hypothesis is left.",
            )
    still = make_still(np.zeros(fixes.shape), given)
    if not any(len(moves.source) for moves in still.moves):
        return None  # nothing moves: 1 - fixes says it all
    return still


def _dense(value: Any, repairs: int, hypotheses: int) -> list[tuple[Ints, Ints, Floats]]:
    dense = chances("repairs[2]", value, (repairs, hypotheses, hypotheses), total=False)
    given = []
    for one in dense:
        source, target = np.nonzero(one)
        given.append((source, target, one[source, target]))
    return given


def _triples(value: Sequence[Any], repairs: int, hypotheses: int) -> list[tuple[Ints, Ints, Floats]]:
    given = []
    for repair, one in enumerate(parts("repairs[2]", value, repairs, repairs)):
        name = f"repairs[2][{repair}]"
        source, target, chance = parts(name, one, 3, 3)
        share = chances(f"{name}[2]", chance, (None,), total=False)
        ends = []
        for place, ids in enumerate((source, target)):
            if len(ids) != len(share):
                raise ModelError(f"{name}[{place}] has {len(ids)} entries.", f"Give one for each of {len(share)}.")
            ends.append(
                np.array([_hypothesis(f"{name}[{place}][{n}]", h, hypotheses) for n, h in enumerate(ids)], np.int64)
            )
        given.append((ends[0], ends[1], share))
    return given


def _hypothesis(name: str, value: Any, hypotheses: int) -> int:
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or not 0 <= value < hypotheses:
        raise ModelError(f"{name} is {value!r}.", f"Give a hypothesis index in 0..{hypotheses - 1}.")
    return int(value)


def _all_of(ways: Floats, serves: Bools, minutes: Floats) -> float:
    """Minutes that suffice to do all of these, from wherever each is begun."""
    nearest = np.where(serves[None, :, :], ways[:, None, :], np.inf).min(axis=2, initial=np.inf)
    farthest = np.where(np.isfinite(nearest), nearest, 0.0).max(axis=0, initial=0.0)
    return float(minutes.sum() + farthest.sum())
