"""What one changed number does to the expected minutes of a policy that stays as it is, exactly, for every number.

A policy's minutes are linear in the chances of one measurement or one repair, linear in all minutes, and a mean over
hypotheses. So the slopes of one telling give every such change exactly. A weight or an arc moves shares between
hypotheses, and what the unlisted cause reads: the unlisted cause is told anew for each of them, all side by side.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

import numpy as np

from nextprobe.model.arrays import Floats, sum_by
from nextprobe.model.compile import Act, Compiled, act_table, repair_minutes
from nextprobe.model.hypotheses import Hypotheses, make_hypotheses
from nextprobe.model.model import Model
from nextprobe.pack.numbers import Number
from nextprobe.pack.pack import Fact, Measurement, Pack
from nextprobe.study.doubts_changes import changed
from nextprobe.study.doubts_rows import MEASURE, TRY, Factors, factor_table
from nextprobe.study.doubts_told import Told, told
from nextprobe.study.doubts_written import Written
from nextprobe.walk import Walk

Cancel = Callable[[], bool]


class Machine:
    """One pack on one machine in one shop, for one fault: how its model comes about, number by number."""

    def __init__(self, pack: Pack, symptom: str, lacks: Collection[str] = ()) -> None:
        self.pack = replace(pack, pairs=0.0)
        self.symptom, self.lacks = symptom, tuple(lacks)
        held = {key: option.default for key, option in pack.options.items() if option.default is not None}
        self.options = {**held, **Walk(self.pack, symptom, lacks=self.lacks).options}
        self.compiled = self.compile(self.pack)
        self.hypotheses = self.unfold(self.pack)

    @property
    def model(self) -> Model:
        """The planner's arrays."""
        return self.compiled.model

    def compile(self, pack: Pack) -> Compiled:
        """The model of a changed pack; the same steps and hypotheses in the same order."""
        return Walk(pack, self.symptom, lacks=self.lacks).planning_model()

    def unfold(self, pack: Pack) -> Hypotheses:
        """The hypotheses of a changed pack."""
        return make_hypotheses(pack, self.symptom, self.options)


