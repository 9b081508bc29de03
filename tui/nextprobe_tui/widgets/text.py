"""Text that changes while it is on the screen."""

from __future__ import annotations

from textual.visual import VisualType
from textual.widgets import Static


class Text(Static):
    """Takes its size anew with every change.

    The framework may lay out in the middle of a change, where other widgets have just come or gone, and then keeps the
    size that the text had before.
    """

    def update(self, content: VisualType = "", *, layout: bool = True) -> None:
        self.clear_cached_dimensions()
        super().update(content, layout=layout)
