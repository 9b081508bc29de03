"""What the planner is asked about the state of a walk, as it may be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nextprobe.walk.ask import Ask
from nextprobe.walk.decide import Decider, Posed
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.sight import ask_at_sight
from nextprobe.walk.situation import Situation
from nextprobe.walk.standing import Standing

if TYPE_CHECKING:
    from nextprobe.model.compile import Compiled


class Posing(Standing):
    """What can be asked now, and the planner's question that goes with it; nothing is changed."""

    situation: Situation
    decider: Decider
    _planned: str

    def _steps(self) -> OpenSteps:
        return OpenSteps(self.pack, self.situation, self._state)

    def planning_model(self) -> Compiled:
        """What the planner is asked about now: all steps of this shop on this machine, from the bench as it is."""
        steps = self._steps()
        return self.decider.compiled_now(steps, self._believer.hypotheses(steps.options))

    def posed(self) -> Posed | None:
        """What the planner would be asked about the state as it is, whatever else comes first; None as in Decider."""
        steps = self._steps()
        hypotheses = self._believer.hypotheses(steps.options)
        return self.decider.posed(steps, hypotheses, self._believer.belief(hypotheses, self._state.evidence))

    def at_sight(self) -> Ask | None:
        """What of the step to do next can be said before anything is weighed; None where even the step is not known so.

        It is the step that `ask` will give, which alone is answered.
        """
        steps = self._steps()
        return ask_at_sight(steps, self.decider.graph(steps), self._planned)

    def open_steps(self) -> OpenSteps:
        """What can be asked now, and what must come before it."""
        return self._steps()
