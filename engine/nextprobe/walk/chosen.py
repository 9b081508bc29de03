"""A step that a person chooses for themselves: what is open, and the ask for it, unplanned."""

from __future__ import annotations

from nextprobe.errors import NotAllowedError
from nextprobe.walk.ask import Ask
from nextprobe.walk.next_step import chosen_ask
from nextprobe.walk.situation import near
from nextprobe.walk.walk import Walk


def open_ids(walk: Walk) -> tuple[str, ...]:
    """What can be chosen now: measurements, facts and repairs that are not told yet, in the pack's order, and refer."""
    steps = walk._steps()
    found = [
        *(measurement.id for measurement in steps.measurements()),
        *(fact.id for fact in steps.facts()),
        *(repair.id for repair in steps.repairs()),
    ]
    return (*found, "refer") if walk.pack.refer is not None else tuple(found)


def ask_for(walk: Walk, id_: str) -> Ask:
    """The ask for the step `id_`, or for what must be told before it. Raises NotAllowedError where it is not open."""
    known = open_ids(walk)
    if id_ not in known:
        if id_ in walk._state.told:
            raise NotAllowedError(f"{id_!r} is told already.", f"Take it again with `retake {id_}`.")
        raise NotAllowedError(f"{id_!r} cannot be done now.{near(id_, known)}", "`find` lists what can.")
    ask = chosen_ask(walk._steps(), walk._beliefs, walk.decider, id_)
    if ask is None:
        raise NotAllowedError(f"There is no way to {id_!r} from the bench as it is.", "Choose another step.")
    return ask
