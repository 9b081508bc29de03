"""How long a pack of one megabyte takes to be checked again after an edit, against a cold check of it.

The aim is well under a second, whatever the machine: each figure is the best of several rounds, in
turn with the cold one, and the ratio is to the cold check in the same run.
"""

from __future__ import annotations

import gc
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from watch_pack import many_files, one_file

from nextprobe.pack.validate import check_any
from nextprobe.pack.watch import PackWatch

PARTS = 940
ROUNDS = 5
#: What is edited: (words, what they become). Every round makes the edit and takes it back.
EDITS = {
    "a number": ("weight: 4", "weight: 5"),
    "a misspelt id": ("fixes: {part_400_open: 0.98}", "fixes: {part_400_opn: 0.98}"),
    "a line more": ("    parts: 4\n", "    parts: 4\n    wait: 5\n"),
}


def seconds(act: Callable[[], object]) -> float:
    gc.collect()
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def measure(name: str, files: dict[str, str]) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        for file, text in files.items():
            (Path(scratch) / file).write_text(text, "utf-8")
        pack = Path(scratch) / "pack.yaml"
        size = sum(len(text) for text in files.values())
        watch = PackWatch([pack])
        changes = watch.changes()
        next(changes)
        cold = float("inf")
        best = dict.fromkeys(EDITS, float("inf"))
        for _ in range(ROUNDS):
            cold = min(cold, seconds(lambda: check_any(pack)))
            for edit, (old, new) in EDITS.items():
                target = next(path for path in sorted(Path(scratch).iterdir()) if old in path.read_text("utf-8"))
                text = target.read_text("utf-8")
                for content in (text.replace(old, new, 1), text):
                    target.write_text(content, "utf-8")
                    best[edit] = min(best[edit], seconds(watch.check))
        print(f"{name}: {size / 1e6:.2f} MB, cold check {cold * 1000:.0f} ms")
        for edit, took in best.items():
            print(f"  {edit:<16} {took * 1000:6.0f} ms  {took / cold:5.2f}")


def main() -> None:
    measure("one file", {"pack.yaml": one_file(PARTS)})
    measure("many files", many_files(PARTS))


if __name__ == "__main__":
    main()
