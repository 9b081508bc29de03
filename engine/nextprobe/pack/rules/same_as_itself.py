"""`same_as` that names the measurement itself."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.walkers import words

CODE = "NP314"
TITLE = "The same as itself"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every `same_as` that names its own measurement."""
    for entry in ctx.entries("measurements"):
        for word in words(entry.row.get("same_as"), (*entry.path, "same_as")):
            if word.text == entry.id:
                yield Note(
                    word.path,
                    f"`{entry.id}` is said to be the same as itself.",
                    "Name the other way to read the same fact.",
                )
