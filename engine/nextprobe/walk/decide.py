"""Which step next: the planner asked about the state of a walk, and its answer in the pack's ids."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from nextprobe.model.bench import BenchGraph, make_bench
from nextprobe.pack.pack import Pack
from nextprobe.walk.ask import Candidate, Lead
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.state import State

if TYPE_CHECKING:
    from nextprobe.belief import Belief
    from nextprobe.model.arrays import Floats
    from nextprobe.model.compile import Compiled
    from nextprobe.model.hypotheses import Hypotheses
    from nextprobe.walk.by_plan import ByPlan
    from nextprobe.walk.planning import Planning
    from nextprobe.walk.poser import Poser
    from nextprobe.walk.question import Question


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


class Decider:
    """Plans for one walk. What plans is loaded, and the arrays with it, with the first question that needs a plan:
    the first look of a job is on screen before.

    foreseen: decisions made ahead, by the state that they are for. foresees: whether this one makes them, and so plans
    each anew. made: the decision since `begin`, None where none was needed. ahead: the same, where it was made ahead
    and is not known as such yet.
    """

    def __init__(
        self, pack: Pack, symptom: str, *, foreseen: dict[object, Decision] | None = None, foresees: bool = False
    ) -> None:
        self.pack = pack
        self.symptom = symptom
        self.foreseen: dict[object, Decision] = {} if foreseen is None else foreseen
        self._foresees = foresees
        self._graphs: dict[object, BenchGraph] = {}
        self.made: Decision | None = None
        self.ahead: Decision | None = None
        self._planned = ""

    @cached_property
    def planning(self) -> Planning:
        """The planner, with what it keeps of this walk."""
        from nextprobe.walk.planning import Planning

        return Planning()

    @cached_property
    def _poser(self) -> Poser:
        from nextprobe.walk.poser import Poser

        return Poser(self.pack, self.symptom, self.graph)

    @cached_property
    def _by_plan(self) -> ByPlan:
        from nextprobe.walk.by_plan import ByPlan

        return ByPlan(self.pack, self._poser, self.planning)

    def begin(self, planned: str) -> None:
        """Before a decision. planned: the step decided on ahead once in this state, "" for none: it is decided on again
        where it is still open."""
        self._planned, self.made, self.ahead = planned, None, None

    def graph(self, steps: OpenSteps, lifting: Sequence[str] = ()) -> BenchGraph:
        """The bench as it can be moved now, or once what bars it is told: the ids `lifting`."""
        moves, barred = steps.moves(), steps.barred(lifting)
        key = (tuple(move.id for move in moves), repr(barred))
        if key not in self._graphs:
            self._graphs[key] = make_bench(self.pack.bench, moves, barred)
        return self._graphs[key]

    def decide(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief) -> Decision:
        """The cheapest next step for the job as a whole."""
        key = _decisive(steps.state, steps.situation.limit)
        if not self._foresees and key in self.foreseen:
            self.made = self.foreseen[key]
            self.ahead = self.made if self.made.id != self._planned else None
            return self.made
        self.made = decision = self._decided(steps, hypotheses, belief)
        if self._foresees:
            if len(self.foreseen) > MOST_FORESEEN:
                self.foreseen.clear()
            self.foreseen[key] = decision
        return decision

    def _decided(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief) -> Decision:
        return self._by_plan.decided(steps, hypotheses, belief, self._planned)

    def posed(self, steps: OpenSteps, hypotheses: Hypotheses, belief: Belief) -> Posed | None:
        """What the planner is asked about a state; None where nothing is believed possible."""
        return self._poser.posed(steps, hypotheses, belief)

    def compiled_now(self, steps: OpenSteps, hypotheses: Hypotheses) -> Compiled:
        """The model as it is now, started from the bench as it is."""
        return self._poser.compiled_now(steps, hypotheses)
