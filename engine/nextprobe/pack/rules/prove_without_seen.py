"""Proofs that never look whether the symptom is gone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from nextprobe.pack.context import Context, Note

CODE = "NP353"
TITLE = "A proof that never looks at the symptom"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every `prove` without `seen`."""
    for entry in ctx.entries("repairs"):
        prove: Any = entry.row.get("prove")
        if isinstance(prove, list) and prove and "seen" not in prove:
            cure = "Put `seen` where the symptom is looked for: after what must precede power, before the rest."
            yield Note(
                (*entry.path, "prove"), f"The proof of `{entry.id}` does not say when to look for the symptom.", cure
            )
