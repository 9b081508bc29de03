"""Chances of the outcomes of a rule that do not add up to 1."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nextprobe.pack.context import Context, Note

CODE = "NP324"
TITLE = "Chances that do not add up to 1"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every rule whose chances miss 1 by more than 1e-6."""
    for entry in ctx.entries("measurements"):
        reads = entry.row.get("reads")
        for index, rule in enumerate(reads if isinstance(reads, list) else ()):
            for key in ("gives", "otherwise"):
                given = rule.get(key) if isinstance(rule, Mapping) else None
                if not isinstance(given, Mapping):
                    continue
                if len(given) != len(ctx.raw("measurements", entry.id)["reads"][index][key]):
                    continue  # a misshapen chance has its own finding
                total = sum(given.values())
                if abs(total - 1) > 1e-6:
                    cure = f"Change one of them by {1 - total:+.6g}; every outcome that can follow stands here."
                    yield Note((*entry.path, "reads", index, key), f"These chances add up to {total:.6g}, not 1.", cure)
