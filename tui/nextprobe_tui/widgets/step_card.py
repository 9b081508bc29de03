"""The step: first and large what to do, then what comes before it, in the order of use."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from nextprobe.draw.sketch import has_sketch, place_words, sketch_lines
from nextprobe_tui.keys import key_of
from nextprobe_tui.widgets.caution import Caution
from nextprobe_tui.widgets.choice_list import in_words
from nextprobe_tui.widgets.row import Row
from nextprobe_tui.words import kind_word, minutes, money

if TYPE_CHECKING:
    from nextprobe.pack.pack import BoardSheet
    from nextprobe.walk import Ask, MoveStep


#: From this width on the sketch stands beside the step, at most so wide; the step keeps so much.
BOTH, WIDEST, STEP = 112, 60, 72


class StepCard(VerticalScroll, can_focus=False):
    """One Ask, as rows."""

    DEFAULT_CSS = """
    StepCard {
        height: 1fr;
        padding: 0 1;
        scrollbar-size-vertical: 1;
        & > #act { height: auto; padding: 1 1; text-style: bold; }
        & > #act { background: $act-background; color: $act-foreground; }
        & > .-apart { margin-top: 1; }
        & > #sketch { dock: right; height: auto; padding: 1 1 0 1; }
        & > .-notice { border-left: thick $error; padding-left: 1; margin-bottom: 1; }
    }
    StepCard.-tight > #act { padding: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._board: BoardSheet | None = None

    class More(Message):
        """Whether there is more of the step below what is in sight, and whether room is short."""

        def __init__(self, below: bool, tight: bool) -> None:
            super().__init__()
            self.below = below
            self.tight = tight

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        super().watch_scroll_y(old_value, new_value)
        self._look_below()

    def on_mount(self) -> None:
        # Rows take their height only once they are laid out, however long that takes.
        self.watch(self, "virtual_size", self._later, init=False)

    def on_resize(self) -> None:
        self._later()

    def _later(self) -> None:
        self.call_after_refresh(self._look_below)

    def _look_below(self) -> None:
        if self.max_scroll_y > 0 and not self.has_class("-tight"):
            # What the air around the heading takes is better spent on the step.
            self.add_class("-tight")
            self.call_after_refresh(self._look_below)
            return
        self.post_message(self.More(self.max_scroll_y > self.scroll_y, self.has_class("-tight")))

    async def show(self, ask: Ask, currency: str, choices: bool, board: BoardSheet | None = None) -> None:
        """Put `ask` in the place of what was shown, from its top; with its `choices` where they stand nowhere else.

        board: the sheet whose sketch shows where; beside the step where the screen is wide enough for both.
        """
        self._board = board
        async with self.batch():
            await self.remove_children()
            self.remove_class("-tight")
            drawn = self._drawn(ask)
            await self.mount_all([*([drawn] if drawn else []), *self._rows(ask, currency, choices)])
        self.scroll_home(animate=False)
        self.call_after_refresh(self._look_below)

    def _drawn(self, ask: Ask) -> Widget | None:
        """The sketch, docked beside the step; None where there is none, or no room for both."""
        board, at = self._board, ask.at
        if board is None or at is None or not has_sketch(board, at) or self.app.size.width < BOTH:
            return None
        wide = min(WIDEST, self.app.size.width - STEP)
        lines = sketch_lines(board, at, wide, max(8, self.app.size.height // 2))
        drawn = Static("\n".join(lines), id="sketch", markup=False)
        drawn.styles.width = wide + 2
        return drawn

    def _where(self, ask: Ask) -> str:
        board, at = self._board, ask.at
        if board is None or at is None or not has_sketch(board, at):
            return ask.where
        hint = "" if self.app.size.width >= BOTH else f" {key_of(self.app, 'sketch')} draws it."
        return f"{ask.where} ({place_words(board, at)}).{hint}"

    async def wait(self) -> None:
        """Say that the next step is being worked out."""
        async with self.batch():
            await self.remove_children()
            await self.mount(Static("Working out the next step …", id="act", markup=False))

    def _rows(self, ask: Ask, currency: str, choices: bool) -> Iterable[Widget]:
        for notice in ask.notices:
            yield Row("! HEED", notice, strong=True).add_class("-notice")
        yield Static(_heading(ask, currency), id="act")
        shown: set[str] = set()
        sign = "#" if ask.quantity else ""
        groups: list[list[Widget]] = [
            list(move_rows(ask.moves, "FIRST", shown)),
            [Caution(hazard, again=hazard.id in shown) for hazard in ask.hazards],
            [
                Row(word, text)
                for word, text in (("DO", ask.how), ("WHERE", self._where(ask)), ("WITH", ask.tools))
                if text
            ],
            _listed("STEPS", [f"✓ {say}" if n in ask.ticked else say for n, say in enumerate(ask.steps, 1)], "."),
            [Row("NORMAL", _normal(ask), strong=True)] if ask.normal or ask.good_board else [],
            _listed("TELL", [in_words(choice) for choice in ask.choices], "", sign) if choices else [],
            [Row("LOOK FOR" if n == 0 else "", remark.say) for n, remark in enumerate(ask.look_for)],
            [Row("RETAKE?", f"{ask.retake_why} {key_of(self.app, 'retake')} takes it again.".strip())]
            if ask.retake
            else [],
        ]
        for group in groups:
            if group:
                group[-1].add_class("-last")  # of its group: where there is room, air follows
            yield from group


def _listed(gutter: str, texts: Iterable[str], after: str, sign: str = "") -> list[Widget]:
    return [Row(gutter if n == 1 else "", text, number=f"{sign}{n}{after}") for n, text in enumerate(texts, 1)]


def move_rows(moves: Iterable[MoveStep], gutter: str, shown: set[str]) -> Iterable[Widget]:
    """The moves numbered, the cautions of each before it; `shown` takes up what stands whole already."""
    for number, move in enumerate(moves, 1):
        for hazard in move.hazards:
            yield Caution(hazard, again=hazard.id in shown)
            shown.add(hazard.id)
        yield Row(gutter if number == 1 else "", f"{move.do} ({minutes(move.minutes)})", number=f"{number}.")


def _heading(ask: Ask, currency: str) -> Content:
    if ask.kind == "done":
        return Content(kind_word(ask.kind))
    parts = [minutes(ask.minutes)]
    if ask.wait > 0:
        parts.append(f"{minutes(ask.wait)} waiting")
    if ask.money > 0:
        parts.append(f"{money(ask.money, currency)} parts")
    return Content.assemble(
        (kind_word(ask.kind, ask.quantity), "underline"), "  ", ask.title, (f"  ({', '.join(parts)})", "not bold")
    )


def _normal(ask: Ask) -> str:
    good = f"a good one read {ask.good_board}" if ask.good_board else ""
    return f"{ask.normal} ({good})" if ask.normal and good else ask.normal or good