class Same:
    """The minutes of one policy, written for `machine`, while the numbers change."""

    def __init__(self, machine: Machine, policy: Written, cancel: Cancel = lambda: False) -> None:
        self.machine, self.policy, self.cancel = machine, policy, cancel
        model = machine.model
        stacked, _ = model.stacked
        self.factors = Factors(model)
        self.prior = model.prior / model.prior.sum()
        table = factor_table(model, stacked, model.fixes)
        rows = policy.minutes(model)
        self.told: Told | None = told(policy, table, rows, self.prior, slopes=True, cancel=cancel)
        self.minutes = 0.0 if self.told is None else self.told.mean(self.prior)
        singles = machine.hypotheses.singles
        self._one = machine.hypotheses.taken(np.arange(singles))
        self._weight = self.prior[:singles] / self.prior[:singles].sum()
        self._visited = {kind: self._visits(kind) for kind in (MEASURE, TRY)}
        self._worth: dict[int, Floats] = {}
        self._waiting: list[tuple[int, Floats, Floats]] = []

    def all(
        self, asked: Sequence[tuple[Number, float]], say: Callable[[int], None] = lambda done: None
    ) -> list[float] | None:
        """The change in minutes with each number times its factor, each by itself; None where it was cancelled.

        say: told before each how many are done.
        """
        found = [0.0] * len(asked)
        for place, (number, factor) in enumerate(asked):
            say(place)
            if self.cancel() or self.told is None:
                return None
            pack = changed(self.machine.pack, number, factor)
            if pack is not None:
                found[place] = self._change(place, number, pack)
        if not self._told_anew(found):
            return None
        return found

    def _change(self, place: int, number: Number, pack: Pack) -> float:
        kind, block = number.kind, number.path[0]
        if kind in ("likelihood", "base", "raises") or (kind == "misread" and block == "measurements"):
            return self._tables(str(number.path[1]), pack)
        if kind in ("weight", "arc", "unlisted"):
            return self._shares(place, pack)
        if kind == "fixes":
            return self._fixes(str(number.path[1]), str(number.path[3]), pack)
        if block == "repairs":
            return self._repair(str(number.path[1]), pack)
        if block == "measurements" and str(number.path[1]) in self.machine.compiled.measurements:
            return self._measurement(str(number.path[1]), pack)
        model = self.machine.compile(pack).model
        if kind != "misread":
            return self._costs(model)
        stacked, _ = model.stacked
        table = factor_table(model, stacked, model.fixes)
        anew = told(self.policy, table, self.policy.minutes(model), self.prior, cancel=self.cancel)
        return 0.0 if anew is None else anew.mean(self.prior) - self.minutes

    def _tables(self, id_: str, pack: Pack) -> float:
        """Other chances of one measurement, or of what the owner tells."""
        compiled = self.machine.compiled
        test = compiled.wanted(id_)
        if test < 0:
            return 0.0
        act = compiled.acts[test]
        other: Act = tuple(_of(pack, one) if one.id == id_ else one for one in act)
        moved = act_table(self._one, other)[0] - act_table(self._one, act)[0]
        return float((moved * self._worth_of(test)).sum())

    def _worth_of(self, test: int) -> Floats:
        """(singles, O) minutes of all jobs that a chance of a reading is worth, with what the unlisted cause reads."""
        if test not in self._worth and self.told is not None:
            first, last = self.factors.first_row[test], self.factors.first_row[test + 1]
            going = ~np.asarray(self.machine.model.stops[test])
            slope = self.told.slopes[first:last] + going[:, None] * self.told.slopes[self.factors.goes_on(test)]
            own = self.prior[:-1, None] * slope[:, :-1].T
            self._worth[test] = own + self._weight[:, None] * self.prior[-1] * slope[:, -1]
        return self._worth[test]

    def _shares(self, place: int, pack: Pack) -> float:
        """Other shares of the hypotheses; the unlisted cause waits to be told anew."""
        model, old = self.machine.model, self.machine.hypotheses
        new = self.machine.unfold(pack)
        if len(new.first) == len(old.first) and (new.state == old.state).all() and self.told is not None:
            share = new.prior / new.prior.sum()
            prior = np.append(share * (1.0 - pack.unlisted), pack.unlisted)
            reads = np.concatenate([np.zeros(0), *(share @ table[:-1] for table in model.likelihoods)])
            self._waiting.append((place, prior, reads))
            return float(self.told.minutes[:-1] @ prior[:-1]) - self.minutes
        return 0.0

    def _told_anew(self, found: list[float]) -> bool:
        """Add the unlisted cause as it reads for all that wait; whether that came to its end."""
        if not self._waiting:
            return True
        model = self.machine.model
        stacked = np.array([reads for _, _, reads in self._waiting]).T
        table = factor_table(model, stacked, np.zeros((len(model.fixes), stacked.shape[1])))
        some = np.ones(stacked.shape[1])
        anew = told(self.policy, table, self.policy.minutes(model), some, cancel=self.cancel)
        if anew is None:
            return False
        for (place, prior, _), minutes in zip(self._waiting, anew.minutes.tolist(), strict=True):
            found[place] += float(prior[-1]) * minutes
        self._waiting = []
        return True

    def _fixes(self, id_: str, cause: str, pack: Pack) -> float:
        compiled, hypotheses = self.machine.compiled, self.machine.hypotheses
        if id_ not in compiled.repairs or cause not in hypotheses.causes or self.told is None:
            return 0.0
        repair = compiled.repairs.index(id_)
        of = np.nonzero(hypotheses.first[: hypotheses.singles] == hypotheses.causes.index(cause))[0]
        slope = self.told.slopes[self.factors.cures(repair)] - self.told.slopes[self.factors.leaves(repair)]
        moved = pack.repairs[id_].fixes[cause] - self.machine.pack.repairs[id_].fixes[cause]
        return float(moved * (self.prior[of] @ slope[of]))

    def _repair(self, id_: str, pack: Pack) -> float:
        compiled = self.machine.compiled
        if id_ not in compiled.repairs:
            return 0.0
        moved = repair_minutes(pack, pack.repairs[id_]) - repair_minutes(pack, self.machine.pack.repairs[id_])
        return moved * float(self._visited[TRY][compiled.repairs.index(id_)])

    def _measurement(self, id_: str, pack: Pack) -> float:
        def paid(of: Pack) -> float:
            one = of.measurements[id_]
            return one.minutes + of.economics.wait_minutes(one.wait)

        index = self.machine.compiled.measurements.index(id_)
        return (paid(pack) - paid(self.machine.pack)) * float(self._visited[MEASURE][index])

    def _costs(self, model: Model) -> float:
        """Other minutes anywhere; the shares of jobs that come to each step stay."""
        return 0.0 if self.told is None else float(self.told.visits @ self.policy.minutes(model)) - self.minutes

    def _visits(self, kind: int) -> Floats:
        size = max(len(self.machine.model.likelihoods), len(self.machine.model.fixes), 1)
        rows = self.policy.kind == kind
        visits = np.zeros(len(rows)) if self.told is None else self.told.visits
        return sum_by(self.policy.index[rows], visits[rows], size)


def _of(pack: Pack, one: Measurement | Fact) -> Measurement | Fact:
    """The same measurement or history fact in a changed pack."""
    return pack.history[one.id] if isinstance(one, Fact) else pack.measurements[one.id]
