"""What the planner is asked about the state of a walk: the model, what is open, and the price of what comes first."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

import numpy as np

from nextprobe.belief import Belief
from nextprobe.model.arrays import Bools
from nextprobe.model.bench import BenchGraph
from nextprobe.model.compile import Compiled, compile_model, repair_minutes
from nextprobe.model.hypotheses import Hypotheses
from nextprobe.model.pairs import with_pairs
from nextprobe.pack.pack import Needs, Pack, Repair
from nextprobe.plan.prices import Prices
from nextprobe.walk.decide import Posed
from nextprobe.walk.open_steps import Blocked, OpenSteps
from nextprobe.walk.question import Question

#: Two faults at once are planned for where they are more than this share of the belief, and only once something speaks
#: for them: a repair that left the symptom, or readings that disagree by so many bits.
PAIRS_SHARE, PAIRS_CONFLICT = 0.01, 3.0


def two_faults(hypotheses: Hypotheses, belief: Belief, tried: bool) -> bool:
    """Whether two faults at once are worth planning for; tried: whether a repair left the symptom."""
    share = float(belief.weights[hypotheses.singles :].sum())
    total = float(belief.weights.sum()) + belief.unlisted
    return share > PAIRS_SHARE * total and (tried or belief.conflict > PAIRS_CONFLICT)


class Poser:
    """Poses the questions of one walk. Compiled models are kept while the bench, the options and the shop stay alike.

    graph: the bench as it can be moved now, or once what bars it is told (the ids given).
    """

    def __init__(self, pack: Pack, symptom: str, graph: Callable[[OpenSteps, Sequence[str]], BenchGraph]) -> None:
        self.pack = pack
        self.symptom = symptom
        self.graph = graph
        self._models: dict[object, Compiled] = {}

    def compiled(self, steps: OpenSteps, hypotheses: Hypotheses, graph: BenchGraph, *, with_skills: bool) -> Compiled:
        """The model of all steps of this shop on this machine; with_skills: as if no skill were lacking."""
        # Everything that this shop and machine allow, so that one model serves the whole walk; what
        # has been told since is masked, not compiled away.
        measurements = [
            m for m in self.pack.measurements.values() if not m.is_check and not m.with_ and steps.can_measure(m)
        ]
        repairs = [r for r in self.pack.repairs.values() if steps.can_repair(r, with_skills=with_skills) and r.fixes]
        facts = [fact for fact in self.pack.history.values() if fact.raises]
        follow = {m.id: steps.followers(m.id) for m in measurements}
        read_together = tuple((id_, tuple(f.id for f in others)) for id_, others in follow.items() if others)
        asked = tuple(m.id for m in measurements), tuple(r.id for r in repairs), read_together
        key = (id(hypotheses), id(graph), repr(steps.state.bars), asked)
        if key not in self._models:
            if len(self._models) > 8:
                self._models.clear()
            self._models[key] = compile_model(
                self.pack, self.symptom, hypotheses, graph, graph.index(steps.state.bench),
                measurements=measurements, facts=facts, repairs=repairs,
                followers=lambda id_: follow[id_],
                checks_open=lambda check: steps.can_measure(self.pack.measurements[check]),
                proof_graph=lambda repair: self.graph(steps, (repair.id, *repair.prove, *steps.retakable())),
            )  # fmt: skip
        return self._models[key]

    def compiled_now(self, steps: OpenSteps, hypotheses: Hypotheses) -> Compiled:
        """The model as it is now, started from the bench as it is."""
        graph = self.graph(steps, ())
        compiled = self.compiled(steps, hypotheses, graph, with_skills=False)
        model = replace(compiled.model, start=graph.index(steps.state.bench))
        if not self.pack.repairs and self.pack.refer is None:
            model = replace(model, identify=True, can_refer=False, confidence=self.pack.confidence)
        return replace(compiled, model=model)

    def posed(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief) -> Posed | None:
        """What the planner is asked about a state; None where nothing is believed possible."""
        graph = self.graph(steps, ())
        state = graph.index(steps.state.bench)
        weights = np.append(belief.weights[: hypotheses.singles], belief.unlisted)
        if weights.sum() <= 0:
            return None
        compiled = self.compiled(steps, hypotheses, graph, with_skills=False)
        if not self.pack.repairs and self.pack.refer is None:
            compiled = self.compiled_now(steps, hypotheses)
        repairs, over = self._within_limit(steps, graph, state)
        asked = self.question(steps, compiled, graph, state, [r.id for r in repairs])
        alone, tables = weights, tuple(compiled.model.likelihoods)
        if two_faults(hypotheses, belief, bool(steps.state.tried)):
            compiled, weights = with_pairs(compiled, hypotheses, belief.weights, belief.unlisted)
        return Posed(compiled, asked, weights, state, alone, tables, over)

    def question(
        self, steps: OpenSteps, compiled: Compiled, graph: BenchGraph, state: int, repairs: Sequence[str]
    ) -> Question:
        """What is open now, as masks, and the price of what must come first."""
        measurements = {m.id for m in steps.measurements()} | {fact.id for fact in steps.facts()}
        measured = np.array([id_ not in measurements for id_ in compiled.measurements], dtype=bool)
        return Question(
            measured=measured,
            tried=np.array([id_ not in repairs for id_ in compiled.repairs], dtype=bool),
            first=self._prices(steps, compiled, graph, state, measured),
        )

    def _prices(self, steps: OpenSteps, compiled: Compiled, graph: BenchGraph, state: int, measured: Bools) -> Prices:
        """Minutes of what must be told first and is no open measurement of the model, which knows these itself."""
        known = {one.id for index, act in enumerate(compiled.acts) if not measured[index] for one in act}
        measure = np.array([self._price(steps, graph, state, id_, known) for id_ in compiled.measurements])
        repair = np.array([self._price(steps, graph, state, id_, known) for id_ in compiled.repairs])
        return Prices(measure, repair, np.zeros((len(measure), len(repair))))

    def _price(self, steps: OpenSteps, graph: BenchGraph, state: int, id_: str, known: Collection[str]) -> float:
        """Minutes of what must be told before the step, one after another, without what is in `known`."""
        if id_ in self.pack.history:
            return 0.0
        after = self.pack.measurements[id_].after if id_ in self.pack.measurements else self.pack.repairs[id_].after
        needed = steps.before(after)
        if isinstance(needed, Blocked):
            return 0.0
        here, total = state, 0.0
        for one in needed:
            if one in known:
                continue
            needs, minutes = self._act(one)
            there = graph.nearest(here, needs)
            way = 0.0
            if there is not None:
                way, here = float(graph.minutes[here, there]), there
            total += way + minutes
        return total

    def _act(self, id_: str) -> tuple[Needs, float]:
        """The bench that an act needs and its own minutes; a repair's with the look at the symptom."""
        pack = self.pack
        if id_ in pack.measurements:
            measurement = pack.measurements[id_]
            return measurement.needs, measurement.minutes + pack.economics.wait_minutes(measurement.wait)
        if id_ in pack.repairs:
            repair = pack.repairs[id_]
            return repair.needs, repair_minutes(pack, repair) + pack.symptoms[self.symptom].seen.minutes
        return {}, pack.history[id_].minutes if id_ in pack.history else 0.0

    def _within_limit(self, steps: OpenSteps, graph: BenchGraph, state: int) -> tuple[list[Repair], tuple[str, ...]]:
        """The open repairs that keep within the owner's limit, and those that would pass it."""
        limit = steps.situation.limit
        repairs = steps.repairs()
        if limit is None:
            return repairs, ()
        rate = self.pack.economics.labour_per_hour / 60.0
        spent = steps.state.minutes * rate + steps.state.money
        kept, over = [], []
        for repair in repairs:
            there = graph.nearest(state, repair.needs)
            way = float(graph.minutes[state, there]) if there is not None else 0.0
            if spent + (way + repair.minutes) * rate + repair.parts <= limit + 1e-9:
                kept.append(repair)
            else:
                over.append(repair.id)
        return kept, tuple(over)
