"""What the bench meter shows now, above the answer line; nothing where the step wants no figure of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nextprobe_tui.widgets.text import Text

if TYPE_CHECKING:
    from nextprobe.meter.view import View


class MeterLine(Text):
    """One line; a steady value has its mark, a meter at fault its sign and what to do."""

    DEFAULT_CSS = """
    MeterLine {
        display: none;
        height: auto;
        max-height: 3;
        padding: 0 1;
        color: $gutter;
        &.-shown { display: block; }
        &.-steady { color: $success; text-style: bold; }
        &.-fault { color: $error; }
    }
    """

    def __init__(self) -> None:
        super().__init__("", id="meter", markup=False)
        self._view: View | None = None

    def show(self, view: View | None) -> None:
        """Show this moment of the meter; None for no line."""
        if view == self._view:
            return
        self._view = view
        self.set_class(view is not None, "-shown")
        self.set_class(view is not None and bool(view.text), "-steady")
        self.set_class(view is not None and view.fault, "-fault")
        if view is not None:
            sign = "✗" if view.fault else "●" if view.text else "○"
            self.update(f"{sign} {view.line}")
