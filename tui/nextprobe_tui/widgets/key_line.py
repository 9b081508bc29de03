"""The keys that do something now, at the foot of a screen."""

from __future__ import annotations

from typing import Any

from textual.screen import Screen
from textual.widgets import Footer


class KeyLine(Footer):
    """Made anew only where the keys have changed: the framework asks for it whenever the focus moves."""

    def __init__(self) -> None:
        super().__init__(show_command_palette=False, compact=True)
        self._keys: list[tuple[str, str, bool]] = []

    def bindings_changed(self, screen: Screen[Any]) -> None:
        if not self.is_attached or screen is not self.screen or not self.app.app_focus:
            return
        active = screen.active_bindings.values()
        keys = [
            (self.app.get_key_display(binding), binding.description, enabled)
            for _, binding, enabled, _ in active
            if binding.show
        ]
        if keys != self._keys:
            self._keys = keys
            super().bindings_changed(screen)
