"""What a pack means, by plain enumeration: every coin of every arc, every set of causes.

Shares nothing with the engine: it reads the plain data of a pack, as YAML gives it, and follows the
pack format word by word. A *world* is a set of present causes and the fall of every coin; the number of
worlds is 2 to the number of uncertain arcs, so this serves small packs only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product
from math import log2, sqrt
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

Data = Mapping[str, Any]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Present = frozenset[str]


def listed(value: Any) -> list[str]:
    return [value] if isinstance(value, str) else list(value)


def rules_out(only_if: Any, options: Mapping[str, str]) -> bool:
    """Whether what is known of the options makes every map of `only_if` fail."""
    if not only_if:
        return False
    maps = only_if if isinstance(only_if, list) else [only_if]

    def fails(one: Data) -> bool:
        return any(option in options and options[option] not in listed(values) for option, values in one.items())

    return all(fails(one) for one in maps)


@dataclass
class Told:
    """One thing told: `kind` measure, history or repair; `outcomes` weights of a measurement's outcomes."""

    kind: str
    id: str
    told: str
    outcomes: dict[str, float] = field(default_factory=dict)
    repairs_before: int = 0


class Worlds:
    """All worlds of one machine. Weights are arrays (W,), one a fall of the coins, for each set of causes."""

    def __init__(self, pack: Data, symptom: str, options: Mapping[str, str]) -> None:
        self.pack, self.symptom = pack, symptom
        held = {key: row["default"] for key, row in pack.get("options", {}).items() if "default" in row}
        known = {**held, **options}
        kept = {
            kind: {key: row for key, row in pack[kind].items() if not rules_out(row.get("only_if"), known)}
            for kind in ("causes", "effects")
        }
        self.causes, self.effects = list(kept["causes"]), list(kept["effects"])
        nodes = {*self.causes, *self.effects, symptom}
        self.arcs = [
            (source, target, float(chance))
            for rows in kept.values()
            for source, row in rows.items()
            for target, chance in row.get("leads_to", {}).items()
            if target in nodes
        ]
        self.fires, self.coin_chance = self._coins()
        self._reached: dict[Present, dict[str, Bools]] = {}
        self.prior, self.unlisted = self._prior()

    def _coins(self) -> tuple[list[Bools], Floats]:
        uncertain = [number for number, arc in enumerate(self.arcs) if 0.0 < arc[2] < 1.0]
        falls = np.array(list(product([False, True], repeat=len(uncertain))), dtype=bool)
        falls = falls.reshape(2 ** len(uncertain), len(uncertain))
        chance = np.ones(len(falls))
        fires = [np.full(len(falls), arc[2] == 1.0) for arc in self.arcs]
        for column, number in enumerate(uncertain):
            fires[number] = falls[:, column]
            chance *= np.where(falls[:, column], self.arcs[number][2], 1.0 - self.arcs[number][2])
        return fires, chance

    def reached(self, present: Present) -> dict[str, Bools]:
        """For each cause, effect and the symptom: in which worlds it is there, given the causes present."""
        if present not in self._reached:
            there = {node: np.zeros(len(self.coin_chance), dtype=bool) for node in (*self.effects, self.symptom)}
            there |= {cause: np.full(len(self.coin_chance), cause in present) for cause in self.causes}
            changed = True
            while changed:
                changed = False
                for (source, target, _), fires in zip(self.arcs, self.fires, strict=True):
                    more = there[target] | (there[source] & fires)
                    changed |= bool((more != there[target]).any())
                    there[target] = more
            self._reached[present] = there
        return self._reached[present]

    def _prior(self) -> tuple[dict[Present, Floats], float]:
        unlisted, pairs = float(self.pack.get("unlisted", 0.02)), float(self.pack.get("pairs", 0.0))
        able = [c for c in self.causes if self.reached(frozenset([c]))[self.symptom] @ self.coin_chance > 0]
        weight = {cause: float(self.pack["causes"][cause].get("weight", 1.0)) for cause in able}
        both = {frozenset(two): weight[two[0]] * weight[two[1]] for two in combinations(able, 2)}
        pairs = pairs if both else 0.0
        share = {frozenset([c]): w / sum(weight.values()) * (1 - unlisted - pairs) for c, w in weight.items()}
        if pairs > 0:
            share |= {two: w / sum(both.values()) * pairs for two, w in both.items()}
        prior = {}
        for present, part in share.items():
            shows = self.coin_chance * self.reached(present)[self.symptom]
            prior[present] = part * shows / shows.sum()
        return prior, unlisted

    # -- what is told ------------------------------------------------------------------------------

    def holds(self, when: Any, present: Present) -> Bools:
        there = self.reached(present)
        never = np.zeros(len(self.coin_chance), dtype=bool)
        if isinstance(when, str):
            return there.get(when, never)
        if isinstance(when, list):
            when = {"any": when}
        ((op, parts),) = when.items()
        if op == "not":
            return ~self.holds(parts, present)
        each = np.array([self.holds(part, present) for part in parts])
        return np.asarray(each.all(axis=0) if op == "all" else each.any(axis=0), dtype=bool)

    def likelihood(self, item: Told, present: Present) -> Floats:
        """P(told | world) of a reading or of history."""
        if item.kind == "history":
            fact = self.pack["history"][item.id]
            factor = max(fact["raises"].get(cause, 1.0) for cause in present)
            reported = min(1.0, fact["base"] * factor)
            chance = {"reported": reported, "denied": 1.0 - reported, "not_known": 1.0}[item.told]
            return np.full(len(self.coin_chance), chance)
        row = self.pack["measurements"][item.id]
        slip = float(row.get("misread", self.pack.get("misread", 0.01)))
        count = len(row["outcomes"])
        found = np.zeros(len(self.coin_chance))
        open_ = np.ones(len(self.coin_chance), dtype=bool)
        for rule in row["reads"]:
            here = open_ & (self.holds(rule["when"], present) if "when" in rule else True)
            gives = rule.get("gives", rule.get("otherwise"))
            total = 0.0
            for outcome, share in item.outcomes.items():
                p = float(gives.get(outcome, 0.0))
                total += share * (p if count == 1 else (1 - slip) * p + slip * (1 - p) / (count - 1))
            found[here] = total
            open_ &= ~here
        return found

    def after_repair(
        self, weights: Mapping[Present, Floats], repair: str
    ) -> tuple[dict[Present, Floats], dict[Present, Floats]]:
        """(what is left where the symptom stays, what it was where the symptom goes)."""
        fixes = self.pack["repairs"][repair]["fixes"]
        still: dict[Present, Floats] = {}
        gone = {present: np.zeros(len(self.coin_chance)) for present in weights}
        for present, weight in weights.items():
            for stays in product([False, True], repeat=len(present)):
                left = frozenset(cause for cause, kept in zip(sorted(present), stays, strict=True) if kept)
                chance = 1.0
                for cause, kept in zip(sorted(present), stays, strict=True):
                    chance *= 1 - fixes.get(cause, 0.0) if kept else fixes.get(cause, 0.0)
                shows = self.reached(left)[self.symptom]
                if left:
                    still[left] = still.get(left, 0.0) + weight * chance * shows
                gone[present] += weight * chance * ~shows
        return still, gone

    def own(self, item: Told) -> float:
        """P(told) over all causes given the symptom, on its own."""
        mass = sum(float(weight.sum()) for weight in self.prior.values())
        return sum(float(w @ self.likelihood(item, present)) for present, w in self.prior.items()) / mass

    def posterior(self, told: Sequence[Told]) -> Posterior:
        """The belief after all that was told, in order."""
        weights, unlisted = dict(self.prior), self.unlisted
        mass = sum(float(weight.sum()) for weight in weights.values())
        own_bits = 0.0
        for item in told:
            if item.kind == "repair":
                still, gone = self.after_repair(weights, item.id)
                weights, unlisted = (gone, 0.0) if item.told == "gone" else (still, unlisted)
            else:
                weights = {present: w * self.likelihood(item, present) for present, w in weights.items()}
                own = self.own(item)
                unlisted *= own
                own_bits += log2(own) if own > 0 else float("-inf")
        return Posterior(weights, unlisted, mass, own_bits)


