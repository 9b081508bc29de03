"""How the walk ended: what, why, what proves it, what it took, the way back to the owner."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from nextprobe.walk.words import odds
from nextprobe_tui.actions import ENDING, bindings
from nextprobe_tui.widgets.key_line import KeyLine
from nextprobe_tui.widgets.row import Row
from nextprobe_tui.widgets.step_card import move_rows
from nextprobe_tui.words import ENDINGS, spent

if TYPE_CHECKING:
    from nextprobe.pack.pack import Pack
    from nextprobe.walk import Ending


class EndingScreen(Screen[str]):
    """One Ending; dismissed with the id of the action that the bench screen is to do, or "" when it is read."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "read", "Done", key_display="Enter"),
        *bindings(ENDING, shown=("help", "path", "remark", "undo", "note", "leave")),
    ]
    DEFAULT_CSS = """
    EndingScreen {
        & > #act { height: auto; padding: 0 1; text-style: bold; }
        & > #act { background: $act-background; color: $act-foreground; }
        & > #body { height: 1fr; padding: 1 1 0 1; scrollbar-size-vertical: 1; }
    }
    """

    def __init__(self, ending: Ending, pack: Pack, notices: tuple[str, ...] = ()) -> None:
        super().__init__()
        self._ending = ending
        self._pack = pack
        self._notices = notices

    def compose(self) -> ComposeResult:
        what = ENDINGS.get(self._ending.what, self._ending.what.upper())
        yield Static(f"{what}  {self._pack.title}", id="act", markup=False)
        with VerticalScroll(id="body"):
            yield from (Row("! HEED", notice, strong=True) for notice in self._notices)
            yield from ending_rows(self._ending, self._pack)
        yield KeyLine()

    def action_read(self) -> None:
        self.dismiss("")

    def action_act_path(self) -> None:
        self.dismiss("path")

    def action_act_remark(self) -> None:
        self.dismiss("remark")

    def action_act_note(self) -> None:
        self.dismiss("note")

    def action_act_undo(self) -> None:
        self.dismiss("undo")

    def action_act_up(self) -> None:
        self.query_one("#body").scroll_page_up(animate=False)

    def action_act_down(self) -> None:
        self.query_one("#body").scroll_page_down(animate=False)


def ending_rows(ending: Ending, pack: Pack, *, ahead: bool = True) -> Iterable[Widget]:
    """Why it ended so, what proves it, what it took; with the way back to the owner where that lies `ahead`."""
    title = pack.title_of
    yield Row("WHY", ending.why, strong=True)
    if ending.cause:
        yield Row("CAUSE", f"{title(ending.cause)} ({odds(ending.sure)})")
    if ending.repair:
        yield Row("REPAIR", title(ending.repair))
    if ending.skill:
        yield Row("SKILL", f"It takes: {title(ending.skill)}")
    yield from _listed("PROVEN BY", (_proof(item, pack) for item in ending.proven))
    yield from _listed("NOT SHOWN", (_proof(item, pack) for item in ending.not_proved))
    if ahead:
        yield from move_rows(ending.moves, "HAND BACK", set())
    yield Row("TOOK", spent(ending.minutes, ending.wait, ending.money, pack.economics.currency))
    yield from _listed("REMARKS", (title(item) for item in ending.remarks))
    yield from _listed("NOTES", ending.notes)
    if ending.ruled_out:
        names = [title(item) for item in ending.ruled_out]
        yield Row("RULED OUT", f"{len(names)}: {'; '.join(names)}")


def _proof(id_: str, pack: Pack) -> str:
    return "The symptom is gone" if id_ == "seen" else pack.title_of(id_)


def _listed(gutter: str, items: Iterable[str]) -> Iterable[Widget]:
    for number, item in enumerate(items):
        yield Row(gutter if number == 0 else "", item)
