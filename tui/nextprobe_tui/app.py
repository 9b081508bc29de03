"""The bench screens as a program: wiring only."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.reactive import Reactive
from textual.screen import Screen
from textual.theme import Theme

from nextprobe_tui.keys import Keys, read_keys
from nextprobe_tui.palette import ActsProvider
from nextprobe_tui.theme import COLOURLESS, ROOMY, SLATE, THEMES, other

if TYPE_CHECKING:
    from nextprobe.job import OpenJob
    from nextprobe.meter.live import LiveMeter
    from nextprobe.pack.shop import Shop
    from nextprobe.record.store import Store
    from nextprobe.walk import Ending

TALL = 32
"""Lines from which on there is room for air around the step."""


class BenchApp(App["Ending | None"]):
    """Opens one screen and ends with what that screen was dismissed with."""

    CSS = COLOURLESS + ROOMY
    TITLE = "nextprobe"
    COMMANDS = {ActsProvider}  # noqa: RUF012
    COMMAND_PALETTE_BINDING = "ctrl+p"
    VERTICAL_BREAKPOINTS = [(TALL, "-tall")]  # noqa: RUF012
    theme: Reactive[str] = Reactive(SLATE.name, init=False)
    """The house's own from the start: one that is put on later has every style worked out once more."""

    def __init__(
        self,
        first: Callable[[], Screen[Any]],
        keys: Keys | None = None,
        meter: LiveMeter | None = None,
    ) -> None:
        # With the terminal's own colours Textual takes NO_COLOR literally; else it would still send greys.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self._first = first
        self.meter = meter
        self.keys = Keys({}) if keys is None else keys

    def on_mount(self) -> None:
        self.set_keymap(self.keys.keymap())
        # While it mounts the app shows nothing: what is opened after that is painted as soon as it is laid out.
        self.call_later(self._open)

    def _open(self) -> None:
        first = self._first()
        # What the framework would find once it is laid out, and lay all of it out once more for.
        first.set_class(self.size.height >= TALL, "-tall", update=False)
        self.push_screen(first, self.exit)
        for problem in self.keys.problems:
            self.notify(f"{problem} The usual key stays.", severity="warning", timeout=20)

    @property
    def available_themes(self) -> dict[str, Theme]:
        """The house's own, and no others."""
        return {theme.name: theme for theme in THEMES}

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """The house's own colour names, for the moment before a theme is chosen."""
        return dict(SLATE.variables)

    def action_act_help(self) -> None:
        from nextprobe_tui.screens.help import HelpScreen

        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen())

    def action_act_leave(self) -> None:
        """Leave by way of the bench, where there is one: an ending that was reached is kept."""
        from nextprobe_tui.screens.bench_acts import BenchActs

        for screen in self.screen_stack:
            if isinstance(screen, BenchActs):
                screen.leave()
                return
        self.exit(None)

    def action_act_light(self) -> None:
        """Change the colours: dark, light, high contrast."""
        self.theme = other(self.theme)


def own_keys() -> Keys:
    """The keys of the user's own file."""
    from platformdirs import user_config_path

    return read_keys(user_config_path("nextprobe") / "keys.yaml")


def run_walk(opened: OpenJob, meter: LiveMeter | None = None) -> Ending | None:
    """Walk a job on the screens, with readings of `meter`; its ending, or None where it was left open."""
    from nextprobe_tui.screens.bench import BenchScreen

    walk = opened.walk
    if not walk.path and walk.at_sight() is not None:
        walk.ask()  # a new job begins with a look for which nothing is weighed, so the first paint shows all of it
    first = partial(BenchScreen, walk, opened.job.id, over=opened.go_over, word=opened.taken_over)
    ending = BenchApp(first, own_keys(), meter).run()
    opened.keep_step()
    return ending


def main(store: Store | None = None, shop: Shop | None = None, meter: LiveMeter | None = None) -> int:
    """Open the start screen over `store` (default: the user's own) in `shop`, with `meter`; the exit code."""
    from nextprobe.record.store import open_store
    from nextprobe_tui.desk import Desk
    from nextprobe_tui.screens.start import StartScreen

    with store if store is not None else open_store() as held:
        desk = Desk(held, shop)
        app = BenchApp(lambda: StartScreen(desk), own_keys(), meter=meter)
        app.run()
    return app.return_code or 0
