"""A simulated machine walked by following the engine: what it would have cost, and whole jobs without a person."""

from __future__ import annotations

from nextprobe.errors import NotAllowedError, QuantityError, ToldError
from nextprobe.rehearse.machine import Machine
from nextprobe.walk import Ask, Ending, Walk
from nextprobe.walk.play import LONGEST


def answer(walk: Walk, machine: Machine, ask: Ask) -> str:
    """What the machine says to `ask`, in a form that the walk takes; nothing changes."""
    bands = None
    if ask.id in walk.pack.measurements:
        try:
            bands = walk.bands(ask.id)
        except QuantityError:
            bands = None
    text = machine.reading(ask, bands)
    try:
        walk.take(ask.id, text)
    except ToldError:
        # A figure between the ranges: what it is called is told.
        return machine.reading(ask) if ask.id in walk.pack.measurements else text
    return text


def follow(walk: Walk, machine: Machine, most: int = LONGEST) -> Ending:
    """Do every step that is asked, until the walk has ended. Raises NotAllowedError after `most` steps."""
    for _ in range(most):
        ask = walk.ask()
        if ask.kind == "done":
            ending = walk.close()
            if ending is not None:
                return ending
        text = answer(walk, machine, ask)
        walk.tell(ask.id, text)
        machine.told(ask.id, text)
    raise NotAllowedError(f"The walk has no end after {most} steps.", "Please report it with the pack.")
