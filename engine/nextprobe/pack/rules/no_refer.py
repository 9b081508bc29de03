"""A pack with repairs that cannot be ended by quoting."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP352"
TITLE = "No way to quote"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for a pack with repairs but without `refer`."""
    if ctx.block("repairs") and "refer" not in ctx.data:
        cure = "Add `refer: {title: Quote a replacement, minutes: 15, parts: …}`."
        yield Note(
            ("repairs",), "There is no `refer`: where no repair helps, a walk can only end as unknown.", cure, True
        )
