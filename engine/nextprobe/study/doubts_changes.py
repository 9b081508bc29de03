"""A pack with one number changed by a factor: what the pack would be if that number were off by its doubt.

Times, prices, weights and factors are multiplied. Chances keep within 0..1 by their odds (Good 1950, Probability and
the Weighing of Evidence), and the other chances of a distribution share what is left as they did.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from nextprobe.pack.numbers import Number
from nextprobe.pack.pack import Economics, Measurement, Pack, Repair

#: Kinds that no plan for one fault reads: limits and meters sort a reading, the rest is of two faults or of no repair.
UNREAD = frozenset({"range", "share", "meter", "good", "pairs", "confidence"})


def odds_times(chance: float, factor: float) -> float:
    """The chance (0..1) whose odds are `factor` times those of `chance`; 0 and 1 stay."""
    return chance * factor / (1.0 - chance + chance * factor)


def changed(pack: Pack, number: Number, factor: float) -> Pack | None:
    """`pack` with `number` times `factor` (a chance: its odds); None where no plan reads such a number."""
    path, kind = number.path, number.kind
    if kind in UNREAD:
        return None
    block, id_ = path[0], str(path[1]) if len(path) > 1 else ""
    if block == "economics":
        return _economics(pack, id_, factor)
    if block == "unlisted":
        return replace(pack, unlisted=odds_times(pack.unlisted, factor))
    if block == "misread":
        return _misread(pack, factor)
    if block == "bench":
        move = pack.bench.moves[str(path[2])]
        moves = {**pack.bench.moves, move.id: replace(move, minutes=move.minutes * factor)}
        return replace(pack, bench=replace(pack.bench, moves=moves))
    if block == "symptoms":
        symptom = pack.symptoms[id_]
        own: Any = {kind: getattr(symptom.seen, kind) * factor}
        return replace(pack, symptoms={**pack.symptoms, id_: replace(symptom, seen=replace(symptom.seen, **own))})
    if block == "refer":
        quoted: Any = {kind: getattr(pack.refer, kind) * factor}
        return None if pack.refer is None else replace(pack, refer=replace(pack.refer, **quoted))
    if block == "history":
        fact = pack.history[id_]
        if kind == "base":
            fact = replace(fact, base=odds_times(fact.base, factor))
        else:
            fact = replace(fact, raises=_times(fact.raises, str(path[3]), factor))
        return replace(pack, history={**pack.history, id_: fact})
    if block == "causes":
        cause = pack.causes[id_]
        if kind == "weight":
            cause = replace(cause, weight=cause.weight * factor)
        else:
            cause = replace(cause, leads_to=_odds(cause.leads_to, str(path[3]), factor))
        return replace(pack, causes={**pack.causes, id_: cause})
    if block == "effects":
        effect = pack.effects[id_]
        effect = replace(effect, leads_to=_odds(effect.leads_to, str(path[3]), factor))
        return replace(pack, effects={**pack.effects, id_: effect})
    if block == "measurements":
        measurement = _measurement(pack.measurements[id_], number, factor)
        return replace(pack, measurements={**pack.measurements, id_: measurement})
    repair = _repair(pack.repairs[id_], number, factor)
    return replace(pack, repairs={**pack.repairs, id_: repair})


def _measurement(measurement: Measurement, number: Number, factor: float) -> Measurement:
    kind = number.kind
    if kind == "likelihood":
        place, outcome = number.path[3], str(number.path[5])
        reads = tuple(
            replace(rule, gives=_shared(rule.gives, outcome, factor)) if index == place else rule
            for index, rule in enumerate(measurement.reads)
        )
        return replace(measurement, reads=reads)
    if kind == "misread":
        return replace(measurement, misread=odds_times(measurement.misread, factor))
    own: Any = {kind: getattr(measurement, kind) * factor}
    return replace(measurement, **own)


def _repair(repair: Repair, number: Number, factor: float) -> Repair:
    if number.kind == "fixes":
        return replace(repair, fixes=_odds(repair.fixes, str(number.path[3]), factor))
    if number.kind == "risk":
        return replace(repair, risk=odds_times(repair.risk, factor))
    own: Any = {number.kind: getattr(repair, number.kind) * factor}
    return replace(repair, **own)


def _economics(pack: Pack, key: str, factor: float) -> Pack:
    own: Any = {key: getattr(pack.economics, key) * factor}
    economics: Economics = replace(pack.economics, **own)
    refer = pack.refer
    if key == "loss" and refer is not None and "parts" not in (pack.data.get("refer") or {}):
        refer = replace(refer, parts=economics.loss)  # a quote costs a loss where it states no price
    return replace(pack, economics=economics, refer=refer)


def _misread(pack: Pack, factor: float) -> Pack:
    """The chance of a slip of all measurements that state none of their own."""
    slip = odds_times(pack.misread, factor)
    rows = pack.data.get("measurements") or {}
    measurements = {
        id_: one if "misread" in (rows.get(id_) or {}) else replace(one, misread=slip)
        for id_, one in pack.measurements.items()
    }
    return replace(pack, misread=slip, measurements=measurements)


def _shared(gives: Mapping[str, float], outcome: str, factor: float) -> dict[str, float]:
    old = gives[outcome]
    new = odds_times(old, factor)
    others = (1.0 - new) / (1.0 - old) if old < 1.0 else 1.0
    return {key: new if key == outcome else chance * others for key, chance in gives.items()}


def _times(row: Mapping[str, float], key: str, factor: float) -> dict[str, float]:
    return {**row, key: row[key] * factor}


def _odds(row: Mapping[str, float], key: str, factor: float) -> dict[str, float]:
    return {**row, key: odds_times(row[key], factor)}
