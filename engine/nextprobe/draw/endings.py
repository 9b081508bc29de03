"""How the jobs end that a folded branch holds: which repairs, how many are quoted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nextprobe.draw.words import Words, share
from nextprobe.plan.follow import Branch, Place

#: Endings that are named.
NAMED = 3
#: Keys of what is no repair.
QUOTED, STOPPED = -1, -2


class Endings:
    """Shares of all jobs by how they end, below each place of one tree; each place is summed once."""

    def __init__(self, words: Words) -> None:
        self.words = words
        # The place is kept beside its sums, so that no other object can take its identity.
        self._known: dict[int, tuple[Place, Mapping[int, float]]] = {}

    def of(self, place: Place) -> Mapping[int, float]:
        """Share of all jobs by repair, QUOTED or STOPPED."""
        if id(place) not in self._known:
            ended = {tried.repair: tried.cured for tried in place.order}
            if place.quoted > 0:
                ended[QUOTED] = place.quoted
            if place.cured > 0:
                ended[place.action.index] = place.cured
            self._known[id(place)] = place, self._added(ended, place.branches)
        return self._known[id(place)][1]

    def said(self, branches: Sequence[Branch]) -> str:
        """In words, likeliest first, as shares of the jobs in `branches`."""
        ended = self._added({}, branches)
        whole = sum(branch.chance for branch in branches)
        if not ended or whole <= 0:
            return "all told apart"
        likeliest = sorted(ended.items(), key=lambda one: (-one[1], one[0]))[:NAMED]
        return "mostly: " + ", ".join(f"{self._name(key)} ({share(part / whole)})" for key, part in likeliest)

    def _added(self, ended: dict[int, float], branches: Sequence[Branch]) -> dict[int, float]:
        for branch in branches:
            below = {STOPPED: branch.chance} if branch.place is None else self.of(branch.place)
            for key, part in below.items():
                ended[key] = ended.get(key, 0.0) + part
        return ended

    def _name(self, key: int) -> str:
        if key == QUOTED:
            return "quoted"
        return "stopped for safety" if key == STOPPED else self.words.repair(key)
