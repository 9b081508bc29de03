"""The page on learning: every option has its place on it, and every option that it shows is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.cli.main import main

PAGE = (Path(__file__).parents[2] / "docs" / "learning.md").read_text(encoding="utf-8")


def options_of(command: str, capsys: pytest.CaptureFixture[str]) -> set[str]:
    assert main([command, "--help"]) == 0
    return set(re.findall(r"--[a-z][a-z-]+", capsys.readouterr().out)) - {"--help"}


def test_every_option_has_a_place(capsys: pytest.CaptureFixture[str]) -> None:
    assert re.search(r"^## `nextprobe learn PACK`", PAGE, re.MULTILINE)
    assert [option for option in sorted(options_of("learn", capsys)) if option not in PAGE] == []


def test_every_option_that_it_shows_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    known = options_of("learn", capsys) | options_of("study", capsys)
    assert sorted(set(re.findall(r"--[a-z][a-z-]+", PAGE)) - known) == []
