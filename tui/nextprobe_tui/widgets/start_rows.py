"""The rows below the first thing to do; Up from the first row leads back to that."""

from __future__ import annotations

from collections.abc import Sequence

from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option


class StartRows(OptionList):
    """Rows in groups; `show` keeps the highlighted row where it is still there."""

    class Above(Message):
        """Up was pressed on the first row."""

    def show(self, rows: Sequence[Option | None]) -> None:
        """Put `rows` in the place of what was shown."""
        kept = None if self.highlighted is None else self.get_option_at_index(self.highlighted).id
        self.clear_options()
        self.add_options(rows)
        ids = [option.id for option in self.options]
        if kept is not None and kept in ids:
            self.highlighted = ids.index(kept)

    def action_cursor_up(self) -> None:
        if self.highlighted is None or all(option.disabled for option in self.options[: self.highlighted]):
            self.post_message(self.Above())
        else:
            super().action_cursor_up()
