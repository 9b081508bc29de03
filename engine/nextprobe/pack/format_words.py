"""When a text needs quotes, and how it is written without or with them."""

from __future__ import annotations

import re
from typing import Final

from nextprobe.pack.format_tree import Node
from nextprobe.pack.scalars import is_switch, resolve

#: Characters that mean something else at the start of a plain word.
_STARTS: Final = set("!&*%@`|>'\"#{}[],")
#: Plain here, but something else to older tools: dates, merge and default keys.
_OLDER: Final = re.compile(r"\d{4}-\d{1,2}-\d|<<|=\Z|---|\.\.\.")


def written(node: Node, text: str) -> str:
    """How the scalar `node` is best written, given how it stands in the file."""
    if node.style not in ("'", '"') or not node.one_line:
        return text
    if not needs_quotes(node.value, flow=node.flow):
        return node.value
    plain_inside = node.value.isprintable() and not set(node.value) & {'"', "\\"}
    return f'"{node.value}"' if plain_inside else text


def needs_quotes(value: str, *, flow: bool) -> bool:
    """Whether `value` would be read as something else, or not at all, without quotes."""
    if not value or value != value.strip() or not value.isprintable():
        return True
    if value[0] in _STARTS or (value[0] in "-?:" and (len(value) == 1 or value[1] == " ")):
        return True
    if ": " in value or " #" in value or value.endswith(":") or _OLDER.match(value):
        return True
    # Inside brackets a `:` or `?` in a word is read by some tools only.
    if flow and (set(value) & set(",[]{}:?") or value[0] == "-"):
        return True
    return is_switch(value) or resolve(value) != (value, "")
