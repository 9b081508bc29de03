"""A share, and beside it a range for when the other reading is not told, that do not go together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from nextprobe.errors import QuantityError
from nextprobe.pack.bandsets import BandSet, band_sets, outcome_rows
from nextprobe.pack.context import Context, Entry, Note
from nextprobe.quantity import Band, parse_band

CODE = "NP339"
TITLE = "A share and a range that do not go together"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note where no figure is both in the range and the share of a figure in the other's range."""
    for entry in ctx.entries("measurements"):
        for name, row, path in outcome_rows(entry):
            other = ctx.block("measurements").get(str(row.get("of")))
            if "range" in row and isinstance(other, dict):
                theirs = Entry(str(row["of"]), other, ("measurements", str(row["of"])))
                yield from _apart(name, row, path, band_sets(ctx, entry), band_sets(ctx, theirs))


def _apart(
    name: str, row: Any, path: tuple[str | int, ...], ours: list[BandSet], theirs: list[BandSet]
) -> Iterator[Note]:
    try:
        share = parse_band(str(row.get("share")), "share", {})
    except QuantityError:
        return  # said by the rule for ranges
    for one in ours:
        for other in theirs:
            both = set(one.options) & set(other.options)
            if (
                name not in one.bands
                or name not in other.bands
                or any(one.options[o] != other.options[o] for o in both)
            ):
                continue
            whole = other.bands[name]
            part = Band(whole.low * share.low, whole.high * share.high)
            if whole.low >= 0 and not (one.bands[name].low < part.high and part.low < one.bands[name].high):
                where = f" ({one.words()})" if one.options else ""
                message = f"This range holds no {row['share']} share of what `{name}` is at `{row['of']}`{where}."
                yield Note((*path, "range"), message, "One of the two ranges, or the share, is off: look all three up.")
                return
