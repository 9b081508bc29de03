"""Entries that nothing uses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePath

from nextprobe.pack.context import Context, Note
from nextprobe.pack.refs import references

CODE = "NP365"
TITLE = "An entry that nothing uses"
SEVERITY = "info"
_KINDS = {"hazards": "hazard", "instruments": "instrument", "skills": "skill", "stops": "stop"}


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for unused hazards, instruments, skills, stops, options and bench states.

    What stands in a file of another folder serves several packs, so it is not reported.
    """
    used = {ref.id for ref in references(ctx)}
    home = PurePath(next(iter(ctx.source.files), "")).parent
    places = [(entry, kind) for block, kind in _KINDS.items() for entry in ctx.entries(block)]
    places += [(entry, "option") for entry in ctx.entries("options")]
    places += [(entry, "bench state") for entry in ctx.bench_entries("states")]
    for entry, kind in places:
        if entry.id not in used and PurePath(ctx.mark(entry.path, of_key=True).file).parent == home:
            yield Note(
                entry.path, f"Nothing uses the {kind} `{entry.id}`.", "Delete it, or name it where it belongs.", True
            )
