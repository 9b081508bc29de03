"""``nextprobe sources PACK``: every number of a pack, where it comes from and how far off it may be."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from nextprobe.errors import UsageError

if TYPE_CHECKING:
    from nextprobe.pack.numbers import Number
    from nextprobe.pack.pack import Pack

EPILOG = (
    "A number's source is the one at its entry, or that of the pack. Kinds of source: standard, handbook, records "
    "(counted), practice (what the trade does), estimate, none. A measurement's source says where its limits come "
    "from, and its times unless it is a standard or a handbook; the chances in its rules have their rule's own, or "
    "the pack's."
)
#: Columns of a line.
WIDTH = 80


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.epilog = EPILOG
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--board", metavar="B", help="with the numbers of this board sheet in their places")
    parser.add_argument("--status", metavar="S", help="only numbers with this kind of source")
    parser.add_argument("--kind", metavar="K", help="only numbers of this kind: weight, likelihood, minutes, range, …")
    parser.add_argument("--json", action="store_true", help="print the result for a program")


def run(args: argparse.Namespace) -> int:
    """Print the shares first, then the numbers by source."""
    from nextprobe.pack.load import load_pack
    from nextprobe.pack.numbers import STATUSES, numbers

    if args.status is not None and args.status not in STATUSES:
        raise UsageError(f"There is no source of kind {args.status!r}.", f"Give one of: {', '.join(STATUSES)}.")
    pack = load_pack(args.pack, args.board)
    every = numbers(pack)
    kinds = list(dict.fromkeys(one.kind for one in every))
    if args.kind is not None and args.kind not in kinds:
        raise UsageError(f"The pack has no number of kind {args.kind!r}.", f"It has: {', '.join(kinds)}.")
    chosen = [one for one in every if args.status in (None, one.status) and args.kind in (None, one.kind)]
    if args.json:
        print(json.dumps(_as_dict(pack, every, chosen), ensure_ascii=False))
        return 0
    for line in [*_head(pack, every), "", *_listed(chosen)]:
        print(line)
    return 0


def _as_dict(pack: Pack, every: Sequence[Number], chosen: Sequence[Number]) -> dict[str, Any]:
    from nextprobe.pack.numbers import by_kind, by_status, estimate_share, pack_date

    return {
        "pack": pack.id,
        "version": pack.version,
        "board": pack.board.id if pack.board is not None else None,
        "date": pack_date(pack) or None,
        "count": len(every),
        "estimate_share": estimate_share(every),
        "by_status": by_status(every),
        "by_kind": by_kind(every),
        "numbers": [one.as_dict() for one in chosen],
    }


def _head(pack: Pack, every: Sequence[Number]) -> Iterator[str]:
    from nextprobe.pack.numbers import by_kind, by_status, estimate_share, pack_date

    board = f", with {pack.board.title}" if pack.board is not None else ""
    yield from _folded(f"{pack.title} ({pack.id} {pack.version}{board})")
    if not every:
        yield "It holds no number."
        return
    date = pack_date(pack)
    said = f"gone through on {date}" if date else "of no stated date (write `date` at the top of the pack)"
    yield from _folded(f"{len(every)} numbers, {said}; {100 * estimate_share(every):.0f} in 100 are estimates.")
    yield ""
    yield "BY STATUS"
    for status, count in by_status(every).items():
        yield f"  {status:<12}{count:>6}{_percent(count, len(every)):>8}"
    yield ""
    yield "BY KIND, and how many of them are no estimates"
    for kind, count in by_kind(every).items():
        firm = sum(one.kind == kind and one.status not in ("estimate", "none") for one in every)
        yield f"  {kind:<12}{count:>6}{firm or '-':>8}"


def _listed(chosen: Sequence[Number]) -> Iterator[str]:
    yield "BY SOURCE, the firmest first; line, number, value"
    if not chosen:
        yield "  none"
    for source, group in groupby(sorted(chosen, key=_order), key=_source):
        listed = list(group)
        yield ""
        yield from _folded(f"{source}: {len(listed)} {'number' if len(listed) == 1 else 'numbers'}")
        for file, part in groupby(listed, key=lambda one: one.file):
            yield f"  {file or 'not in a file'}"
            yield from _lines(part)


def _lines(part: Iterable[Number]) -> Iterator[str]:
    for one in part:
        line = f"{one.line or '-':>6}  {one.shown}: {one.value}"
        if len(line) <= WIDTH:
            yield line
        else:
            yield f"{one.line or '-':>6}  {one.shown}:"
            yield f"{'':10}{one.value}"


def _order(one: Number) -> tuple[Any, ...]:
    from nextprobe.pack.numbers import STATUSES

    return STATUSES.index(one.status), _source(one), one.file, one.line, one.column


def _source(one: Number) -> str:
    """A source in words."""
    if one.source is None:
        return "none"
    words = [one.status, one.source.ref, one.source.note]
    doubt = f" (good to a factor of {one.doubt:g})" if one.doubt > 1 else ""
    return ", ".join(word for word in words if word) + doubt


def _percent(count: int, whole: int) -> str:
    share = 100 * count / whole
    return f"{share:.0f} %" if share >= 1 else "< 1 %"


def _folded(text: str) -> list[str]:
    from textwrap import wrap

    return wrap(text, WIDTH, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
