"""What of the next step can be said at once: a job that is taken up shows its step before anything is weighed."""

from __future__ import annotations

from nextprobe.model.bench import BenchGraph
from nextprobe.pack.pack import OnlyIf, Repair
from nextprobe.walk import show
from nextprobe.walk.ask import Ask
from nextprobe.walk.before import Before
from nextprobe.walk.decide import REFER
from nextprobe.walk.open_steps import OpenSteps


def ask_at_sight(steps: OpenSteps, graph: BenchGraph, planned: str) -> Ask | None:
    """What of the next step can be said before anything is weighed; None where even the step depends on that.

    planned: the step that the plan chose for this state, "" where that is not known.
    """
    sight = _Sight(steps, graph)
    try:
        return sight.ask(planned)
    except _UndecidedError:
        return None


class _UndecidedError(Exception):
    """What comes next depends on the belief."""


class _Sight(Before):
    def ask(self, planned: str) -> Ask | None:
        if self._ended() is not None:
            return None
        ask = self._unplanned() or self._planned(planned)
        return None if ask is None else self._placed(ask)

    def _planned(self, id_: str) -> Ask | None:
        """The step `id_`, or what it wants told first, where it is open."""
        pack, steps = self.pack, self.steps
        if id_ in {one.id for one in steps.measurements()}:
            return self._measurement(pack.measurements[id_])
        if id_ in {one.id for one in steps.facts()}:
            return show.fact_ask(pack, id_, pack.history[id_].minutes)
        if id_ in {one.id for one in steps.repairs()}:
            return self._repair(pack.repairs[id_])
        if id_ == REFER and pack.refer is not None:
            self._decided([cause.only_if for cause in pack.causes.values()])
            return show.refer_ask(steps, self.graph)
        return None

    def _believed(self, repair: Repair) -> list[OnlyIf]:
        return self._decided([self.pack.causes[cause].only_if for cause in repair.fixes])

    def _decided(self, wanted: list[OnlyIf]) -> list[OnlyIf]:
        """`wanted`, where all of it is decided: else the belief says what is asked."""
        if self.steps.undecided(*wanted):
            raise _UndecidedError
        return wanted
