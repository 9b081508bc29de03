"""The page on records: every command and option that it shows is there, and each of those has its place on it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.cli.main import main

PAGE = (Path(__file__).parents[2] / "docs" / "records.md").read_text(encoding="utf-8")
COMMANDS = [["report"], *(["jobs", name] for name in ("export", "import", "verify", "set-names", "erase-names"))]


def help_of(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main([*words, "--help"]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_every_command_has_its_heading_and_its_options_a_place(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert re.search(rf"^##.*`nextprobe {' '.join(words)}", PAGE, re.MULTILINE)
    options = set(re.findall(r"--[a-z][a-z-]+", help_of(words, capsys))) - {"--help", "--json", "--output"}
    assert [option for option in sorted(options) if option not in PAGE] == []


def test_every_option_that_it_shows_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    known = "".join(help_of(words, capsys) for words in COMMANDS)
    assert [option for option in sorted(set(re.findall(r"--[a-z][a-z-]+", PAGE))) if option not in known] == []
