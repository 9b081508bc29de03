"""Which step next: the planner asked about the state of a walk, and its answer in the pack's ids."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from nextprobe.belief import Belief
from nextprobe.model.arrays import Bools, Floats, sum_by
from nextprobe.model.bench import BenchGraph, make_bench
from nextprobe.model.compile import Compiled, compile_model, repair_minutes
from nextprobe.model.hypotheses import Hypotheses
from nextprobe.model.pairs import with_pairs
from nextprobe.pack.pack import Needs, Pack, Repair
from nextprobe.plan.prices import Prices
from nextprobe.plan.scores import OUT_OF_REACH
from nextprobe.walk.ask import Candidate, Lead
from nextprobe.walk.foresee import OneFault, leads, ranking
from nextprobe.walk.open_steps import Blocked, OpenSteps
from nextprobe.walk.question import Question
from nextprobe.walk.state import State

if TYPE_CHECKING:
    from nextprobe.plan.myopic import Values
    from nextprobe.plan.policy import Action
    from nextprobe.walk.planning import Planning


@dataclass(frozen=True, slots=True)
class Decision:
    """The step chosen: kind measure, history, repair, refer or none; its id; all candidates, best first.

    skill: the lacking skill without which quoting is the cheapest step. expected, at_least: minutes to the end of the
    job by the plan, and what no plan goes below. leads: where each outcome would lead.
    """

    kind: str
    id: str
    ranking: tuple[Candidate, ...] = ()
    skill: str = ""
    over_limit: tuple[str, ...] = ()
    expected: float = 0.0
    at_least: float = 0.0
    leads: tuple[Lead, ...] = ()


@dataclass(frozen=True)
class Posed:
    """What the planner is asked: the model, what is open, the belief (H,) of the model, the bench state.

    alone (n,), tables: the belief with one fault at a time, and the chances of what each measurement may tell by it.
    over_limit: repairs that would pass the owner's limit.
    """

    compiled: Compiled
    asked: Question
    weights: Floats
    state: int
    alone: Floats
    tables: tuple[Floats, ...]
    over_limit: tuple[str, ...] = ()


#: The id of quoting.
REFER = "refer"
#: Two faults at once are planned for where they are more than this share of the belief, and only once something speaks
#: for them: a repair that left the symptom, or readings that disagree by so many bits.
PAIRS_SHARE, PAIRS_CONFLICT = 0.01, 3.0


def two_faults(hypotheses: Hypotheses, belief: Belief, tried: bool) -> bool:
    """Whether two faults at once are worth planning for; tried: whether a repair left the symptom."""
    share = float(belief.weights[hypotheses.singles :].sum())
    total = float(belief.weights.sum()) + belief.unlisted
    return share > PAIRS_SHARE * total and (tried or belief.conflict > PAIRS_CONFLICT)


#: Decisions kept that were made ahead.
MOST_FORESEEN = 500


def _decisive(state: State, limit: float | None) -> object:
    """All of a state that a decision depends on; shares of a reading's outcomes to a thousandth."""
    evidence = tuple(
        (item.id, item.kind, item.told, tuple((o, round(w, 3)) for o, w in item.outcomes if w >= 0.0005), item.epoch)
        for item in state.evidence
    )
    told = frozenset((id_, one.outcome, one.repairs) for id_, one in state.told.items())
    spent = None if limit is None else (state.minutes, state.money)
    return (
        evidence, told, frozenset(state.skipped), state.tried, repr(state.bars), spent, state.followers,
        tuple(sorted(state.bench.items())), tuple(sorted(state.options.items())), state.unknown_options,
    )  # fmt: skip


def _id_of(compiled: Compiled, action: Action) -> str:
    if action.kind == "measure":
        return compiled.measurements[action.index]
    return compiled.repairs[action.index] if action.kind == "repair" else REFER


def _one_fault(hypotheses: Hypotheses, weights: Floats, tables: tuple[Floats, ...]) -> OneFault:
    owner = np.append(hypotheses.first[: hypotheses.singles], len(hypotheses.causes))
    return OneFault(weights, owner, (*hypotheses.causes, "unlisted"), tables)


