"""What a step wants told first, and what comes before anything is weighed: an ending, a proof, what is always first."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import replace

from nextprobe.model.bench import BenchGraph
from nextprobe.pack.pack import Measurement, Move, Needs, OnlyIf, Repair
from nextprobe.walk import show
from nextprobe.walk.ask import Ask, Ending
from nextprobe.walk.open_steps import Blocked, OpenSteps


class Before(ABC):
    """Steps of one state on the bench as it can be moved now; no array is needed here."""

    def __init__(self, steps: OpenSteps, graph: BenchGraph) -> None:
        self.steps = steps
        self.pack = steps.pack
        self.state = steps.state
        self.graph = graph

    @abstractmethod
    def _believed(self, repair: Repair) -> list[OnlyIf]:
        """Where the causes apply for whose sake the repair would be made."""

    # -- what comes before anything is weighed -----------------------------------------------------

    def _ended(self) -> Ending | None:
        if self.state.ending is not None:
            return self.state.ending
        proof = self.state.proof
        if proof is not None and proof.gone and not self._provable():
            repair = self.pack.repairs[proof.repair]
            return Ending("repaired", f"{repair.title}: the symptom is gone.", repair=repair.id)
        return None

    def _unplanned(self) -> Ask | None:
        """What comes before anything is weighed: what is read in the same act, a proof, what is always first."""
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
        return None

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
        options = self.steps.undecided(repair.only_if, *self._believed(repair))
        return (
            self._option(options)
            or self._told_first(repair.after, frozenset({repair.id}))
            or self._moves_first(repair.needs, frozenset({repair.id}))
        )

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

    def _placed(self, ask: Ask) -> Ask:
        """With the bench as it is, what can be seen from there, and what was left behind."""
        bench: Mapping[str, str] = ask.moves[-1].bench if ask.moves else self.state.bench
        return replace(
            ask,
            bench=dict(self.state.bench),
            look_for=show.remarks_visible(self.steps, bench),
            notices=self._notices(),
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
