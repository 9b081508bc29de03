"""Outcomes called low and high that lie the other way round."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from nextprobe.pack.bandsets import band_sets
from nextprobe.pack.context import Context, Note

CODE = "NP338"
TITLE = "Outcomes whose names and ranges contradict each other"
SEVERITY = "warning"
#: Words that say how high a reading is, from below to above.
ORDER = ("absent", "low", "normal", "high")


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note where an outcome whose name says lower lies above one whose name says higher."""
    for entry in ctx.entries("measurements"):
        for found in band_sets(ctx, entry)[:1]:
            named = [name for name in ORDER if name in found.bands]
            for lower, higher in pairwise(named):
                if found.bands[lower].low > found.bands[higher].low:
                    message = f"`{lower}` lies above `{higher}`."
                    cure = "Exchange their ranges, or their names: a technician reads the name and not the figures."
                    yield Note((*entry.path, "outcomes", lower, "range"), message, cure)
                    break
