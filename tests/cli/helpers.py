"""Walking by the command line in tests: a store of one's own, captured output."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from nextprobe.cli.main import main
from nextprobe.resources import packs_dir

DEMO = packs_dir() / "no-picture" / "demo.yaml"
CORE = ["walk", "no-picture", "--board", "brindle-14"]


def told_of(path: Path) -> dict[str, str]:
    """The answers of a file that is one flat map."""
    from nextprobe.pack.source import read_yaml

    return {str(key): str(value) for key, value in read_yaml(path).data.items()}


def answers_file(folder: Path, answers: dict[str, str]) -> Path:
    """The answers as a file."""
    path = folder / "answers.yaml"
    path.write_text("".join(f'{key}: "{value}"\n' for key, value in answers.items()), encoding="utf-8")
    return path


def result_of(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """What a command with --json printed; it must have succeeded."""
    code = main([*arguments, "--json"])
    captured = capsys.readouterr()
    assert code == 0, captured.err
    found: dict[str, Any] = json.loads(captured.out)
    return found
