"""An id that the program needs for itself."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP303"
TITLE = "An id that is taken"
SEVERITY = "error"
RESERVED = {
    "unlisted": "what the pack does not know",
    "seen": "the look whether the symptom is gone",
    "cause": "the hidden cause of an answers file",
}


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every entry with a reserved id."""
    for id_, meaning in RESERVED.items():
        for kind, path in ctx.ids.get(id_, ()):
            yield Note(path, f"`{id_}` is taken: it means {meaning}.", f"Give this {kind} another id.", True)
