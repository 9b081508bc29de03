"""The page on the store: every command, option and variable that it shows is there, and each has its place on it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.record import address, bench, lease

PAGE = (Path(__file__).parents[2] / "docs" / "store.md").read_text(encoding="utf-8")
COMMANDS = ("backup", "restore")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_its_heading_and_its_options_a_place(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["store", name, "--help"]) == 0
    options = set(re.findall(r"--[a-z][a-z-]+", capsys.readouterr().out)) - {"--help"}
    assert re.search(rf"^##.*`nextprobe store {name}", PAGE, re.MULTILINE)
    assert [option for option in options if option not in PAGE] == []
    assert set(re.findall(r"--[a-z][a-z-]+", PAGE)) <= options


def test_variables_and_figures_are_those_of_the_program() -> None:
    assert f"`{address.VARIABLE}`" in PAGE
    assert f"`{bench.VARIABLE}`" in PAGE
    assert f"{round(lease.SECONDS)} seconds" in PAGE
