"""Text as it is printed: on one line, in lines of 79 columns, and minutes as a person says them."""

from __future__ import annotations

import textwrap

#: Columns of a printed line: one less than what terminals start with (common practice, no source).
WIDTH = 79


def plain(text: object) -> str:
    """`text` on one line, without what would move a terminal's cursor or colour it."""
    return "".join(sign if sign.isprintable() else " " for sign in str(text)).strip()


def fold(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """`text`, made `plain`, in lines of at most 79 columns. first: before the first line; rest: before the others,
    blanks as wide where it is None."""
    indent = " " * len(first) if rest is None else rest
    lines = textwrap.wrap(plain(text), WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)
    return lines or [first]


def minutes(value: float) -> str:
    """Minutes as a person says them: `0.5 min`, `12.5 min`, `2 h 05 min`."""
    if value >= 90:
        hours, left = divmod(round(value), 60)
        return f"{hours} h {left:02d} min" if left else f"{hours} h"
    return f"{value:.1f}".removesuffix(".0") + " min"
