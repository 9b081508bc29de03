"""Ranges of one measurement that leave a gap or overlap."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise

from nextprobe.pack.bandsets import BandSet, band_sets, outcome_rows
from nextprobe.pack.context import Context, Entry, Note
from nextprobe.quantity import QUANTITIES, Band, format_quantity

CODE = "NP322"
TITLE = "Ranges with a gap or an overlap"
SEVERITY = "error"
#: Quantities that have no reading below zero.
_NEVER_NEGATIVE = {"resistance", "time", "frequency", "capacitance", "length", "share", "count"}


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note where neighbouring ranges do not meet, for the first choice of options that shows it."""
    for entry in ctx.entries("measurements"):
        # Shares need not meet: what lies beside them is for the ranges that lean on them.
        open_ended = any(row.get("otherwise") is True for _, row, _ in outcome_rows(entry))
        for shares in (False, True):
            said = False
            for found in band_sets(ctx, entry, shares=shares):
                if not said and not found.incomplete:
                    for note in _notes(entry, found, shares=shares, open_ended=open_ended or shares):
                        said = True
                        yield note


def _notes(entry: Entry, found: BandSet, *, shares: bool, open_ended: bool) -> Iterator[Note]:
    quantity = "share" if shares else str(entry.row["quantity"])
    key = "share" if shares else "range"
    ordered = sorted(found.bands.items(), key=lambda item: (item[1].low, item[1].high))
    where = f" ({found.words()})" if found.options else ""

    def place(name: str) -> tuple[str | int, ...]:
        path = (*entry.path, "outcomes", name, key)
        text = entry.row["outcomes"][name][key]
        return (*path, found.options[text["by"]]) if isinstance(text, Mapping) else path

    for (name, band), (following, upper) in pairwise(ordered):
        if _meet(band, upper):
            continue
        if upper.low < band.high:
            both = f"{_shown(upper.low, quantity)} to {_shown(min(band.high, upper.high), quantity)}"
            message = f"`{name}` and `{following}` overlap{where}: {both} belongs to both."
        elif open_ended:
            continue
        else:
            message = (
                f"Between `{name}` and `{following}` there is a gap{where}: "
                f"{_shown(band.high, quantity)} to {_shown(upper.low, quantity)} belongs to neither."
            )
        cure = f"Let one lean on the other, as in `{name} .. …`, `above {name}` or `below {following}`; then they meet."
        yield Note(place(following), message, cure)
    if open_ended or not ordered:
        return
    first, last = ordered[0], ordered[-1]
    if first[1].low > (0 if quantity in _NEVER_NEGATIVE else -math.inf):
        message = f"Below {_shown(first[1].low, quantity)} no outcome is left{where}."
        yield Note(place(first[0]), message, f"Write `below …` for the lowest, or add an outcome below `{first[0]}`.")
    if last[1].high < math.inf:
        message = f"Above {_shown(last[1].high, quantity)} no outcome is left{where}."
        yield Note(place(last[0]), message, f"Write `above …` for the highest, or add an outcome above `{last[0]}`.")


def _meet(lower: Band, upper: Band) -> bool:
    return math.isclose(lower.high, upper.low, rel_tol=1e-9, abs_tol=1e-15)


def _shown(value: float, quantity: str) -> str:
    return "no limit" if math.isinf(value) else format_quantity(value, QUANTITIES[quantity])
