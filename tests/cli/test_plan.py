"""``nextprobe plan``: what it prints for a person and for a program."""

from __future__ import annotations

import json
from pathlib import Path

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
    assert main(["plan", pack, "--effort", "exact", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["status"] == "optimal"
    assert result["lower_bound"] == result["expected_cost"]
    assert result["first"] == "current"
    assert set(result["baselines"]) == {"fixed order", "repairs by chance over cost", "information per minute"}
    assert min(one["mean"] for one in result["baselines"].values()) > 0


def test_a_person_reads_the_first_step_both_ends_and_the_tree(pack: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", pack, "--no-baselines"]) == 0
    text = capsys.readouterr().out
    assert "First: Is there current?" in text
    assert "No plan can go below" in text
    assert "if none:" in text
    assert "Replace the fuse" in text


def test_the_bundled_pack_says_that_it_is_too_large_for_exact(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["plan", "no-picture", "--board", "tansy-12", "--effort", "exact", "--seconds", "0", "--no-baselines"]
    assert main(arguments) == 0
    text = capsys.readouterr().out
    assert "too large to be solved to the end" in text
    assert "Status: stopped" in text


def test_a_wrong_number_of_seconds_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "no-picture", "--seconds", "nan"]) == 2
    assert "--seconds" in capsys.readouterr().err
