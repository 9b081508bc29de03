"""Estimates of which nobody says how far off they may be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nextprobe.pack.context import Context, Note
from nextprobe.pack.numbers_found import bottom
from nextprobe.pack.rules.standard_without_ref import sources_of

CODE = "NP337"
TITLE = "An estimate without its doubt"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every `source` of kind estimate without `doubt`, where the pack's own states none either."""
    top = bottom(ctx.data.get("source"))
    if isinstance(top, Mapping) and top.get("doubt"):
        return
    for path, source in sources_of(ctx):
        if source.get("kind") == "estimate" and not source.get("doubt"):
            yield Note(
                path,
                "This is an estimate, and nobody says how far off it may be.",
                "Add `doubt: 2` where the numbers may be twice or half of what is written; "
                "a study then says which of them matter.",
            )
