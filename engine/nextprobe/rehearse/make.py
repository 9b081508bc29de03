"""From a setting to a machine: what is fitted and what is wrong are drawn, and both stay the same for the same seed."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from nextprobe.errors import SituationError
from nextprobe.pack.pack import Pack
from nextprobe.rehearse.fault import draw_fault
from nextprobe.rehearse.fitted import draw_options
from nextprobe.rehearse.luck import Luck
from nextprobe.rehearse.machine import Machine


@dataclass(frozen=True, slots=True)
class Hidden:
    """What is hidden in a machine, before it is drawn.

    causes: those of which it has one (with `two` exactly these two); empty: any, by weight. whole: as the pack has its
    jobs, with two causes and unlisted ones among them. slips: the chance of a reading taken wrong; None: the pack's.
    """

    seed: int = 0
    causes: tuple[str, ...] = ()
    two: bool = False
    whole: bool = False
    slips: float | None = None


def make_machine(
    pack: Pack, symptom: str, options: Mapping[str, str], hidden: Hidden, lacks: Collection[str] = ()
) -> Machine:
    """The machine of this seed. `options` are known beforehand; the others are drawn.

    Raises SituationError where the pack does not have the causes or this machine cannot have them.
    """
    if hidden.slips is not None and not 0 <= hidden.slips <= 1:
        raise SituationError(f"The chance of a slip is {hidden.slips}.", "Give a number from 0 to 1.")
    luck = Luck(hidden.seed)
    causes = hidden.causes
    if causes and not hidden.two:
        causes = (luck.of("which cause").choice(sorted(causes)),)
    elif hidden.two and len(causes) == 1:
        raise SituationError("Two faults were asked for, and one cause is named.", "Name two causes, or none.")
    fitted = draw_options(pack, symptom, options, luck, causes)
    fault = draw_fault(pack, symptom, fitted, luck, causes=causes, two=hidden.two, whole=hidden.whole)
    return Machine(pack, symptom, fitted, fault, luck, hidden.slips, tuple(lacks))
