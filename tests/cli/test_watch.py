"""`nextprobe validate --watch` as a person sees it: what a save changed, the time, and a clean end by Ctrl-C."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import threading
from pathlib import Path
from queue import Queue

import pytest

from nextprobe.cli.main import main

SOUND = Path(__file__).parent.parent / "pack" / "sound" / "pack.yaml"

#: A shell that starts its work in the background has it ignore Ctrl-C, and so would what is started from here.
HEEDS_CTRL_C = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
from nextprobe.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


class Watching:
    """A watch in a process of its own, read line by line."""

    def __init__(self, pack: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", HEEDS_CTRL_C, "validate", str(pack), "--watch"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        )
        self.lines: Queue[str] = Queue()
        self.thread = threading.Thread(target=self._read, daemon=True)
        self.thread.start()

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        self.thread.join()
        for stream in (self.process.stdout, self.process.stderr):
            if stream is not None:
                stream.close()

    def _read(self) -> None:
        for line in self.process.stdout or ():
            self.lines.put(line)

    def until(self, wanted: str) -> list[str]:
        found: list[str] = []
        while not re.search(wanted, found[-1] if found else ""):
            found.append(self.lines.get(timeout=30).rstrip("\n"))
        return found

    def end(self) -> tuple[int, str]:
        self.process.send_signal(signal.SIGINT)
        code = self.process.wait(timeout=30)
        return code, self.process.stderr.read() if self.process.stderr else ""


def test_a_watch_from_the_first_look_to_the_end(tmp_path: Path) -> None:
    pack = tmp_path / "pack.yaml"
    shutil.copy(SOUND, pack)
    watch = Watching(pack)
    try:
        assert "nothing to say against it" in watch.until("^Watching")[-2]
        pack.write_text(pack.read_text("utf-8").replace("weight: 2", "wieght: 2"), "utf-8")
        said = watch.until("1 error")
        assert said[0] == ""
        assert re.fullmatch(r"\d\d:\d\d:\d\d  1 new\.", said[1])
        assert said[2].startswith("new: ")
        assert "error NP201: There is no key `wieght` in a cause." in said[2]
        assert said[-2].endswith("^")
        pack.write_text(pack.read_text("utf-8").replace("wieght: 2", "weight: 2"), "utf-8")
        said = watch.until("nothing to say")
        assert re.fullmatch(r"\d\d:\d\d:\d\d  1 gone\.", said[1])
        assert said[2].startswith("gone: ")
        assert watch.end() == (0, "")
    finally:
        watch.close()


def test_the_end_with_an_error_is_1(tmp_path: Path) -> None:
    pack = tmp_path / "pack.yaml"
    pack.write_text(SOUND.read_text("utf-8").replace("weight: 2", "wieght: 2"), "utf-8")
    watch = Watching(pack)
    try:
        watch.until("^Watching")
        assert watch.end() == (1, "")
    finally:
        watch.close()


def test_a_watch_prints_text_only(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["validate", str(SOUND), "--watch", "--format", "json"]) == 2
    assert "prints text only" in capsys.readouterr().err
