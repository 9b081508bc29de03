"""What is told in cases, answers files and on board sheets: ids, and outcomes or figures that they can have."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from nextprobe.errors import Finding, QuantityError
from nextprobe.pack.checked import place
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path, Source
from nextprobe.pack.near import did_you_mean, listed, with_article
from nextprobe.pack.refs import TELLABLE
from nextprobe.quantity import parse_reading


def unknown(
    source: Source,
    path: Path,
    id_: str,
    packs: Sequence[Context],
    kinds: tuple[str, ...],
    *,
    of_key: bool = True,
    also: Sequence[str] = (),
) -> Iterator[Finding]:
    """A finding when none of `packs` has `id_` as one of `kinds`."""
    if id_ in also or any(set(ctx.kinds(id_)) & set(kinds) for ctx in packs):
        return
    wanted = listed(kinds)
    other = next((ctx.kinds(id_)[0] for ctx in packs if ctx.kinds(id_)), "")
    known = [one for ctx in packs for one in ctx.known(*kinds)]
    if other:
        note = Note(
            path,
            f"`{id_}` is {with_article(other)}; {with_article(wanted)} belongs here.",
            did_you_mean(id_, known),
            of_key,
        )
        yield place(source, "NP304", "error", note)
    else:
        note = Note(path, f"The pack has no {wanted} `{id_}`.", did_you_mean(id_, known), of_key)
        yield place(source, "NP301", "error", note)


def check_told(source: Source, told: Any, path: Path, packs: Sequence[Context], *, answers: bool) -> Iterator[Finding]:
    """Findings on a map from id to what is told; with `answers`, the key `cause` names a cause."""
    for id_, value in told.items() if isinstance(told, Mapping) else ():
        here = (*path, id_)
        if answers and id_ == "cause":
            yield from unknown(source, here, str(value), packs, ("cause",), of_key=False, also=("unlisted",))
            continue
        if answers and any("remark" in ctx.kinds(id_) for ctx in packs):
            if str(value) != "seen":
                note = Note(here, f"`{id_}` is a remark, and `{value}` says nothing about one.", "Write `seen`.")
                yield place(source, "NP306", "error", note)
            continue
        yield from unknown(source, here, id_, packs, TELLABLE)
        for ctx in packs:
            if set(ctx.kinds(id_)) & set(TELLABLE):
                yield from outcome(source, here, ctx, id_, value)
                break


def outcome(source: Source, path: Path, ctx: Context, id_: str, value: Any) -> Iterator[Finding]:
    """A finding when `value` is neither an outcome of `id_` nor a figure that it can be."""
    known = ctx.outcomes_of(id_) or ()
    text = str(value)
    if text in known:
        return
    quantity = ctx.block("measurements").get(id_, {}).get("quantity")
    if not isinstance(quantity, str):
        note = Note(path, f"`{id_}` has no outcome `{text}`.", did_you_mean(text, known))
        yield place(source, "NP306", "error", note)
        return
    try:
        parse_reading(text, quantity)
    except QuantityError as fault:
        cure = f"{fault.cure} Or write an outcome: {', '.join(known)}." if known else fault.cure
        yield place(source, "NP404", "error", Note(path, fault.message, cure))
