"""Numbers of which nobody says where they come from."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import shown_path
from nextprobe.pack.numbers import without_source

CODE = "NP336"
TITLE = "A number without a source"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield one note for a pack, at the first number that no `source` covers."""
    found = list(without_source(ctx.data))
    if found:
        others = f", and of {len(found) - 1} more" if len(found) > 1 else ""
        yield Note(
            found[0].path,
            f"Nobody says where `{shown_path(found[0].path)}` comes from{others}.",
            "Add `source: {kind: estimate, doubt: 2}` at the top of the pack: it covers all that name none themselves.",
        )
