"""`validate --watch`: prints what each save changed, until Ctrl-C."""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path

from nextprobe.cli.validate import as_text, summary
from nextprobe.errors import Finding
from nextprobe.pack.watch import Change, PackWatch
from nextprobe.pack.watch_files import Looker


def watch(packs: Sequence[tuple[str, Path]], looker: Looker | None = None) -> tuple[Finding, ...]:
    """Print the findings on the packs (what each is called, where it is), then every change; those at the end."""
    looker = looker or Looker()
    watching = PackWatch([path for _, path in packs], looker)
    first = True
    try:
        for change in watching.changes():
            if first:
                print(*(as_text(one) for one in change.new), _total(packs, change), sep="\n")
                print("Watching; each save is checked. Ctrl-C ends it.", flush=True)
            else:
                clock = time.strftime("%H:%M:%S", time.localtime(looker.now()))
                print(
                    "\n".join(["", f"{clock}  {_in_words(change)}", *_lines(change), _total(packs, change)]), flush=True
                )
            first = False
    except KeyboardInterrupt:
        print()
    return watching.findings


def _total(packs: Sequence[tuple[str, Path]], change: Change) -> str:
    return f"{', '.join(ref for ref, _ in packs)}: {summary(change.findings)}"


def _in_words(change: Change) -> str:
    if not change.new and not change.gone:
        return "Saved; nothing changed." if change.still else "Saved; still nothing to say against it."
    counts = ((len(change.new), "new"), (len(change.gone), "gone"), (len(change.still), "still there"))
    return ", ".join(f"{count} {word}" for count, word in counts if count) + "."


def _lines(change: Change) -> list[str]:
    """The new findings in full; of those that are gone only what they were."""
    gone = [f"gone: {one.file}: {one.severity} {one.code}: {one.message}" for one in change.gone]
    return [*gone, *(f"new: {as_text(one)}" for one in change.new)]
