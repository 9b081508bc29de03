"""The step by the plan, for the state of a walk, in the pack's ids."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from nextprobe.belief import Belief
from nextprobe.model.arrays import Floats, sum_by
from nextprobe.model.bench import BenchGraph
from nextprobe.model.compile import Compiled
from nextprobe.model.hypotheses import Hypotheses
from nextprobe.pack.pack import Pack
from nextprobe.plan.scores import OUT_OF_REACH
from nextprobe.walk.decide import REFER, Decision, Posed
from nextprobe.walk.foresee import OneFault, leads, ranking
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.planning import Planning
from nextprobe.walk.poser import Poser
from nextprobe.walk.question import Question

if TYPE_CHECKING:
    from nextprobe.plan.myopic import Values
    from nextprobe.plan.policy import Action


def _id_of(compiled: Compiled, action: Action) -> str:
    if action.kind == "measure":
        return compiled.measurements[action.index]
    return compiled.repairs[action.index] if action.kind == "repair" else REFER


def _one_fault(hypotheses: Hypotheses, weights: Floats, tables: tuple[Floats, ...]) -> OneFault:
    owner = np.append(hypotheses.first[: hypotheses.singles], len(hypotheses.causes))
    return OneFault(weights, owner, (*hypotheses.causes, "unlisted"), tables)


class ByPlan:
    """Asks `planning` what `poser` poses."""

    def __init__(self, pack: Pack, poser: Poser, planning: Planning) -> None:
        self.pack = pack
        self.poser = poser
        self.planning = planning

    def decided(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief, planned: str) -> Decision:
        """The cheapest next step, or `planned` where that is open still ("" for none)."""
        posed = self.poser.posed(steps, hypotheses, belief)
        if posed is None:
            return Decision("none", "")
        graph, state, alone = self.poser.graph(steps, ()), posed.state, posed.alone
        if not self.pack.repairs and self.pack.refer is None:
            return self._identify(steps, hypotheses, graph, state, alone)
        compiled, weights = posed.compiled, posed.weights
        chosen = self.planning.choose(compiled.model, posed.asked, weights, state)
        action, ranks = chosen.action, ranking(self.pack, compiled, chosen)
        decision = Decision(
            action.kind, REFER, ranks, expected=chosen.expected, at_least=chosen.at_least,
            leads=leads(self.pack, compiled, chosen, weights, _one_fault(hypotheses, alone, posed.tables)),
        )  # fmt: skip
        own = _id_of(compiled, action)
        id_ = planned if self._still_open(posed, planned) else own
        if id_ != own:
            # What it costs by the plan at hand, where that prices it; where it leads was planned elsewhere.
            minutes = next((one.minutes for one in ranks if one.id == id_), chosen.expected)
            decision = replace(decision, expected=minutes, leads=())
        if id_ in compiled.measurements:
            return replace(decision, kind="history" if id_ in self.pack.history else "measure", id=id_)
        if id_ in compiled.repairs:
            return replace(decision, kind="repair", id=id_)
        if self.pack.refer is None:
            # Nothing is quoted here: whatever repair is left is tried.
            left = next((candidate.id for candidate in ranks if candidate.kind == "repair"), "")
            return replace(decision, kind="repair" if left else "none", id=left)
        missing = self._missing_skill(steps, hypotheses, graph, state, alone)
        return replace(decision, kind="refer", skill=missing, over_limit=posed.over_limit)

    def _still_open(self, posed: Posed, id_: str) -> bool:
        """Whether the planner may still choose the step `id_`."""
        compiled, asked = posed.compiled, posed.asked
        if id_ in compiled.measurements:
            return not asked.measured[compiled.measurements.index(id_)]
        if id_ in compiled.repairs:
            return not asked.tried[compiled.repairs.index(id_)]
        return id_ == REFER and self.pack.refer is not None

    def _values(self, compiled: Compiled, state: int, weights: Floats, asked: Question) -> Values:
        from nextprobe.plan.myopic import Values, step_values

        values = step_values(
            compiled.model, weights, state, measured=asked.measured, tried=asked.tried, first=asked.first
        )
        repair = np.where(values.repair < OUT_OF_REACH, values.repair, np.inf)
        return Values(np.where(values.measure < OUT_OF_REACH, values.measure, np.inf), repair, values.refer)

    def _missing_skill(
        self, steps: OpenSteps, hypotheses: Hypotheses, graph: BenchGraph, state: int, weights: Floats
    ) -> str:
        """The skill for want of which quoting is cheapest; "" where quoting is cheapest anyway."""
        if not steps.situation.lacks & set(self.pack.skills):
            return ""
        compiled = self.poser.compiled(steps, hypotheses, graph, with_skills=True)
        repairs = [repair.id for repair in steps.repairs(with_skills=True)]
        values = self._values(compiled, state, weights, self.poser.question(steps, compiled, graph, state, repairs))
        kind, index = values.best
        if kind == "refer" or not repairs:
            return ""
        if kind == "measure":
            # With the skill it would pay to go on: to the repair that is cheaper than quoting by most.
            index = int(values.repair.argmin())
            if values.repair[index] >= values.refer:
                return ""
        wanted = set(self.pack.repairs[compiled.repairs[index]].skill) & steps.situation.lacks
        return min(wanted) if wanted else ""

    def _identify(
        self, steps: OpenSteps, hypotheses: Hypotheses, graph: BenchGraph, state: int, weights: Floats
    ) -> Decision:
        from nextprobe.plan.identify import best_question

        compiled = self.poser.compiled(steps, hypotheses, graph, with_skills=False)
        open_ = {m.id for m in steps.measurements()} | {fact.id for fact in steps.facts()}
        measured = np.array([id_ not in open_ for id_ in compiled.measurements], dtype=bool)
        owner = np.append(hypotheses.first[: hypotheses.singles], len(hypotheses.causes))
        top = sum_by(owner, weights).max() / weights.sum()
        index = best_question(compiled.model, weights, state, owner, measured) if top < self.pack.confidence else None
        if index is None:
            return Decision("none", "")
        id_ = compiled.measurements[index]
        return Decision("history" if id_ in self.pack.history else "measure", id_)
