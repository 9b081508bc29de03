"""A number that is said to stand in a standard, without the standard's name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path

CODE = "NP332"
TITLE = "A standard without its name"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every `source` of kind standard that has no `ref`."""
    for path, source in sources_of(ctx):
        if source.get("kind") == "standard" and not source.get("ref"):
            cure = "Add `ref`, as in ref: JESD79-4; or write kind: practice if nobody can name it."
            yield Note(path, "This number is said to come from a standard, but not from which.", cure)


def sources_of(ctx: Context) -> list[tuple[Path, Mapping[str, Any]]]:
    """Every `source` of a pack or sheet with its place."""
    return ctx.once("every source", lambda: list(_sources(ctx.data, ())))


def _sources(value: Any, path: Path) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    if isinstance(value, Mapping):
        for key, inner in value.items():
            if key == "source" and isinstance(inner, Mapping):
                at: Path = (*path, key)
                while isinstance(inner, Mapping):
                    yield at, inner
                    # Records changed some of these numbers; the rest have the source that they had.
                    at, inner = (*at, "rest"), inner.get("rest")
            else:
                yield from _sources(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _sources(inner, (*path, index))
