"""The places of the search: what was told and which repairs failed, in whatever order, so that ways there meet.

A place holds its weights (not normalised: their sum is the chance of what was told and failed), and both ends of the
cost from every bench state, in minutes times that chance. At first L is what its parent's rates give and U is
quoting; a touched place has rates of its own and the best order of repairs as U; an opened one has steps.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds.entropic import EntropicBound, Usage
from nextprobe.plan.order import best_orders
from nextprobe.plan.search.growing import Growing

Codes = NDArray[np.uint16]

#: How much is known of a place.
MADE, TOUCHED, OPENED = 0, 1, 2
#: The code of a measurement that is closed; outcomes told are 1 and up, 0 is open.
CLOSED = 65535
#: Rounds in which a touched place makes its bound its own.
ROUNDS = 4


class Places:
    """All places of one search. Number 0 stands for none: it costs nothing."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.bound = EntropicBound(model)
        self.tests, self.repairs = len(model.minutes), len(model.fixes)
        self.steps = self.tests + self.repairs
        hypotheses, states = len(model.prior), len(model.ways)
        rows = len(model.stacked[0])
        self.at = Growing(
            weights=((hypotheses,), np.float64),
            code=((self.steps,), np.uint16),
            mass=((), np.float64),
            upper=((states,), np.float64),
            lower=((states,), np.float64),
            first=((states,), np.int32),
            known=((), np.int8),
            parent=((), np.int64),
            slot=((), np.int64),
        )
        # What only touched and opened places have, by slot; any usage is valid, so it may be coarse.
        # children: by outcome, then by repair; steps: L of each.
        self.more = Growing(
            usage=((self.steps + 1, hypotheses), np.float16),
            rho=((), np.float64),
            children=((rows + self.repairs,), np.int32),
            askable=((self.tests,), np.bool_),
            stopped=((self.tests,), np.float64),
            cured=((self.repairs,), np.float64),
            steps=((self.steps, states), np.float64),
        )
        self._numbers: dict[bytes, int] = {}
        self.at.add(1)
        self.at["known"][0] = OPENED
        begun = np.zeros((1, self.steps), dtype=np.uint16)
        self.root = int(self.make(begun, model.prior[None, :], np.zeros(1, dtype=np.int64))[0])
        self._touch_root()

    @property
    def bytes(self) -> int:
        """About what all of this takes."""
        keys = len(self._numbers) * (2 * self.steps + 150)
        return int(self.at.count * self.at.bytes + self.more.count * self.more.bytes + keys)

    def flags(self, places: Ints) -> tuple[Bools, Bools]:
        """(n, T) what is told or closed, (n, R) what was tried."""
        code = self.at["code"][places] > 0
        return code[:, : self.tests], code[:, self.tests :]

    def make(self, codes: Codes, weights: Floats, parents: Ints) -> Ints:
        """(n,) the places with codes (n, T + R): those that are there, or new ones with these weights."""
        numbers = np.empty(len(codes), dtype=np.int64)
        fresh: list[int] = []
        following = self.at.count
        width = codes.dtype.itemsize * codes.shape[1]
        whole = np.ascontiguousarray(codes).tobytes()
        for row in range(len(codes)):
            key = whole[row * width : (row + 1) * width]
            number = self._numbers.get(key)
            if number is None:
                number = following + len(fresh)
                self._numbers[key] = number
                fresh.append(row)
            numbers[row] = number
        if fresh:
            new = self.at.add(len(fresh))
            self.at["code"][new], self.at["weights"][new] = codes[fresh], weights[fresh]
            self.at["parent"][new] = parents[fresh]
            mass = weights[fresh].sum(axis=1)
            self.at["mass"][new] = mass
            self.at["upper"][new] = mass[:, None] * self.model.refer
            self.at["first"][new] = -1
        return numbers

    def usage(self, slots: Ints) -> tuple[Usage, Floats]:
        """The usage and rho that were best there."""
        return Usage(self.more["usage"][slots].astype(np.float64)), self.more["rho"][slots]

    def raise_lower(self, places: Ints, lower: Floats) -> None:
        """L is at least (n, S) there, and no more than U; a place may come more than once."""
        np.maximum.at(self.at["lower"], places, lower)
        self.at["lower"][places] = np.minimum(self.at["lower"][places], self.at["upper"][places])

    def touch(self, places: Ints, states: Ints) -> None:
        """Make the bound of `places` (n,) their own, best in states (n,), and price their order of repairs."""
        usage, rho = self.usage(self.at["slot"][self.at["parent"][places]])
        measured, tried = self.flags(places)
        weights = self.at["weights"][places]
        tuned = self.bound.tune(weights, measured, tried, states, usage, rho, ROUNDS)
        self._touched(places, tuned.lower, tuned.usage, tuned.rho)

    def _touch_root(self) -> None:
        root = np.array([self.root])
        tuned = self.bound.from_nothing(self.model.prior[None, :], *self.flags(root), np.array([self.model.start]))
        self._touched(root, tuned.lower, tuned.usage, tuned.rho)

    def _touched(self, places: Ints, lower: Floats, usage: Usage, rho: Floats) -> None:
        slots = self.more.add(len(places))
        self.at["slot"][places] = slots
        self.more["usage"][slots], self.more["rho"][slots] = usage.of, rho
        self.at["known"][places] = TOUCHED
        states = len(self.model.ways)
        measured, tried = (np.repeat(flag, states, axis=0) for flag in self.flags(places))
        weights = np.repeat(self.at["weights"][places], states, axis=0)
        here = np.tile(np.arange(states), len(places))
        orders = best_orders(self.model, weights, here, tried, measured=measured)
        self.at["upper"][places] = np.minimum(orders.minutes.reshape(-1, states), self.at["upper"][places])
        self.at["first"][places] = orders.first.reshape(-1, states)
        self.raise_lower(places, lower)
