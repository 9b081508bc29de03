"""A simulated machine: it answers every step of a walk as a machine with its hidden fault would.

Asking changes nothing: the same step asked twice answers the same. What was told of it moves it on: a reading taken
again has new scatter and may be misread anew; a repair removes causes, once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from random import Random

from nextprobe.pack.pack import Measurement, Pack
from nextprobe.quantity import Band
from nextprobe.rehearse.fault import UNLISTED, Fault, draw_fault, true_here
from nextprobe.rehearse.figure import figure
from nextprobe.rehearse.luck import Luck
from nextprobe.walk.ask import Ask
from nextprobe.walk.reading import meter_of

#: What a person tells of a repair that was made, however it ended.
MADE = ("done", "ruined", "gone", "still")


@dataclass
class Machine:
    """One simulated machine.

    symptom: what the owner reports. options: what is fitted. fault: what is wrong with it now. luck: of this machine.
    slips: the chance that a reading is taken wrong; None: as the pack has it for each measurement. lacks: instruments
    that are not here.
    """

    pack: Pack
    symptom: str
    options: Mapping[str, str]
    fault: Fault
    luck: Luck
    slips: float | None = None
    lacks: Collection[str] = ()
    slipped: list[str] = field(default_factory=list)
    ruined: bool = False
    _taken: Counter[str] = field(default_factory=Counter)

    @property
    def shows(self) -> bool:
        """Whether the symptom shows now."""
        return self.symptom in self.fault.holds

    def reading(self, ask: Ask, bands: Mapping[str, Band] | None = None) -> str:
        """What is told of `ask`: a figure where the measurement has a quantity and `bands`, else an answer's id.

        bands: the band of each outcome on this machine now, as the walk has them.
        """
        match ask.kind:
            case "option":
                return self.options.get(ask.id) or self.pack.options[ask.id].values[0]
            case "history":
                return self._fact(ask.id)
            case "repair":
                return "ruined" if self._ruins(ask.id) else "done"
            case "refer" | "done":
                return "done"
            case "check" if ask.id == "seen":
                return "still" if self.shows else "gone"
        measurement = self.pack.measurements[ask.id]
        outcome = self.read_as(measurement)
        if not measurement.quantity or not bands or outcome not in bands:
            return outcome
        counts, accuracy = meter_of(self.pack, measurement, self.lacks)
        return (
            figure(
                bands[outcome],
                measurement.quantity,
                accuracy,
                counts,
                self.luck.of("value", ask.id, outcome),
                self.luck.of("scatter", ask.id, self._taken[ask.id]),
            )
            or outcome
        )

    def outcome(self, measurement: Measurement) -> str:
        """The outcome that the machine has: its coin is thrown once, so a reading taken again is the same.

        A check passes: it says nothing of causes.
        """
        if measurement.is_check:
            return next(iter(measurement.outcomes))
        holds = self._drawn_anew(measurement.id) if UNLISTED in self.fault.reach else self.fault.holds
        rule = next(one for one in measurement.reads if one.when is None or true_here(one.when, holds))
        return self.luck.pick(list(rule.gives), list(rule.gives.values()), "outcome", measurement.id)

    def read_as(self, measurement: Measurement) -> str:
        """The outcome that is read this time: that of the machine, or by a slip another one (pack format, "Rules")."""
        true = self.outcome(measurement)
        others = [key for key in measurement.outcomes if key != true]
        return self._slip_of(measurement).choice(others) if others and self._slips(measurement) else true

    def told(self, id_: str, told: str) -> None:
        """What was told counts on the machine: a reading was taken, a repair made. `told` of a repair: its result."""
        if id_ in self.pack.measurements:
            if self._slips(self.pack.measurements[id_]):
                self.slipped.append(id_)
            self._taken[id_] += 1
        elif id_ in self.pack.repairs and told in MADE:
            self.ruined = self.ruined or told == "ruined"
            self.fault = self.fault.without([cause for cause in self.fault.causes if self._removes(id_, cause)])

    # -- coins -------------------------------------------------------------------------------------

    def _fact(self, id_: str) -> str:
        fact = self.pack.history[id_]
        factor = max(fact.raises.get(cause, 1.0) for cause in self.fault.causes) if self.fault.causes else 1.0
        return "reported" if self.luck.of("fact", id_).random() < min(1.0, fact.base * factor) else "denied"

    def _ruins(self, repair: str) -> bool:
        return self.luck.of("ruins", repair).random() < self.pack.repairs[repair].risk

    def _removes(self, repair: str, cause: str) -> bool:
        """One coin a repair and cause: what failed once is no better the second time."""
        return self.luck.of("removes", repair, cause).random() < self.pack.repairs[repair].fixes.get(cause, 0.0)

    def _slip_of(self, measurement: Measurement) -> Random:
        return self.luck.of("slip to", measurement.id, self._taken[measurement.id])

    def _slips(self, measurement: Measurement) -> bool:
        if measurement.is_check or len(measurement.outcomes) < 2:
            return False
        chance = measurement.misread if self.slips is None else self.slips
        return self.luck.of("slip", measurement.id, self._taken[measurement.id]).random() < chance

    def _drawn_anew(self, id_: str) -> frozenset[str]:
        """What the pack does not know reads like any cause, each reading on its own (pack format, "Unlisted")."""
        return draw_fault(self.pack, self.symptom, self.options, self.luck.within(id_)).holds
