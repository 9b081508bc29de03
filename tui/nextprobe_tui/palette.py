"""The command palette: every action that can be done here, found by a part of its word or of what it does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from textual.command import DiscoveryHit, Hit, Hits, Provider

from nextprobe_tui.actions import ACTS, EVERYWHERE, Act
from nextprobe_tui.keys import key_of

if TYPE_CHECKING:
    from textual.screen import Screen


def acts_of(screen: Screen[Any]) -> Iterator[tuple[Act, Callable[[], Any]]]:
    """The actions that `screen` can do, those of the whole program among them, and how."""
    for act in ACTS:
        owner = screen.app if act.id in EVERYWHERE else screen
        do = getattr(owner, f"action_act_{act.id}", None)
        if callable(do):
            yield act, do


class ActsProvider(Provider):
    """Feeds the palette from the registry of actions."""

    async def discover(self) -> Hits:
        for act, do in acts_of(self.screen):
            yield DiscoveryHit(self._name(act), do, help=act.help)

    async def search(self, query: str) -> Hits:
        matcher = self.matcher(query)
        for act, do in acts_of(self.screen):
            name = self._name(act)
            score = max(matcher.match(name), matcher.match(act.help))
            if score > 0:
                yield Hit(score, matcher.highlight(name), do, help=act.help)

    def _name(self, act: Act) -> str:
        return f"{act.word} ({key_of(self.app, act.id)})"
