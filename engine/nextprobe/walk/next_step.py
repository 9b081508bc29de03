"""The order in which a walk asks: endings, proofs, what comes always first, then the planner's choice."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from nextprobe.pack.pack import OnlyIf, Repair
from nextprobe.walk import show
from nextprobe.walk.ask import Ask, Ending
from nextprobe.walk.before import Before
from nextprobe.walk.beliefs import Beliefs
from nextprobe.walk.decide import Decider, Decision
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.words import most_likely, odds, why_step

if TYPE_CHECKING:
    from nextprobe.belief import Belief
    from nextprobe.model.hypotheses import Hypotheses
    from nextprobe.walk.evidence import Believer

#: A cause believed less than this is called ruled out in an ending, and needs no option asked for it.
RULED_OUT = 0.01
#: Readings that disagree by more than this many bits are worth a word, and one more likely wrong than not.
CONFLICT_BITS = 3.0
WRONG_CHANCE = 0.3


def next_ask(steps: OpenSteps, beliefs: Beliefs, decider: Decider) -> Ask:
    """The step to do next on this state, or the ending."""
    return _Next(steps, beliefs, decider).ask()


def chosen_ask(steps: OpenSteps, beliefs: Beliefs, decider: Decider, id_: str) -> Ask | None:
    """The step `id_` as a person chooses it, unplanned, or what must be told before it; None where it cannot be done.

    id_: an open measurement, fact or repair, or ``refer``.
    """
    return _Next(steps, beliefs, decider).chosen(id_)


class _Next(Before):
    def __init__(self, steps: OpenSteps, beliefs: Beliefs, decider: Decider) -> None:
        super().__init__(steps, decider.graph(steps))
        self.beliefs = beliefs
        self.decider = decider

    # What always comes first needs no belief: it is unfolded once something is weighed.

    @property
    def believer(self) -> Believer:
        return self.beliefs.believer

    @cached_property
    def hypotheses(self) -> Hypotheses:
        return self.believer.hypotheses(self.steps.options)

    @cached_property
    def belief(self) -> Belief:
        return self.believer.belief(self.hypotheses, self.state.evidence)

    @cached_property
    def present(self) -> dict[str, float]:
        return self.believer.present(self.hypotheses, self.state.evidence)

    def ask(self) -> Ask:
        ended = self._ended()
        if ended is not None:
            return self._done(ended)
        return self._dressed(self._step())

    def chosen(self, id_: str) -> Ask | None:
        if id_ == "refer":
            return None if self.pack.refer is None else self._dressed(show.refer_ask(self.steps, self.graph))
        step = self.pack.measurements.get(id_) or self.pack.repairs.get(id_)
        if step is not None and not self._reachable(step.needs):
            return None
        ask = self._prerequisite(id_, frozenset())
        return None if ask is None else self._dressed(ask)

    # -- endings -----------------------------------------------------------------------------------

    def _done(self, ending: Ending) -> Ask:
        causes = [(cause, chance) for cause, chance in self.present.items() if cause != "unlisted"]
        cause, sure = max(causes, key=lambda item: item[1], default=("", 0.0))
        if ending.what in ("unknown", "stopped", "left") and self.belief.unlisted >= sure:
            cause, sure = "", 0.0
        back = show.moves_to(self.pack, self.graph, self.state.bench, self.pack.bench.hand_back) or ()
        if ending.what in ("stopped", "left"):
            back = ()  # for safety or at the person's word: nothing more is asked for
        ending = replace(
            ending,
            cause=cause,
            sure=sure,
            proven=self.state.proven if ending.what == "repaired" else (),
            not_proved=(*self.state.not_proved, *self._left_to_prove()) if ending.what == "repaired" else (),
            moves=back,
            minutes=self.state.minutes + sum(move.minutes for move in back),
            wait=self.state.wait,
            money=self.state.money,
            remarks=self.state.remarks,
            notes=self.state.notes,
            ruled_out=tuple(cause for cause, chance in causes if chance < RULED_OUT),
        )
        return Ask("done", ending.what, ending.what.replace("_", " "), ending=ending, bench=dict(self.state.bench))

    # -- the step ----------------------------------------------------------------------------------

    def _step(self) -> Ask:
        ask = self._unplanned()
        if ask is not None:
            return ask
        if self.belief.impossible or self.belief.unlisted >= self.pack.confidence:
            return self._done(self._unknown())
        return self._planned()

    def _planned(self) -> Ask:
        decision = self.decider.decide(self.steps, self.hypotheses, self.belief)
        pack = self.pack
        ask: Ask
        match decision.kind:
            case "history":
                ask = show.fact_ask(pack, decision.id, pack.history[decision.id].minutes)
            case "measure":
                ask = self._measurement(pack.measurements[decision.id])
            case "repair":
                ask = self._repair(pack.repairs[decision.id])
            case "refer":
                ask = self._refer(decision)
            case _:
                return self._done(self._nothing_left())
        if ask.kind == "done":
            return ask
        return replace(
            ask,
            ranking=decision.ranking,
            expected=decision.expected,
            at_least=decision.at_least,
            leads=decision.leads,
            why=ask.why or why_step(decision.kind, decision.ranking),
        )

    def _unknown(self) -> Ending:
        return Ending(
            "unknown",
            "This pack does not know it: no cause that it lists explains what was told. "
            "Note what it was, once it is found.",
        )

    def _nothing_left(self) -> Ending:
        if self.pack.repairs:
            if self.belief.unlisted >= 0.5:
                return self._unknown()
            return Ending("unknown", "No check or repair of this pack is left that could help.")
        cause, sure = max(
            ((cause, p) for cause, p in self.present.items() if cause != "unlisted"), key=lambda item: item[1]
        )
        if self.belief.unlisted > sure:
            return self._unknown()
        if sure >= self.pack.confidence:
            return Ending("found", f"{self.pack.title_of(cause)}, {odds(sure)}.")
        group = [self.pack.title_of(c) for c, p in self.present.items() if c != "unlisted" and p >= sure / 10]
        return Ending("found", "No measurement of this pack tells these apart: " + "; ".join(group) + ".")

    def _refer(self, decision: Decision) -> Ask:
        believed = [cause.only_if for key, cause in self.pack.causes.items() if self.present.get(key, 0.0) >= 0.05]
        first = self._option(self.steps.undecided(*believed))
        if first is not None:
            return first
        if self.belief.unlisted >= 0.5:
            return self._done(self._unknown())
        ask = show.refer_ask(self.steps, self.graph)
        if decision.skill:
            skill = self.pack.skills[decision.skill].title
            why = f"The repair that would pay needs a skill that is not here: {skill}."
            return replace(ask, skill=decision.skill, why=why)
        if decision.over_limit:
            titles = "; ".join(self.pack.repairs[id_].title for id_ in decision.over_limit[:3])
            return replace(ask, why=f"What is left to try would pass the owner's limit: {titles}.")
        return replace(ask, why=why_step("refer", decision.ranking))

    def _believed(self, repair: Repair) -> list[OnlyIf]:
        return [self.pack.causes[cause].only_if for cause in repair.fixes if self.present.get(cause, 0.0) >= RULED_OUT]

    # -- dressing ----------------------------------------------------------------------------------

    def _dressed(self, ask: Ask) -> Ask:
        if ask.kind == "done":
            return ask
        retake, retake_why = self._retake()
        return replace(
            self._placed(ask),
            most_likely=most_likely(self.pack, self.present) if self.state.evidence else "",
            retake=retake,
            retake_why=retake_why,
        )

    def _retake(self) -> tuple[str, str]:
        if not self.state.evidence or self.belief.conflict < CONFLICT_BITS:
            return "", ""
        doubt = self.believer.doubt(self.hypotheses, self.state.evidence)
        if not doubt.reading or doubt.chance < WRONG_CHANCE:
            return "", ""
        title = self.pack.title_of(doubt.reading)
        return doubt.reading, (
            f"The readings do not fit together. The one to take again is: {title} "
            f"(told {self.state.told[doubt.reading].text.replace('_', ' ')}; wrong with {odds(doubt.chance)})."
        )
