"""The planner beside one walk: its models, its bounds, and a deeper plan where one was made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from time import monotonic
from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Floats, Ints, sum_by
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.plan.bounds.known_cause import known_cause_minutes
from nextprobe.plan.bounds.measure_change import MeasureChange, PairPrices
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.fast import FastPlanner, Priced
from nextprobe.plan.following import Followed
from nextprobe.plan.grown import Node
from nextprobe.plan.policy import Action
from nextprobe.plan.scores import Scores
from nextprobe.plan.tree import Start
from nextprobe.walk.question import Question

#: Hypotheses below this share of the belief are left out of the plan, never of the belief: .3 % of it in all on the
#: bundled packs, and a third of the time of a step.
NEGLIGIBLE = 5e-5
#: Of the time that a plan is deepened, the share in which prices of its bound are looked for, and for how many of the
#: likeliest hypotheses; more rounds hardly help.
PRICING, PRICED_AHEAD, ROUNDS_AHEAD = 0.3, 300, 60
#: Ends that are followed on at a time while somebody may want an answer at any moment.
AT_A_TIME = 16
#: Prices are gone on from where they cover this share of the belief.
COVERED = 0.99
#: Models kept, with their bounds.
KEPT = 4


@dataclass(frozen=True, slots=True)
class Chosen:
    """The step, all that were priced, the minutes expected from here (U), what no plan goes below (L), the policy."""

    action: Action
    priced: tuple[Priced, ...]
    expected: float
    at_least: float
    node: Node


@dataclass
class _Lean:
    """A model whose like hypotheses are one, and its bound."""

    source: Model
    model: Model
    group: Ints

    @cached_property
    def priced(self) -> MeasureChange | None:
        """The bound by a change of measure, where it holds."""
        if self.model.still is not None or self.model.identify or not len(self.model.fixes):
            return None
        return MeasureChange(self.model)


class Mark(NamedTuple):
    """What a planning was asked last, and the deeper plan that it follows."""

    asked: tuple[_Lean, Question, Floats, int] | None
    deeper: Followed | None


class Planning:
    """Chooses steps, and keeps a deeper plan while it is followed."""

    def __init__(self) -> None:
        self._lean: list[_Lean] = []
        self._asked: tuple[_Lean, Question, Floats, int] | None = None
        self._deeper: Followed | None = None
        self._prices: tuple[Model, PairPrices] | None = None
        self._deepening: tuple[tuple[_Lean, Question, Floats, int], Deepening] | None = None

    def choose(self, model: Model, asked: Question, weights: Floats, state: int) -> Chosen:
        """The next step from the belief `weights` (H,) in bench `state`."""
        lean = self._leaned(model)
        share = sum_by(lean.group, weights / weights.sum(), len(lean.model.prior))
        self._asked = (lean, asked, share, state)
        kept = np.nonzero(lean.model.closed(share > NEGLIGIBLE))[0]
        planner = FastPlanner(lean.model.narrowed(kept), asked.first, asked.measured)
        choice = planner.price(share[kept], state, asked.measured, asked.tried)
        chosen = Chosen(choice.action, choice.priced, choice.minutes, 0.0, choice.node)
        deeper = self._deeper
        if deeper is not None and deeper.model is lean.model:
            deeper = deeper.at(share, state, asked.measured, asked.tried)
            if deeper is not None and deeper.minutes <= choice.minutes:
                chosen = replace(chosen, action=deeper.node.action, expected=deeper.minutes, node=deeper.node)
            self._deeper = deeper
        return replace(chosen, at_least=min(chosen.expected, self._lower(lean, asked, share, state)))

    def deepen(self, seconds: float, cancel: Callable[[], bool] = lambda: False) -> float | None:
        """Plan the step that was chosen last more deeply: the minutes expected then; None where there is no plan.

        The plan is followed by the `choose` that comes next, if the answer is one that it foresaw.
        """
        if self._asked is None:
            return None
        lean, asked, share, state = self._asked
        begun = monotonic()

        def over(part: float) -> bool:
            return monotonic() - begun >= part * seconds or cancel()

        self._price_ahead(lean, asked, share, state, lambda _: over(PRICING))
        place = (share, state, asked.measured, asked.tried)
        start = Start(share[None, :], np.array([state]), asked.measured[None, :], asked.tried[None, :])
        if self._deepening is None or self._deepening[0] is not self._asked:
            self._deepening = (
                self._asked,
                Deepening(lean.model, start, Scores(lean.model, asked.first, asked.measured), AT_A_TIME),
            )
        policy = self._deepening[1]
        policy.run(lambda _: over(1.0))
        kept = self._deeper
        here = kept is not None and kept.model is lean.model
        if kept is None or not here or kept.at(*place) is not kept or kept.minutes > policy.upper:
            # What was planned further back may be deeper here than what there was time for since.
            self._deeper = Followed(lean.model, *place, policy.policy(), policy.upper)
        return policy.upper if self._deeper is None else self._deeper.minutes

    def mark(self) -> Mark:
        """Where the planning stands, to come back to."""
        return Mark(self._asked, self._deeper)

    def back_to(self, mark: Mark) -> None:
        """As if nothing had been chosen since."""
        self._asked, self._deeper = mark.asked, mark.deeper

    def _leaned(self, model: Model) -> _Lean:
        for lean in self._lean:
            if lean.source is model:
                return lean
        lean = _Lean(model, *merged(model))
        if model.still is None:  # with two faults each belief has a model of its own
            self._lean = [*self._lean[1 - KEPT :], lean]
        return lean

    def _price_ahead(
        self, lean: _Lean, asked: Question, share: Floats, state: int, over: Callable[[float], bool]
    ) -> None:
        """Look for prices that also bound the steps to come, from those of the step before."""
        bound = lean.priced
        if bound is None:
            return
        begin = None
        if self._prices is not None and self._prices[0] is lean.model:
            covered = float(share[self._prices[1].kept].sum())
            begin = self._prices[1] if covered > COVERED else None
        _, prices = bound.improve(
            share, state, asked.measured, asked.tried, begin=begin, most=PRICED_AHEAD, rounds=ROUNDS_AHEAD, stop=over
        )
        self._prices = lean.model, prices

    def _lower(self, lean: _Lean, asked: Question, share: Floats, state: int) -> float:
        bound = lean.priced
        if bound is None:
            likely = np.nonzero(lean.model.closed(share > NEGLIGIBLE))[0]
            return float(known_cause_minutes(lean.model.narrowed(likely), asked.tried)[state] @ share[likely])
        here = (share, state, asked.measured, asked.tried)
        # Without prices found beside a step before, a known cause bounds as well as a few rounds do, at once.
        known = float(bound.cause.minutes(asked.tried)[state] @ share)
        if self._prices is None or self._prices[0] is not lean.model:
            return known
        return max(bound.lower(self._prices[1], *here), known)
