"""One fault as a network of a general-purpose library, built from a pack's plain data.

The cause is one variable (with the state "none of these" left out: given the symptom some listed cause is
there), every effect and the symptom a noisy-OR of their parents, every measurement a child of what its
rules read. Conditioning each cause's effects and never its share is done by likelihood weights on
the cause: P(symptom | cause) is taken out again, as the pack format has it.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from itertools import product
from typing import Any

import pytest

with warnings.catch_warnings():
    # The library's own binding warns at import, and its C part does not bear a warning as an error.
    warnings.simplefilter("ignore")
    gum: Any = pytest.importorskip("pyagrum", reason="there is no wheel of pyagrum here")

Data = Mapping[str, Any]


class OneFault:
    """The network of one symptom of `pack`; `causes` and `effects` are those that apply."""

    def __init__(self, pack: Data, symptom: str, causes: Mapping[str, Data], effects: Mapping[str, Data]) -> None:
        self.pack, self.symptom = pack, symptom
        self.causes, self.effects = list(causes), list(effects)
        self.net = gum.BayesNet()
        self.net.add(gum.LabelizedVariable("cause", "cause", self.causes))
        weights = [float(causes[cause].get("weight", 1.0)) for cause in self.causes]
        self.net.cpt("cause").fillWith([weight / sum(weights) for weight in weights])
        into: dict[str, dict[str, float]] = {node: {} for node in (*self.effects, symptom)}
        for source, row in (*causes.items(), *effects.items()):
            for target, chance in row.get("leads_to", {}).items():
                if target in into:
                    into[target][source] = float(chance)
        for node, arcs in into.items():
            # Each cause as a variable of its own, so that the library's noisy-OR serves.
            self.net.addNoisyORNet(gum.LabelizedVariable(node, node, ["no", "yes"]), 0.0)
            for source in arcs:
                self._indicator(source)
        for node, arcs in into.items():
            for source, chance in arcs.items():
                name = source if source in into else f"is_{source}"
                self.net.addWeightedArc(self.net.idFromName(name), self.net.idFromName(node), chance)
        for id_, row in pack["measurements"].items():
            self._measurement(id_, row)

    def _indicator(self, cause: str) -> None:
        name = f"is_{cause}"
        if cause not in self.causes or name in self.net.names():
            return
        self.net.add(gum.LabelizedVariable(name, name, ["no", "yes"]))
        self.net.addArc("cause", name)
        self.net.cpt(name).fillWith(
            [share for c in self.causes for share in ((0.0, 1.0) if c == cause else (1.0, 0.0))]
        )

    def _measurement(self, id_: str, row: Data) -> None:
        if not row.get("reads"):
            return
        outcomes = list(row["outcomes"])
        slip = float(row.get("misread", self.pack.get("misread", 0.01)))
        read = sorted({node for rule in row["reads"] for node in names(rule.get("when"))})
        for node in read:
            self._indicator(node)
        known = [node for node in read if node in self.causes or node in self.effects]
        parents = [f"is_{node}" if node in self.causes else node for node in known]
        self.net.add(gum.LabelizedVariable(id_, id_, outcomes))
        for parent in parents:
            self.net.addArc(parent, id_)
        for values in product([False, True], repeat=len(known)):
            there = {node for node, value in zip(known, values, strict=True) if value}
            gives = next(
                rule.get("gives", rule.get("otherwise"))
                for rule in row["reads"]
                if "when" not in rule or holds(rule["when"], there)
            )
            chances = [float(gives.get(outcome, 0.0)) for outcome in outcomes]
            if len(outcomes) > 1:
                chances = [(1 - slip) * p + slip * (1 - p) / (len(outcomes) - 1) for p in chances]
            place = {parent: int(value) for parent, value in zip(parents, values, strict=True)}
            self.net.cpt(id_)[place if place else slice(None)] = chances

    def can_show(self) -> bool:
        """Whether any of the causes can produce the symptom."""
        inference = gum.LazyPropagation(self.net)
        return float(inference.evidenceImpact(self.symptom, [])[1]) > 0

    def posterior(self, told: Mapping[str, Mapping[str, float]]) -> tuple[dict[str, float], float, list[float]]:
        """P(cause | all told) with one fault, P(all told) and P(each told) given the symptom.

        told: weights of the outcomes of each measurement.
        """
        shows = []
        for cause in self.causes:
            alone = gum.LazyPropagation(self.net)
            alone.setTargets({self.symptom})
            alone.setEvidence({"cause": cause})
            shows.append(float(alone.posterior(self.symptom)[1]))
        allowed = [1.0 / p if p > 0 else 0.0 for p in shows]
        scale = max(allowed)
        soft = [weight / scale for weight in allowed]

        def chance(items: Mapping[str, Mapping[str, float]]) -> tuple[float, list[float]]:
            inference = gum.LazyPropagation(self.net)
            inference.addEvidence(self.symptom, "yes")
            inference.addEvidence("cause", soft)
            for id_, weights in items.items():
                inference.addEvidence(id_, [weights.get(o, 0.0) for o in self.pack["measurements"][id_]["outcomes"]])
            return float(inference.evidenceProbability()), [float(p) for p in inference.posterior("cause").tolist()]

        base, _ = chance({})
        joint, shares = chance(told)
        own = [chance({id_: weights})[0] / base for id_, weights in told.items()]
        return dict(zip(self.causes, shares, strict=True)), joint / base, own


def names(when: Any) -> set[str]:
    """Every id that a condition names."""
    if when is None:
        return set()
    if isinstance(when, str):
        return {when}
    parts = (
        [part for value in when.values() for part in (value if isinstance(value, list) else [value])]
        if isinstance(when, Mapping)
        else when
    )
    return {name for part in parts for name in names(part)}


def holds(when: Any, there: set[str]) -> bool:
    """Whether a condition holds where these causes and effects are present."""
    if isinstance(when, str):
        return when in there
    if isinstance(when, Mapping):
        ((op, parts),) = when.items()
        if op == "not":
            return not holds(parts, there)
        each = [holds(part, there) for part in parts]
        return all(each) if op == "all" else any(each)
    return any(holds(part, there) for part in when)
