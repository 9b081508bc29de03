"""A range by option that says nothing for one of the option's values."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.bandsets import band_sets
from nextprobe.pack.context import Context, Note

CODE = "NP329"
TITLE = "A range that is silent for a value of its option"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield one note for each range by option that leaves out values with which the measurement is asked."""
    for entry in ctx.entries("measurements"):
        silent: dict[tuple[str | int, ...], tuple[str, list[str]]] = {}
        for found in band_sets(ctx, entry):
            for path, option, value in found.missing:
                listed = silent.setdefault(path, (option, []))[1]
                if value not in listed:
                    listed.append(value)
        for path, (option, values) in silent.items():
            named = ", ".join(values)
            cure = f"Add the missing ranges, or leave the measurement out there with `only_if: {{{option}: […]}}`."
            yield Note(path, f"There is no range for {option} {named}.", cure)
