"""A reading that sends the technician to another pack, misspelt."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.bandsets import outcome_rows
from nextprobe.pack.context import Context, Note
from nextprobe.pack.near import nearest
from nextprobe.resources import bundled_packs

CODE = "NP370"
TITLE = "Another pack that is nearly called so"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for a `see_also` that is no bundled pack, and nearly one; a shop's own packs have other names."""
    known = bundled_packs()
    for entry in ctx.entries("measurements"):
        for _, row, path in outcome_rows(entry):
            other = row.get("see_also")
            if isinstance(other, str) and other not in known and (near := nearest(other, known)):
                yield Note((*path, "see_also"), f"There is no pack {other!r}.", f"Did you mean `{near}`?")
