"""What came of a step against what could be expected of it: a fair lottery, told outcome by outcome.

The minutes that follow, averaged over what may come of a step, are what was expected of it; once it is told, the same
minutes are averaged over what it may still have been. The difference is 0 in expectation (a martingale), however good
or bad the step was, and says nothing of judgement.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import product

from nextprobe.model.compile import Act
from nextprobe.pack.pack import Measurement
from nextprobe.review.place import GONE, STILL
from nextprobe.review.pricing import Priced

_FACT = ("reported", "denied")


class Lottery:
    """One step that was priced. act: what is read in it together; empty for a repair."""

    def __init__(self, priced: Priced, act: Act = ()) -> None:
        self._rest = dict(priced.rest)
        each = [tuple(one.outcomes) if isinstance(one, Measurement) else _FACT for one in act]
        self._joint = list(product(*each))
        self._place = {one.id: place for place, one in enumerate(act)}

    @property
    def expected(self) -> float:
        """Minutes that follow, by what is known now."""
        mass = sum(chance for chance, _ in self._rest.values())
        return sum(chance * minutes for chance, minutes in self._rest.values()) / mass if mass > 0 else 0.0

    def reads(self, id_: str) -> bool:
        """Whether the step tells `id_`."""
        return id_ in self._place

    def read(self, id_: str, shares: Mapping[str, float]) -> float | None:
        """Minutes by which the rest is longer after a reading with these shares of its outcomes; None: impossible."""
        at = self._place[id_]
        return self._tell(lambda key: shares.get(self._joint[key][at], 0.0))

    def seen(self, *, gone: bool) -> float | None:
        """The same after a look whether the symptom is gone."""
        return self._tell(lambda key: float(key == (GONE if gone else STILL)))

    def _tell(self, share: Callable[[int], float]) -> float | None:
        before = self.expected
        left = {key: (chance * share(key), minutes) for key, (chance, minutes) in self._rest.items()}
        if sum(chance for chance, _ in left.values()) <= 0:
            return None
        self._rest = left
        return self.expected - before
