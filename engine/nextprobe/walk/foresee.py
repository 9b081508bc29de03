"""The planner's choice in the pack's ids and words: what else could be next, and where each outcome would lead."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from nextprobe.model.arrays import Floats, Ints, sum_by
from nextprobe.model.compile import Act, Compiled
from nextprobe.pack.pack import Measurement, Pack
from nextprobe.plan.policy import Action
from nextprobe.plan.scores import OUT_OF_REACH
from nextprobe.walk.ask import Candidate, Lead

if TYPE_CHECKING:
    from nextprobe.plan.grown import Node
    from nextprobe.walk.planning import Chosen

#: Outcomes less likely than this are not foreseen on the screen.
UNLIKELY = 0.0005
#: A cause believed less than this is called ruled out.
RULED_OUT = 0.01
#: What the owner may tell of a fact, in the order of the planner's table.
FACT = ("Yes", "No")


def step_of(pack: Pack, compiled: Compiled, action: Action) -> tuple[str, str, str]:
    """Kind (history for a fact of the owner), id and title of a step."""
    id_ = "refer"
    if action.kind == "measure":
        id_ = compiled.measurements[action.index]
    elif action.kind == "repair":
        id_ = compiled.repairs[action.index]
    kind = "history" if id_ in pack.history else action.kind
    if id_ == "refer":
        return kind, id_, pack.refer.title if pack.refer is not None else "Nothing is left to try"
    return kind, id_, pack.title_of(id_)


def ranking(pack: Pack, compiled: Compiled, chosen: Chosen) -> tuple[Candidate, ...]:
    """The priced steps by their expected minutes, the chosen one in front."""
    own = next((p.minutes for p in chosen.priced if p.action == chosen.action), chosen.expected)
    rows = []
    if not any(p.action == chosen.action for p in chosen.priced):
        rows.append(Candidate(*step_of(pack, compiled, chosen.action), chosen.expected, 0.0))
    for priced in sorted(chosen.priced, key=lambda p: (p.action != chosen.action, p.minutes)):
        if priced.minutes >= OUT_OF_REACH or (priced.action.kind == "refer" and pack.refer is None):
            continue
        more = max(0.0, priced.minutes - own)
        rows.append(Candidate(*step_of(pack, compiled, priced.action), chosen.expected + more, more))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class OneFault:
    """The belief with one fault at a time: weights (n,) of hypotheses, the place (n,) of each one's cause in `causes`,
    and the chances (n, O) of what the step may tell, by measurement."""

    weights: Floats
    owner: Ints
    causes: tuple[str, ...]
    tables: tuple[Floats, ...]

    def after(self, measurement: int, outcome: int) -> tuple[str, float, tuple[str, ...]]:
        """The likeliest cause after an outcome, how likely, and the causes that it rules out."""
        count = len(self.causes)
        before = sum_by(self.owner, self.weights / self.weights.sum(), count)
        told = sum_by(self.owner, self.weights * self.tables[measurement][:, outcome], count)
        if told.sum() <= 0:
            return "", 0.0, ()
        told /= told.sum()
        top = int(told.argmax())
        gone = [n for n in np.argsort(-before, kind="stable").tolist() if before[n] >= RULED_OUT > told[n]]
        return self.causes[top], float(told[top]), tuple(self.causes[n] for n in gone)


def leads(
    pack: Pack, compiled: Compiled, chosen: Chosen, weights: Floats, alone: OneFault | None = None
) -> tuple[Lead, ...]:
    """Where each outcome of the chosen step would lead, for the belief `weights` (H,) of the compiled model."""
    action, node = chosen.action, chosen.node
    share = weights / weights.sum()
    if action.kind == "repair" and node.failed is not None:
        left = float(compiled.model.after_failure(share[None, :], action.index)[0].sum())
        return (_lead(pack, compiled, "still", "Still there", node.failed, left),)
    if action.kind != "measure":
        return ()
    chances = share @ compiled.model.likelihoods[action.index]
    found = []
    for outcome, (id_, say) in enumerate(outcomes(compiled.acts[action.index])):
        chance = float(chances[outcome])
        if chance < UNLIKELY:
            continue
        lead = _lead(pack, compiled, id_, say, node.children.get(outcome), chance)
        if alone is not None:
            likeliest, sure, gone = alone.after(action.index, outcome)
            lead = replace(lead, likeliest=likeliest, sure=sure, ruled_out=gone)
        found.append(lead)
    return tuple(sorted(found, key=lambda lead: -lead.chance))


def _lead(pack: Pack, compiled: Compiled, outcome: str, say: str, node: Node | None, chance: float) -> Lead:
    kind, id_, title = step_of(pack, compiled, Action("refer") if node is None else node.action)
    return Lead(outcome, say, chance, kind, id_, title)


def outcomes(act: Act) -> list[tuple[str, str]]:
    """Id and words of each outcome of what is read in one act, in the order of the planner's table."""
    each = []
    for one in act:
        if isinstance(one, Measurement):
            each.append([(outcome.id, outcome.say) for outcome in one.outcomes.values()])
        else:
            each.append([("reported", FACT[0]), ("denied", FACT[1])])
    return [(" ".join(id_ for id_, _ in many), "; ".join(say for _, say in many)) for many in product(*each)]
