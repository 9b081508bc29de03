"""An outcome that the thing named beside it cannot have."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nextprobe.pack.context import Context, Note
from nextprobe.pack.near import did_you_mean
from nextprobe.pack.refs import references
from nextprobe.pack.walkers import Word, keys

CODE = "NP306"
TITLE = "An outcome that is not there"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for outcomes in `gives`, `otherwise`, `after` and `until` that do not exist."""
    for ref in references(ctx):
        known = ctx.outcomes_of(ref.id)
        if known is not None and ref.outcomes:
            for word in ref.outcomes:
                yield from _unknown(ref.id, word, known)
    for entry in ctx.entries("measurements"):
        outcomes = ctx.raw("measurements", entry.id).get("outcomes")
        reads = entry.row.get("reads")
        if not isinstance(outcomes, Mapping) or not isinstance(reads, list):
            continue
        for index, rule in enumerate(reads):
            for key in ("gives", "otherwise"):
                for word in keys((rule or {}).get(key), (*entry.path, "reads", index, key)):
                    yield from _unknown(entry.id, word, tuple(outcomes))


def _unknown(id_: str, word: Word, known: tuple[str, ...]) -> Iterator[Note]:
    if word.text not in known:
        yield Note(word.path, f"`{id_}` has no outcome `{word.text}`.", did_you_mean(word.text, known), word.of_key)
