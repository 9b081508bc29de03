"""A step that would cost no time at all."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Entry, Note

CODE = "NP368"
TITLE = "A step without its minutes"
SEVERITY = "info"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every measurement, repair and move without `minutes`; what is read with another costs none."""
    for entry in ctx.steps():
        if "with" not in entry.row and not _known(ctx, entry):
            message = f"`{entry.id}` has no minutes, so it is planned as if it took no time."
            yield Note(entry.path, message, "Write `minutes:`, hands on; a look takes 0.2 or more.", True)


def _known(ctx: Context, entry: Entry) -> bool:
    """Whether there is a time, if only misspelt or misshapen: that has its own finding."""
    if "minutes" in entry.row or "wait" in entry.row or (*entry.path, "minutes") in ctx.source.misspelt:
        return True
    return (*entry.path, "minutes") in ctx.source.key_marks
