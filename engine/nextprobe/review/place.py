"""One decision as the planner sees it, and what each step would lead to from there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.model.wants import Wants
from nextprobe.plan.policy import Action
from nextprobe.plan.scores import OUT_OF_REACH, Scores
from nextprobe.walk.decide import Posed
from nextprobe.walk.planning import NEGLIGIBLE

#: Branches of a repair, beside the outcomes of a measurement, which count from 0.
GONE, STILL = -1, -2
#: The one branch of what tells nothing of causes.
AFTER = -3


@dataclass(frozen=True)
class Place:
    """A belief on a bench: share (H,) sums to 1; state; measured (T,) and tried (R,) are not open."""

    model: Model
    share: Floats
    state: int
    measured: Bools
    tried: Bools
    scores: Scores

    @property
    def priced_first(self) -> bool:
        """Whether some step wants told first what the model does not know."""
        return bool(self.scores.prices.measure.any() or self.scores.prices.repair.any())


@dataclass(frozen=True)
class Branch:
    """What may come of a step: its chance, and the belief (H,) times that chance, the bench and what is closed there.

    minutes: of the whole rest, where that is certain; else None, and the rest must be planned.
    """

    key: int
    chance: float
    minutes: float | None = None
    weights: Floats = field(default_factory=lambda: np.zeros(0))
    state: int = 0
    measured: Bools = field(default_factory=lambda: np.zeros(0, dtype=bool))
    tried: Bools = field(default_factory=lambda: np.zeros(0, dtype=bool))


@dataclass(frozen=True)
class Fork:
    """A step: the minutes that are paid whatever comes of it, and its branches, whose chances sum to 1.

    back: minutes after which all is as before the step but for what it told; None where it closes or may end something.
    """

    own: float
    branches: tuple[Branch, ...]
    back: float | None = None


class Places:
    """Makes places of what a planner is asked; the merging of like hypotheses is kept from step to step."""

    def __init__(self) -> None:
        self._lean: list[tuple[Model, Model, Ints]] = []

    def place(self, posed: Posed) -> Place:
        """The place that a walk is at, without the hypotheses that hardly matter."""
        lean, group = self._leaned(posed.compiled.model)
        share = sum_by(group, posed.weights / posed.weights.sum(), len(lean.prior))
        kept = np.nonzero(lean.closed(share > NEGLIGIBLE))[0]
        model, left = lean.narrowed(kept), share[kept] / share[kept].sum()
        asked = posed.asked
        scores = Scores(model, asked.first, asked.measured)
        return Place(model, left, posed.state, asked.measured, asked.tried, scores)

    def _leaned(self, model: Model) -> tuple[Model, Ints]:
        for source, lean, group in self._lean:
            if source is model:
                return lean, group
        lean, group = merged(model)
        self._lean = [*self._lean[-3:], (model, lean, group)]
        return lean, group


def fork(place: Place, action: Action) -> Fork:
    """What `action` would cost and lead to, made in the nearest bench state that serves."""
    if action.kind == "measure":
        return _measured(place, action.index)
    if action.kind == "repair":
        return _repaired(place, action.index)
    return Fork(0.0, (Branch(AFTER, 1.0, float(place.model.refer[place.state])),))


def idle(place: Place, minutes: float) -> Fork:
    """A step of so many minutes that tells nothing of causes."""
    return Fork(minutes, (Branch(AFTER, 1.0, None, place.share, place.state, place.measured, place.tried),))


def _measured(place: Place, test: int) -> Fork:
    model, table = place.model, place.model.likelihoods[test]
    way, near = model.nearest_measurement
    own = min(float(way[place.state, test]), OUT_OF_REACH) + model.minutes[test] + place.scores.prices.measure[test]
    there = int(near[place.state, test])
    told = model.told_after(place.measured[None, :], np.array([test]))[0]
    found = []
    for outcome in range(table.shape[1]):
        after = place.share * table[:, outcome]
        chance = float(after.sum())
        if chance > 0:
            end = float(model.refer[there]) if model.stops[test][outcome] else None
            found.append(Branch(outcome, chance, end, after, there, told, place.tried))
    ends = any(branch.minutes is not None for branch in found)
    closes = model.excludes is not None and bool(model.excludes[test].any())
    back = None if ends or closes else float(model.ways[there, place.state])
    return Fork(float(own), tuple(found), back)


def _repaired(place: Place, repair: int) -> Fork:
    model = place.model
    way, near = model.nearest_repair
    there = int(near[place.state, repair])
    after = int(model.proof_state[repair, there])
    own = min(float(way[place.state, repair]), OUT_OF_REACH) + model.repair_minutes[repair]
    own += model.proof[repair, there] + place.scores.repair_price(place.measured[None, :])[0, repair]
    left = model.after_failure(place.share[None, :], repair)[0]
    tried = place.tried.copy()
    tried[repair] = True
    found, gone = [], 1.0 - float(left.sum())
    if gone > 0:
        found.append(Branch(GONE, gone, float(model.tail[repair, after])))
    if left.sum() > 0:
        found.append(Branch(STILL, float(left.sum()), None, left, after, place.measured, tried))
    return Fork(float(own), tuple(found))


def reduced(place: Place, branch: Branch) -> Iterator[Model]:
    """The problem that is left on a branch, as a model of its own; nothing where it cannot be told as one."""
    model = place.model
    if model.still is not None or place.priced_first:
        return
    open_, untried = np.nonzero(~branch.measured)[0], np.nonzero(~branch.tried)[0]
    wants = model.wants
    yield replace(
        model,
        prior=branch.weights / branch.weights.sum(),
        start=branch.state,
        likelihoods=tuple(model.likelihoods[t] for t in open_),
        minutes=model.minutes[open_],
        at_measurement=model.at_measurement[open_],
        stops=tuple(model.stops[t] for t in open_),
        fixes=model.fixes[untried],
        repair_minutes=model.repair_minutes[untried],
        at_repair=model.at_repair[untried],
        proof=model.proof[untried],
        proof_state=model.proof_state[untried],
        tail=model.tail[untried],
        # What is told or closed already is no condition any more.
        wants=None
        if wants is None
        else Wants(wants.measure[np.ix_(open_, open_)], wants.repair[np.ix_(untried, open_)]),
        excludes=None if model.excludes is None else model.excludes[np.ix_(open_, open_)],
    )
