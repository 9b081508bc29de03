"""One step ahead: the step whose cost plus the best repair order after it is cheapest.

Every measurement is priced as if repairing in the best order followed it (the myopic value of
information), every repair as if the best order followed its failure. Measuring goes on only while that is cheaper than
repairing or quoting now. What a step wants told first is done before it, and its reading not waited for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.model import Model
from nextprobe.plan.order import best_orders, folded_orders
from nextprobe.plan.prices import Prices
from nextprobe.plan.wanting import missing_minutes


@dataclass(frozen=True, slots=True)
class Values:
    """The expected minutes to the end of the job by each first step; inf where it is not open.

    measure (T,), repair (R,), refer: all from the same belief and bench state.
    """

    measure: Floats
    repair: Floats
    refer: float

    @property
    def best(self) -> tuple[str, int]:
        """The cheapest step: its kind and index. A tie goes to repair, then refer, then measure."""
        choices = [("refer", -1, self.refer)]
        if len(self.repair):
            choices.insert(0, ("repair", int(self.repair.argmin()), float(self.repair.min())))
        if len(self.measure):
            choices.append(("measure", int(self.measure.argmin()), float(self.measure.min())))
        kind, index, _ = min(choices, key=lambda choice: choice[2])
        return kind, index


def step_values(
    model: Model,
    belief: Floats,
    state: int,
    *,
    measured: Bools,
    tried: Bools,
    first: Prices | None = None,
) -> Values:
    """The value of each first step from `belief` (H,) in bench `state`.

    measured (T,), tried (R,): not open any more. first: the price of what must be told first.
    """
    belief = belief / belief.sum()
    refer = float(model.refer[state])
    price = first if first is not None else Prices.none(model)
    measure = np.full(len(model.likelihoods), np.inf)
    open_m = np.nonzero(~measured)[0]
    if len(open_m):
        measure = price.measure + _measure_values(model, belief, state, measured, tried, price)
        if model.wants is not None:
            measure += missing_minutes(model, model.wants.for_measure, measured[None, :], np.array([state]))[0]
    repair = np.full(len(model.fixes), np.inf)
    open_r = np.nonzero(~tried)[0]
    if len(open_r):
        repair[open_r] = price.repair[open_r] + _repair_values(model, belief, state, open_r, measured, tried, price)
    return Values(measure, repair, refer)


def _measure_values(model: Model, belief: Floats, state: int, measured: Bools, tried: Bools, price: Prices) -> Floats:
    rows, owner = model.stacked
    way, way_state = model.nearest_measurement
    at = way_state[state][owner]
    after = rows * belief
    # A reading that a repair wants told first is paid once, whichever of the two it is asked for.
    told = None
    if model.wants is not None:
        # What it wants is told by then too.
        told = (
            model.told_after(np.repeat(measured[None, :], len(owner), axis=0), owner)
            | model.wants.before_measure[owner]
        )
    orders = best_orders(model, after, at, tried, np.maximum(price.repair - price.credit[owner], 0.0), told)
    stop = np.concatenate(model.stops)
    minutes = np.where(stop, after.sum(axis=1) * model.refer[at], orders.minutes)
    total = sum_by(owner, minutes, len(model.likelihoods))
    value = way[state] + model.minutes + total
    return np.where(measured, np.inf, value)


def _repair_values(
    model: Model, belief: Floats, state: int, repairs: Ints, measured: Bools, tried: Bools, price: Prices
) -> Floats:
    way, way_state = model.nearest_repair
    at = way_state[state][repairs]
    cost = way[state][repairs] + model.repair_minutes[repairs] + model.proof[repairs, at]
    after = model.proof_state[repairs, at]
    folded = belief @ model.fold
    fixes = model.class_fixes[repairs]
    tail = model.tail[repairs, after]
    missing = np.zeros(len(model.fixes))
    if model.wants is not None:
        missing = missing_minutes(model, model.wants.for_repair, measured[None, :], np.array([state]))[0]
    values = np.full(len(repairs), np.inf)
    for number, repair in enumerate(repairs.tolist()):
        if not np.isfinite(cost[number]) or not np.isfinite(tail[number]):
            continue
        gone = tried.copy()
        gone[repair] = True
        left = model.class_after_failure(folded[None, :], repair)
        told = None if model.wants is None else measured | model.wants.before_repair[repair]
        rest = folded_orders(model, left, after[number : number + 1], gone, price.repair, told)
        own = cost[number] + missing[repair]
        values[number] = own + float(folded @ fixes[number]) * tail[number] + rest.minutes[0]
    return values
