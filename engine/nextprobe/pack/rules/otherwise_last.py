"""Rules without `otherwise`, or with one that is not the last."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP325"
TITLE = "`otherwise` must be the last rule, and the only one"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note where the rules of a measurement do not end in their one `otherwise`."""
    for entry in ctx.entries("measurements"):
        reads = entry.row.get("reads")
        if not isinstance(reads, list) or None in reads:
            continue
        path = (*entry.path, "reads")
        places = [index for index, rule in enumerate(reads) if "otherwise" in rule]
        if not places:
            cure = "Add `- {otherwise: {…}}` with the chances on a machine that has none of these effects."
            yield Note((*path, len(reads) - 1), "The rules end without `otherwise`.", cure)
        elif places[0] != len(reads) - 1:
            cure = "Put `otherwise` last and keep only one."
            yield Note((*path, places[0] + 1), "This rule stands after `otherwise` and never decides.", cure)
