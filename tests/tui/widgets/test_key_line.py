"""The keys at the foot: those that count now, and made anew only where they have changed. No outside source."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import App, ComposeResult
from textual.binding import BindingType

from nextprobe_tui.widgets.answer import Answer
from nextprobe_tui.widgets.key_line import KeyLine
from tests.tui.conftest import Sit


class Small(App[None]):
    BINDINGS: ClassVar[list[BindingType]] = [("f2", "dim", "Dim it"), ("f3", "bright", "Brighten it")]
    lit = True

    def compose(self) -> ComposeResult:
        yield KeyLine()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return self.lit or action != "dim"


def shown(app: App[Any]) -> list[str]:
    return [str(getattr(key, "description", "")) for key in app.screen.query_one(KeyLine).children]


async def test_the_keys_are_those_that_do_something() -> None:
    app = Small()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert shown(app) == ["Dim it", "Brighten it"]
        app.lit = False
        app.refresh_bindings()
        await pilot.pause()
        assert shown(app) == ["Brighten it"]
        app.lit = True
        app.refresh_bindings()
        await pilot.pause()
        assert shown(app) == ["Dim it", "Brighten it"]


async def test_a_key_of_ones_own_is_shown_at_once() -> None:
    app = Small()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = app.screen.query_one(KeyLine).children[0]
        app.bind("f9", "blink", description="Blink")
        app.refresh_bindings()
        await pilot.pause()
        assert shown(app) == ["Dim it", "Brighten it", "Blink"]
        assert app.screen.query_one(KeyLine).children[0] is not before


async def test_the_keys_stay_where_only_the_focus_moves(sit: Sit) -> None:
    async with sit() as at:
        line, answer = at.bench.query_one(KeyLine), at.bench.query_one(Answer)
        keys = list(line.children)
        assert keys
        at.bench.set_focus(None)
        await at.pilot.pause()
        answer.focus()
        await at.pilot.pause()
        assert at.app.focused is answer
        assert [*line.children] == keys
