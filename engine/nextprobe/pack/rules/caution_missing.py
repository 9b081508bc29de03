"""A caution that every alike step has and one has not."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Entry, Note
from nextprobe.pack.walkers import words

CODE = "NP366"
TITLE = "A caution that all alike steps have"
SEVERITY = "info"
#: So many other steps must agree before the one without their caution stands out.
OTHERS = 12


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for a step without a hazard that all others with the same needs and instrument name."""
    alike: dict[tuple[str, str, str], list[Entry]] = {}
    for block in ("measurements", "repairs"):
        for entry in ctx.entries(block):
            if "with" not in entry.row and entry.row.get("needs"):
                key = (block, repr(entry.row["needs"]), repr(entry.row.get("instrument")))
                alike.setdefault(key, []).append(entry)
    for (block, needs, _), entries in alike.items():
        named = [{word.text for word in words(entry.row.get("hazards"), ())} for entry in entries]
        for index, entry in enumerate(entries):
            others = named[:index] + named[index + 1 :]
            if len(others) < OTHERS:
                break
            for hazard in sorted(set.intersection(*others) - named[index]):
                message = f"All {len(others)} other {block} with the needs {needs} and this instrument name `{hazard}`."
                yield Note(entry.path, message, "Add it to `hazards`, unless this step is free of it.", True)
