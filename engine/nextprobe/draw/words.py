"""The words of a plan: its steps, their outcomes, the bench moves, chances and minutes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from nextprobe.model.bench import make_bench
from nextprobe.model.compile import Compiled
from nextprobe.pack.numbers import estimate_share, pack_date
from nextprobe.pack.pack import Pack
from nextprobe.plan.follow import ANY, STILL, Branch, Place
from nextprobe.plan.policy import Action
from nextprobe.walk.foresee import outcomes


@dataclass(frozen=True)
class Words:
    """Names for what a plan's indices mean in `pack`."""

    pack: Pack
    compiled: Compiled

    def title(self, action: Action) -> str:
        """What a step is called."""
        if action.kind == "measure":
            return self.pack.title_of(self.compiled.measurements[action.index])
        if action.kind == "repair":
            return self.repair(action.index)
        if action.kind == "found":
            return "Nothing more can be told apart"
        return self.quote

    def repair(self, index: int) -> str:
        """What a repair is called."""
        return self.pack.title_of(self.compiled.repairs[index])

    def kind(self, action: Action) -> str:
        """measure, history, repair, refer or found."""
        if action.kind == "measure" and self.compiled.measurements[action.index] in self.pack.history:
            return "history"
        return action.kind

    @property
    def quote(self) -> str:
        """What quoting is called in the pack."""
        return self.pack.refer.title if self.pack.refer is not None else "Nothing is left to try"

    def outcome(self, action: Action, branch: Branch) -> str:
        """What was told where `branch` goes on."""
        if branch.outcome == STILL:
            return "Still there"
        if branch.outcome == ANY:
            return "Whatever it says"
        return self._outcomes(action.index)[branch.outcome]

    def moves(self, place: Place) -> str:
        """The bench conditions that change before the step, and the minutes of it; "" where none does."""
        states = self._states
        if place.state == place.at or max(place.state, place.at) >= len(states):
            return ""
        before, after = states[place.state], states[place.at]
        changed = [f"{condition} {value}" for condition, value in after.items() if before[condition] != value]
        return f"{', '.join(changed)} (+{minutes(place.way)})".replace("_", " ")

    @cached_property
    def _states(self) -> tuple[Mapping[str, str], ...]:
        return make_bench(self.pack.bench, ()).states

    def _outcomes(self, index: int) -> tuple[str, ...]:
        return tuple(_plain(say) for _, say in outcomes(self.compiled.acts[index]))


def _plain(said: str) -> str:
    return " ".join(said.split()).rstrip(".") or "?"


def share(chance: float) -> str:
    """A chance as a person reads it: `38 %`, `3.4 %`, `under 0.1 %`."""
    hundred = 100 * chance
    if hundred >= 9.95:
        return f"{hundred:.0f} %"
    return f"{hundred:.1f} %".replace(".0 ", " ") if hundred >= 0.05 else "under 0.1 %"


def numbers_said(pack: Pack) -> str:
    """Of when a pack's numbers are, and the share of them that are estimates."""
    dated = pack_date(pack)
    return f"{f'of {dated}' if dated else 'without a date'}, {share(estimate_share(pack))} of them estimates"


def minutes(value: float) -> str:
    """Minutes as a person reads them: `0.5 min`, `12 min`, `4 h 08 min`."""
    if value >= 119.5:
        hours, left = divmod(round(value), 60)
        return f"{hours} h {left:02d} min" if left else f"{hours} h"
    return f"{value:.0f} min" if value >= 9.95 else f"{value:.1f} min".replace(".0 ", " ")
