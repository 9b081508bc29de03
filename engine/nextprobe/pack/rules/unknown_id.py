"""An id that the pack does not define."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.near import did_you_mean, listed, with_article
from nextprobe.pack.refs import references

CODE = "NP301"
TITLE = "An id that nobody defines"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every use of an id that no block of the pack defines."""
    for ref in references(ctx):
        if ref.id not in ctx.ids:
            wanted = listed(ref.kinds)
            cure = did_you_mean(
                ref.id, ctx.known(*ref.kinds), f"Define it, or write the id of {with_article(wanted)} that exists."
            )
            yield Note(ref.path, f"There is no {wanted} `{ref.id}`.", cure, ref.of_key)
