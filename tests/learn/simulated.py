"""Jobs simulated for the tests: a machine by the true pack, led by the planner with another pack's numbers.

The planner is asked as a walk asks it, at every step; what was told once need not be planned again.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from nextprobe.learn.case import Case, Timing
from nextprobe.learn.learn import with_learned
from nextprobe.learn.learned import Learned
from nextprobe.model.arrays import Floats
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.pack.pack import Fact, Pack
from nextprobe.plan.policy import Action
from nextprobe.plan.simulate import allowed
from nextprobe.study.figures import fold_of, plan_of, told_of
from nextprobe.study.subject import Subject
from nextprobe.study.walking import Replanning
from nextprobe.walk.state import Evidence

OPTIONS = {"dynamo_kind": "hub", "lamp_kind": "diode", "return_path": "wire", "rear_lamp": "fed"}


def on_machine(pack: Pack, options: dict[str, str]) -> Pack:
    """The pack on a machine of which all is known."""
    return replace(pack, known_options=options)


def wrong_weights(pack: Pack, rng: np.random.Generator, factor: float = 3.0, *, coin: bool = False) -> Pack:
    """Every weight wrong by a factor up to `factor` either way, evenly in its logarithm; coin: by exactly it."""
    causes = {}
    for key, cause in pack.causes.items():
        far = rng.choice([-1.0, 1.0]) if coin else rng.uniform(-1.0, 1.0)
        causes[key] = replace(cause, weight=cause.weight * factor**far)
    return replace(pack, causes=causes)


@dataclass
class Bench:
    """Machines that break by `true`, led by what `believed` says; both the same pack but for its numbers."""

    true: Subject
    believed: Subject
    options: dict[str, str]
    policy: Replanning = field(default_factory=Replanning)
    _chosen: dict[tuple[tuple[str, int, int], ...], Action] = field(default_factory=dict)

    def case(self, rng: np.random.Generator, pace: float = 1.0, scatter: float = 0.3) -> Case:
        """One job, from the first step to a repair or the quote. pace, scatter: of its minutes by the clock."""
        true, model, compiled = self.true.model, self.believed.model, self.believed.compiled
        hidden = int(rng.choice(len(true.prior), p=true.prior / true.prior.sum()))
        belief, state = model.prior, model.start
        measured = np.zeros(len(model.likelihoods), dtype=bool)
        tried = np.zeros(len(model.fixes), dtype=bool)
        told: tuple[tuple[str, int, int], ...] = ()
        evidence: list[Evidence] = []
        timings: list[Timing] = []
        while True:
            if told not in self._chosen:
                chosen = self.policy.choose(model, belief, state, measured, tried)
                self._chosen[told] = allowed(model, chosen, measured)
            action = self._chosen[told]
            index = action.index
            if action.kind == "refer":
                return self._case(evidence, timings, "referred")
            if action.kind == "measure":
                outcome = int(rng.choice(model.likelihoods[index].shape[1], p=_row(true.likelihoods[index], hidden)))
                evidence += self._read(index, outcome)
                minutes = float(model.minutes[index])
                timings.append(Timing(compiled.measurements[index], 0.0, _took(rng, minutes, pace, scatter)))
                if model.stops[index][outcome]:
                    return self._case(evidence, timings, "stopped")
                state = int(model.nearest_measurement[1][state, index])
                belief = belief * model.likelihoods[index][:, outcome]
                measured = model.told_after(measured[None, :], np.array([index]))[0]
                told = (*told, ("measure", index, outcome))
                continue
            at = int(model.nearest_repair[1][state, index])
            state = int(model.proof_state[index, at])
            id_ = compiled.repairs[index]
            gone = bool(rng.random() < true.fixes[index, hidden])
            evidence.append(Evidence(id_, "repair", "gone" if gone else "still"))
            if gone:
                return self._case(evidence, timings, "repaired")
            belief = model.after_failure(belief[None, :], index)[0]
            tried = tried.copy()
            tried[index] = True
            told = (*told, ("repair", index, 0))

    def _case(self, evidence: list[Evidence], timings: list[Timing], ending: str) -> Case:
        options, day = tuple(sorted(self.options.items())), "2026-03-02"
        return Case("a", self.true.symptom, options, tuple(evidence), ending, day, "", tuple(timings))

    def _read(self, index: int, outcome: int) -> list[Evidence]:
        """What is told in one act, one reading each."""
        act = self.believed.compiled.acts[index]
        sizes = [2 if isinstance(one, Fact) else len(one.outcomes) for one in act]
        found = []
        for one, place in zip(act, np.unravel_index(outcome, sizes), strict=True):
            if isinstance(one, Fact):
                found.append(Evidence(one.id, "history", ("reported", "denied")[int(place)]))
            else:
                name = list(one.outcomes)[int(place)]
                found.append(Evidence(one.id, "measure", name, ((name, 1.0),)))
        return found


def _row(table: Floats, hidden: int) -> Floats:
    return np.asarray(table[hidden] / table[hidden].sum())


def _took(rng: np.random.Generator, minutes: float, pace: float, scatter: float) -> float:
    return float(minutes * pace * np.exp(scatter * rng.standard_normal() - scatter**2 / 2.0))


def weights_of(pack: Pack, learned: Learned) -> Pack:
    """The pack with the learnt weights alone, so that its plan can be told exactly for the true shares."""
    only = [one for one in learned.changes if one.kind in ("weight", "unlisted")]
    return with_learned(pack, replace(learned, changes=tuple(only)))


def cost_on(true: Model, believed: Subject) -> float:
    """Minutes a job by the policy that `believed` plans, on machines that break by the shares of `true`.

    Both differ in their shares alone: a plan told for each hypothesis needs other weights only to be summed.
    """
    lean, group = merged(believed.model)
    figures = told_of(lean, group, plan_of(lean), fold_of(believed.model, lean, group, None))
    return float(true.prior @ figures.minutes[group] / true.prior.sum())
