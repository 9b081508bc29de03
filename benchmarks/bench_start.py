"""How long commands take to start, as multiples of a bare interpreter that imports ruamel.yaml.

The aim for ``--help`` and for ``validate`` from a warm cache is 3 at most. Each figure is the best of
several whole-process runs, taken in turn so that a busy moment of the machine meets all alike.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time

ROUNDS = 9
COMMANDS = {
    "python -c 'import ruamel.yaml'": ["-c", "import ruamel.yaml"],
    "nextprobe --help": ["-m", "nextprobe", "--help"],
    "nextprobe validate no-picture (warm)": ["-m", "nextprobe", "validate", "no-picture"],
}


def seconds(arguments: list[str], env: dict[str, str]) -> float:
    """The wall-clock seconds of one whole process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], env=env, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch:
        env = {**os.environ, "NEXTPROBE_CACHE": scratch}
        best = dict.fromkeys(COMMANDS, float("inf"))
        for _ in range(ROUNDS):
            for name, arguments in COMMANDS.items():
                best[name] = min(best[name], seconds(arguments, env))
    base = next(iter(best.values()))
    for name, took in best.items():
        print(f"{name:<40} {took * 1000:6.0f} ms  {took / base:5.2f}")


if __name__ == "__main__":
    main()
