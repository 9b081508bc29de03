"""From what was told to the belief: a fold over the evidence, kept so that undo costs nothing."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from threading import Lock

import numpy as np

from nextprobe import belief as b
from nextprobe.model.arrays import Floats
from nextprobe.model.hypotheses import Hypotheses, fact_likelihood, make_hypotheses, rule_table
from nextprobe.pack.applies import applies
from nextprobe.pack.pack import Measurement, Pack, Repair
from nextprobe.walk.state import Evidence

#: Beliefs kept: each is a few megabytes where pairs are unfolded.
KEPT = 60


@dataclass(frozen=True, slots=True)
class Doubt:
    """How likely each told reading is wrong, and the conflict of all readings in bits."""

    conflict: float
    reading: str
    chance: float


class Believer:
    """Beliefs of one pack and symptom; remembers what it computed. Several threads may ask it."""

    def __init__(self, pack: Pack, symptom: str) -> None:
        self.pack = pack
        self.symptom = symptom
        self._hypotheses: dict[tuple[tuple[str, ...], tuple[str, ...]], Hypotheses] = {}
        self._beliefs: dict[tuple[int, tuple[Evidence, ...]], b.Belief] = {}
        self._doubts: dict[tuple[int, tuple[Evidence, ...]], Doubt] = {}
        self._unfolding = Lock()

    def hypotheses(self, options: Mapping[str, str]) -> Hypotheses:
        """The hypotheses on a machine with these options; the same object for the same causes and effects."""
        causes = tuple(k for k, c in self.pack.causes.items() if applies(c.only_if, options) is not False)
        effects = tuple(k for k, e in self.pack.effects.items() if applies(e.only_if, options) is not False)
        with self._unfolding:
            if (causes, effects) not in self._hypotheses:
                self._hypotheses[causes, effects] = make_hypotheses(self.pack, self.symptom, options)
            return self._hypotheses[causes, effects]

    def belief(self, hypotheses: Hypotheses, evidence: tuple[Evidence, ...]) -> b.Belief:
        """The belief after `evidence`, in order."""
        key = (id(hypotheses), evidence)
        known = self._beliefs.get(key)
        if known is not None:
            return known
        if not evidence:
            result = b.start(hypotheses)
        else:
            result = self._after(hypotheses, self.belief(hypotheses, evidence[:-1]), evidence[-1])
        if len(self._beliefs) > KEPT:
            self._beliefs = {}
        self._beliefs[key] = result
        return result

    def present(self, hypotheses: Hypotheses, evidence: tuple[Evidence, ...]) -> dict[str, float]:
        """The probability after `evidence` that each cause is present, and ``unlisted``."""
        return b.present(self.belief(hypotheses, evidence), hypotheses)

    def any_present(self, hypotheses: Hypotheses, evidence: tuple[Evidence, ...], causes: Collection[str]) -> float:
        """The probability after `evidence` that at least one of `causes` is present; ``unlisted`` counts as one."""
        return b.any_present(self.belief(hypotheses, evidence), hypotheses, causes)

    def _after(self, hypotheses: Hypotheses, before: b.Belief, item: Evidence) -> b.Belief:
        if item.kind == "repair":
            fixes = fixes_of(self.pack.repairs[item.id], hypotheses)
            step = b.gone_after if item.told == "gone" else b.still_after
            return step(before, hypotheses, fixes)
        likelihood, own = self.likelihood(hypotheses, item)
        return b.read(before, likelihood, own)

    def likelihood(self, hypotheses: Hypotheses, item: Evidence) -> tuple[Floats, float]:
        """P(told | hypothesis) (n,) of a reading or a fact, and the same on its own."""
        if item.kind == "history":
            likelihood = fact_likelihood(hypotheses, self.pack.history[item.id], item.told)
        else:
            measurement = self.pack.measurements[item.id]
            weights = outcome_vector(measurement, item)
            likelihood = (rule_table(measurement) @ weights)[hypotheses.rule_index(measurement)]
        return likelihood, b.own_chance(hypotheses, likelihood)

    def doubt(self, hypotheses: Hypotheses, evidence: tuple[Evidence, ...]) -> Doubt:
        """The conflict of the readings, and the one that is likeliest wrong."""
        key = (id(hypotheses), evidence)
        known = self._doubts.get(key)
        if known is None:
            if len(self._doubts) > KEPT:
                self._doubts = {}
            known = self._doubts[key] = self._doubt(hypotheses, evidence)
        return known

    def _doubt(self, hypotheses: Hypotheses, evidence: tuple[Evidence, ...]) -> Doubt:
        belief = self.belief(hypotheses, evidence)
        worst, chance = "", 0.0
        last_repair = max((n for n, item in enumerate(evidence) if item.kind == "repair"), default=-1)
        for item in evidence[last_repair + 1 :]:
            if item.kind != "measure":
                continue
            measurement = self.pack.measurements[item.id]
            weights = outcome_vector(measurement, item)
            index = hypotheses.rule_index(measurement)
            likelihood = (rule_table(measurement) @ weights)[index]
            slipped = (_slip_table(measurement) @ weights)[index]
            own, own_slipped = b.own_chance(hypotheses, likelihood), b.own_chance(hypotheses, slipped)
            wrong = b.wrong_chance(belief, likelihood, slipped, own, own_slipped)
            if wrong > chance:
                worst, chance = item.id, wrong
        return Doubt(belief.conflict, worst, chance)


def outcome_vector(measurement: Measurement, item: Evidence) -> Floats:
    """(O,) the weight of each outcome that was told."""
    weights = dict(item.outcomes)
    return np.array([weights.get(outcome, 0.0) for outcome in measurement.outcomes])


def _slip_table(measurement: Measurement) -> Floats:
    """(rules, O) the part of P'(o | rule) that comes from a misread."""
    outcomes = list(measurement.outcomes)
    table = np.array([[rule.gives.get(outcome, 0.0) for outcome in outcomes] for rule in measurement.reads])
    if len(outcomes) < 2:
        return np.zeros_like(table)
    return measurement.misread * (1.0 - table) / (len(outcomes) - 1)


def fixes_of(repair: Repair, hypotheses: Hypotheses) -> Floats:
    """(C,) the chance that the repair removes each cause."""
    return np.array([repair.fixes.get(cause, 0.0) for cause in hypotheses.causes])
