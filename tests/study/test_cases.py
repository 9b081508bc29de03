"""The cases of a pack: those of the bundled pack hold, and one that does not is named with its step."""

from __future__ import annotations

from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.study.cases import CaseResult, run_cases
from tests.study.small import CASES, LAMP, written


def test_every_case_of_the_bundled_pack_holds() -> None:
    """33 machines of the own inventory (estimates), and the walks that go on to an ending."""
    cases = run_cases("no-picture", workers=2)
    assert len(cases) >= 38
    assert [case.name for case in cases if not case.passed] == []
    assert sum(case.ending == "repaired" for case in cases) >= 4


def test_a_case_that_fails_says_where(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["study", written(tmp_path / "lamp", LAMP, CASES), "--workers", "1"]) == 1
    text = capsys.readouterr().out
    assert "5 cases, 3 failed" in text
    assert "FAILED  wrong on purpose\n        expected first bulb; found fuse 0.9" in text
    assert "step 1: current = none took bulb from" in text


def test_a_pack_that_cannot_be_used_is_refused_also_without_cases(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "pack.yaml"
    path.write_text("just text\n", encoding="utf-8")
    assert main(["study", str(path)]) == 2
    assert "cannot be used" in capsys.readouterr().err


def test_processes_change_no_case(tmp_path: Path) -> None:
    pack = written(tmp_path / "lamp", LAMP, CASES)
    one, two = run_cases(pack), run_cases(pack, workers=2)
    assert one == two
    assert [case.name for case in two][:2] == ["no current", "led to the fuse"]


def test_no_more_cases_are_begun_once_it_is_cancelled(tmp_path: Path) -> None:
    pack = written(tmp_path / "lamp", LAMP, CASES)
    done: list[CaseResult] = []
    results = run_cases(pack, done.append, cancel=lambda: len(done) == 2)
    assert results == done
    assert len(done) == 2
