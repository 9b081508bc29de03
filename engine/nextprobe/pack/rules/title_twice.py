"""Two entries that a person cannot tell apart."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP367"
TITLE = "One title for two entries"
SEVERITY = "warning"
#: Blocks whose entries are listed side by side, where only their titles tell them apart.
LISTED = ("symptoms", "effects", "causes", "measurements", "repairs")


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for the later of two entries of one block with the same title."""
    for block in LISTED:
        first: dict[str, str] = {}
        for entry in ctx.entries(block):
            title = entry.row.get("title")
            if not isinstance(title, str):
                continue
            same = first.setdefault(" ".join(title.casefold().split()), entry.id)
            if same != entry.id:
                message = f"`{same}` and `{entry.id}` are both called {title!r}."
                yield Note((*entry.path, "title"), message, "Say in each title what the other is not.")
