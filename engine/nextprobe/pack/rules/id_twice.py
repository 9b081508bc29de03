"""One id for two things of different kinds."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import shown_path
from nextprobe.pack.near import with_article

CODE = "NP302"
TITLE = "One id for two things"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note at the later of two entries with the same id."""
    for id_, found in ctx.ids.items():
        placed = sorted(found, key=lambda one: ctx.mark(one[1], of_key=True)[1:] if _same_file(ctx, found) else (0, 0))
        for kind, path in placed[1:]:
            first_kind, first_path = placed[0]
            mark = ctx.mark(first_path, of_key=True)
            message = (
                f"`{id_}` is {with_article(kind)} here and {with_article(first_kind)} in {mark.file}, line {mark.line}."
            )
            yield Note(path, message, f"Rename one of them, wherever {shown_path(path)} is meant.", True)


def _same_file(ctx: Context, found: list[tuple[str, tuple[str | int, ...]]]) -> bool:
    return len({ctx.mark(path, of_key=True).file for _, path in found}) == 1
