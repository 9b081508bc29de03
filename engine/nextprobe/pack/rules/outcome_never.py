"""An outcome that no rule gives."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nextprobe.pack.bandsets import outcome_rows
from nextprobe.pack.context import Context, Note

CODE = "NP327"
TITLE = "An outcome that no rule gives"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every outcome with no chance under any rule."""
    for entry in ctx.entries("measurements"):
        reads = entry.row.get("reads")
        if not isinstance(reads, list):
            continue
        given = {
            outcome
            for rule in reads
            if isinstance(rule, Mapping)
            for key in ("gives", "otherwise")
            for outcome, chance in (rule.get(key) or {}).items()
            if chance > 0
        }
        for name, _, path in outcome_rows(entry):
            if name not in given:
                cure = (
                    "Give it a small chance where it can follow, or delete it; as it is, only a misreading explains it."
                )
                yield Note(path, f"No rule of `{entry.id}` gives `{name}`.", cure, True)
