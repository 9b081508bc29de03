"""An id that exists, used where another kind of thing belongs."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note
from nextprobe.pack.near import listed, nearest, with_article
from nextprobe.pack.refs import references

CODE = "NP304"
TITLE = "An id of the wrong kind"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every id that is known but of a kind that does not serve where it stands."""
    for ref in references(ctx):
        kinds = ctx.kinds(ref.id)
        if kinds and not set(kinds) & set(ref.kinds):
            wanted = with_article(listed(ref.kinds))
            near = nearest(ref.id, ctx.known(*ref.kinds))
            cure = f"Write the id of {wanted}" + (f", such as `{near}`." if near else ".")
            if ref.kinds == ("check",):
                cure = "Only a measurement without `reads` proves something; name one of those."
            yield Note(ref.path, f"`{ref.id}` is {with_article(kinds[0])}; {wanted} belongs here.", cure, ref.of_key)
