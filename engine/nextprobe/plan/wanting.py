"""Which measurement to make where steps want others told first: the price of what is missing, and what comes next."""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.scores import MOMENT, OUT_OF_REACH, POWER, Scores

#: Stands for what cannot be reached; finite, so that 0 x never is not a number.
NEVER = 1e12


def missing_minutes(model: Model, wanted: tuple[Ints, Floats], measured: Bools, state: Ints) -> Floats:
    """(N, n) about how long what is wanted takes that is not `measured` (N, T), each from `state` (N,).

    wanted: `for_measure` or `for_repair` of the model's wants. The ways are those from where the bench is, so this is
    a guess for choosing, never a price that is paid.
    """
    tests, by = wanted
    own = np.minimum(model.nearest_measurement[0][:, tests] + model.minutes[tests], NEVER)
    return np.asarray(np.where(measured[:, tests], 0.0, own[state]) @ by)


def best_ask(
    model: Model, scores: Scores, weights: Floats, state: Ints, measured: Bools, room: Floats
) -> tuple[Ints, Floats]:
    """As `Scores.best`, with what each measurement wants told first as part of it; the one to make now (N,).

    A measurement with all that it wants told first is judged by the bits and the minutes of them together.
    """
    wants = model.wants
    if wants is None or not len(model.likelihoods):
        return scores.best(weights, state, measured, room)
    bits = np.where(measured, 0.0, np.maximum(scores.information(weights), 0.0))
    mass = weights.sum(axis=1)
    own = np.minimum(model.nearest_measurement[0][state] + model.minutes + scores.prices.measure, NEVER)
    tests, by = wants.for_measure
    cost = own + np.where(measured[:, tests], 0.0, own[:, tests]) @ by
    told = bits + bits[:, tests] @ by
    open_ = ~measured & (cost < OUT_OF_REACH) & (cost * mass[:, None] < room[:, None])
    score = np.where(open_ & (told > 1e-7), told / (cost + MOMENT) ** POWER, -1.0)
    pick = score.argmax(axis=1)
    rows = np.arange(len(weights))
    found = score[rows, pick] > 0
    ask = wants.next(wants.before_measure[pick], measured)
    ask = np.where(ask >= 0, ask, pick)
    return np.where(found, ask, -1), np.where(found, own[rows, ask], 0.0)
