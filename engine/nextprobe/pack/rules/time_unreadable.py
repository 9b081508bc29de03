"""A time with a unit that is none."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from nextprobe.errors import QuantityError
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path
from nextprobe.quantity import parse_minutes

CODE = "NP335"
TITLE = "A time that cannot be read"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every `minutes`, `wait` or `wait_cap` that is no time."""
    for path, value in _times(ctx):
        if isinstance(value, str):
            try:
                parse_minutes(value)
            except QuantityError as fault:
                yield Note(path, fault.message, fault.cure)


def _times(ctx: Context) -> Iterator[tuple[Path, Any]]:
    for entry in ctx.steps():
        for key in ("minutes", "wait"):
            yield (*entry.path, key), entry.row.get(key)
    for entry in ctx.entries("symptoms"):
        seen = entry.row.get("seen")
        for key in ("minutes", "wait"):
            yield (*entry.path, "seen", key), seen.get(key) if isinstance(seen, dict) else None
    for key in ("minutes", "wait"):
        yield ("refer", key), ctx.block("refer").get(key)
    yield ("economics", "wait_cap"), ctx.block("economics").get("wait_cap")
