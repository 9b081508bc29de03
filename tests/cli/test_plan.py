"""``nextprobe plan``: what it prints for a person and for a program."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from nextprobe.cli.main import main

SMALL = """\
format: 1
id: lamp
title: Lamp stays dark
version: 1.0.0
symptoms: {dark: {title: Dark, seen: {minutes: 1, how: Look.}}}
effects: {no_current: {title: No current, leads_to: {dark: 1}}}
causes:
  fuse: {title: Fuse open, weight: 2, leads_to: {no_current: 1}}
  bulb: {title: Bulb broken, weight: 1, leads_to: {dark: 1}}
measurements:
  current:
    title: Is there current?
    minutes: 0.5
    outcomes: {flowing: {say: It flows}, none: {say: None}}
    reads:
      - {when: no_current, gives: {none: 0.95, flowing: 0.05}}
      - {otherwise: {flowing: 0.95, none: 0.05}}
repairs:
  replace_fuse: {title: Replace the fuse, minutes: 12, fixes: {fuse: 0.95}}
  replace_bulb: {title: Replace the bulb, minutes: 15, fixes: {bulb: 0.95}}
refer: {title: Quote a new lamp, minutes: 60}
"""


@pytest.fixture
def pack(tmp_path: Path) -> str:
    path = tmp_path / "lamp" / "pack.yaml"
    path.parent.mkdir()
    path.write_text(SMALL, encoding="utf-8")
    return str(path)


def test_a_small_pack_is_solved_to_the_end(pack: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", pack, "--effort", "exact", "--jobs", "400", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["status"] == "optimal"
    assert result["lower_bound"] == result["expected_cost"]
    assert result["first"] == "current"
    assert set(result["baselines"]) == {"fixed order", "repairs by chance over cost", "information per minute"}
    assert min(one["mean"] for one in result["baselines"].values()) > 0
    # The plan's own policy, simulated, agrees with its exact cost.
    simulated = result["simulated"]
    assert abs(simulated["mean"] - result["expected_cost"]) < 4 * simulated["standard_error"]


def test_a_person_reads_the_first_step_both_ends_and_the_tree(pack: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", pack, "--no-baselines"]) == 0
    text = capsys.readouterr().out
    assert "First: Is there current?" in text
    assert "No plan can go below" in text
    assert "if None (" in text
    assert "Replace the fuse" in text


def test_a_pack_that_only_finds_the_cause_is_planned_until_it_is_known(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Worked by hand: the one measurement of half a minute tells all that can be told."""
    path = tmp_path / "pack.yaml"
    path.write_text(SMALL[: SMALL.index("repairs:")], encoding="utf-8")
    assert main(["plan", str(path), "--effort", "exact"]) == 0
    out = capsys.readouterr().out
    assert "First: Is there current?" in out
    assert "Expected: 0.5 minutes until the cause is known as well as this pack can tell it" in out
    assert "cannot be solved to the end; planned as fast" in " ".join(out.split())


def test_the_bundled_pack_says_that_it_is_too_large_for_exact(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["plan", "no-picture", "--board", "tansy-12", "--effort", "exact", "--seconds", "0", "--no-baselines"]
    assert main(arguments) == 0
    text = capsys.readouterr().out
    assert "too large to be solved to the end" in text
    assert "Status: stopped" in text


def test_a_wrong_number_of_seconds_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "no-picture", "--seconds", "nan"]) == 2
    assert "--seconds" in capsys.readouterr().err


def test_the_tree_goes_to_any_depth(pack: str, capsys: pytest.CaptureFixture[str]) -> None:
    lines = []
    for depth in ("0", "1", "all"):
        assert main(["plan", pack, "--no-baselines", "--depth", depth]) == 0
        lines.append(len(capsys.readouterr().out.splitlines()))
    assert lines[0] < lines[1] <= lines[2]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--depth", "-1"], "--depth"),
        (["--depth", "deep"], "--depth"),
        (["--jobs", "1"], "--jobs"),
        (["--draw", "plan.pdf"], "neither in .svg nor in .html"),
        (["--draw", "no-such-folder/plan.svg"], "no folder"),
        (["--json", "--draw", "plan.svg"], "not allowed with"),
    ],
)
def test_what_cannot_be_done_is_one_clear_message(
    pack: str, arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", pack, *arguments]) == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("ending", ["svg", "html"])
def test_a_drawing_is_one_file_without_network_or_script(pack: str, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"plan.{ending}"
    assert main(["plan", pack, "--draw", str(path)]) == 0
    text = path.read_text(encoding="utf-8")
    drawn = re.search(r"<svg.*</svg>", text, re.DOTALL)
    assert drawn is not None
    words = "".join(ElementTree.fromstring(drawn[0]).itertext()) + text
    for said in ("No plan can go below", "Replace the fuse", "Is there current?"):
        assert said in words
    assert "<script" not in text
    assert set(re.findall(r"https?://[^\"]+", text)) <= {"http://www.w3.org/2000/svg"}


def test_ctrl_c_takes_the_best_so_far() -> None:
    """A real signal to a process that has said on its terminal that it is planning."""
    import pty

    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "nextprobe", "plan", "no-picture", "--effort", "deep", "--seconds", "120"]
    with subprocess.Popen([*command, "--no-baselines", "--json"], stdout=subprocess.PIPE, stderr=theirs) as process:
        shown = b""
        while b"s left" not in shown:
            shown += os.read(ours, 1000)
        process.send_signal(signal.SIGINT)
        out, _ = process.communicate(timeout=60)
    os.close(theirs)
    os.close(ours)
    assert process.returncode == 0
    result = json.loads(out)
    assert result["status"] in ("stopped", "within_gap", "optimal")
    assert result["lower_bound"] <= result["expected_cost"]
