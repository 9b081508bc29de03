"""Rows of a written policy while it is written, and the factors that lead from one to the next."""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.model.model import Model

#: What a row is: a measurement, a repair tried, its cure, a reading that ended the work, a quote, found; ORDER: a place
#: from which repairs are made in the best order, until these are written.
MEASURE, TRY, CURED, STOPPED, QUOTE, FOUND, ORDER = range(7)


class Rows:
    """Rows in the order in which they are written: any, but no row before its parent."""

    def __init__(self) -> None:
        self._rows: list[tuple[int, int, int, int, int]] = []

    def __len__(self) -> int:
        return len(self._rows)

    def add(self, parent: int, factor: int, kind: int, index: int, at: int) -> int:
        """Write a row; its number. The first row has no parent, whatever is given."""
        self._rows.append((parent, factor, kind, index, at))
        return len(self._rows) - 1

    def become(self, row: int, kind: int, index: int, at: int) -> None:
        """Make a row another step, come to as before."""
        parent, factor, *_ = self._rows[row]
        self._rows[row] = parent, factor, kind, index, at

    def arrays(self) -> tuple[Ints, Ints, Ints, Ints, Ints]:
        """parent, factor, kind, index, at of the rows as they were written."""
        table = np.array(self._rows, dtype=np.int64).reshape(len(self._rows), 5)
        return table[:, 0], table[:, 1], table[:, 2], table[:, 3], table[:, 4]

    def sorted(self) -> tuple[Ints, Ints, Ints, Ints, Ints]:
        """The same, depth by depth and there by parent."""
        parent, *others = self.arrays()
        depth = np.zeros(len(parent), dtype=np.int64)
        while True:  # as often as the policy is deep
            deeper = depth[parent] + 1
            deeper[0] = 0
            if (deeper == depth).all():
                break
            depth = deeper
        place = np.arange(len(parent))
        for level in range(1, int(depth.max(initial=0)) + 1):
            begin = int((depth < level).sum())
            members = np.nonzero(depth == level)[0]
            members = members[np.argsort(place[parent[members]], kind="stable")]
            place[members] = begin + np.arange(len(members))
        order = np.argsort(place)
        parent, factor, kind, index, at = (column[order] for column in (place[parent], *others))
        return parent, factor, kind, index, at


class Factors:
    """The numbers of factors: 0 is certainty, then outcomes, repairs that cure, that leave it, readings that go on."""

    def __init__(self, model: Model) -> None:
        self.first_row = 1 + model.first_row
        self.tests, self.repairs = len(model.likelihoods), len(model.fixes)

    def reads(self, test: int, outcome: int) -> int:
        """A measurement reads an outcome."""
        return int(self.first_row[test]) + outcome

    def cures(self, repair: int) -> int:
        """A repair cures."""
        return int(self.first_row[-1]) + repair

    def leaves(self, repair: int) -> int:
        """A repair leaves the symptom."""
        return self.cures(repair) + self.repairs

    def goes_on(self, test: int) -> int:
        """A measurement is told, whatever it reads, and does not end the work."""
        return int(self.first_row[-1]) + 2 * self.repairs + test

    @property
    def count(self) -> int:
        """How many there are."""
        return int(self.first_row[-1]) + 2 * self.repairs + self.tests


def factor_table(model: Model, stacked: Floats, fixes: Floats) -> Floats:
    """(F, H) the chance of each factor for each hypothesis: stacked (sum of O_t, H) outcomes, fixes (R, H)."""
    stops = np.concatenate([np.asarray(stop) for stop in model.stops]) if model.stops else np.zeros(0, dtype=bool)
    going = np.zeros((len(model.likelihoods), stacked.shape[1]))
    _, owner = model.stacked
    np.add.at(going, owner[~stops], stacked[~stops])
    return np.concatenate([np.ones((1, stacked.shape[1])), stacked, fixes, 1.0 - fixes, going])
