"""The causes of a study with their figures, in the order that is wanted; titles are wrapped, never cut."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from textual.content import Content

from nextprobe_tui.widgets.text import Text

if TYPE_CHECKING:
    from nextprobe.study.causes import CauseFigures

#: What can be sorted by: the word, the key of a cause, and what a job of it has at most first.
ORDERS: tuple[tuple[str, Callable[[CauseFigures], Any]], ...] = (
    ("share", lambda cause: -cause.share),
    ("minutes", lambda cause: -cause.minutes),
    ("known", lambda cause: -cause.known),
    ("repaired", lambda cause: cause.repaired),
    ("steps", lambda cause: -cause.steps),
    ("name", lambda cause: cause.title.lower()),
)
#: Columns before the title.
FIGURES = 41


class CauseList(Text):
    """One line of figures a cause; `turn` sorts by the next of ORDERS."""

    DEFAULT_CSS = """
    CauseList { height: auto; }
    """

    def __init__(self, causes: Sequence[CauseFigures], identify: bool) -> None:
        super().__init__("", markup=False)
        self._causes = tuple(causes)
        self._identify = identify
        self._order = 0

    def turn(self, by: int) -> None:
        """Sort by the next column, or by the one before."""
        self._order = (self._order + by) % len(ORDERS)
        self._lay_out()

    def on_resize(self) -> None:
        self._lay_out()

    def _lay_out(self) -> None:
        word, key = ORDERS[self._order]
        wide = max(20, self.size.width - FIGURES)
        names = [(f"[{name}]", "bold") if name == word else f" {name} " for name, _ in ORDERS]
        lines = [Content.assemble("Sorted by ", *names), Content.from_markup("")]
        lines[1] = Content(f"{'share':>8} {'minutes':>8} {'known':>7} {'repaired':>8} {'steps':>5}  cause").stylize(
            "$gutter"
        )
        for cause in sorted(self._causes, key=key):
            first, *more = textwrap.wrap(cause.title, wide) or [""]
            lines.append(Content(f"{self._figures(cause)}  {first}"))
            lines += [Content(" " * FIGURES + part) for part in more]
        self.update(Content("\n").join(lines))

    def _figures(self, cause: CauseFigures) -> str:
        from nextprobe.study.why import minutes, percent

        known = "-" if self._identify else minutes(cause.known)
        repaired = "-" if self._identify else percent(cause.repaired).replace("under ", "<")
        share = percent(cause.share).replace("under ", "<")
        return f"{share:>8} {minutes(cause.minutes):>8} {known:>7} {repaired:>8} {cause.steps:>5.1f}"
