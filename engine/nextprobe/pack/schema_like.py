"""How a value of the wrong form would be written, from the examples of the schema and the words that were given."""

from __future__ import annotations

import re
from typing import Any

from nextprobe.pack.flow_text import flow_text
from nextprobe.pack.marks import Path

_ID = re.compile("[a-z][a-z0-9_]*")


def written_like(schema: Any, given: Any, path: Path) -> str:
    """A sentence with the schema's first example that is a list or a mapping; "" where it has none."""
    examples = schema.get("examples", ()) if isinstance(schema, dict) else ()
    for example in examples:
        if isinstance(example, (dict, list)):
            key = f"{path[-1]}: " if path and isinstance(path[-1], str) else ""
            return f"As in `{key}{flow_text(_with_words(example, given))}`."
    return ""


def _with_words(example: Any, given: Any) -> Any:
    """`example` with the words that were given, where it is as plain as ``{fuse_open: 0.6}`` or ``{say: Dark}``."""
    if isinstance(example, dict) and len(example) == 1:
        ((key, value),) = example.items()
        words = given if isinstance(given, list) else [given]
        if isinstance(value, (int, float)) and words and all(_is_id(word) for word in words):
            return dict.fromkeys(words, value)
        if key == "say" and isinstance(given, str):
            return {key: given}
    return example


def _is_id(word: Any) -> bool:
    return isinstance(word, str) and _ID.fullmatch(word) is not None
