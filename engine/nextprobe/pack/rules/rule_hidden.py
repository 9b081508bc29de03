"""A rule that never decides, because an earlier one always holds first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from nextprobe.pack.context import Context, Note

CODE = "NP328"
TITLE = "A rule that never decides"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for a rule whose every id is already answered, alone, by earlier rules."""
    for entry in ctx.entries("measurements"):
        reads = entry.row.get("reads")
        answered: set[str] = set()
        for index, rule in enumerate(reads if isinstance(reads, list) else ()):
            when = rule.get("when") if isinstance(rule, Mapping) else None
            single = _any_of(when)
            if single and single <= answered:
                names = ", ".join(f"`{one}`" for one in sorted(single))
                cure = "Put it before the wider rule, or delete it: the first rule that holds decides."
                yield Note((*entry.path, "reads", index), f"An earlier rule already decides for {names}.", cure)
            needed = _needed(when)
            if not single and needed & answered:
                names = ", ".join(f"`{one}`" for one in sorted(needed & answered))
                cure = "Put it before that rule: the first rule that holds decides."
                yield Note(
                    (*entry.path, "reads", index), f"This rule needs {names}, for which an earlier rule decides.", cure
                )
            answered |= single


def _any_of(when: Any) -> set[str]:
    """The ids each of which alone makes `when` hold; empty where it is of another kind."""
    if isinstance(when, str):
        return {when}
    parts = when.get("any") if isinstance(when, Mapping) else when
    if isinstance(parts, list) and all(isinstance(part, str) for part in parts):
        return set(parts)
    return set()


def _needed(when: Any) -> set[str]:
    """The ids that `when` cannot hold without."""
    parts = when.get("all") if isinstance(when, Mapping) else None
    return {part for part in parts if isinstance(part, str)} if isinstance(parts, list) else set()
