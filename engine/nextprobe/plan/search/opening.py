"""Opening places: every step that is possible there, and where each outcome leads.

What follows is bounded at once with the rates of the place itself, which hold for any weights: the known-cause problem
is solved once for each measurement that is not open any more, and read for all its outcomes. A failed repair is
read as if it were still open, which only lowers it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.plan.bounds.entropic.known import Known
from nextprobe.plan.search.places import CLOSED, OPENED, Codes, Places


def open_places(places: Places, which: Ints) -> None:
    """Open the touched places `which` (n,)."""
    at, more, model = places.at, places.more, places.model
    slots = at["slot"][which]
    weights = at["weights"][which]
    measured, tried = places.flags(which)
    rates = places.bound.rates(weights, *places.usage(slots))
    known = places.bound.known.solve(rates, measured, tried)
    more["askable"][slots] = model.askable(measured)
    told = _told(places, which, slots, weights, known, rates.rho)
    failed = _failed(places, which, slots, weights, known, rates.rho)
    codes, after = np.concatenate([told.codes, failed.codes]), np.concatenate([told.weights, failed.weights])
    parents = np.concatenate([told.parents, failed.parents])
    children = places.make(codes, after, which[parents])
    places.raise_lower(children, np.concatenate([told.lower, failed.lower]))
    more["children"][slots[parents], np.concatenate([told.columns, failed.columns])] = children
    at["known"][which] = OPENED


class Following(NamedTuple):
    """Codes (m, T + R), weights (m, H), L (m, S), the opened place (m,) each follows and its column among children."""

    codes: Codes
    weights: Floats
    lower: Floats
    parents: Ints
    columns: Ints


def _told(places: Places, which: Ints, slots: Ints, weights: Floats, known: Known, rho: Floats) -> Following:
    model = places.model
    rows, owner = model.stacked
    after = weights[:, None, :] * rows
    mass = after.sum(axis=2)
    askable = places.more["askable"][slots][:, owner]
    stops = np.concatenate([np.zeros(0, dtype=bool), *model.stops])
    for test in range(places.tests):
        of = (owner == test) & stops
        if of.any():
            places.more["stopped"][slots, test] = mass[:, of].sum(axis=1)
    parents, row = np.nonzero(askable & ~stops & (mass > 0))
    asked: Ints = owner[row]
    after = after[parents, row]
    minutes = places.bound.known.without_each(known)[parents, asked]
    lower = (minutes @ after[:, :, None])[:, :, 0] + (rho[parents] * places.bound.table.entropy(after))[:, None]
    codes = places.at["code"][which][parents]
    codes[np.arange(len(row)), asked] = row - model.first_row[asked] + 1
    if model.excludes is not None:
        shut = model.excludes[asked] & (codes[:, : places.tests] == 0)
        codes[:, : places.tests][shut] = CLOSED
    return Following(codes, after, lower, parents, row)


def _failed(places: Places, which: Ints, slots: Ints, weights: Floats, known: Known, rho: Floats) -> Following:
    model = places.model
    measured, tried = places.flags(which)
    cured = weights @ model.fixes.T
    able = model.repairable(measured, tried) & (cured > 0) & model.at_repair.any(axis=1)
    places.more["cured"][slots] = np.where(able, cured, 0.0)
    after = weights[:, None, :] * (1.0 - model.fixes)
    parents, repair = np.nonzero(able & (after.sum(axis=2) > 0))
    after = after[parents, repair]
    lower = (known.minutes[parents] @ after[:, :, None])[:, :, 0]
    lower = lower + (rho[parents] * places.bound.table.entropy(after))[:, None]
    codes = places.at["code"][which][parents]
    codes[np.arange(len(repair)), places.tests + repair] = 1
    return Following(codes, after, lower, parents, len(model.stacked[0]) + repair)
