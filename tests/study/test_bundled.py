"""The bundled packs studied: the figures hold together, and Ctrl-C gives what there is."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from nextprobe.model.merge import merged
from nextprobe.pack.load import load_pack
from nextprobe.resources import packs_dir
from nextprobe.study.causes import cause_figures, dear_causes
from nextprobe.study.figures import policy_figures
from nextprobe.study.subject import subject_of

PACKS = sorted(path.parent.name for path in packs_dir().glob("*/pack.yaml"))


@pytest.mark.parametrize("name", PACKS)
def test_the_figures_of_a_bundled_pack_hold_together(name: str) -> None:
    """Sums over causes are the plan's own minutes; nothing is cheaper than if the cause were known."""
    subject = subject_of(load_pack(name))
    lean, group = merged(subject.model)
    assert len(lean.prior) <= len(group) == len(subject.cause_of)
    figures = policy_figures(subject.model, 0.5, cause_of=subject.cause_of)
    causes = cause_figures(subject, figures)
    assert sum(cause.share for cause in causes) == pytest.approx(1.0)
    assert sum(cause.share * cause.minutes for cause in causes) == pytest.approx(figures.upper, rel=1e-12)
    for cause in causes:
        assert cause.repaired + cause.quoted + cause.stopped + cause.found == pytest.approx(1.0)
        assert cause.minutes >= cause.known - 1e-9
    for dear in dear_causes(subject, figures, causes):
        assert 0 <= dear.own <= 1
        assert all(0 <= rival.apart <= 1 for rival in dear.rivals)


def test_ctrl_c_gives_what_there_is(tmp_path: Path) -> None:
    """A real signal to a process that has said on its terminal how many jobs it has simulated."""
    import pty

    ours, theirs = pty.openpty()
    file = tmp_path / "page.html"
    command = [sys.executable, "-m", "nextprobe", "study", PACKS[0], "--jobs", "1000000", "--json", "--html", str(file)]
    with subprocess.Popen([*command, "--seconds", "0"], stdout=subprocess.PIPE, stderr=theirs) as process:
        shown = b""
        while not re.search(rb"[1-9]\d* simulated jobs", shown):
            shown += os.read(ours, 1000)
        process.send_signal(signal.SIGINT)
        out, _ = process.communicate(timeout=60)
    os.close(theirs)
    os.close(ours)
    assert process.returncode == 0
    result = json.loads(out)
    assert result["stopped_early"]
    assert 0 < result["simulated"]["jobs"] < 1_000_000
    assert date.today().isoformat() in file.read_text(encoding="utf-8")
