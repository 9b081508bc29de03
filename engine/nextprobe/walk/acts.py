"""What doing a step means, whatever it is: its kind, its title, the moves to it, what it costs."""

from __future__ import annotations

from nextprobe.errors import NotAllowedError
from nextprobe.model.bench import BenchGraph
from nextprobe.walk.ask import MoveStep
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.show import moves_to, seen_title
from nextprobe.walk.situation import near


class Acts:
    """Steps of one state on the bench as it can be moved now."""

    def __init__(self, steps: OpenSteps, graph: BenchGraph) -> None:
        self.pack = steps.pack
        self.state = steps.state
        self.graph = graph
        self._symptom = steps.pack.symptoms[steps.situation.symptom]

    def kind(self, id_: str) -> str:
        """option, history, measure, check, repair or refer. Raises NotAllowedError for an unknown id."""
        pack = self.pack
        if id_ == "seen":
            return "check"
        if id_ == "refer":
            return "refer"
        if id_ in pack.measurements:
            return "check" if pack.measurements[id_].is_check else "measure"
        for kind, known in (("option", pack.options), ("history", pack.history), ("repair", pack.repairs)):
            if id_ in known:
                return kind
        known_ids = [*pack.options, *pack.history, *pack.measurements, *pack.repairs]
        raise NotAllowedError(
            f"The pack {pack.id!r} has nothing called {id_!r}.{near(id_, known_ids)}", "Check the id."
        )

    def title(self, id_: str) -> str:
        """What the step is called in the path."""
        if id_ == "seen":
            return seen_title(self._symptom)
        if id_ == "refer" and self.pack.refer is not None:
            return self.pack.refer.title
        return self.pack.title_of(id_)

    def moves(self, id_: str) -> tuple[MoveStep, ...]:
        """The moves to the step from the bench as it is."""
        pack = self.pack
        if id_ in self.state.followers:
            return ()
        if id_ in pack.measurements:
            needs = pack.measurements[id_].needs
        elif id_ in pack.repairs:
            needs = pack.repairs[id_].needs
        elif id_ == "seen":
            needs = self._symptom.seen.needs
        elif id_ == "refer" and pack.refer is not None:
            needs = pack.refer.needs
        else:
            return ()
        # No way: the person got there all the same, and the walk must not invent moves.
        return moves_to(pack, self.graph, self.state.bench, needs) or ()

    def cost(self, id_: str) -> tuple[float, float, float]:
        """Hands-on minutes, unattended minutes and money of the step itself."""
        pack = self.pack
        if id_ in self.state.followers:
            return 0.0, 0.0, 0.0
        if id_ in pack.measurements:
            return pack.measurements[id_].minutes, pack.measurements[id_].wait, 0.0
        if id_ in pack.history:
            return pack.history[id_].minutes, 0.0, 0.0
        if id_ in pack.repairs:
            repair = pack.repairs[id_]
            return repair.minutes, repair.wait, repair.parts
        if id_ == "seen":
            return self._symptom.seen.minutes, self._symptom.seen.wait, 0.0
        if id_ == "refer" and pack.refer is not None:
            return pack.refer.minutes, 0.0, 0.0
        return 0.0, 0.0, 0.0