@dataclass
class Posterior:
    """Weights that are not normalised: their sum with `unlisted` is P(all that was told)."""

    weights: dict[Present, Floats]
    unlisted: float
    prior_mass: float
    own_bits: float

    @property
    def total(self) -> float:
        return self.listed + self.unlisted

    @property
    def listed(self) -> float:
        return sum(float(weight.sum()) for weight in self.weights.values())

    @property
    def conflict(self) -> float:
        """Jensen's conflict measure in bits, of readings alone (no repairs)."""
        return self.own_bits - log2(self.listed / self.prior_mass)

    def present(self) -> dict[str, float]:
        found: dict[str, float] = {}
        for present, weight in self.weights.items():
            for cause in present:
                found[cause] = found.get(cause, 0.0) + float(weight.sum()) / self.total
        return {**found, "unlisted": self.unlisted / self.total}


def figure_weights(
    typed: str, percent: float, counts: int, steps: int, ends: Mapping[str, tuple[float, float]]
) -> dict[str, float]:
    """The share of a figure in each range: normal, with the meter's limit and the typed rounding over root 3.

    steps: the meter's counts; its ranges are decades of them (6000: 0.6, 6, 60 …). JCGM 106:2012 for the
    share, JCGM 100 for a limit over root 3.
    """
    value = float(typed)
    top, step = steps * 1e-9, 1e-9
    while top < abs(value):
        top, step = top * 10, step * 10
    limit = percent / 100 * abs(value) + counts * step
    half_digit = 0.5 * 10.0 ** -(len(typed.split(".")[1]) if "." in typed else 0)
    normal = NormalDist(value, sqrt((limit**2 + half_digit**2) / 3))
    return {name: normal.cdf(high) - normal.cdf(low) for name, (low, high) in ends.items()}
