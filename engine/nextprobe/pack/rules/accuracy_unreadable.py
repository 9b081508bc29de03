"""The accuracy of a meter that cannot be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nextprobe.errors import QuantityError
from nextprobe.pack.context import Context, Note
from nextprobe.pack.near import did_you_mean
from nextprobe.quantity import QUANTITIES, parse_accuracy

CODE = "NP334"
TITLE = "A meter's accuracy that cannot be read"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for accuracies of unknown quantities and for those that say no limit."""
    for entry in ctx.entries("instruments"):
        accuracy = entry.row.get("accuracy")
        for quantity, text in (accuracy if isinstance(accuracy, Mapping) else {}).items():
            path = (*entry.path, "accuracy", quantity)
            if quantity not in QUANTITIES:
                yield Note(path, f"There is no quantity `{quantity}`.", did_you_mean(quantity, QUANTITIES), True)
                continue
            try:
                parse_accuracy(text)
            except QuantityError as fault:
                yield Note(path, fault.message, fault.cure)