class Decider:
    """Plans for one walk. Compiled models are kept while the bench, the options and the shop stay alike.

    foreseen: decisions made ahead, by the state that they are for. foresees: whether this one makes them, and so plans
    each anew. ahead: the last decision, where it was made ahead and is not known as such yet (`begin`).
    """

    def __init__(
        self, pack: Pack, symptom: str, *, foreseen: dict[object, Decision] | None = None, foresees: bool = False
    ) -> None:
        self.pack = pack
        self.symptom = symptom
        self.foreseen: dict[object, Decision] = {} if foreseen is None else foreseen
        self._foresees = foresees
        self._graphs: dict[object, BenchGraph] = {}
        self._models: dict[object, Compiled] = {}
        self.ahead: Decision | None = None
        self._planned = ""

    @cached_property
    def planning(self) -> Planning:
        """Loaded with the first question that needs a plan: the first look of a job is on screen before."""
        from nextprobe.walk.planning import Planning

        return Planning()

    def begin(self, planned: str) -> None:
        """Before a decision. planned: the step decided on ahead once in this state, "" for none: it is decided on again
        where it is still open."""
        self._planned, self.ahead = planned, None

    def graph(self, steps: OpenSteps, lifting: Sequence[str] = ()) -> BenchGraph:
        """The bench as it can be moved now, or once what bars it is told: the ids `lifting`."""
        moves, barred = steps.moves(), steps.barred(lifting)
        key = (tuple(move.id for move in moves), repr(barred))
        if key not in self._graphs:
            self._graphs[key] = make_bench(self.pack.bench, moves, barred)
        return self._graphs[key]

    def _compiled(self, steps: OpenSteps, hypotheses: Hypotheses, graph: BenchGraph, *, with_skills: bool) -> Compiled:
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
        graph = self.graph(steps)
        compiled = self._compiled(steps, hypotheses, graph, with_skills=False)
        model = replace(compiled.model, start=graph.index(steps.state.bench))
        if not self.pack.repairs and self.pack.refer is None:
            model = replace(model, identify=True, can_refer=False, confidence=self.pack.confidence)
        return replace(compiled, model=model)

    def decide(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief) -> Decision:
        """The cheapest next step for the job as a whole."""
        key = _decisive(steps.state, steps.situation.limit)
        if not self._foresees and key in self.foreseen:
            self.ahead = self.foreseen[key] if self.foreseen[key].id != self._planned else None
            return self.foreseen[key]
        decision = self._decided(steps, hypotheses, belief)
        if self._foresees:
            if len(self.foreseen) > MOST_FORESEEN:
                self.foreseen.clear()
            self.foreseen[key] = decision
        return decision

    def posed(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief) -> Posed | None:
        """What the planner is asked about a state; None where nothing is believed possible."""
        graph = self.graph(steps)
        state = graph.index(steps.state.bench)
        weights = np.append(belief.weights[: hypotheses.singles], belief.unlisted)
        if weights.sum() <= 0:
            return None
        compiled = self._compiled(steps, hypotheses, graph, with_skills=False)
        if not self.pack.repairs and self.pack.refer is None:
            compiled = self.compiled_now(steps, hypotheses)
        repairs, over = self._within_limit(steps, graph, state)
        asked = self._question(steps, compiled, graph, state, [r.id for r in repairs])
        alone, tables = weights, tuple(compiled.model.likelihoods)
        if two_faults(hypotheses, belief, bool(steps.state.tried)):
            compiled, weights = with_pairs(compiled, hypotheses, belief.weights, belief.unlisted)
        return Posed(compiled, asked, weights, state, alone, tables, over)

    def _decided(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief) -> Decision:
        posed = self.posed(steps, hypotheses, belief)
        if posed is None:
            return Decision("none", "")
        graph, state, alone = self.graph(steps), posed.state, posed.alone
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
        id_ = self._planned if self._still_open(posed, self._planned) else own
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

    def _question(
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

    def _values(self, compiled: Compiled, state: int, weights: Floats, asked: Question) -> Values:
        from nextprobe.plan.myopic import Values, step_values

        values = step_values(
            compiled.model, weights, state, measured=asked.measured, tried=asked.tried, first=asked.first
        )
        repair = np.where(values.repair < OUT_OF_REACH, values.repair, np.inf)
        return Values(np.where(values.measure < OUT_OF_REACH, values.measure, np.inf), repair, values.refer)

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

    def _missing_skill(
        self, steps: OpenSteps, hypotheses: Hypotheses, graph: BenchGraph, state: int, weights: Floats
    ) -> str:
        """The skill for want of which quoting is cheapest; "" where quoting is cheapest anyway."""
        if not steps.situation.lacks & set(self.pack.skills):
            return ""
        compiled = self._compiled(steps, hypotheses, graph, with_skills=True)
        repairs = [repair.id for repair in steps.repairs(with_skills=True)]
        values = self._values(compiled, state, weights, self._question(steps, compiled, graph, state, repairs))
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

        compiled = self._compiled(steps, hypotheses, graph, with_skills=False)
        open_ = {m.id for m in steps.measurements()} | {fact.id for fact in steps.facts()}
        measured = np.array([id_ not in open_ for id_ in compiled.measurements], dtype=bool)
        owner = np.append(hypotheses.first[: hypotheses.singles], len(hypotheses.causes))
        top = sum_by(owner, weights).max() / weights.sum()
        index = best_question(compiled.model, weights, state, owner, measured) if top < self.pack.confidence else None
        if index is None:
            return Decision("none", "")
        id_ = compiled.measurements[index]
        return Decision("history" if id_ in self.pack.history else "measure", id_)
