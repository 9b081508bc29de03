"""The cases of a pack: those of the bundled pack hold, and one that does not is named with its step."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.resources import packs_dir


def test_every_case_of_the_bundled_pack_holds(capsys: pytest.CaptureFixture[str]) -> None:
    """33 machines of the own inventory (estimates), and the walks that go on to an ending."""
    assert main(["study", "no-picture", "--json"]) == 0
    cases = json.loads(capsys.readouterr().out)["cases"]
    assert len(cases) >= 38
    assert all(case["passed"] for case in cases)
    assert sum(case["ending"] == "repaired" for case in cases) >= 4


def test_a_case_that_fails_says_where(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copytree(packs_dir(), tmp_path / "packs")
    cases = tmp_path / "packs" / "no-picture" / "cases.yaml"
    cases.write_text(
        "- name: wrong on purpose\n"
        "  told: {lock_key: dead, external_picture: none}\n"
        "  expect: [{first: panel_faulty}, {cause: panel_faulty, at_least: 0.9}, {within_minutes: 500}]\n",
        encoding="utf-8",
    )
    assert main(["study", str(tmp_path / "packs" / "no-picture")]) == 1
    text = capsys.readouterr().out
    assert "FAILED  wrong on purpose" in text
    assert "expected first panel_faulty; found module_seating" in text
    assert "step 1: lock_key = dead took panel_faulty from" in text
    assert "1 cases, 1 failed" in text


def test_a_pack_that_cannot_be_used_is_refused_also_without_cases(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "pack.yaml"
    path.write_text("just text\n", encoding="utf-8")
    assert main(["study", str(path)]) == 2
    assert "cannot be used" in capsys.readouterr().err
