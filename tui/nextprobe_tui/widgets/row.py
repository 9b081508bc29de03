"""One row of a step: a word in the gutter, and beside it the text, wrapped under itself."""

from __future__ import annotations

from textual.content import Content
from textual.css.styles import RulesMap
from textual.strip import Strip
from textual.style import Style
from textual.visual import RenderOptions, Visual
from textual.widget import Widget

#: Cells of the gutter, of a number at least, and of a line of text at most.
GUTTER, NUMBER, WIDEST = 10, 4, 100


class Row(Widget):
    """A word in the gutter, an optional number, the text.

    One widget and not one for each part: a step has some twenty rows, and they are to be there at once.
    """

    DEFAULT_CSS = "Row { height: auto; }"

    def __init__(self, gutter: str, text: str | Content, *, number: str = "", strong: bool = False) -> None:
        super().__init__()
        said = text if isinstance(text, Content) else Content(text)
        self._hanging = Hanging(gutter, number, said.stylize("bold") if strong else said)

    def render(self) -> Visual:
        return self._hanging


class Hanging(Visual):
    """Text that is wrapped under itself, with a word and a number before its first line."""

    def __init__(self, gutter: str, number: str, text: Content) -> None:
        self._text = text
        self._indent = GUTTER + (max(NUMBER, len(number) + 1) if number else 0)
        parts = [(f"{gutter:<{GUTTER}}", "bold $gutter")]
        if number:
            parts.append((f"{number:<{self._indent - GUTTER}}", "$gutter"))
        self._lead = Content.assemble(*parts)

    def render_strips(self, width: int, height: int | None, style: Style, options: RenderOptions) -> list[Strip]:
        """The lines, the first `height` of them where that is given."""
        under = Content(" " * self._indent)
        lines = [(under if number else self._lead) + line for number, line in enumerate(self._wrapped(width))]
        strips = [strip for line in lines for strip in line.render_strips(width, 1, style, options)]
        return strips if height is None else strips[:height]

    def get_optimal_width(self, rules: RulesMap, container_width: int) -> int:
        """As wide as its longest line may be."""
        return min(container_width, self._indent + min(WIDEST, max(map(len, self._text.plain.splitlines()), default=0)))

    def get_minimal_width(self, rules: RulesMap) -> int:
        """Room for the lead and a short word."""
        return self._indent + 10

    def get_height(self, rules: RulesMap, width: int) -> int:
        """Lines at this width."""
        return len(self._wrapped(width))

    def _wrapped(self, width: int) -> list[Content]:
        return self._text.wrap(max(1, min(WIDEST, width - self._indent))) or [Content("")]
