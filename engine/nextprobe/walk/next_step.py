"""The order in which a walk asks: endings, proofs, what comes always first, then the planner's choice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from nextprobe.pack.pack import Measurement, Move, Needs, Repair
from nextprobe.walk import show
from nextprobe.walk.ask import Ask, Ending
from nextprobe.walk.beliefs import Beliefs
from nextprobe.walk.decide import Decider, Decision
from nextprobe.walk.open_steps import Blocked, OpenSteps
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


class _Next:
    def __init__(self, steps: OpenSteps, beliefs: Beliefs, decider: Decider) -> None:
        self.steps = steps
        self.pack = steps.pack
        self.state = steps.state
        self.beliefs = beliefs
        self.decider = decider
        self.graph = decider.graph(steps)

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

    def _ended(self) -> Ending | None:
        if self.state.ending is not None:
            return self.state.ending
        proof = self.state.proof
        if proof is not None and proof.gone and not self._provable():
            repair = self.pack.repairs[proof.repair]
            return Ending("repaired", f"{repair.title}: the symptom is gone.", repair=repair.id)
        return None

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
        state, pack = self.state, self.pack
        if state.followers:
            follower = pack.measurements[state.followers[0]]
            return self._before_measurement(follower) or show.measurement_ask(
                self.steps, self.graph, follower, follows=True
            )
        if state.proof is not None and (provable := self._provable()):
            return self._proof(provable)
        for id_ in pack.always_first:
            measurement = pack.measurements[id_]
            if id_ in state.told or id_ in state.skipped or not self.steps.can_measure(measurement):
                continue
            # Behind a bar it is passed over, and asked once the bar is lifted.
            if self._reachable(measurement.needs):
                return self._measurement(measurement)
        if self.belief.impossible or self.belief.unlisted >= pack.confidence:
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

    # -- what comes before a step ------------------------------------------------------------------

    def _measurement(self, measurement: Measurement, seen: frozenset[str] = frozenset()) -> Ask:
        before = self._before_measurement(measurement, seen)
        return before or show.measurement_ask(self.steps, self.graph, measurement, follows=False)

    def _before_measurement(self, measurement: Measurement, seen: frozenset[str] = frozenset()) -> Ask | None:
        options = self.steps.undecided(measurement.only_if) + self.steps.band_options(measurement)
        return (
            self._option(options)
            or self._told_first(measurement.after, seen | {measurement.id})
            or self._moves_first(measurement.needs, seen | {measurement.id})
        )

    def _repair(self, repair: Repair) -> Ask:
        return self._before_repair(repair) or show.repair_ask(self.steps, self.graph, repair)

    def _before_repair(self, repair: Repair) -> Ask | None:
        believed = [
            self.pack.causes[cause].only_if for cause in repair.fixes if self.present.get(cause, 0.0) >= RULED_OUT
        ]
        options = self.steps.undecided(repair.only_if, *believed)
        return (
            self._option(options)
            or self._told_first(repair.after, frozenset({repair.id}))
            or self._moves_first(repair.needs, frozenset({repair.id}))
        )

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

    def _option(self, options: list[str]) -> Ask | None:
        return show.option_ask(self.pack, options[0]) if options else None

    def _told_first(self, after: tuple[tuple[str, tuple[str, ...]], ...], seen: frozenset[str]) -> Ask | None:
        needed = self.steps.before(after)
        if isinstance(needed, Blocked) or not needed:
            return None
        return self._prerequisite(needed[0], seen)

    def _prerequisite(self, id_: str, seen: frozenset[str]) -> Ask | None:
        if id_ in seen:
            return None
        if id_ in self.pack.measurements:
            return self._measurement(self.pack.measurements[id_], seen)
        if id_ in self.pack.history:
            return show.fact_ask(self.pack, id_, self.pack.history[id_].minutes)
        if id_ in self.pack.options:
            return show.option_ask(self.pack, id_)
        return self._repair(self.pack.repairs[id_]) if id_ in self.pack.repairs else None

    def _moves_first(self, needs: Needs, seen: frozenset[str]) -> Ask | None:
        """What the moves on the way to `needs` want told first."""
        here = self.graph.index(self.state.bench)
        there = self.graph.nearest(here, needs)
        if there is None:
            return None
        for move, _ in self.graph.way(here, there):
            ask = self._before_move(move, seen)
            if ask is not None:
                return ask
        return None

    def _before_move(self, move: Move, seen: frozenset[str]) -> Ask | None:
        return self._option(self.steps.undecided(move.only_if)) or self._told_first(move.after, seen | {move.id})

    def _reachable(self, needs: Needs) -> bool:
        return self.graph.nearest(self.graph.index(self.state.bench), needs) is not None

    def _left_to_prove(self) -> tuple[str, ...]:
        return self.state.proof.queue if self.state.proof is not None else ()

    def _provable(self) -> str:
        """The next item of the proof that can be asked, or what lifts the bar before it; "" if none.

        A check behind a bar that nothing lifts is passed over and stands under what was not proved. Where
        the symptom itself cannot be looked for, the repair is neither proved nor disproved.
        """
        for item in self._left_to_prove():
            if self._reachable(self._needs_of(item)):
                return item
            lifting = [id_ for id_ in self.steps.lifting() if self._reachable(self._needs_of(id_))]
            if lifting:
                return lifting[0]
            if item == "seen":
                return ""
        return ""

    def _needs_of(self, id_: str) -> Needs:
        if id_ == "seen":
            return self.pack.symptoms[self.steps.situation.symptom].seen.needs
        return self.pack.measurements[id_].needs

    def _proof(self, check: str) -> Ask:
        if check != "seen":
            return self._measurement(self.pack.measurements[check])
        return self._moves_first(self._needs_of(check), frozenset({check})) or show.seen_ask(self.steps, self.graph)

    # -- dressing ----------------------------------------------------------------------------------

    def _dressed(self, ask: Ask) -> Ask:
        if ask.kind == "done":
            return ask
        bench: Mapping[str, str] = ask.moves[-1].bench if ask.moves else self.state.bench
        retake, retake_why = self._retake()
        return replace(
            ask,
            bench=dict(self.state.bench),
            look_for=show.remarks_visible(self.steps, bench),
            most_likely=most_likely(self.pack, self.present) if self.state.evidence else "",
            notices=self._notices(),
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

    def _notices(self) -> tuple[str, ...]:
        notices = []
        for bar in self.state.bars:
            if bar.needs not in self.steps.barred():
                continue
            values = ", ".join(f"{c} {' or '.join(v)}" for c, v in bar.needs.items())
            until = " or ".join(
                f"{self.pack.title_of(id_)}{': ' + ' or '.join(outcomes) if outcomes else ''}"
                for id_, outcomes in bar.until
            )
            told = self.state.told.get(bar.by)
            because = self.pack.measurements[bar.by].outcomes[told.outcome].say if told else bar.by
            end = f"until this is told: {until}" if until else "on this job"
            notices.append(f"{because}: no move to {values} {end}.")
        if self.state.see_also:
            notices.append(
                f"This looks like a job for the pack {self.state.see_also}: type `over` to go on there"
                " with what was told. The job stays one."
            )
        return tuple(notices)
